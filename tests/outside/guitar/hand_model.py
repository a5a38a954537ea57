#!/usr/bin/env python3
"""The hand model once more, in whole numbers and from its written rules alone (the documentation of
`Neck` and of `Hand::judge`), to hold the Rust one against. Writes `judged.tsv`: the published grips
of `grips.tsv` and some thousand drawn ones, for several hands and capos.

    python3 hand_model.py

Only the Python standard library is used.
"""

import math
import pathlib
import random

SCALE, NUT, BRIDGE, FRETS, STRINGS = 650.0, 8.7, 11.7, 19, 6
PAIRS = [(1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4)]
MEDIUM_MM = [(43, 78), (39, 71), (41, 71), (69, 100), (69, 96), (110, 138)]
LENGTHS = {"small": 165, "medium": 187, "large": 210}


def tenths(mm):
    return math.floor(mm * 10 + 0.5)


def fret_mm(n):
    return SCALE * (1 - 2 ** (-n / 12))


def press_mm(fret, capo):
    behind, at = fret_mm(capo + fret - 1), fret_mm(capo + fret)
    return behind + 0.75 * (at - behind)


def along(fret, capo):
    return tenths(press_mm(fret, capo))


def across(string, fret, capo):
    return tenths((string - 1) * (NUT + (BRIDGE - NUT) * press_mm(fret, capo) / SCALE))


def spans(hand):
    length = LENGTHS[hand]
    return {p: tuple(v * 10 * length // 187 for v in mm) for p, mm in zip(PAIRS, MEDIUM_MM)}


def judge(frets, fingers, capo, hand):
    """`frets` and `fingers` map strings (1 the highest) to frets (-1 silent) and fingers."""
    fret_of, lies = {}, {}
    for s in sorted(frets):
        fret, finger = frets[s], fingers[s]
        if fret > FRETS - capo:
            return f"off {s}"
        if fret <= 0:
            if finger:
                return f"idle {s}"
            continue
        if finger not in (1, 2, 3, 4):
            return f"none {s}"
        if fret_of.setdefault(finger, fret) != fret:
            return f"two {finger}"
        lies.setdefault(finger, []).append(s)
    for f in sorted(lies):
        for s in range(min(lies[f]), max(lies[f])):
            if 0 <= frets[s] < fret_of[f]:
                return f"under {s}"
    worst = None
    for f in sorted(lies):
        for g in sorted(lies):
            if f >= g:
                continue
            verdict = pair(frets, fret_of, lies, f, g, capo, spans(hand)[f, g])
            if isinstance(verdict, str):
                return verdict
            key = (verdict[4], verdict[3])
            if worst is None or key > (worst[4], worst[3]):
                worst = verdict
    return "free" if worst is None else " ".join(map(str, worst))


def pair(frets, fret_of, lies, f, g, capo, span):
    low, high = fret_of[f], fret_of[g]
    if high < low:
        return f"crossed {f} {g}"
    if high == low:
        usual = all(s > t for s in lies[f] for t in lies[g])
        turned = (f, g) == (1, 2) and all(t > s + 1 for s in lies[f] for t in lies[g])
        if not (usual or turned):
            return f"crossed {f} {g}"
    if f == 1:
        # Every string that the index can lie over; the nearest to each of g's, the worst of those.
        free = {s for s in frets if all(frets[t] < 0 or frets[t] > low or t in lies[1]
                                        for t in range(min(s, *lies[1]), max(s, *lies[1]) + 1))}
        free |= set(range(min(lies[1]), max(lies[1]) + 1))
        gaps = [min(abs(across(s, high, capo) - across(t, high, capo)) for s in free) for t in lies[g]]
    else:
        gaps = [abs(across(s, high, capo) - across(t, high, capo)) for s in lies[f] for t in lies[g]]
    square = (along(high, capo) - along(low, capo)) ** 2 + max(gaps) ** 2
    root = math.isqrt(square)
    distance = root + (square - root * root > root)
    comfortable, largest = span
    if distance > largest:
        return f"far {f} {g}"
    reserve = 1000 * (distance - comfortable) // (largest - comfortable)
    return f, g, distance, 100 * distance // comfortable, min(max(reserve, 0), 1000)


def published(folder):
    for line in (folder / "grips.tsv").read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            row = line.split("\t")
            frets = [-1 if f == "x" else int(f) for f in row[4].split(",")]
            yield frets, [int(f) for f in row[5].split(",")], 0, "medium"


def drawn(draw, count):
    for _ in range(count):
        base = draw.randrange(0, 14)
        at = {f: base + f + draw.choice([-1, 0, 0, 0, 1]) for f in (1, 2, 3, 4)}
        frets, fingers = [], []
        for _ in range(STRINGS):
            finger = draw.choice([0, 0, 0, 1, 2, 3, 4])
            frets.append(max(at[finger], 1) if finger else draw.choice([-1, -1, 0]))
            fingers.append(finger)
        yield frets, fingers, draw.choice([0, 0, 2, 5]), draw.choice(list(LENGTHS))


def main():
    folder = pathlib.Path(__file__).parent
    rows = list(published(folder)) + list(drawn(random.Random(650), 4000))
    with (folder / "judged.tsv").open("w", encoding="utf-8", newline="\n") as out:
        out.write("# made by hand_model.py: frets and fingers lowest string first, capo, hand, verdict:\n")
        out.write("# two fingers, distance in mm/10, per cent, reserve; or the refusal; or free\n")
        for frets, fingers, capo, hand in rows:
            by_string = [dict(zip(range(STRINGS, 0, -1), v)) for v in (frets, fingers)]
            verdict = judge(*by_string, capo, hand)
            shown = ",".join("x" if f < 0 else str(f) for f in frets)
            out.write(f"{shown}\t{''.join(map(str, fingers))}\t{capo}\t{hand}\t{verdict}\n")


if __name__ == "__main__":
    main()
