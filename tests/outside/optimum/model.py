"""One passage as a CP-SAT model: a variable for each note that could sound on each string in each
slice, and none for whole grips or ways through them, so that nothing of the arranger's search is in it.

Costs stand as terms of the sum by slice. Helpers named `…_if` may be 1 only where that costs more.
"""

from collections import defaultdict
from itertools import combinations

from ortools.sat.python import cp_model

from problem import BASS, FILL, MELODY, Note, is_muddy

FINGERS = (1, 2, 3, 4)


class Model:
    def __init__(self, passage):
        self.p = passage
        self.m = cp_model.CpModel()
        self.steps = []
        before = None
        for piece in passage.slices:
            now = Moment(self, piece, before)
            self.steps.append(now.cost())
            before = now

    # ---- small tools ----------------------------------------------------------------------------

    def var(self):
        return self.m.new_bool_var("")

    def any_of(self, literals):
        """Whether one of them holds: itself, 0, or a new variable."""
        literals = list(literals)
        if len(literals) <= 1:
            return literals[0] if literals else 0
        found = self.var()
        self.m.add_max_equality(found, literals)
        return found

    def all_of(self, *literals):
        """Whether all of them hold, exactly."""
        if any(isinstance(x, int) and x == 0 for x in literals):
            return 0
        both = self.var()
        for literal in literals:
            self.m.add_implication(both, literal)
        self.m.add_bool_or([x.negated() for x in literals] + [both])
        return both

    def one_if(self, *literals):
        """A variable that is 1 at least where all of them hold."""
        found = self.var()
        self.m.add(found >= sum(literals) - (len(literals) - 1))
        return found

    def not_all(self, *literals):
        if not any(isinstance(x, int) and x == 0 for x in literals):
            self.m.add_bool_or([x.negated() for x in literals])

    def most_one(self, literals):
        literals = [x for x in literals if not isinstance(x, int)]
        if len(literals) > 1:
            self.m.add_at_most_one(literals)

    # ---- solving --------------------------------------------------------------------------------

    def least_sum(self, seconds, cap=None):
        """The least sum of all steps, where no step costs more than `cap`: (proved, value)."""
        model = self.m.clone()
        for step in self.steps if cap is not None else ():
            model.add(step <= cap)
        model.minimize(sum(self.steps))
        return solve(model, seconds)

    def least_hardest(self, seconds):
        """The least that the dearest step can cost: (proved, value)."""
        model = self.m.clone()
        hardest = model.new_int_var(0, 10**7, "")
        for step in self.steps:
            model.add(hardest >= step)
        model.minimize(hardest)
        return solve(model, seconds)


def solve(model, seconds):
    """The value is None where nothing was found; if that is proved, there is no way at all."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1  # always the same way, and one passage a core
    solver.parameters.linearization_level = 2  # all rules go into the linear bound; proves best
    status = solver.solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return status == cp_model.OPTIMAL, round(solver.objective_value)
    return status == cp_model.INFEASIBLE, None


class Moment:
    """The variables and rules of one slice, and its ties to the slice before."""

    def __init__(self, model, piece, before):
        self.model, self.p, self.m = model, model.p, model.m
        self.piece, self.before = piece, before
        self.new = {MELODY: piece.melody is not None, BASS: piece.stroke is not None,
                    FILL: piece.stroke is not None}
        self.terms = []
        self.x = defaultdict(dict)  # string → Note → whether it sounds
        self._strike()
        self._hold()
        for notes in self.x.values():
            model.most_one(notes.values())
        self._fingers()
        self._place()
        self._order_of_fingers()
        self._reach()
        if piece.melody:
            self.m.add_exactly_one(self.sounding(MELODY))
            depth = 55 - piece.melody["midi"]
            self.pay("low", max(depth, 0))
        if piece.stroke:
            self._order_of_voices()
            self._voicing()

    def cost(self):
        return sum(self.terms)

    def pay(self, name, amount):
        self.terms.append(self.p.costs[name] * amount)

    def each(self):
        return ((s, note, x) for s, notes in self.x.items() for note, x in notes.items())

    def sounding(self, *voices):
        return [x for _, note, x in self.each() if note.voice in voices]

    # ---- notes ----------------------------------------------------------------------------------

    def _strike(self):
        for string, voice, fret in self.p.struck(self.piece):
            for finger in FINGERS if fret else (0,):
                self.x[string][Note(voice, fret, finger)] = self.model.var()

    def _hold(self):
        """A note of the slice before rings on as it is, or is let go, at a price if it is early."""
        if not self.before:
            return
        rates = {MELODY: "melody_cut", BASS: "bass_cut", FILL: "fill_cut"}
        for string, note, was in list(self.before.each()):
            until = self.p.rings_until(self.before.piece, note.voice, self.p.midi(string, note.fret))
            left = until - self.piece.at
            if left <= 0:
                continue
            price = self.p.costs[rates[note.voice]] * left // self.p.quarter
            self.terms.append(price * was)
            if not self.new[note.voice]:
                now = self.x[string][note] = self.model.var()
                self.m.add_implication(now, was)
                self.terms.append(-price * now)

    # ---- the hand -------------------------------------------------------------------------------

    def _fingers(self):
        """Where fingers are: on[f, string], at[f, fret], both[f, string, fret]."""
        both, struck = defaultdict(list), defaultdict(list)
        for string, note, x in self.each():
            if note.finger:
                both[note.finger, string, note.fret].append(x)
                if self.new[note.voice]:
                    struck[note.finger, note.fret].append(x)
        any_of = self.model.any_of
        self.both = {key: any_of(xs) for key, xs in both.items()}
        self.at, self.on = {}, {}
        for f in FINGERS:
            for fret in {k for g, _, k in self.both if g == f}:
                self.at[f, fret] = any_of(x for (g, _, k), x in self.both.items() if (g, k) == (f, fret))
            for string in {s for g, s, _ in self.both if g == f}:
                self.on[f, string] = any_of(x for (g, s, _), x in self.both.items() if (g, s) == (f, string))
            self.model.most_one(x for (g, _), x in self.at.items() if g == f)
            if f > 1:  # only the first finger lies over several strings
                self.model.most_one(x for (g, _), x in self.on.items() if g == f)
        self.down = {f: any_of(x for (g, _), x in self.at.items() if g == f) for f in FINGERS}
        self.struck = {key: any_of(xs) for key, xs in struck.items()}
        self.moves = {f: any_of(x for (g, _), x in self.struck.items() if g == f) for f in FINGERS}

    def _place(self):
        """Where the hand goes: the fret of the first finger, seen from the lowest finger set down."""
        model, m = self.model, self.m
        lowest = {}
        for (f, fret), x in self.struck.items():
            first = lowest[f, fret] = model.var()
            m.add_implication(first, x)
            under = [self.moves[g] for g in range(1, f)]
            for other in under:
                if not isinstance(other, int):
                    m.add_implication(first, other.negated())
            m.add(first >= x - sum(under))
        goes = defaultdict(list)
        for (f, fret), x in lowest.items():
            goes[fret - f + 1].append(x)
        self.acts = model.any_of(x for x in self.moves.values() if not isinstance(x, int))
        self.lowest = lowest
        places = set(goes) | (set(self.before.place) if self.before else {None})
        self.place = {p: model.var() for p in places}
        m.add_exactly_one(self.place.values())
        for p, x in self.place.items():
            for go in goes.get(p, ()):
                m.add_implication(go, x)
        was = self.before.place if self.before else {None: 1}
        flow = {(p, q): model.var() for p in was for q in places}
        for p, x in was.items():
            m.add(sum(flow[p, q] for q in places) == x)
        for q, x in self.place.items():
            m.add(sum(flow[p, q] for p in was) == x)
        stays = 1 - self.acts
        m.add(sum(flow[p, p] for p in was) >= stays)
        for (p, q), x in flow.items():
            self.terms.append(self.p.travel(p, q, self.piece.haste) * x)
        for p, xs in goes.items():
            self.pay("high", max(p + self.p.capo - 5, 0) * sum(xs))
            self.pay("position", max(p - 1, 0) * sum(xs))
            self.pay("cramp", max(-p, 0) * sum(xs))
        self.pay("cramp", lowest.get((2, 1), 0))
        self._bunched()
        self._finger_moves()

    def _bunched(self):
        """Each finger above the lowest set down is free on its own fret and on the one below."""
        for (f, low), first in self.lowest.items():
            for (g, fret), x in self.at.items():
                bent = low + (g - f) - 1 - fret
                if g > f and fret >= low and bent > 0:
                    self.pay("cramp", bent * self.model.one_if(first, x))

    def _finger_moves(self):
        """Each finger that sets down a note comes from nowhere, along its string, or from another, or it
        takes over what another finger has just stopped."""
        model, jump = self.model, self.p.costs["jump"] * self.piece.haste // 1000
        for f in FINGERS:
            moves, takes = self.moves[f], self._takes_over(f)
            was_down = self.before.down[f] if self.before else 0
            if isinstance(moves, int):
                continue
            here = [x.negated() for x in (was_down, takes) if not isinstance(x, int)]
            self.pay("place", model.one_if(moves, *here) if here else moves)
            if isinstance(was_down, int):
                self.terms.append(jump * takes)
                continue
            shared = model.any_of(y for y in (
                model.all_of(x, self.before.on[f, s]) for (g, s), x in self.on.items()
                if g == f and (f, s) in self.before.on) if not isinstance(y, int))
            leaps = model.var()
            self.m.add(leaps >= moves + was_down - shared - 1)
            self.m.add(leaps >= takes - shared)
            self.terms.append(jump * leaps)
            if isinstance(shared, int):
                continue
            slides = model.var()
            for (g, fret), x in self.before.at.items():
                if g == f:
                    self.m.add(slides >= moves + shared + x - self.at.get((f, fret), 0) - 2)
            self.pay("guide", slides)

    def _takes_over(self, finger):
        """Whether the finger strikes a note that another finger stopped in the slice before."""
        if not self.before:
            return 0
        return self.model.any_of(
            y for y in (
                self.model.all_of(x, was)
                for string, note, x in self.each() if note.finger == finger and self.new[note.voice]
                for (other, s, fret), was in self.before.both.items()
                if (s, fret) == (string, note.fret) and other != finger
            ) if not isinstance(y, int))

    def sounds_below(self, string, fret, but=None):
        """Whether a string sounds open or at most at `fret`, by another finger than `but`."""
        return [x for note, x in self.x[string].items() if note.fret <= fret and (but is None or note.finger != but)]

    def _order_of_fingers(self):
        model = self.model
        frets = sorted({k for _, k in self.at})
        for f, g in combinations(FINGERS, 2):
            for k in frets:  # a higher finger is not at a lower fret
                model.most_one(x for (h, j), x in self.at.items()
                               if (h == f and j > k) or (h == g and j <= k))
        crossed = []
        for (f, s, k), x in self.both.items():
            for (g, t, j), y in self.both.items():
                if f >= g or k != j or s >= t:
                    continue
                if (f, g) != (1, 2) or t - s < 2:
                    model.not_all(x, y)
                    continue
                # Fingers 1 and 2 the other way round: all of the first finger's strings are there.
                crossed.append(model.all_of(x, y))
                for (h, r, i), z in self.both.items():
                    if (h, i) == (1, k) and r > t:
                        model.not_all(x, y, z)
        if crossed and not isinstance(self.acts, int):
            self.pay("cramp", model.one_if(model.any_of(crossed), self.acts))
        barre = self.m.new_int_var(0, 10**6, "")
        self.terms.append(barre)
        firsts = [(s, k, x) for (f, s, k), x in self.both.items() if f == 1]
        for (s, k, x), (t, j, y) in combinations(sorted(firsts, key=lambda it: it[:2]), 2):
            if k != j or s == t:
                continue
            for between in range(s + 1, t):  # nothing sounds lower under a barre
                for z in self.sounds_below(between, k - 1):
                    model.not_all(x, y, z)
            price = self.p.costs["barre"] + self.p.costs["barre_string"] * (t - s - 1)
            self.at_least(barre, price, x, y)

    def at_least(self, amount, price, *literals):
        """`amount` is at least `price` where all literals hold and the hand sets something down."""
        if price and not isinstance(self.acts, int):
            literals = [*literals, self.acts]
            self.m.add(amount >= price).only_enforce_if(literals)
            self.m.add(amount >= price * (sum(literals) - len(literals) + 1))

    def _reach(self):
        """Each two fingers within their span; the one that lies farthest into it is paid for."""
        amount = self.m.new_int_var(0, 10**6, "")
        self.terms.append(amount)
        for (f, s, low), x in self.both.items():
            for (g, t, high), y in self.both.items():
                if f >= g or s == t or high < low:
                    continue
                if f > 1:
                    self._span(amount, f, g, low, high, self.p.apart(s, t, high), x, y)
                    continue
                # The first finger lies on over neighbouring strings towards the other one, up to
                # the next that sounds at its fret or lower; so does the other's string at one fret.
                step = 1 if t > s else -1
                nearest = t if high > low else t - step
                self._span(amount, f, g, low, high, self.p.apart(nearest, t, high), x, y)
                for string in range(s + step, t, step):
                    blocks = self.sounds_below(string, low, but=1)
                    if blocks:
                        lies = self.p.apart(string - step, t, high)
                        self._span(amount, f, g, low, high, lies, x, y, self._blocked(string, low, blocks))

    def _blocked(self, string, low, blocks):
        known = self.__dict__.setdefault("_blocks", {})
        if (string, low) not in known:
            known[string, low] = self.model.any_of(blocks)
        return known[string, low]

    def _span(self, amount, f, g, low, high, across, *literals):
        reserve = self.p.reserve(f, g, low, high, across)
        if reserve is None:
            self.model.not_all(*literals)
        else:
            self.at_least(amount, self.p.stretch(reserve), *literals)

    # ---- the music ------------------------------------------------------------------------------

    def _order_of_voices(self):
        """Low strings carry low voices; four fingers pluck; at most one bass and so many fills."""
        model, p = self.model, self.p
        model.most_one(self.sounding(BASS))
        fills = self.sounding(FILL)
        if fills:
            self.m.add(sum(fills) <= p.fills)
        struck = self.sounding(BASS, FILL) + (self.sounding(MELODY) if self.piece.melody else [])
        self.m.add(sum(struck) <= 4)
        rank = {BASS: 0, FILL: 1, MELODY: 2}
        merged = defaultdict(list)  # without fingers
        for string, note, x in self.each():
            merged[string, note.voice, note.fret].append(x)
        self.notes = {key: model.any_of(xs) for key, xs in merged.items()}
        for ((s, v, k), x), ((t, w, j), y) in combinations(self.notes.items(), 2):
            if s > t:
                (s, v, k, x), (t, w, j, y) = (t, w, j, y), (s, v, k, x)
            # String s is the higher one.
            if s < t and (rank[v] < rank[w] or (MELODY not in (v, w) and p.midi(s, k) <= p.midi(t, j))):
                model.not_all(x, y)

    def _voicing(self):
        model, p, costs, stroke = self.model, self.p, self.p.costs, self.piece.stroke
        by_class = defaultdict(list)
        for (s, voice, k), x in self.notes.items():
            by_class[p.midi(s, k) % 12].append(x)
            if voice == BASS:
                self.pay("bass_high", (p.midi(s, k) - p.lowest_bass(stroke)) // 12 * x)
                self.pay("bass_stopped", (k > 0 and p.midi(s, k) in p.open.values()) * x)
        missing, fills = 1 - sum(self.sounding(BASS)), self.sounding(FILL)
        self.pay("bass_missing", missing)
        sung = self.piece.sung
        if sung and sung["midi"] % 12 == stroke.bass:
            # Spared in part where the melody sounds the bass and nothing lies under it.
            both = model.var()
            self.m.add(both <= missing)
            self.m.add(both <= sum(self.sounding(MELODY)))
            for fill in fills:
                self.m.add(both + fill <= 1)
            self.terms.append((costs["bass_sung"] - costs["bass_missing"]) * both)
        if not p.fills:
            return
        thin = self.m.new_int_var(0, 4, "")
        self.m.add(thin >= 4 - sum(self.notes.values()))
        self.pay("thin", thin)
        for name, tone in (("no_third", stroke.third), ("no_seventh", stroke.seventh)):
            if tone is not None:
                lacks = model.var()
                self.m.add(lacks >= 1 - sum(by_class[tone]))
                self.pay(name, lacks)
        if stroke.third is not None:
            twice = model.var()
            self.m.add(sum(by_class[stroke.third]) <= 1 + 5 * twice)
            self.pay("two_thirds", twice)
        self._mud()
        self._leading()

    def _mud(self):
        for (s, _, k), x in self.notes.items():
            for (t, _, j), y in self.notes.items():
                low, high = self.p.midi(t, j), self.p.midi(s, k)
                if s < t and is_muddy(low, high - low):
                    between = sum(z for r in range(s + 1, t) for z in self.x[r].values())
                    muddy = self.model.var()
                    self.m.add(muddy >= x + y - 1 - between)
                    self.pay("mud", muddy)

    def _leading(self):
        """A fill note follows from the one that sounded on its string just before, or leaps."""
        rang = defaultdict(list)
        for string, note, x in self.before.each() if self.before else ():
            if note.voice == FILL:
                rang[string, note.fret].append(x)
        leap, lead = self.p.costs["leap"], self.p.costs["lead"]
        for (string, voice, fret), x in self.notes.items():
            if voice != FILL:
                continue
            self.terms.append(leap * x)
            for (s, was), xs in rang.items():
                spared = leap - lead * abs(fret - was)
                if s == string and spared > 0:
                    both = self.model.var()
                    self.m.add(both <= x)
                    self.m.add(both <= sum(xs))
                    self.terms.append(-spared * both)
