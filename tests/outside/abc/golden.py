"""Makes features.tsv: what at least two of music21, abcjs and abc2midi read in features.abc.

    python3 golden.py ABCJS      (the folder of the unpacked npm package)

A line holds a tune's number, who agrees, and its events `onset:length:midi` (480ths of a quarter;
written order, ties joined, ornaments and repeats out, the first voice and the top notes of chords).
A tune on which no two agree has no events and is not checked.
"""

import pathlib
import sys
import tempfile

import compare


def main():
    here = pathlib.Path(__file__).parent
    with tempfile.TemporaryDirectory() as work:
        texts = {i: compare.simplify(t) for i, t in compare.tunes(here) if i.startswith("features/")}
        names = ["music21", "abcjs", "abc2midi"]
        told = {n: compare.answers(n, texts, pathlib.Path(work), pathlib.Path(sys.argv[1])) for n in names}
    with open(here / "features.tsv", "w") as file:
        for number, i in enumerate(texts, 1):
            best = max((([m for m in names if compare.same(told[n][i], told[m][i]) is None], n) for n in names),
                       key=lambda pair: len(pair[0]))
            agree, name = best
            if len(agree) < 2:
                print(number, "nobody", "", sep="\t", file=file)
                continue
            events = " ".join(":".join(map(str, e)) for e in told[name][i])
            print(number, ",".join(agree), events, sep="\t", file=file)


main()
