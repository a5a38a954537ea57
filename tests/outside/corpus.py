#!/usr/bin/env python3
"""Copies the open abc collections out of the music21 package into a folder for the tests.

    pip install music21==10.5.0
    python3 tests/outside/corpus.py [--folder target/corpus] [--essen]

The tunes stay out of this repository. Each collection has its own terms, printed below; music21
itself is BSD-3 and passes the collections on as its corpus/license.txt says. The Essen collection
is for non-commercial use only, so it is copied only when asked for.
"""

import argparse
import shutil
from importlib.util import find_spec
from pathlib import Path

# Folder in music21's corpus, and what its files say of themselves.
COLLECTIONS = {
    "airdsAirs": "James Aird's Selection of 1778 and later, encoded by Jack Campin",
    "miscFolk": "American fife music of the 18th and 19th centuries, tidied by Jack Campin",
    "nottingham-dataset": "two reels of the Nottingham Music Database, with chords",
    "oneills1850": "O'Neill's Music of Ireland of 1903, encoded by volunteers named in each tune",
    "ryansMammoth": "Ryan's Mammoth Collection of 1883, encoded by Ray Davies",
}
ESSEN = {
    "essenFolksong": "Essen folk song collection, NON-COMMERCIAL use only (its license.txt)",
}


def corpus_of_music21():
    """The folder of the installed package's corpus, found without the slow import of music21."""
    spec = find_spec("music21")
    if spec is None or spec.origin is None:
        raise SystemExit("music21 is not installed; run: pip install music21==10.5.0")
    return Path(spec.origin).parent / "corpus"


def copy(source, target):
    """Copies the abc files and licence of one collection; returns (files, tunes)."""
    target.mkdir(parents=True, exist_ok=True)
    files = tunes = 0
    for path in sorted(source.glob("*.abc")):
        shutil.copyfile(path, target / path.name)
        files += 1
        tunes += sum(line.startswith(b"X:") for line in path.read_bytes().splitlines())
    licence = source / "license.txt"
    if licence.exists():
        shutil.copyfile(licence, target / licence.name)
    return files, tunes


def main():
    parser = argparse.ArgumentParser(description="Copy open abc tunes out of music21 for the tests.")
    root = Path(__file__).resolve().parents[2]
    parser.add_argument("--folder", type=Path, default=root / "target" / "corpus")
    parser.add_argument("--essen", action="store_true", help="also the non-commercial Essen songs")
    options = parser.parse_args()

    corpus = corpus_of_music21()
    all_files = all_tunes = 0
    for name, terms in (COLLECTIONS | (ESSEN if options.essen else {})).items():
        files, tunes = copy(corpus / name, options.folder / name)
        print(f"{name:20} {files:5} files {tunes:6} tunes  {terms}")
        all_files += files
        all_tunes += tunes
    if all_tunes == 0:
        raise SystemExit(f"no abc file found under {corpus}; is the package whole?")
    shutil.copyfile(corpus / "license.txt", options.folder / "license.txt")
    print(f"{'in all':20} {all_files:5} files {all_tunes:6} tunes  in {options.folder}")
    print("The encodings belong to their makers; read license.txt before passing them on.")


if __name__ == "__main__":
    main()
