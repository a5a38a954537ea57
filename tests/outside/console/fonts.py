#!/usr/bin/env python3
"""The signs that all fonts of the Linux console have.

    apt-get download console-setup-linux && dpkg-deb -x console-setup-linux_*.deb fonts
    python3 fonts.py fonts/usr/share/consolefonts > common.txt

Reads the table of Unicode signs behind the glyphs of each font (PSF 1 and 2).
"""

import glob
import gzip
import os
import struct
import sys


def signs(path):
    """The signs that a font has, without those made of several."""
    data = gzip.open(path).read()
    found = set()
    if data[:4] == b"\x72\xb5\x4a\x86":
        _, header, _, glyphs, size = struct.unpack("<5I", data[4:24])
        for entry in data[header + glyphs * size :].split(b"\xff")[:glyphs]:
            found.update(entry.split(b"\xfe")[0].decode("utf-8", "ignore"))
    elif data[:2] == b"\x36\x04":
        glyphs = 512 if data[2] & 1 else 256
        table = data[4 + glyphs * data[3] :]
        several = False
        for (unit,) in struct.iter_unpack("<H", table[: len(table) // 2 * 2]):
            if unit == 0xFFFF:
                several = False
            elif unit == 0xFFFE:
                several = True
            elif not several:
                found.add(chr(unit))
    else:
        sys.exit(f"{path}: neither PSF 1 nor PSF 2")
    return found


def main():
    fonts = sorted(glob.glob(os.path.join(sys.argv[1], "*.psf.gz")))
    # Two families for Ethiopian script have no lines at all.
    fonts = [f for f in fonts if "Ethiopian-Goha" not in f]
    common = set.intersection(*map(signs, fonts))
    print(f"# {len(fonts)} fonts")
    print("".join(sorted(sign for sign in common if sign > "~" and sign.isprintable())))


main()
