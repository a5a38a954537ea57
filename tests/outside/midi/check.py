#!/usr/bin/env python3
"""Reads a MIDI file back with two libraries and compares it with the JSON of its arrangement.

    pip install -r tests/outside/midi/requirements.txt
    python3 tests/outside/midi/check.py song.json song.mid

Standard MIDI Files 1.0 (MIDI Manufacturers Association, 1996) fixes the format; mido and
pretty_midi (both MIT) read it independently of the code that wrote it. A string has a channel of
its own. Compared are:

* with mido: onset, length, pitch and string of every note, in ticks, exactly (to one tick of the
  file where its resolution is coarser than ours);
* with pretty_midi: onset, length and pitch in seconds, under the tempo changes read by mido.

The JSON speaks of bars as written. Where it has `play_order`, a list of bar indices, the notes are
laid out in that order; a note that rings over a bar line ends where the order jumps. A note that is struck again on its
string at the moment it ends may be switched off a tick early. Exit code 0
when all agree, 1 when not.
"""

import argparse
import json
import sys
from pathlib import Path

import mido
import pretty_midi

# Channel 10 of General MIDI, counted from 0: hits on strings and body sound there.
PERCUSSION = 9


def played(sheet):
    """The notes that should sound: (onset, length, pitch, string) in ticks of the JSON."""
    bars = sheet["bars"]
    order = sheet.get("play_order", range(len(bars)))
    order = [entry["bar"] if isinstance(entry, dict) else entry for entry in order]
    runs, notes, at = run_ends(bars, order), [], 0
    for index, run_end in zip(order, runs):
        bar = bars[index]
        for pluck in bar["plucks"]:
            if pluck["technique"] == "hit":
                continue
            end = min(pluck["end"], run_end)
            onset = pluck["at"] - bar["at"] + at
            notes.append((onset, end - pluck["at"], pluck["midi"], pluck["string"]))
        at += bar["length"]
    return sorted(notes)


def run_ends(bars, order):
    """For each played bar, the written tick up to which the bars go on as written."""
    ends = [0] * len(order)
    for i in reversed(range(len(order))):
        bar = bars[order[i]]
        follows = i + 1 < len(order) and order[i + 1] == order[i] + 1
        ends[i] = ends[i + 1] if follows else bar["at"] + bar["length"]
    return ends


def heard(midi):
    """The notes in the file: (onset, length, pitch, channel) in ticks of the file, and what is
    wrong with them by themselves."""
    notes, wrong, tempos = [], [], [(0, 500_000)]  # 120 a minute until said otherwise (SMF 1.0)
    for track in midi.tracks:
        now, sounding = 0, {}
        for message in track:
            now += message.time
            if message.type == "set_tempo":
                tempos.append((now, message.tempo))
            if message.type not in ("note_on", "note_off") or message.channel == PERCUSSION:
                continue
            key = (message.channel, message.note)
            starts = message.type == "note_on" and message.velocity > 0
            if key in sounding:
                onset = sounding.pop(key)
                notes.append((onset, now - onset, message.note, message.channel))
                if starts:
                    wrong.append(f"note {key[1]} at {now} starts before it ended")
            elif not starts:
                wrong.append(f"note {key[1]} at {now} ends without a start")
            if starts:
                sounding[key] = now
        wrong += [f"note {pitch} on channel {c} never ends" for c, pitch in sounding]
    return sorted(notes), wrong, sorted(tempos, key=lambda t: t[0])


def seconds(at, tempos, resolution):
    """When a tick of the file sounds."""
    time, last, tempo = 0.0, 0, tempos[0][1]
    for start, new in tempos:
        if start >= at:
            break
        time += (start - last) * tempo / 1e6 / resolution
        last, tempo = start, new
    return time + (at - last) * tempo / 1e6 / resolution


def pitches(notes, key):
    """The pitches on one string or channel, in order."""
    return [n[2] for n in sorted(notes) if n[3] == key]


def compare_ticks(want, got, scale, slack):
    """Notes of the JSON against notes of the file, both in ticks of the JSON."""
    if len(want) != len(got):
        return [f"{len(want)} notes in the JSON, {len(got)} in the MIDI file"]
    channels = sorted({note[3] for note in got})
    strings = sorted({note[3] for note in want})
    if len(channels) != len(strings):
        return [f"{len(strings)} strings sound, on {len(channels)} channels"]
    scaled = [(n[0] * scale, n[1] * scale, n[2], n[3]) for n in got]
    wrong, free = [], set(channels)
    for string in strings:
        # Which channel is which string shows in the pitches themselves.
        mine = sorted(n[:3] for n in want if n[3] == string)
        fits = (c for c in sorted(free) if pitches(scaled, c) == pitches(want, string))
        home = next(fits, None)
        if home is None:
            wrong.append(f"no channel holds the notes of string {string}")
            continue
        free.remove(home)
        theirs = sorted(n[:3] for n in scaled if n[3] == home)
        for i, (a, b) in enumerate(zip(mine, theirs)):
            again = mine[i + 1 : i + 2] and mine[i + 1][0] == a[0] + a[1] and mine[i + 1][2] == a[2]
            early = 1 if again and b[1] < a[1] else 0
            moved, longer = abs(a[0] - b[0]), abs(a[1] - early - b[1])
            if moved >= slack or longer >= slack or a[2] != b[2]:
                wrong.append(f"string {string}: {a} in the JSON, {b} in the MIDI file")
    return wrong


def compare_seconds(got, path, tempos, resolution):
    """What mido reads, put into seconds here, against what pretty_midi reads."""
    want = sorted(
        (seconds(at, tempos, resolution), seconds(at + length, tempos, resolution), pitch)
        for at, length, pitch, _ in got
    )
    other = pretty_midi.PrettyMIDI(str(path))
    pitched = (part for part in other.instruments if not part.is_drum)
    notes = (n for part in pitched for n in part.notes)
    theirs = sorted((n.start, n.end, n.pitch) for n in notes)
    if len(want) != len(theirs):
        return [f"mido reads {len(want)} notes, pretty_midi {len(theirs)}"]
    # Equal onsets may sort differently by a rounding; compare by rounded keys.
    key = lambda n: (round(n[0], 5), n[2], round(n[1], 5))  # noqa: E731
    pairs = zip(sorted(want, key=key), sorted(theirs, key=key))
    return [
        f"{a} by mido, {b} by pretty_midi"
        for a, b in pairs
        if a[2] != b[2] or max(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1e-4
    ]


def main():
    parser = argparse.ArgumentParser(description="Compare a MIDI file with its arrangement.")
    parser.add_argument("json", type=Path)
    parser.add_argument("midi", type=Path)
    options = parser.parse_args()
    sheet = json.loads(options.json.read_text(encoding="utf-8"))
    midi = mido.MidiFile(options.midi)

    scale = sheet["ticks_per_quarter"] / midi.ticks_per_beat
    want = played(sheet)
    got, wrong, tempos = heard(midi)
    wrong += compare_ticks(want, got, scale, max(scale, 1))
    wrong += compare_seconds(got, options.midi, tempos, midi.ticks_per_beat)
    for sentence in wrong[:20]:
        print(sentence)
    if wrong:
        sys.exit(f"{len(wrong)} disagreements between {options.json} and {options.midi}")
    print(f"{len(want)} notes agree in {options.json} and {options.midi}")


if __name__ == "__main__":
    main()
