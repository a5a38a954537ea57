#!/usr/bin/env python3
"""Whose work the program holds, and under which licences: prints the copyright file of the Debian
package, with every crate of the default build, its version, licence and the licence's text.

In the machine-readable format of https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/.
Fails when a crate carries no licence text and names no licence of .ci/deny.toml whose text is known.
"""

import collections
import json
import pathlib
import re
import subprocess
import sys
import tomllib

HERE = pathlib.Path(__file__).resolve().parent.parent

# How the operative part of a licence begins and ends, in small letters without marks. What stands
# before it is a heading; what comes after it only Apache-2.0 has, a form to be filled in.
PARTS = {
    "MIT": ("permission is hereby granted free of charge to any person obt", "dealings in the software"),
    "MIT-0": ("permission is hereby granted free of charge to any person obt", "dealings in the software"),
    "Apache-2.0": ("1 definitions license shall mean", "such warranty or additional liability"),
    "LLVM-exception": ("llvm exceptions to the apache 2 0 license", "the combined software"),
    "BSD-2-Clause": ("redistribution and use in source and binary forms", "possibility of such damage"),
    "BSD-3-Clause": ("redistribution and use in source and binary forms", "possibility of such damage"),
    "0BSD": ("permission to use copy modify and or distribute", "performance of this software"),
    "ISC": ("permission to use copy modify and or distribute", "performance of this software"),
    "Zlib": ("this software is provided as is", "from any source distribution"),
    "BSL-1.0": ("permission is hereby granted free of charge to any person or org", "dealings in the software"),
    "Unlicense": ("this is free and unencumbered software", "unlicense org"),
    "Unicode-3.0": ("notice to user carefully read", "authorization of the copyright holder"),
    "CC0-1.0": ("creative commons legal code", "this cc0 or use of the work"),
    "MPL-2.0": ("mozilla public license version 2 0", "as defined by the mozilla public license v 2 0"),
}
# What tells licences with the same beginning and end apart.
ONLY_IN = {
    "MIT": "the above copyright notice and this permission notice",
    "BSD-3-Clause": "used to endorse or promote products",
    "ISC": "provided that the above copyright notice",
}
LIKE = {"MIT-0": "MIT", "BSD-2-Clause": "BSD-3-Clause", "0BSD": "ISC"}
# Every Debian machine has these texts, and its policy wants them named instead of repeated.
COMMON = {"Apache-2.0", "CC0-1.0", "MPL-2.0"}

NAMES_A_LICENCE = re.compile(r"(un)?licen[sc]e|copying|notice|copyright", re.I)
HEADS_AN_OWNER = re.compile(r"\W*(copyright\s*(\(c\)|©)?|\(c\)|©)\s*", re.I)
NAMES_AN_OWNER = re.compile(r"\W*(copyright\s+(\(c\)|©|\d{4}|individual|the)|©|\(c\)\s+\d{4})", re.I)


def plain(text):
    return re.sub(r"\W+", " ", text).strip().lower()


def operative(licence, words):
    """The part of these words that is this licence, or None."""
    begins, ends = PARTS[licence]
    start, end = words.find(begins), words.find(ends, words.find(begins))
    if start < 0 or end < start:
        return None
    part = words[start : end + len(ends)]
    if licence in ONLY_IN and ONLY_IN[licence] not in part:
        return None
    return None if licence in LIKE and ONLY_IN[LIKE[licence]] in part else part


def expression(package):
    return (package["license"] or "").replace("/", " OR ")


def terms(text):
    return re.findall(r"[\w.+-]+", re.sub(r"\b(AND|OR|WITH)\b", " ", text))


def granted(text, known):
    """Whether the texts at hand make up the whole of a licence expression."""
    words = re.sub(r"\bWITH\b", "AND", text)
    words = re.sub(r"[\w.+-]+", lambda m: {"AND": "and", "OR": "or"}.get(m[0], str(m[0] in known)), words)
    return bool(words.strip()) and eval(words, {"__builtins__": {}})  # only True, False, and, or, ( )


class Crate:
    def __init__(self, package):
        self.name = f"{package['name']}-{package['version']}"
        self.expression = expression(package)
        self.unnamed = f"the authors of {package['name']}"
        self.owners, self.texts, self.notes = [], {}, []
        folder = pathlib.Path(package["manifest_path"]).parent
        files = {f for f in folder.iterdir() if f.is_file() and NAMES_A_LICENCE.match(f.name)}
        if package["license_file"]:
            files.add(folder / package["license_file"])
        for file in sorted(files):
            self.read(file.read_text(errors="replace"))
        self.owners = self.owners or package["authors"] or [self.unnamed]

    def read(self, text):
        owners, kept = [], []
        for line in text.expandtabs().splitlines():
            if NAMES_AN_OWNER.match(line) and "yyyy" not in line:
                owner = HEADS_AN_OWNER.sub("", line).strip(" *#/")
                owners.append(f"{owner} {self.unnamed}" if re.fullmatch(r"[\d, -]+", owner) else owner)
            else:
                kept.append(line.rstrip())
        body = "\n".join(kept).strip("\n")
        words = plain(body)
        parts = {t: operative(t, words) for t in terms(self.expression) if t in PARTS}
        parts = {t: part for t, part in parts.items() if part}
        if parts and len(words) - sum(map(len, parts.values())) < 1500:
            self.owners += [o for o in owners if o not in self.owners]
        else:
            # Not a licence with its heading or the form that Apache-2.0 brings along: all of it is told.
            self.notes.append(text.expandtabs().strip("\n"))
        for licence, part in parts.items():
            self.texts[licence] = (part, body)

    def told(self, usual):
        """What has to be told beyond the usual texts: what is no known licence, and, where those
        don't grant the crate already, a text that differs from them."""
        same = {t for t, (part, _) in self.texts.items() if part == usual[t][0]}
        if granted(self.expression, same):
            return self.notes
        return self.notes + [body for t, (_, body) in self.texts.items() if t not in same]


def crates():
    host = next(l.split()[1] for l in run("rustc", "-vV").splitlines() if l.startswith("host:"))
    tree = run("cargo", "tree", "--locked", "--edges", "normal", "--prefix", "none", "--format", "{p}")
    built = {tuple(l.split()[:2]) for l in tree.splitlines() if l}
    packages = json.loads(run("cargo", "metadata", "--locked", "--format-version", "1", "--filter-platform", host))
    found = [p for p in packages["packages"] if p["source"] and (p["name"], "v" + p["version"]) in built]
    return [Crate(p) for p in sorted(found, key=lambda p: (p["name"], p["version"]))]


def run(*command):
    return subprocess.run(command, cwd=HERE, check=True, capture_output=True, text=True).stdout


def usual_texts(all_crates):
    """For each licence the text that most crates carry, as its words and as it is written."""
    found = collections.defaultdict(list)
    for crate in all_crates:
        for licence, (part, body) in crate.texts.items():
            found[licence].append((part, body))
    usual = {}
    for licence, pairs in found.items():
        part = collections.Counter(p for p, _ in pairs).most_common(1)[0][0]
        usual[licence] = (part, min((b for p, b in pairs if p == part), key=len))
    return usual


def indented(text):
    return "\n".join(f" {line}".rstrip() if line.strip() else " ." for line in text.splitlines())


def short(text):
    """An SPDX expression in the words of the Debian format, which parts by commas instead of brackets."""
    text = re.sub(r"\bWITH LLVM-exception\b", "with LLVM exception", text)
    text = text.replace(" AND ", " and ").replace(" OR ", " or ")
    return text.replace(") and ", ", and ").replace("(", "").replace(")", "")


NEXT = "\n "
WHOLE_APACHE = re.compile(r"Apache License\s+Version 2\.0, January 2004.*?END OF TERMS AND CONDITIONS", re.S)


def paragraph(files, owners, licence, comment=""):
    text = f"Files: {NEXT.join(files)}\nCopyright: {NEXT.join(owners)}\nLicense: {licence}\n"
    return text + (f"Comment:\n{indented(comment)}\n" if comment else "")


def main():
    built = crates()
    usual = usual_texts(built)
    accepted = set(tomllib.loads((HERE / ".ci/deny.toml").read_text())["licenses"]["allow"])
    lacking = []
    for crate in built:
        known = set(crate.texts) | (accepted & (COMMON | set(usual)))
        if not granted(crate.expression, known):
            lacking.append(f"{crate.name}: no licence text, and none known for “{crate.expression}”")
    if lacking:
        sys.exit("\n".join(lacking))

    print(f"""Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/
Upstream-Name: Thumbline
Comment:
 The program is one file, built from this project's own sources and from the crates below, each named
 with its version. They are had from https://crates.io.
""")
    own = (HERE / "LICENSE").read_text().split("\n\n", 2)
    print(paragraph(["*"], [HEADS_AN_OWNER.sub("", own[1])], "MIT"))
    face, face_text = (HERE / "src/exchange/sheet/face/OFL.txt").read_text().split("\n\n", 1)
    print(paragraph(["src/exchange/sheet/face/*"], [" ".join(face.split("Copyright (c) ")[1].split())], "OFL-1.1"))
    rust = "rust-standard-library-" + run("rustc", "-V").split()[1]
    print(paragraph([f"{rust}/*"], ["The Rust Project contributors"], "MIT or Apache-2.0"))

    groups = collections.defaultdict(list)
    for crate in built:
        notes = "\n\n".join(crate.told(usual))
        groups[tuple(crate.owners), short(crate.expression), notes].append(f"{crate.name}/*")
    for (owners, licence, notes), files in groups.items():
        notes = WHOLE_APACHE.sub("Apache License, Version 2.0: see below", notes)
        print(paragraph(files, owners, licence, notes))

    texts = {licence: body for licence, (_, body) in usual.items()}
    texts |= {"OFL-1.1": face_text.strip("\n"), "MIT": own[2].strip("\n")}
    for licence in COMMON & set(texts):
        texts[licence] = f"The whole text lies in /usr/share/common-licenses/{licence} on every Debian machine."
    for licence, body in sorted(texts.items()):
        name = licence
        if licence == "LLVM-exception":
            name = "Apache-2.0 with LLVM exception"
            body = texts["Apache-2.0"] + "\n\n" + body[body.index("LLVM Exceptions to") :].replace(" ----", "")
        print(f"License: {name}\n{indented(body)}\n")
    print(f"{len(built)} crates under {len(texts)} licences", file=sys.stderr)


main()
