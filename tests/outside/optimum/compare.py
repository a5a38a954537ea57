#!/usr/bin/env python3
"""Holds the arranger's optimum against OR-tools CP-SAT, a general-purpose solver (Apache-2).

    pip install -r requirements.txt music21
    python3 tests/outside/corpus.py
    cargo test --release --test outside_optimum -- --ignored
    python3 tests/outside/optimum/compare.py target/optimum [--readme]

Fails where the solver proves another optimum or finds anything cheaper, or where it proves fewer
than 20 passages by either goal. What it can't prove in time is shown and not counted. `--readme`
writes the table into the README beside this script.
"""

import argparse
import json
import multiprocessing
import platform
import sys
import time
from pathlib import Path

import ortools

from model import Model
from problem import Passage

AT_LEAST = 20
GOALS = ("total", "hardest")


def steps(sheet):
    return [s["price"]["total"] for bar in sheet["bars"] for s in bar["slices"]]


def timed(what, *arguments):
    start = time.perf_counter()
    proved, value = what(*arguments)
    return proved, value, time.perf_counter() - start


def compare(job):
    """One passage by both goals: what was found by whom, how long it took, what is wrong."""
    path, seconds = job
    case = json.loads(path.read_text(encoding="utf-8"))
    passage = Passage(case)
    model = Model(passage)
    sheets = {goal: case[goal]["arrangement"] for goal in GOALS}
    ours = {goal: sum(steps(sheets[goal])) for goal in GOALS}
    cap = max(steps(sheets["hardest"]))
    faults = [f"{goal}: the steps do not add up to the total" for goal in GOALS
              if ours[goal] != sheets[goal]["totals"]["price"]["total"]]
    faults += judged("the total", ours["total"], total := timed(model.least_sum, seconds))
    faults += judged("the hardest step", cap, worst := timed(model.least_hardest, seconds))
    rest = (False, None, 0.0)
    if worst[0]:
        rest = timed(model.least_sum, seconds, worst[1])
        faults += judged("the total under the hardest step", ours["hardest"], rest)
    return {
        "file": path.name, "name": case["name"], "key": case["key"],
        "meter": sheets["total"]["bars"][0]["meter"], "bars": len(sheets["total"]["bars"]),
        "layer": sheets["total"]["layer"], "slices": len(passage.slices),
        "tuning": sheets["total"]["instrument"]["tuning"], "capo": passage.capo,
        "hand": sheets["total"]["hand"]["name"], "variables": len(model.m.proto.variables),
        "ours": ours, "cap": cap, "micros": {goal: case[goal]["micros"] for goal in GOALS},
        "proved": {"total": total[0], "hardest": worst[0] and rest[0]},
        "seconds": {"total": total[2], "hardest": worst[2] + rest[2]}, "faults": faults,
    }


def judged(what, ours, answer):
    proved, theirs, _ = answer
    if (proved and theirs != ours) or (theirs is not None and theirs < ours):
        return [f"{what} is {ours}, the solver {'proves' if proved else 'finds'} {theirs}"]
    return []


HEAD = """# The optimum against a general solver

The arranger says that its answer is the best one under the stated costs. Here OR-tools CP-SAT, which
knows nothing of guitars, is asked for the same passages and proves what the least price is.

| file | what |
| --- | --- |
| `problem.py` | a passage as the rules state it: slices, places, rings, the hand; from the JSON alone |
| `model.py` | the same as a constraint model, a variable for each note on each string in each slice |
| `compare.py` | solves, compares, and writes this page |

The model has no list of grips and no way through them, so that nothing of the arranger's search is in
it: which notes may sound together, which fingers may hold them, what may ring on and what each step
costs are constraints and terms over single notes. Only the amounts of the cost table are read from the
arranger, at run time. The hand's geometry is that of `../guitar/hand_model.py`. The solver is told
neither the arranger's answer nor its price.

`tests/outside_optimum.rs` cuts the passages: 2 to 4 whole bars with 6 to 13 notes from tunes spread over
the open corpus (`../corpus.py`), with their own chords, else those of the plain rule. Layers, hands, capo
and tuning take turns. Two goals are compared: the least total, and the least hardest step with the least
total under it.

The comparison has shown two faults of the arranger, both mended since. Where single steps count, an open
string may be worth letting go early. And an open string between the first finger and the others keeps the
first finger from lying flat, so that letting it go may spare the hand a stretch.

What this does not show: a misreading of the rules that the model shares with the arranger. Pins do not
occur here.
"""


def page(rows, seconds):
    lines = [HEAD, f"OR-tools {ortools.__version__}, Python {platform.python_version()}, one worker a "
             f"passage, two passages at once on two cores, at most {seconds:g} s a solve.", ""]
    for goal, said in zip(GOALS, ("least total", "least hardest step")):
        done = [r for r in rows if r["proved"][goal]]
        lines.append(f"- {said}: {len(done)} of {len(rows)} passages proved, all with the arranger's "
                     f"price. Median of those: arranger {median(r['micros'][goal] for r in done) / 1000:.1f} ms, "
                     f"solver {median(r['seconds'][goal] for r in done):.1f} s.")
    lines += ["", "Prices in thousandths of an effort; a time in brackets ran out without a proof. The "
              "arranger's times include choosing the octave, the solver's do not.", "",
              "| passage | key | meter | bars | slices | layer | hand, tuning, capo | variables | total | arranger ms | solver s "
              "| hardest step | total under it | arranger ms | solver s |",
              "| --- | --- | --- | --: | --: | --: | --- | --: | --: | --: | --: | --: | --: | --: | --: |"]
    for r in rows:
        took = {g: f"{r['seconds'][g]:.1f}" if r["proved"][g] else f"({r['seconds'][g]:.1f})" for g in GOALS}
        setting = ", ".join([r["hand"], r["tuning"]] + ([str(r["capo"])] if r["capo"] else []))
        cells = [r["name"], r["key"], r["meter"], r["bars"], r["slices"], r["layer"], setting, r["variables"],
                 r["ours"]["total"], f"{r['micros']['total'] / 1000:.1f}", took["total"], r["cap"],
                 r["ours"]["hardest"], f"{r['micros']['hardest'] / 1000:.1f}", took["hardest"]]
        lines.append("| " + " | ".join(map(str, cells)) + " |")
    return "\n".join(lines) + "\n"


def median(values):
    values = sorted(values)
    return values[len(values) // 2] if values else 0


def main():
    parser = argparse.ArgumentParser(description="Hold the arranger's optimum against CP-SAT.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=30, help="limit of one solve")
    parser.add_argument("--readme", action="store_true", help="write the table into the README")
    options = parser.parse_args()
    jobs = [(path, options.seconds) for path in sorted(options.folder.glob("*.json"))]
    rows = []
    with multiprocessing.Pool(2) as pool:
        for row in pool.imap(compare, jobs):
            rows.append(row)
            proofs = ", ".join(f"{g} {'proved' if row['proved'][g] else 'open'} in {row['seconds'][g]:.1f} s"
                               for g in GOALS)
            print(f"{row['file']} {row['name']}, layer {row['layer']}: {proofs}", flush=True)
            for fault in row["faults"]:
                print("    " + fault, flush=True)
    proved = {goal: sum(r["proved"][goal] for r in rows) for goal in GOALS}
    print(f"{len(rows)} passages; proved: {proved['total']} totals, {proved['hardest']} hardest steps")
    if any(row["faults"] for row in rows):
        sys.exit("arranger and solver disagree")
    if min(proved.values()) < AT_LEAST:
        sys.exit(f"fewer than {AT_LEAST} were proved")
    if options.readme:
        (Path(__file__).parent / "README.md").write_text(page(rows, options.seconds), encoding="utf-8")


if __name__ == "__main__":
    main()
