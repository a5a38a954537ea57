#!/usr/bin/env python3
"""Makes the golden tables of chord readings from five open libraries.

    pip install -r requirements.txt
    python3 make.py [--check] [--npm FOLDER]

Every suffix is read on twelve roots. A library has a reading of a suffix when it reads it alike on
all twelve. agreed.tsv holds the readings that at least three libraries share, open.tsv the suffixes
on which no three agree, with what each one says. With --check nothing is written: the result is
compared with the tables that lie here, and a difference ends with exit code 1.

The two npm packages are fetched with `npm pack` into a temporary folder, or taken from FOLDER/tonal
and FOLDER/chord-symbol.
"""

import argparse
import json
import logging
import re
import subprocess
import sys
import tarfile
import tempfile
import warnings
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
NPM = {"tonal": "6.5.1", "chord-symbol": "4.0.0"}
LIBRARIES = ["music21", "tonal", "chord-symbol", "pychord", "mingus"]
# These three spell; the others name by sound alone.
SPELLING = {"music21", "tonal", "chord-symbol"}

ROOTS = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
SUFFIXES = """
    . M maj m min mi - dim ° o + aug 5 (b5) mb5
    6 M6 m6 min6 -6 69 6/9 m69 m6/9
    7 maj7 M7 Δ7 ^7 Δ ma7 Maj7 m7 min7 mi7 -7 dim7 °7 o7 m7b5 -7b5 ø ø7 h7 mM7 mmaj7 m(maj7) mMaj7 -Δ7
    +7 aug7 7#5 7+5 7b5 7-5 maj7#5 M7#5 +M7 maj7b5 M7b5
    9 maj9 M9 m9 min9 -9 mM9 m9b5 ø9 dim9 9#5 +9 aug9 9b5
    11 maj11 m11 min11 13 maj13 M13 m13
    7b9 7-9 7#9 7+9 7#11 7b13 9#11 13#11 13b9 maj7#11 M7#11 maj9#11
    7b5b9 7#5#9 7#5b9 7b5#9 7b9#9 7b9#11 7b9b13 7#9b13 7#9#11 7alt alt
    sus sus2 sus4 sus24 sus2sus4 7sus 7sus4 7sus2 9sus4 9sus 13sus4 13sus 7b9sus4 7sus4b9 maj7sus4 M7sus4
    add9 (add9) add2 2 4 add4 add11 madd9 m(add9) madd4 madd11 add#11 7add11 7add13 m7add11
    no3 no5 (no3) (omit5) 7no5 9no3 mb6
    7(b9,#11) 7(b9) 7(#9) 7(b5) 7(#5,#9)
""".split()
SLASHED = [".", "m", "7", "m7", "maj7", "m7b5", "dim", "sus4"]
BASSES = [2, 3, 4, 5, 6, 7, 8, 9, 10, 11]

LETTERS = "CDEFGAB"
NATURAL = [0, 2, 4, 5, 7, 9, 11]


def note(name):
    """(letter 0-6, pitch class) of a name such as Bb, F##, E- (music21) or Cx."""
    letter = LETTERS.index(name[0])
    signs = name[1:].replace("-", "b").replace("x", "##")
    return letter, (NATURAL[letter] + signs.count("#") - signs.count("b")) % 12


def degree(root, name):
    """A note against a root: simple degree (1-7) with its signs, such as b7."""
    (root_letter, root_class), (letter, sound) = note(root), note(name)
    step = (letter - root_letter) % 7
    off = (sound - root_class - NATURAL[step] + 6) % 12 - 6
    return ("#" * off if off > 0 else "b" * -off) + str(step + 1)


def simple(text):
    """A degree such as #11 within one octave: #4."""
    signs, number = re.fullmatch(r"([#b]*)(\d+)", text).groups()
    return signs + str((int(number) - 1) % 7 + 1)


def semitones(text):
    signs, number = re.fullmatch(r"([#b]*)(\d)", text).groups()
    return (NATURAL[int(number) - 1] + signs.count("#") - signs.count("b")) % 12


def reading(root, degrees, bass):
    """A reading: classes above the root (bass among them), bass above the root, spelled degrees."""
    low = (note(bass)[1] - note(root)[1]) % 12 if bass else 0
    classes = {semitones(d) for d in degrees} | {low}
    order = sorted(set(degrees), key=lambda d: (int(d[-1]), d))
    return tuple(sorted(classes)), low, " ".join(order)


def music21_reading(symbol):
    from music21 import harmony

    # music21 writes flats of names as dashes.
    root, rest = re.match(r"([A-G][#b]?)(.*)$", symbol).groups()
    root = root.replace("b", "-")
    rest, slash, over = rest.partition("/")
    foreign = slash and not over.startswith("9")
    if slash and not foreign:
        rest += slash + over
    # A foreign bass would be counted among the tones, so tones and bass are read apart.
    tones = harmony.ChordSymbol(root + rest)
    if tones.root().name != root:
        return None
    degrees = [degree(root, p.name) for p in tones.pitches]
    bass = harmony.ChordSymbol(f"{root}{rest}/{over.replace('b', '-')}").bass().name if foreign else None
    return reading(root, degrees, bass)


def pychord_reading(symbol):
    from pychord import Chord

    chord = Chord(symbol)
    numbers = chord.components(visible=False)
    root = note(chord.root)[1]
    slash = str(chord.on) if chord.on else None
    low = (note(slash)[1] - root) % 12 if slash else 0
    return tuple(sorted({(n - root) % 12 for n in numbers} | {low})), low, ""


def mingus_reading(symbol):
    from mingus.core import chords

    names = chords.from_shorthand(symbol)
    if not names or not isinstance(names, list):
        return None
    root = re.match(r"[A-G][#b]?", symbol)[0]
    slash = re.search(r"/([A-G][#b]?)$", symbol)
    return reading(root, [degree(root, n) for n in names], slash and slash[1])[:2] + ("",)


def npm_readings(symbols, folder):
    command = ["node", str(HERE / "read.cjs"), str(folder / "tonal"), str(folder / "chord-symbol")]
    done = subprocess.run(command, input="\n".join(symbols), capture_output=True, text=True, check=True)
    answers = {"tonal": {}, "chord-symbol": {}}
    for symbol, line in zip(symbols, done.stdout.splitlines(), strict=True):
        both = json.loads(line)
        if tonal := both["tonal"]:
            plain = [degree(tonal["root"], n) for n in tonal["notes"]]
            answers["tonal"][symbol] = reading(tonal["root"], plain, tonal["bass"])
        if other := both["chordSymbol"]:
            degrees = [simple(d) for d in other["degrees"]]
            answers["chord-symbol"][symbol] = reading(other["root"], degrees, other["bass"])
    return answers


def all_readings(symbols, folder):
    answers = npm_readings(symbols, folder)
    for name, read in [
        ("music21", music21_reading),
        ("pychord", pychord_reading),
        ("mingus", mingus_reading),
    ]:
        answers[name] = {}
        for symbol in symbols:
            # Whatever a library raises, it has no reading of this symbol.
            try:
                said = read(symbol)
            except Exception:
                said = None
            if said:
                answers[name][symbol] = said
    return answers


def on_all_roots(answers, symbols):
    """The one reading of a library on all twelve roots, or None."""
    said = {answers.get(s) for s in symbols}
    return said.pop() if len(said) == 1 else None


def rows():
    """(suffix, bass above the root or None, the symbol on each root)."""
    for suffix in SUFFIXES:
        text = "" if suffix == "." else suffix
        yield suffix, None, [root + text for root in ROOTS]
    for suffix in SLASHED:
        text = "" if suffix == "." else suffix
        for low in BASSES:
            yield suffix, low, [f"{r}{text}/{ROOTS[(i + low) % 12]}" for i, r in enumerate(ROOTS)]


def show(said):
    """The degrees where a library spells, else the semitones."""
    if said is None:
        return "-"
    return said[2] or " ".join(map(str, said[0]))


def make(folder):
    table = list(rows())
    answers = all_readings([s for _, _, symbols in table for s in symbols], folder)
    head = [
        "# Made by make.py from " + ", ".join(versions()) + ".",
        "# Facts of reading only; the libraries' licences: BSD-3-Clause, MIT, MIT, MIT, GPL-3.0 (run, not shipped).",
        "# Each row was read alike on the roots " + " ".join(ROOTS) + ".",
    ]
    agreed = head + ["# suffix (. is none)\tbass\tsemitones above the root, bass among them\tdegrees within the octave\twho\twho says otherwise"]
    unsettled = head[:2] + ["# suffix\tbass\t" + "\t".join(LIBRARIES)]
    for suffix, low, symbols in table:
        said = {name: on_all_roots(answers[name], symbols) for name in LIBRARIES}
        votes = Counter(s[:2] for s in said.values() if s)
        top, count = votes.most_common(1)[0] if votes else (None, 0)
        bass = "-" if low is None else str(low)
        if count >= 3:
            who = [n for n in LIBRARIES if said[n] and said[n][:2] == top]
            spelled = {said[n][2] for n in who if n in SPELLING}
            enough = len(spelled) == 1 and len(SPELLING & set(who)) >= 2
            degrees = spelled.pop() if enough else "-"
            others = [f"{n} {show(said[n])}" for n in LIBRARIES if said[n] and n not in who]
            cells = [suffix, bass, " ".join(map(str, top[0])), degrees, " ".join(who), "; ".join(others) or "-"]
            agreed.append("\t".join(cells))
        else:
            unsettled.append("\t".join([suffix, bass, *(show(said[n]) for n in LIBRARIES)]))
    return {"agreed.tsv": "\n".join(agreed) + "\n", "open.tsv": "\n".join(unsettled) + "\n"}


def versions():
    python = dict(line.split("==") for line in (HERE / "requirements.txt").read_text().split())
    return [f"{name} {(python | NPM)[name]}" for name in LIBRARIES]


def fetch(folder):
    """Unpacks the npm packages into FOLDER/name."""
    for name, version in NPM.items():
        packed = subprocess.run(
            ["npm", "pack", "--silent", f"{name}@{version}"],
            cwd=folder, capture_output=True, text=True, check=True,
        ).stdout.split()[-1]
        with tarfile.open(folder / packed) as archive:
            archive.extractall(folder / "unpacked", filter="data")
        (folder / "unpacked" / "package").rename(folder / name)


def main():
    parser = argparse.ArgumentParser(description="Makes or checks the golden tables of chord readings.")
    parser.add_argument("--check", action="store_true", help="compare with the tables, write nothing")
    parser.add_argument("--npm", type=Path, metavar="FOLDER", help="folder with tonal and chord-symbol unpacked")
    options = parser.parse_args()
    warnings.simplefilter("ignore")
    logging.disable()
    with tempfile.TemporaryDirectory() as temporary:
        folder = options.npm or Path(temporary)
        if not options.npm:
            fetch(folder)
        tables = make(folder)
    different = False
    for name, text in tables.items():
        file = HERE / name
        if not options.check:
            file.write_text(text, encoding="utf-8")
        elif file.read_text(encoding="utf-8") != text:
            different = True
            old = set(file.read_text(encoding="utf-8").splitlines())
            for line in text.splitlines():
                if line not in old:
                    print(f"{name}: now {line}", file=sys.stderr)
        print(f"{name}: {sum(not l.startswith('#') for l in text.splitlines())} rows")
    sys.exit(1 if different else 0)


if __name__ == "__main__":
    main()
