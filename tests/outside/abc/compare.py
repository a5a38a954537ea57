"""Compares the abc reader with music21, abcjs and abc2midi, note by note.

    python3 compare.py OURS CORPUS WORK ABCJS [--each N] [--judge]

CORPUS is a folder of .abc files, OURS the folder that the ignored test `write_events` of
tests/abc_events.rs filled from it, WORK a folder for the references' answers (kept, so that a second
run is quick), ABCJS the unpacked npm package. `--each N` takes every Nth tune.

What is compared: onset, length (480ths of a quarter, one either way allowed for the references'
rounding) and MIDI number of every melody note, in written order, ties joined. We read the files as
they are; the references get them without repeat signs, ornaments and quoted texts, because they
would play those.
"""

import argparse
import collections
import hashlib
import json
import pathlib
import sys
import re
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor

BARS = re.compile(r":*\[?\|+[|\]]*:*(?:\[?\d+(?:[,-]\d+)*)?|::+|(\[\d+(?:[,-]\d+)*)")


def tunes(folder):
    """Each tune of the corpus as (id, text): from X: to an empty line or the next X:."""
    for path in sorted(folder.glob("*.abc")):
        text = path.read_bytes().decode("utf-8", "replace")
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        chunks = re.split(r"(?m)^(?=[ \t]*X:)", text)[1:]
        for index, chunk in enumerate(chunks):
            yield f"{path.stem}/{index}", re.split(r"\n[ \t]*\n", chunk)[0]


def simplify(text):
    """The tune without what the references would play or trip over."""
    lines, body = ["%abc-2.1"], False
    for line in text.split("\n"):
        line = re.sub(r"(?<!\\)%.*", "", line).strip()
        if not line:
            continue
        field = re.match(r"(?![A-Ga-gxz]:[|:])([A-Za-z+]):", line)
        if field:
            body = body or field[1] == "K"
            if field[1] in "XMLKV":
                lines.append(line)
            continue
        if not body:
            continue
        line = re.sub(r'\|\[(?=")', "|", line)
        line = re.sub(r'"[^"]*"?', "", line)
        line = re.sub(r"\{[^}]*\}?", "", line)
        line = re.sub(r"!([^ |!\"]{0,38})!", "", line).replace("!", "")
        parts = re.split(r"(\[[A-Za-z]:[^\]]*\])", line)
        for i in range(0, len(parts), 2):
            part = re.sub(r"[.~H-WYh-w`$*]", "", parts[i])
            part = re.sub(r"\((?!\d)|\)", "", part)
            parts[i] = BARS.sub(lambda m: "" if m[1] else "|", part)
        if "".join(parts).strip():
            lines.append("".join(parts))
    if not any(line.startswith("M:") for line in lines):
        lines.insert(2, "M:none")
    return "\n".join(lines) + "\n"


def tops(notes):
    """Chords of notes reduced to their top note; `notes` are (onset, end, midi)."""
    groups = []
    for on, end, midi in sorted(notes):
        if groups and on - groups[-1][0] <= 40 and on < groups[-1][1] and abs(end - groups[-1][1]) <= 2:
            groups[-1][2] = max(groups[-1][2], midi)
        else:
            groups.append([on, end, midi])
    return [[on, end - on, midi] for on, end, midi in groups]


def by_abc2midi(text):
    import mido

    with tempfile.TemporaryDirectory() as folder:
        source, target = pathlib.Path(folder, "t.abc"), pathlib.Path(folder, "t.mid")
        source.write_text(text)
        command = ["abc2midi", source, "-o", target, "-NGRA", "-NFER", "-silent"]
        subprocess.run(command, capture_output=True, timeout=20)
        if not target.exists():
            return None
        now, sounding, notes = 0, {}, []
        midi = mido.MidiFile(target)
        for message in mido.merge_tracks(midi.tracks[:2] if len(midi.tracks) > 1 else midi.tracks):
            now += message.time
            if message.type == "note_on" and message.velocity:
                sounding[message.note] = now - 1
            elif message.type in ("note_on", "note_off") and message.note in sounding:
                notes.append((sounding.pop(message.note), now, message.note))
        return tops(notes)


def by_music21(text):
    import music21

    try:
        score = music21.converter.parse(text, format="abc", forceSource=True)
        part = score.parts[0].stripTies()
        notes = []
        for note in part.flatten().notes:
            if note.duration.isGrace:
                continue
            on, end = note.offset * 480, (note.offset + note.quarterLength) * 480
            midi = max(p.midi for p in note.pitches)
            notes.append([round(on), round(end) - round(on), midi])
        return notes
    except Exception:
        return None


def answers(name, texts, work, abcjs):
    """The reference's events of each tune, from an earlier run where there is one."""
    store = work / f"{name}.json"
    known = json.loads(store.read_text()) if store.exists() else {}
    keys = {i: hashlib.sha1(t.encode()).hexdigest() for i, t in texts.items()}
    missing = {keys[i]: t for i, t in texts.items() if keys[i] not in known}
    if not missing:
        fresh = {}
    elif name == "abcjs":
        asked, told = work / "asked.json", work / "told.json"
        asked.write_text(json.dumps(missing))
        script = pathlib.Path(__file__).with_name("abcjs_events.js")
        subprocess.run(["node", script, asked, told, abcjs], check=True)
        fresh = {i: e and tops([(a, a + l, m) for a, l, m in e]) for i, e in json.loads(told.read_text()).items()}
    elif name == "abc2midi":
        with ThreadPoolExecutor(2) as pool:
            fresh = dict(zip(missing, pool.map(by_abc2midi, missing.values())))
    else:
        fresh = {i: by_music21(t) for i, t in missing.items()}
    if fresh:
        known.update(fresh)
        store.write_text(json.dumps(known))
    return {i: known[key] for i, key in keys.items()}


def ours(folder):
    events = {}
    for path in folder.glob("*.tsv"):
        for line in path.read_text().split("\n"):
            if line:
                index, number, rest = (line.split("\t") + [""])[:3]
                notes = None if number == "error" else [[int(n) for n in e.split(":")] for e in rest.split()]
                events[f"{path.stem}/{index}"] = notes
    return events


def same(a, b):
    """None when equal, else the index of the first note that differs."""
    if a is None or b is None:
        return 0
    for i, (x, y) in enumerate(zip(a, b)):
        if abs(x[0] - y[0]) > 1 or abs(x[1] - y[1]) > 2 or x[2] != y[2]:
            return i
    return None if len(a) == len(b) else min(len(a), len(b))


def main():
    parser = argparse.ArgumentParser()
    for name in ("ours", "corpus", "work", "abcjs"):
        parser.add_argument(name, type=pathlib.Path)
    parser.add_argument("--each", type=int, default=1)
    parser.add_argument("--judge", action="store_true", help="ask music21, which is slow, only where we differ from another")
    parser.add_argument("--at-least", type=float, default=0, metavar="PERCENT", help="fail when fewer tunes are agreed by two or more")
    options = parser.parse_args()
    texts = {i: simplify(t) for i, t in list(tunes(options.corpus))[:: options.each]}
    mine = ours(options.ours)
    names, told, asked = ("abcjs", "abc2midi", "music21"), {}, texts
    for name in names:
        if options.judge and name == "music21":
            asked = {i: t for i, t in texts.items() if any(same(mine.get(i), told[n][i]) is not None for n in told)}
        told[name] = answers(name, asked, options.work, options.abcjs)
    counts, rows = collections.Counter(), []
    for i in texts:
        agree = [n for n in names if same(mine.get(i), told[n].get(i)) is None]
        pairs = [(a, b) for a in names for b in names if a < b and same(told[a].get(i), told[b].get(i)) is None]
        outvoted = [p for p in pairs if not set(p) & set(agree)]
        counts["with " + (" ".join(agree) or "nobody")] += 1
        counts["agreed by two or more"] += len(agree) >= 2
        counts["outvoted"] += bool(outvoted)
        if len(agree) < len(names) and i in asked:
            rows.append((len(agree), bool(outvoted), i, {n: same(mine.get(i), told[n].get(i)) for n in names}))
    print(len(texts), "tunes")
    for what, count in counts.most_common():
        print(f"{count:6} {100 * count / len(texts):6.2f} %  {what}")
    with open(options.work / "differences.txt", "w") as file:
        for row in sorted(rows, key=lambda r: (not r[1], r[0], r[2])):
            print(*row, file=file)
    share = 100 * counts["agreed by two or more"] / len(texts)
    if share < options.at_least:
        sys.exit(f"{share:.2f} % of the tunes are read as two references read them, {options.at_least} % were wanted")


if __name__ == "__main__":
    main()
