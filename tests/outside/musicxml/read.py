#!/usr/bin/env python3
"""Has music21's own scores read by this project, and compares the melodies with what music21 reads.

    pip install music21==10.5.0
    python3 tests/outside/musicxml/read.py FOLDER [--every N] [--largest BYTES]

The MusicXML files of the package are copied to FOLDER (they are not ours to pass on); `cargo test
--test outside_musicxml -- --ignored scores` then reads each of them, or refuses it with a reason.
Compared are onset, length and pitch of every note of the first part with notes, staff 1, voice 1,
the top one of a chord, ties joined, bar by bar. Octaves don't count where the part transposes or its
clef sounds an octave away, since we keep them as they are written.

Exit code 0 when at least 100 files are read and 98 in 100 of those agree, 1 when not.
"""

import argparse
import os
import shutil
import subprocess
import sys
import warnings
from fractions import Fraction
from pathlib import Path

import music21

QUARTER = 10_080
ENDINGS = (".mxl", ".musicxml", ".xml")


def collect(folder, every, largest):
    """Copies the scores and gives their names."""
    root = Path(music21.__file__).parent
    found = sorted(p for p in root.rglob("*") if p.suffix in ENDINGS)
    found = [p for p in found if p.stat().st_size <= largest][::every]
    names = []
    for path in found:
        name = str(path.relative_to(root)).replace("/", "-")
        shutil.copy(path, folder / name)
        names.append(name)
    return names


def ticks(length):
    return round(Fraction(length).limit_denominator(10_080) * QUARTER)


def first_part(score):
    """The first part with notes, and staff 1 of it."""
    for part in score.parts:
        if any(n.isNote or n.isChord for n in part.recurse().notes if not harmony(n)):
            return part
    return None


def harmony(item):
    return isinstance(item, music21.harmony.Harmony)


def melody(part):
    """(bar, ticks in it, pitch, length) of voice 1, ties joined."""
    found, tied = [], False
    for index, measure in enumerate(part.getElementsByClass(music21.stream.Measure)):
        voices = {v.id: v for v in measure.voices}
        source = voices.get("1", next(iter(voices.values()), None)) if voices else measure
        for item in source.notes:
            if harmony(item) or item.duration.isGrace or item.style.noteSize == "cue":
                continue
            if isinstance(item, (music21.note.Unpitched, music21.percussion.PercussionChord)):
                continue
            note = max(item.notes, key=lambda n: n.pitch.midi) if item.isChord else item
            at = ticks(item.getOffsetInHierarchy(measure))
            length = ticks(item.quarterLength)
            # A tie that only its first note tells of is one as well.
            if tied and found[-1][2] == note.pitch.midi:
                found[-1][3] += length
            else:
                found.append([index, at, note.pitch.midi, length])
            tied = note.tie is not None and note.tie.type in ("start", "continue")
    return found


def octaves_count(part):
    """Whether what is written is what sounds."""
    moved = any(i.transposition for i in part.recurse().getElementsByClass("Instrument"))
    clefs = part.recurse().getElementsByClass("Clef")
    return not moved and not any(c.octaveChange for c in clefs)


def compare(path, ours):
    score = music21.converter.parse(path, forceSource=True)
    part = first_part(score)
    if part is None:
        return "music21 finds no notes"
    exact = octaves_count(part)
    theirs = melody(part.toSoundingPitch())
    if len(ours) != len(theirs):
        return f"{len(ours)} notes, music21 {len(theirs)}"
    for a, b in zip(ours, theirs):
        near = a[0] == b[0] and abs(a[1] - b[1]) <= 2 and abs(a[3] - b[3]) <= 2
        same = a[2] == b[2] if exact else (a[2] - b[2]) % 12 == 0
        if not (near and same):
            return f"{a}, music21 {b}"
    return None


def main():
    parser = argparse.ArgumentParser(description="Compare melodies read by two programs.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--largest", type=int, default=1 << 20)
    options = parser.parse_args()
    warnings.simplefilter("ignore")
    options.folder.mkdir(parents=True, exist_ok=True)
    names = collect(options.folder, options.every, options.largest)
    command = ["cargo", "test", "-q", "--test", "outside_musicxml", *os.environ.get("CARGO_MORE", "").split()]
    command += ["--", "--ignored", "scores"]
    where = dict(os.environ, THUMBLINE_SCORES=str(options.folder.resolve()))
    subprocess.run(command, env=where, check=True, stdout=subprocess.DEVNULL)
    read, refused, differ = 0, 0, []
    for name in names:
        text = (options.folder / name).with_suffix(".tsv").read_text(encoding="utf-8")
        if text.startswith("refused"):
            refused += 1
            continue
        read += 1
        ours = [[int(n) for n in line.split("\t")] for line in text.splitlines()]
        try:
            fault = compare(options.folder / name, ours)
        except Exception as error:  # music21 refuses some of its own test files
            fault = None
            print(f"{name}: music21: {str(error)[:80]}")
        if fault:
            differ.append(f"{name}: {fault}")
    for line in differ[:40]:
        print(line)
    print(f"{len(names)} scores: {read} read, {refused} refused, {len(differ)} differ")
    if read < 100 or len(differ) * 100 > 2 * read:
        sys.exit(1)


if __name__ == "__main__":
    main()
