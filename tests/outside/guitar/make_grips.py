#!/usr/bin/env python3
"""Turns the guitar part of the open chord data set into `grips.tsv`, one fingered grip a line.

    python3 make_grips.py FOLDER      a folder that holds the unpacked npm package
    python3 make_grips.py             fetches the package with npm first

Source: npm package @tombatossals/chords-db, version 0.5.1, MIT licence, © David Rubert.
Only the Python standard library is used.
"""

import json
import pathlib
import subprocess
import sys
import tarfile
import tempfile

PACKAGE = "@tombatossals/chords-db@0.5.1"


def fetch(into):
    done = subprocess.run(
        ["npm", "pack", "--silent", PACKAGE], cwd=into, check=True, capture_output=True, text=True
    )
    with tarfile.open(pathlib.Path(into, done.stdout.split()[-1])) as packed:
        packed.extractall(into, filter="data")
    return pathlib.Path(into, "package")


def lines(package):
    data = json.loads(pathlib.Path(package, "lib", "guitar.json").read_text(encoding="utf-8"))
    for key, chords in data["chords"].items():
        for chord in chords:
            for number, grip in enumerate(chord["positions"], 1):
                base = grip["baseFret"]
                # The set counts frets from the base fret; ours count from the nut.
                frets = [f if f <= 0 else f + base - 1 for f in grip["frets"]]
                if not any(grip.get("fingers", [])):
                    continue
                barres = grip.get("barres") or []
                barres = barres if isinstance(barres, list) else [barres]
                yield [
                    key.replace("sharp", "#"),
                    chord["suffix"],
                    number,
                    base,
                    ",".join("x" if f < 0 else str(f) for f in frets),
                    ",".join(map(str, grip["fingers"])),
                    ",".join(str(b + base - 1) for b in barres) or "-",
                ]


def main():
    with tempfile.TemporaryDirectory() as scratch:
        package = sys.argv[1] if len(sys.argv) > 1 else fetch(scratch)
        rows = list(lines(package))
    out = pathlib.Path(__file__).with_name("grips.tsv")
    with out.open("w", encoding="utf-8", newline="\n") as tsv:
        tsv.write(f"# {PACKAGE}, MIT licence, (c) David Rubert; made by make_grips.py\n")
        tsv.write("# key, suffix, number, base fret, frets and fingers lowest string first, barred frets\n")
        for row in rows:
            tsv.write("\t".join(map(str, row)) + "\n")
    print(f"{len(rows)} grips")


if __name__ == "__main__":
    main()
