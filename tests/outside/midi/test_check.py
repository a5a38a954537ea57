#!/usr/bin/env python3
"""The MIDI check itself: files that mido writes from an arrangement agree with it, and a note
moved, shortened, left out or put on another channel is told.

    python3 tests/outside/midi/test_check.py
"""

import json
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

import mido

HERE = Path(__file__).resolve().parent
SHEET = json.loads((HERE.parents[1] / "checker" / "good.json").read_text(encoding="utf-8"))
# (onset, end, pitch, string) of every pluck, in written order.
NOTES = [(p["at"], p["end"], p["midi"], p["string"]) for b in SHEET["bars"] for p in b["plucks"]]


def verdict(notes, sheet=SHEET, resolution=10_080):
    """Exit code of the check for a file with these notes, in ticks of the JSON."""
    events = [(0, 1, mido.MetaMessage("set_tempo", tempo=600_000))]
    events.append((50_400, 1, mido.MetaMessage("set_tempo", tempo=400_000)))
    for onset, end, pitch, string in notes:
        on = {"note": pitch, "channel": string - 1}
        events.append((onset, 2, mido.Message("note_on", velocity=80, **on)))
        events.append((end, 0, mido.Message("note_off", **on)))
    track, now = mido.MidiTrack(), 0
    for at, _, message in sorted(events, key=lambda e: e[:2]):
        at = round(at * resolution / 10_080)
        track.append(message.copy(time=at - now))
        now = at
    with tempfile.TemporaryDirectory() as folder:
        midi, text = Path(folder, "song.mid"), Path(folder, "song.json")
        mido.MidiFile(ticks_per_beat=resolution, tracks=[track]).save(midi)
        text.write_text(json.dumps(sheet), encoding="utf-8")
        command = [sys.executable, HERE / "check.py", text, midi]
        return subprocess.run(command, capture_output=True, check=False).returncode


class Check(unittest.TestCase):
    def test_a_true_file_agrees_at_any_resolution(self):
        self.assertEqual(verdict(NOTES), 0)
        self.assertEqual(verdict(NOTES, resolution=480), 0)

    def test_single_faults_are_told(self):
        at, end, pitch, string = NOTES[3]
        for fault in [
            [],
            [(at + 1, end, pitch, string)],
            [(at, end - 1, pitch, string)],
            [(at, end, pitch + 1, string)],
            [(at, end, pitch, 6)],
        ]:
            self.assertEqual(verdict(NOTES[:3] + fault + NOTES[4:]), 1, fault)

    def test_the_play_order_is_followed(self):
        first = [n for n in NOTES if n[0] < 50_400]
        again = [(a + 40_320, e + 40_320, p, s) for a, e, p, s in NOTES if a >= 10_080]
        order = SHEET | {"play_order": [0, 1, 1, 2, 3]}
        self.assertEqual(verdict(first + again, order), 0)
        self.assertEqual(verdict(NOTES, order), 1)


if __name__ == "__main__":
    unittest.main()
