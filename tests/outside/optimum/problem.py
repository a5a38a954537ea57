"""What a passage asks for and what things cost, read from the JSON that `tests/outside_optimum.rs`
writes, and worked out from the written rules of the arranger (the documentation of `src/arrange` and
`src/guitar`) without any of its code. Strings count from 1, the highest; all amounts are thousandths.
"""

import sys
from collections import namedtuple
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "guitar"))
import hand_model  # noqa: E402  (the hand's geometry, written a second time from its rules)

MELODY, BASS, FILL = "melody", "bass", "fill"
BODY = 12  # the fret at which the neck meets the body: nothing is sought above it without need
LEAN = 300  # tenths of a millimetre that the fingers lean before the hand follows
CLEAR_ABOVE = [0, 52, 51, 48, 46, 46, 46, 34, 43, 41, 41, 41]  # by semitones: the low-interval limits

# One note on a string: its voice, fret above the capo, finger (0 is none).
Note = namedtuple("Note", "voice fret finger")
Stroke = namedtuple("Stroke", "at end classes third seventh bass ceiling")
# `melody` is struck here, `sung` should sound here, `stroke` is struck here, `under` may ring here.
Slice = namedtuple("Slice", "at melody sung stroke under haste")


class Passage:
    """One passage for one instrument and hand."""

    def __init__(self, case):
        sheet = case["total"]["arrangement"]
        self.costs = case["costs"]
        self.quarter = sheet["ticks_per_quarter"]
        self.fills = 3 if sheet["layer"] >= 3 else 0
        guitar = sheet["instrument"]
        assert guitar["scale_mm"] == hand_model.SCALE and not sheet["pins"]
        self.capo = guitar["capo"]
        self.top = guitar["frets"] - self.capo
        self.open = {s["string"]: s["midi"] + self.capo for s in guitar["strings"]}
        self.strings = sorted(self.open)
        self.spans = {tuple(s["fingers"]): (round(10 * s["comfortable_mm"]), round(10 * s["largest_mm"]))
                      for s in sheet["hand"]["spans"]}
        self.melody = sheet["melody"]
        self.strokes = self._strokes(sheet)
        self.slices = self._slices(sheet["tempo"])

    # ---- what is wanted -------------------------------------------------------------------------

    def _strokes(self, sheet):
        """One at each chord change and at each bar line while a chord lasts; none in a pickup."""
        bars = sheet["bars"]
        end = bars[-1]["at"] + bars[-1]["length"]
        beats, unit = map(int, bars[0]["meter"].split("/"))
        pickup = bars[0]["length"] if bars[0]["length"] < beats * 4 * self.quarter // unit else 0
        changes = {c["at"]: c for c in sheet["chords"]}
        for bar in bars:
            before = [c for c in sheet["chords"] if c["at"] <= bar["at"]]
            if before:
                changes[bar["at"]] = max(before, key=lambda c: c["at"])
        times = sorted(changes)
        strokes = []
        for at, until in zip(times, times[1:] + [end]):
            chord = changes[at]
            if at >= pickup and chord["bass"] is not None:
                third, seventh = guide_tones(chord)
                strokes.append(Stroke(at, until, set(chord["classes"]), third, seventh,
                                      chord["bass"], self._ceiling(at)))
        return strokes

    def _ceiling(self, at):
        """The melody note that sounds; in a rest, the lower of its neighbours."""
        before = [t for t in self.melody if t["at"] <= at][-1:]
        after = [t for t in self.melody if t["at"] > at][:1]
        if before and before[0]["end"] > at:
            return before[0]["midi"]
        return min((t["midi"] for t in before + after), default=1000)

    def _slices(self, tempo):
        slices, last = [], 0
        for at in sorted({t["at"] for t in self.melody} | {s.at for s in self.strokes}):
            sung = next((t for t in self.melody if t["at"] <= at < t["end"]), None)
            under = next((s for s in self.strokes if s.at <= at < s.end), None)
            millis = (at - last) * 60_000 // (tempo["per_minute"] * tempo["beat_ticks"])
            haste = min(max(500_000 // max(millis, 1), 400), 3000)
            slices.append(Slice(at, sung if sung and sung["at"] == at else None, sung,
                                under if under and under.at == at else None, under, haste))
            last = at
        return slices

    def rings_until(self, piece, voice, midi):
        """When a note that sounds in a slice should stop. A note under the melody stops where the
        melody, in more than a passing note, comes down to it."""
        if voice == MELODY:
            return piece.sung["end"] if piece.sung else piece.at
        stroke = piece.under
        falls = [t["at"] for t in self.melody if stroke.at < t["at"] < stroke.end
                 and t["end"] - t["at"] > self.quarter // 2 and t["midi"] <= midi]
        return min(falls, default=stroke.end)

    # ---- where notes can be ---------------------------------------------------------------------

    def midi(self, string, fret):
        return self.open[string] + fret

    def places(self, midi):
        """String and fret: all up to the body, else the lowest alone."""
        found = [(s, midi - self.open[s]) for s in self.strings if 0 <= midi - self.open[s] <= self.top]
        limit = max(BODY, min((fret for _, fret in found), default=0))
        return [(s, fret) for s, fret in found if fret <= limit]

    def lowest_bass(self, stroke):
        lowest = min(self.open.values())
        return lowest + (stroke.bass - lowest) % 12

    def struck(self, piece):
        """Every string, voice and fret that may be struck in a slice."""
        if piece.melody:
            for string, fret in self.places(piece.melody["midi"]):
                yield string, MELODY, fret
        stroke = piece.stroke
        if not stroke:
            return
        for midi in (self.lowest_bass(stroke), self.lowest_bass(stroke) + 12):
            for string, fret in self.places(midi) if midi < stroke.ceiling else ():
                yield string, BASS, fret
        for string in self.strings if self.fills else ():
            for fret in range(min(self.top, BODY) + 1):
                midi = self.midi(string, fret)
                if midi < stroke.ceiling and midi % 12 in stroke.classes:
                    yield string, FILL, fret

    # ---- the hand -------------------------------------------------------------------------------

    def reserve(self, f, g, low, high, across):
        """How far fingers f < g at frets low and high stretch, in thousandths of the reserve; None
        where they do not reach. `across` is what they lie apart across the neck."""
        x = hand_model.along(high, self.capo) - hand_model.along(low, self.capo)
        square = x * x + across * across
        root = hand_model.math.isqrt(square)
        distance = root + (square - root * root > root)
        comfortable, largest = self.spans[f, g]
        if distance > largest:
            return None
        return min(max(1000 * (distance - comfortable) // (largest - comfortable), 0), 1000)

    def stretch(self, reserve):
        return self.costs["stretch"] * reserve * reserve // 1_000_000

    def apart(self, one, other, fret):
        """Two strings' distance across the neck at a fret."""
        return abs(hand_model.across(one, fret, self.capo) - hand_model.across(other, fret, self.capo))

    def travel(self, one, other, haste):
        """From one place of the hand to another; None is nowhere yet."""
        if one is None or other is None:
            return 0
        at = [hand_model.along(max(1, min(p, self.top)), self.capo) for p in (one, other)]
        way = abs(at[0] - at[1])
        felt = 4 * max(0, way - LEAN) + min(way, LEAN)
        return felt * self.costs["travel"] * haste // 40_000


def guide_tones(chord):
    """The classes of a chord's third and seventh, as far as its symbol is one of the plain kinds."""
    classes = chord["classes"]
    above = {(c - classes[0]) % 12 for c in classes}
    assert above <= {0, 3, 4, 6, 7, 8, 9, 10, 11}, chord
    assert not {3, 4} <= above and not {10, 11} <= above and 9 not in above, chord
    pick = lambda steps: next(((classes[0] + i) % 12 for i in steps if i in above), None)
    return pick((3, 4)), pick((10, 11))


def is_muddy(lower, semitones):
    return 0 <= semitones < 12 and lower < CLEAR_ABOVE[semitones]
