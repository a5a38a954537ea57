#!/usr/bin/env python3
"""Looks MusicXML files over and compares them with the JSON of their arrangements.

    pip install music21==10.5.0 verovio==6.4.1 lxml==6.1.3 musicxml==1.6.3
    python3 tests/outside/musicxml/check.py FOLDER [--read-back N]

FOLDER holds pairs `name.json`, `name.musicxml`, and may hold `name.mxl`. Checked are:

* all of them against the W3C schema of MusicXML 4.0, as the package `musicxml` (MIT) carries it;
  what it lacks of two small schemas beside it stands in `schema/`;
* all of them, with a reader of its own here: every pluck is in the tab with onset, length, pitch,
  string, fret, left finger, right finger and barre, and in the notation with onset, length and
  pitch; pitch is open string + capo + fret; each voice fills its bar; bars, numbers, meters and
  chords are those of the JSON;
* every so many-th with music21 (BSD): onsets and pitches of both staves, string, fret and
  finger in the tab, and the pitch classes of the chords; where the song has repeats, the bars in
  the order that music21 plays them;
* the same ones with verovio (LGPL): onsets and pitches as it would play them, string and fret in
  the tab, and the texts of the chords.

Exit code 0 when all agree, 1 when not.
"""

import argparse
import json
import sys
import warnings
import zipfile
from collections import Counter
from fractions import Fraction
from pathlib import Path

from lxml import etree

HERE = Path(__file__).resolve().parent
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def schema():
    """The W3C schema, its two imports read from this folder."""
    import musicxml

    path = Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"

    class Local(etree.Resolver):
        def resolve(self, url, public_id, context):
            name = url.rsplit("/", 1)[-1]
            if name in ("xml.xsd", "xlink.xsd"):
                return self.resolve_filename(str(HERE / "schema" / name), context)
            return None

    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(Local())
    return etree.XMLSchema(etree.parse(str(path), parser))


def number(element, path, default=0):
    found = element.findtext(path)
    return default if found is None else int(found)


def midi(element, lead=""):
    step = element.findtext(f"{lead}step")
    return STEPS[step] + number(element, f"{lead}alter") + 12 * (number(element, f"{lead}octave") + 1)


def read(root):
    """Notes of both staves with ties joined, bars and chords, by a plain reading of the standard."""
    notes, bars, chords, wrong = {1: [], 2: []}, [], [], []
    divisions, start, open_ties = 1, Fraction(0), {}
    tuning, capo = {}, number(root, ".//staff-details/capo")
    for line in root.iter("staff-tuning"):
        tuning[int(line.get("line"))] = midi(line, "tuning-")
    strings = len(tuning)
    for measure in root.iter("measure"):
        now = begun = end = Fraction(0)
        for item in measure:
            if item.tag == "attributes":
                divisions = number(item, "divisions", divisions)
            length = Fraction(number(item, "duration"), divisions)
            if item.tag == "backup":
                now -= length
            elif item.tag == "forward":
                now += length
            elif item.tag == "harmony":
                offset = Fraction(number(item, "offset"), divisions)
                chords.append((start + now + offset, symbol(item)))
            elif item.tag == "note":
                if item.find("chord") is None:
                    begun, now = now, now + length
                end = max(end, now)
                if item.find("rest") is None:
                    note(item, start + begun, length, notes, open_ties)
        bars.append((measure.get("number"), start, end))
        start += end
    if open_ties:
        wrong.append(f"ties that lead nowhere: {sorted(open_ties)}")
    for at, _, pitch, (string, fret, *_) in notes[2]:
        if pitch != tuning[strings + 1 - string] + capo + fret:
            wrong.append(f"pitch {pitch} at {at} is not string {string} fret {fret}")
    return notes, bars, chords, wrong


def symbol(item):
    """A chord as it is printed."""
    kind = item.find("kind")
    if kind.text == "none":
        return "N.C."
    said = name(item.find("root"), "root-") + kind.get("text")
    bass = item.find("bass")
    return said if bass is None else f"{said}/{name(bass, 'bass-')}"


def name(element, lead):
    alter = number(element, f"{lead}alter")
    return element.findtext(f"{lead}step") + ("♯" * alter if alter > 0 else "♭" * -alter)


def note(item, at, length, notes, open_ties):
    staff, pitch = number(item, "staff"), midi(item.find("pitch"))
    key = (staff, item.findtext("voice"), pitch)
    ties = {t.get("type") for t in item.findall("tie")}
    if "stop" in ties:
        index = open_ties.pop(key, None)
        if index is None:
            raise ValueError(f"a tie to {key} at {at} comes from nowhere")
        before = notes[staff][index]
        if before[0] + before[1] != at:
            raise ValueError(f"a tie to {key} at {at} leaves a gap")
        notes[staff][index] = (before[0], before[1] + length, *before[2:])
    else:
        index = len(notes[staff])
        technical = item.find("notations/technical")
        how = None
        if technical is not None and staff == 2:
            barre = technical.findtext("other-technical") == "barre"
            finger, pluck = number(technical, "fingering"), technical.findtext("pluck")
            how = (number(technical, "string"), number(technical, "fret"), finger, pluck, barre)
        notes[staff].append((at, length, pitch, how))
    if "start" in ties:
        open_ties[key] = index


def wanted(sheet):
    """What the JSON says, in quarters."""
    quarter = sheet["ticks_per_quarter"]
    q = lambda ticks: Fraction(ticks, quarter)  # noqa: E731
    notes = []
    for bar in sheet["bars"]:
        for p in bar["plucks"]:
            how = (p["string"], p["fret"], p["left"], p["right"], p["barre"])
            notes.append((q(p["at"]), q(p["end"] - p["at"]), p["midi"], how))
    bars = [(str(b["number"]), q(b["at"]), q(b["length"])) for b in sheet["bars"]]
    return notes, bars


def without_how(notes):
    return Counter(n[:3] for n in notes)


def difference(name, want, got):
    """Two counters, and what only one of them has."""
    missing, extra = want - got, got - want
    lines = [f"{name}: missing {x}" for x in list(missing)[:5]]
    return lines + [f"{name}: too much {x}" for x in list(extra)[:5]]


def by_ourselves(root, sheet):
    notes, bars, chords, wrong = read(root)
    want, want_bars = wanted(sheet)
    wrong += difference("tab", Counter(want), Counter(notes[2]))
    wrong += difference("notation", without_how(want), without_how(notes[1]))
    if bars != want_bars:
        wrong.append(f"bars differ: {[b for b in zip(bars, want_bars) if b[0] != b[1]][:3]}")
    return wrong + chords_by_ourselves(chords, sheet)


def chords_by_ourselves(chords, sheet):
    """Every written chord is the one in force there, and every change is written; but for one that
    is only in force because a bar follows another than the one before it."""
    quarter, order = sheet["ticks_per_quarter"], sheet["play_order"]
    first = {}
    for before, bar in zip([None, *order], order):
        first.setdefault(bar, before)
    jumped = {b["at"] for b in sheet["bars"] if first.get(b["index"]) != b["index"] - 1}
    changes = [(Fraction(c["at"], quarter), c["symbol"]) for c in sheet["chords"]]
    wrong = []
    for at, said in chords:
        before = [c for c in changes if c[0] <= at]
        if not before or before[-1][1] != said:
            wrong.append(f"chord {said} at {at} is not in the JSON")
    for at, said in changes:
        if (at, said) not in chords and at * quarter not in jumped:
            wrong.append(f"chord {said} at {at} is not written")
    return wrong


def chord_classes(sheet):
    """Places, basses and pitch classes of the chords as music21 hears them. It counts an added
    seventh as major; by the standard (`degree-alter`) it is counted from a dominant chord."""
    quarter, chords = sheet["ticks_per_quarter"], []
    for chord in sheet["chords"]:
        classes = set(chord["classes"])
        if chord["bass"] is None:
            continue
        root = chord["classes"][0]
        if "7sus" in chord["symbol"] and "maj" not in chord["symbol"]:
            classes = classes - {(root + 10) % 12} | {(root + 11) % 12}
        at = Fraction(chord["at"], quarter).limit_denominator(10080)
        chords.append((at, chord["bass"], frozenset(classes | {chord["bass"]})))
    return chords


def adds_up(sheet):
    """Whether every bar but the first and last is as long as its meter says. Where one is not, other
    programs fill it up or cut it, each in its own way, and places behind it prove nothing."""
    quarter, bars = sheet["ticks_per_quarter"], sheet["bars"]
    for bar in bars[1:-1]:
        top, unit = bar["meter"].split("/")
        if bar["length"] * int(unit) != sum(map(int, top.split("+"))) * 4 * quarter:
            return False
    return True


def by_music21(path, sheet):
    import music21

    score = music21.converter.parse(path, forceSource=True)
    parts = list(score.parts)
    if len(parts) != 2:
        return [f"music21 finds {len(parts)} staves"]
    want, _ = wanted(sheet)
    wrong = []
    for staff, part in enumerate(parts, 1):
        found = Counter()
        for item in part.flatten().notes:
            if isinstance(item, music21.harmony.Harmony):
                continue
            at = Fraction(item.offset).limit_denominator(10080)
            singles = item.notes if isinstance(item, music21.chord.Chord) else [item]
            # It does not join ties between chords; what goes on is no onset.
            goes_on = lambda n: n.tie is not None and n.tie.type in ("stop", "continue")  # noqa: E731
            found.update((at, n.pitch.midi) for n in singles if not goes_on(n))
        expected = Counter((n[0].limit_denominator(10080), n[2]) for n in want)
        wrong += difference(f"music21, staff {staff}", expected, found)
    wrong += fingers_by_music21(parts[1], want)
    wrong += chords_by_music21(score, sheet)
    return wrong + order_by_music21(parts[0], sheet)


def fingers_by_music21(tab, want):
    """Every string with its fret, and every finger; the parts that a tie goes on to say where they
    are held as well."""
    import music21

    marks = music21.articulations
    places, fingers = set(), set()
    for item in tab.flatten().notes:
        at = Fraction(item.offset).limit_denominator(10080)
        # A kind of its own is derived from fingering, so that the exact kind is asked for.
        pick = lambda kind, field: [  # noqa: E731
            getattr(m, field) for m in item.articulations if type(m) is kind
        ]
        strings = pick(marks.StringIndication, "number")
        frets = pick(marks.FretIndication, "number")
        places.update((at, *place) for place in zip(strings, frets))
        fingers.update((at, f) for f in pick(marks.Fingering, "fingerNumber"))
    sounding, struck = set(), set()
    for at, length, _, (string, fret, *_) in want:
        struck.add((at.limit_denominator(10080), string, fret))
        held = (p for p in places if p[1:] == (string, fret) and at <= p[0] < at + length)
        sounding.update(held)
    expected = {(n[0].limit_denominator(10080), n[3][2]) for n in want if n[3][2]}
    wrong = [*(struck - places), *(places - sounding), *(fingers ^ expected)]
    return [f"music21: {place} on one side only" for place in wrong[:5]]


def chords_by_music21(score, sheet):
    import music21

    heard = set()
    for symbol in score.recurse().getElementsByClass(music21.harmony.ChordSymbol):
        if isinstance(symbol, music21.harmony.NoChord):
            continue
        at = Fraction(symbol.getOffsetInHierarchy(score)).limit_denominator(10080)
        classes = frozenset(p.pitchClass for p in symbol.pitches)
        heard.add((at, symbol.bass().pitchClass, classes))
    # Some chords at bar lines stand in the JSON only because a bar is jumped to.
    starts = {Fraction(b["at"], sheet["ticks_per_quarter"]) for b in sheet["bars"]}
    missing = [c for c in set(chord_classes(sheet)) - heard if c[0] not in starts]
    return [f"music21 lacks the chord {c}" for c in list(missing)[:5]]


def order_by_music21(part, sheet):
    import music21

    order = [sheet["bars"][i]["number"] for i in sheet["play_order"]]
    if order == [b["number"] for b in sheet["bars"]]:
        return []
    measures = part.getElementsByClass(music21.stream.Measure)
    for index, measure in enumerate(measures):
        measure.editorial.index = index
    try:
        played = part.expandRepeats()
    except music21.repeat.ExpanderException as error:
        return [f"music21 can't play the repeats: {error}"]
    got = [m.number for m in played.getElementsByClass(music21.stream.Measure)]
    return [] if got == order else [f"music21 plays {got}, not {order}"]


def by_verovio(path, sheet):
    import verovio

    # It has no place for right fingers in its tab, and says so for every note.
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"expandNever": True, "breaks": "none"})
    if not toolkit.loadFile(str(path)):
        return ["verovio can't load it"]
    ns = {"m": "http://www.music-encoding.org/ns/mei"}
    mei = etree.fromstring(toolkit.getMEI().encode())
    wrong = []
    want, _ = wanted(sheet)
    places = Counter()
    for staff in mei.iterfind(".//m:staff[@n='2']", ns):
        for note in staff.iterfind(".//m:note", ns):
            course, fret = note.get("tab.course"), note.get("tab.fret")
            if course is not None:
                places[int(course), int(fret)] += 1
    expected = Counter((n[3][0], n[3][1]) for n in want)
    # A tied note is written once for each of its parts, with or without its fret.
    wrong += [f"verovio lacks string {s} fret {f}" for (s, f) in list(expected - places)[:5]]
    ids = {}
    for staff in mei.iterfind(".//m:staff[@n='1']", ns):
        for note in staff.iterfind(".//m:note", ns):
            ids[note.get("{http://www.w3.org/XML/1998/namespace}id")] = note
    toolkit.renderToMIDI()
    ties = {t.get("endid", "")[1:] for t in mei.iterfind(".//m:tie", ns)}
    heard = Counter()
    for entry in toolkit.renderToTimemap({"includeRests": False}):
        for name in entry.get("on", []):
            if name in ids and name not in ties:
                values = toolkit.getMIDIValuesForElement(name)
                heard[round(float(entry["qstamp"]), 3), values["pitch"]] += 1
    expected = Counter((round(float(n[0]), 3), n[2]) for n in want)
    wrong += difference("verovio", expected, heard)
    texts = ["".join(h.itertext()).strip() for h in mei.iterfind(".//m:harm", ns)]
    if len(texts) < len(chord_classes(sheet)):
        wrong.append(f"verovio shows {len(texts)} chords of {len(chord_classes(sheet))}")
    return wrong


def main():
    parser = argparse.ArgumentParser(description="Check MusicXML against its arrangements.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--read-back", type=int, default=1, metavar="N")
    options = parser.parse_args()
    warnings.simplefilter("ignore")
    valid, wrong, count, back = schema(), [], 0, 0
    for path in sorted(options.folder.glob("*.musicxml")):
        tell = lambda lines: wrong.extend(f"{path.stem}: {line}" for line in lines)  # noqa: E731
        sheet = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
        tree = etree.parse(str(path))
        if not valid.validate(tree):
            tell(str(e) for e in list(valid.error_log)[:3])
        try:
            tell(by_ourselves(tree.getroot(), sheet))
        except ValueError as error:
            tell([str(error)])
        packed = path.with_suffix(".mxl")
        if packed.exists():
            with zipfile.ZipFile(packed) as archive:
                if archive.testzip() or archive.read("score.musicxml") != path.read_bytes():
                    tell(["the compressed file holds something else"])
        if count % options.read_back == 0 and adds_up(sheet):
            tell(by_music21(path, sheet))
            tell(by_verovio(path, sheet))
            back += 1
        count += 1
    for line in wrong[:40]:
        print(line)
    if wrong or not count:
        sys.exit(f"{len(wrong)} disagreements in {count} files")
    print(f"{count} files are valid and say what was arranged; {back} were read back by others")


if __name__ == "__main__":
    main()
