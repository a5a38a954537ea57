"""Makes written.tsv: what music21 reads in written.abc, the tunes that tests/written_abc.rs puts
together edit by edit. To make that file anew:

    THUMBLINE_WRITTEN=$PWD/written.abc cargo test --test written_abc; python3 written.py

A line holds a tune's number, its events `onset:length:midi` (480ths of a quarter, written order, ties
joined) and its chords `onset:pitch class of the root`.
"""

import pathlib
import re
import sys

import compare
import music21

BARS = re.compile(r"\|:|:\||\[\d(?:,\d)*")


def chords(text):
    lines = text.split("\n")
    plain = "\n".join(line if line[1:2] == ":" and line[0].isalpha() else BARS.sub("|", line) for line in lines)
    score = music21.converter.parse("%abc-2.1\n" + plain, format="abc", forceSource=True)
    symbols = score.parts[0].flatten().getElementsByClass(music21.harmony.ChordSymbol)
    named = [s for s in symbols if not isinstance(s, music21.harmony.NoChord)]
    return " ".join(f"{round(s.offset * 480)}:{s.root().pitchClass}" for s in named)


here = pathlib.Path(__file__).parent
rows = []
for i, text in compare.tunes(here):
    if i.startswith("written/"):
        events = compare.by_music21(compare.simplify(text))
        rows.append("\t".join([str(len(rows) + 1), " ".join(":".join(map(str, e)) for e in events), chords(text)]))
table = "\n".join(rows) + "\n"
if "--check" in sys.argv:
    sys.exit(table != (here / "written.tsv").read_text())
(here / "written.tsv").write_text(table)
