#!/usr/bin/env python3
"""Holds the arranger's optimum against OR-tools CP-SAT on passages of open tunes.

    python3 tests/outside/corpus.py
    cargo test --test outside_optimum -- --ignored
    python3 tests/outside/optimum/compare.py target/optimum

The model is written from the rules as `DEVELOPERS.md` and the documentation of `arrange` state them,
and shares no code with the search: what may sound in a slice is found by trying every string, fret
and finger; the hand is judged by `tests/outside/guitar/hand_model.py`; and no dynamic programming is
done: the solver chooses a state a slice, and tables say what each finger, each string and the hand's
place cost from one slice to the next. Only the cost table's amounts come from the program.

Needs ortools (Apache-2). Exits with 1 when the solver proves an optimum that is not the arranger's.
"""

import collections
import itertools
import json
import pathlib
import sys
import time

from ortools.sat.python import cp_model

sys.path.insert(0, str(pathlib.Path(__file__).parents[1] / "guitar"))
import hand_model  # noqa: E402

QUARTER = 10080
PASSING = QUARTER // 2
BODY = 12
LEAN = 300
CLEAR_ABOVE = [0, 52, 51, 48, 46, 46, 46, 34, 43, 41, 41, 41]
LIMIT_SECONDS = 60
NOWHERE = -99

# One state of a slice. `notes` maps strings (1 the highest) to (fret, finger, voice).
State = collections.namedtuple("State", "notes struck fixed place fingers")


class Problem:
    def __init__(self, passage):
        self.costs = passage["costs"]
        music = passage["arrangement"]
        self.open = [s["midi"] for s in music["instrument"]["strings"]]
        self.frets = music["instrument"]["frets"]
        self.filling = music["layer"] >= 3
        self.melody = [(n["at"], n["end"], n["midi"]) for n in music["melody"]]
        self.read_strokes(music, passage["thirds_and_sevenths"])
        self.read_slices(music["tempo"])
        self.judged = {}

    def read_strokes(self, music, tones):
        chords = [(c["at"], c, t) for c, t in zip(music["chords"], tones)]
        lines = [b["at"] for b in music["bars"]]
        end = music["bars"][-1]["at"] + music["bars"][-1]["length"]
        starts = sorted({c[0] for c in chords} | set(lines))
        self.strokes = []
        for at, until in zip(starts, starts[1:] + [end]):
            ruling = [c for c in chords if c[0] <= at]
            if ruling and ruling[-1][1]["bass"] is not None:
                _, chord, (third, seventh) = ruling[-1]
                self.strokes.append((at, until, chord, third, seventh))

    def read_slices(self, tempo):
        onsets = sorted({n[0] for n in self.melody} | {s[0] for s in self.strokes})
        self.slices, last = [], 0
        for at in onsets:
            millis = (at - last) * 60000 // (tempo["per_minute"] * tempo["beat_ticks"])
            last = at
            sung = [n for n in self.melody if n[0] <= at < n[1]]
            under = [s for s in self.strokes if s[0] <= at < s[1]]
            self.slices.append({
                "at": at,
                "haste": min(max(500 * 1000 // max(millis, 1), 400), 3000),
                "sung": sung[0] if sung else None,
                "tune": sung[0] if sung and sung[0][0] == at else None,
                "under": under[0] if under else None,
                "stroke": under[0] if under and under[0][0] == at else None,
            })

    # What the song wants.

    def ceiling(self, at):
        sounding = [n for n in self.melody if n[0] <= at < n[1]]
        if sounding:
            return sounding[0][2]
        before = [n for n in self.melody if n[0] <= at][-1:]
        after = [n for n in self.melody if n[0] > at][:1]
        return min(n[2] for n in before + after)

    def wanted_until(self, slice_, note, string):
        fret, _, voice = note
        if voice == "m":
            return slice_["sung"][1]
        midi = self.open[string - 1] + fret
        at, end = slice_["under"][:2]
        for start, stop, low in self.melody:
            if at < start < end and stop - start > PASSING and low <= midi:
                return start
        return end

    # What may sound.

    def can_hold(self, notes):
        key = tuple(sorted((s, n[0], n[1]) for s, n in notes.items()))
        if key not in self.judged:
            frets = {s: -1 for s in range(1, 7)} | {s: n[0] for s, n in notes.items()}
            fingers = {s: 0 for s in range(1, 7)} | {s: n[1] for s, n in notes.items()}
            verdict = hand_model.judge(frets, fingers, 0, "medium")
            barre = [f for f in (2, 3, 4) if list(fingers.values()).count(f) > 1]
            words = verdict.split()
            fits = verdict == "free" or words[0].isdigit()
            reserve = int(words[4]) if fits and verdict != "free" else 0
            self.judged[key] = reserve if fits and not barre else None
        return self.judged[key]

    def places(self, midi):
        all_ = [(s, midi - o) for s, o in enumerate(self.open, 1) if 0 <= midi - o <= self.frets]
        limit = max(BODY, min(f for _, f in all_)) if all_ else BODY
        return [(s, f) for s, f in all_ if f <= limit]

    def fingered(self, held, new):
        """`held` with the new (string, fret, voice), in every fingering that the hand can hold."""
        choices = [range(1, 5) if fret else (0,) for _, fret, _ in new]
        for fingers in itertools.product(*choices):
            notes = dict(held)
            for (string, fret, voice), finger in zip(new, fingers):
                notes[string] = (fret, finger, voice)
            if self.can_hold(notes) is not None:
                yield notes

    def strike(self, held, slice_):
        """Every way to strike what a slice wants over the notes held."""
        tunes = [()]
        if slice_["tune"]:
            tunes = [((s, f, "m"),) for s, f in self.places(slice_["tune"][2]) if s not in held]
        if not slice_["stroke"]:
            for tune in tunes:
                yield from self.fingered(held, tune)
            return
        for tune in tunes:
            for chord in self.voicings(held, tune, slice_):
                yield from self.fingered(held, tune + chord)

    def voicings(self, held, tune, slice_):
        at, _, chord, _, _ = slice_["stroke"]
        ceiling = self.ceiling(at)
        voiced = [s for s, n in held.items() if n[2] == "m"] + [s for s, _, _ in tune]
        top = max(voiced, default=0)
        lowest = min(self.open)
        lowest += (chord["bass"] - lowest) % 12
        basses = [()] + [((s, f, "b"),) for m in (lowest, lowest + 12) if m < ceiling
                         for s, f in self.places(m) if s > top and s not in held]
        for bass in basses:
            bottom = bass[0][0] if bass else 7
            over = self.open[bottom - 1] + bass[0][1] if bass else -1
            strings = [s for s in range(top + 1, bottom) if s not in held]
            room = min(3, 4 - len(tune) - len(bass)) if self.filling else 0
            for count in range(room + 1):
                for chosen in itertools.combinations(strings, count):
                    options = [[(s, f, "f") for f in range(BODY + 1)
                                if (self.open[s - 1] + f) % 12 in chord["classes"]
                                and over < self.open[s - 1] + f < ceiling] for s in chosen]
                    for fill in itertools.product(*options):
                        midis = [self.open[s - 1] + f for s, f, _ in fill]
                        if all(a > b for a, b in zip(midis, midis[1:])):
                            yield bass + fill

    # What it costs.

    def state(self, notes, held, slice_):
        struck = frozenset(notes) - frozenset(held)
        fingers = {}
        for s, (fret, finger, _) in notes.items():
            if finger:
                fingers.setdefault(finger, (fret, set()))[1].add(s)
        fixed = self.grip(notes, fingers, struck) + self.depth(slice_)
        if slice_["stroke"]:
            fixed += self.voicing(notes, slice_)
        down = [f for f in sorted(fingers) if fingers[f][1] & struck]
        place = fingers[down[0]][0] - (down[0] - 1) if down else NOWHERE
        return State(notes, struck, fixed, place, {f: (x, frozenset(s)) for f, (x, s) in fingers.items()})

    def grip(self, notes, fingers, struck):
        down = [f for f in sorted(fingers) if fingers[f][1] & struck]
        if not down:
            return 0
        costs, reserve = self.costs, self.can_hold(notes)
        total = costs["stretch"] * reserve * reserve // 1_000_000
        for fret, strings in fingers.values():
            if len(strings) > 1:
                total += costs["barre"] + costs["barre_string"] * max(max(strings) - min(strings) - 1, 0)
        place = fingers[down[0]][0] - (down[0] - 1)
        total += costs["high"] * max(place - 5, 0)
        cramped = max(-place, 0)
        for f in sorted(fingers):
            if f > down[0]:
                cramped += max(place + f - 2 - fingers[f][0], 0)
        if 1 in fingers and 2 in fingers and fingers[1][0] == fingers[2][0]:
            cramped += max(fingers[2][1]) > max(fingers[1][1])
        return total + costs["cramp"] * cramped

    def depth(self, slice_):
        return self.costs["low"] * max(55 - slice_["tune"][2], 0) if slice_["tune"] else 0

    def voicing(self, notes, slice_):
        costs = self.costs
        _, _, chord, third, seventh = slice_["stroke"]
        midi = {s: self.open[s - 1] + n[0] for s, n in notes.items()}
        bass = [s for s, n in notes.items() if n[2] == "b"]
        tune = [s for s, n in notes.items() if n[2] == "m"]
        if not bass:
            sung = tune and midi[tune[0]] % 12 == chord["bass"]
            total = costs["bass_sung"] if sung else costs["bass_missing"]
        else:
            lowest = min(self.open)
            lowest += (chord["bass"] - lowest) % 12
            total = costs["bass_high"] * ((midi[bass[0]] - lowest) // 12)
        if not self.filling:
            return total
        heard = [m % 12 for m in midi.values()]
        total += costs["thin"] * max(4 - len(heard), 0)
        if third is not None:
            total += costs["no_third"] if third not in heard else 0
            total += costs["two_thirds"] if heard.count(third) > 1 else 0
        if seventh is not None:
            total += costs["no_seventh"] if seventh not in heard else 0
        row = sorted(midi.values())
        muddy = [b - a < 12 and a < CLEAR_ABOVE[b - a] for a, b in zip(row, row[1:])]
        return total + costs["mud"] * sum(muddy)

    def finger(self, was, now, struck, haste):
        if now is None or not now[1] & struck:
            return 0
        if was is None:
            return self.costs["place"]
        if not was[1] & now[1]:
            return self.costs["jump"] * haste // 1000
        return self.costs["guide"] if was[0] != now[0] else 0

    def travel(self, was, now, haste):
        if NOWHERE in (was, now):
            return 0
        along = [hand_model.along(max(1, p), 0) for p in (was, now)]
        way = abs(along[0] - along[1])
        return (4 * max(way - LEAN, 0) + min(way, LEAN)) * self.costs["travel"] * haste // 40_000

    def release(self, note, string, slice_, at):
        lost = self.wanted_until(slice_, note, string) - at
        cut = {"m": "melody_cut", "b": "bass_cut", "f": "fill_cut"}[note[2]]
        return self.costs[cut] * lost // QUARTER if lost > 0 else 0

    def leading(self, was, now):
        if was is None:
            return self.costs["leap"]
        return min(self.costs["lead"] * abs(now - was), self.costs["leap"])

    def states(self):
        """All states of every slice: first those reached from silence, then from each other."""
        rows, before = [], [{}]
        for i, slice_ in enumerate(self.slices):
            helds, found = set(), {}
            for notes in before:
                alive = [s for s, n in notes.items()
                         if i and self.wanted_until(self.slices[i - 1], n, s) > slice_["at"]]
                for count in range(len(alive) + 1):
                    for kept in itertools.combinations(alive, count):
                        helds.add(tuple((s, notes[s]) for s in sorted(kept)))
            for held in helds:
                for notes in self.strike(dict(held), slice_):
                    key = (tuple(sorted(notes.items())), held)
                    found.setdefault(key, self.state(notes, dict(held), slice_))
            rows.append(list(found.values()))
            before = [s.notes for s in rows[-1]]
        return rows


class Codes:
    """Numbers for things, so that they can stand in tables."""

    def __init__(self):
        self.of = {}

    def __call__(self, thing):
        return self.of.setdefault(thing, len(self.of))


def build(problem, rows):
    """One choice a slice; every cost between slices is a table over two numbers."""
    model, steps, before = cp_model.CpModel(), [], None
    for i, (slice_, states) in enumerate(zip(problem.slices, rows)):
        pick = [model.NewBoolVar("") for _ in states]
        model.AddExactlyOne(pick)

        def coded(values):
            codes = Codes()
            numbers = [codes(v) for v in values]
            var = model.NewIntVar(0, max(numbers), "")
            model.Add(var == sum(n * p for n, p in zip(numbers, pick) if n))
            return var, codes

        parts = []

        def table(one, other, cost):
            """A cost that hangs on a thing of the slice before and one of this."""
            rows_ = []
            for was, a in one[1].of.items():
                for now, b in other[1].of.items():
                    amount = cost(was, now)
                    if amount is not None:
                        rows_.append((a, b, amount))
            if all(r[2] == 0 for r in rows_) and len(rows_) == len(one[1].of) * len(other[1].of):
                return
            most = max(r[2] for r in rows_)
            var = model.NewIntVar(0, most, "")
            model.AddAllowedAssignments([one[0], other[0], var], rows_)
            parts.append(var)

        here = {
            "fingers": [coded([s.fingers.get(f) for s in states]) for f in (1, 2, 3, 4)],
            "set": [coded([(s.fingers.get(f), s.struck & (s.fingers.get(f) or (0, frozenset()))[1])
                           for s in states]) for f in (1, 2, 3, 4)],
            "notes": [coded([s.notes.get(n) for s in states]) for n in range(1, 7)],
            "held": [coded([s.notes.get(n) if n not in s.struck else None for s in states]) for n in range(1, 7)],
            "fills": [coded([s.notes[n][0] if n in s.notes and s.notes[n][2] == "f" else None for s in states])
                      for n in range(1, 7)],
            "goes": coded([s.place for s in states]),
        }
        # Where the hand is afterwards: where it went, or where it was.
        places = sorted({p for row in rows[: i + 1] for p in (s.place for s in row)} | {NOWHERE})
        codes = Codes()
        numbers = [codes(p) for p in places]
        here["is"] = (model.NewIntVar(0, len(numbers) - 1, ""), codes)
        if before is None:
            model.AddAllowedAssignments([here["goes"][0], here["is"][0]],
                                        [(g, codes(p)) for p, g in here["goes"][1].of.items()])
            for f in range(4):
                now = here["set"][f]
                silent = (model.NewConstant(0), Codes())
                silent[1](None)
                table(silent, now, lambda was, n: problem.finger(None, n[0], n[1], slice_["haste"]))
            for s in range(6):
                silent = (model.NewConstant(0), Codes())
                silent[1](None)
                if slice_["stroke"]:
                    table(silent, here["fills"][s], lambda was, n: 0 if n is None else problem.leading(None, n))
        else:
            rows_ = []
            for p, g in here["goes"][1].of.items():
                for q, b in before["is"][1].of.items():
                    rows_.append((b, g, codes(q if p == NOWHERE else p)))
            model.AddAllowedAssignments([before["is"][0], here["goes"][0], here["is"][0]], rows_)
            table(before["is"], here["goes"], lambda was, now: problem.travel(was, now, slice_["haste"]))
            for f in range(4):
                table(before["fingers"][f], here["set"][f],
                      lambda was, n: problem.finger(was, n[0], n[1], slice_["haste"]))
            last = problem.slices[i - 1]
            for s in range(6):
                def letting_go(was, held, string=s + 1):
                    if held is not None:
                        return 0 if was == held else None
                    return 0 if was is None else problem.release(was, string, last, slice_["at"])
                table(before["notes"][s], here["held"][s], letting_go)
                if slice_["stroke"]:
                    table(before["fills"][s], here["fills"][s],
                          lambda was, n: 0 if n is None else problem.leading(was, n))
        fixed = sum(s.fixed * p for s, p in zip(states, pick) if s.fixed)
        step = model.NewIntVar(0, 10**6, "")
        model.Add(step == fixed + sum(parts))
        steps.append(step)
        before = here
    return model, steps


def solve(problem, rows, goal):
    """The least (hardest step or None, total), and whether both are proved."""
    hardest, proved = None, True
    if goal == "HardestStep":
        model, steps = build(problem, rows)
        worst = model.NewIntVar(0, 10**6, "")
        model.AddMaxEquality(worst, steps)
        model.Minimize(worst)
        solver, status = run(model)
        proved &= status == cp_model.OPTIMAL
        hardest = int(solver.ObjectiveValue())
    model, steps = build(problem, rows)
    if hardest is not None:
        for step in steps:
            model.Add(step <= hardest)
    model.Minimize(sum(steps))
    solver, status = run(model)
    return hardest, int(solver.ObjectiveValue()), proved and status == cp_model.OPTIMAL


def run(model):
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = LIMIT_SECONDS
    solver.parameters.num_workers = 2
    return solver, solver.Solve(model)


def main():
    wrong = proved_ones = 0
    print("| passage | layer | goal | slices | states | ours | CP-SAT | proved | ours, ms | CP-SAT, ms |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for path in sorted(pathlib.Path(sys.argv[1]).glob("*.json")):
        passage = json.loads(path.read_text())
        problem = Problem(passage)
        rows = problem.states()
        start = time.perf_counter()
        hardest, total, proved = solve(problem, rows, passage["goal"])
        millis = 1000 * (time.perf_counter() - start)
        ours = passage["total"] if hardest is None else f"{passage['hardest']}, {passage['total']}"
        theirs = total if hardest is None else f"{hardest}, {total}"
        proved_ones += proved
        wrong += proved and ours != theirs
        print(f"| {passage['name']} | {passage['arrangement']['layer']} | {passage['goal']} | {len(rows)} "
              f"| {sum(map(len, rows))} | {ours} | {theirs} | {'yes' if proved else 'no'} "
              f"| {passage['millis']:.1f} | {millis:.0f} |", flush=True)
    print(f"\n{proved_ones} proved, {wrong} of them different")
    sys.exit(1 if wrong or proved_ones < 20 else 0)


if __name__ == "__main__":
    main()
