"""Has the program write sheets and looks at them with programs from outside. See README.md."""

import json
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pypdf

MM = 72 / 25.4
SIZES = {"a4": (210 * MM, 297 * MM), "letter": (8.5 * 72, 11 * 72)}
SVG = "{http://www.w3.org/2000/svg}"


def run(*command):
    done = subprocess.run([str(c) for c in command], capture_output=True, check=False)
    text = done.stdout.decode("utf-8", "replace")
    assert done.returncode == 0, f"{command}: {done.stderr.decode('utf-8', 'replace')}"
    return text, done.stderr.decode("utf-8", "replace")


def facts(pdf):
    """What pdfinfo says, by name."""
    lines = run("pdfinfo", pdf)[0].splitlines()
    return {name: value.strip() for name, value in (line.split(":", 1) for line in lines)}


def check_size(pdf, paper):
    width, _, height = facts(pdf)["Page size"].split()[:3]
    for is_, wanted in zip((width, height), SIZES[paper]):
        assert abs(float(is_) - wanted) < 0.01, f"{pdf}: {is_} for {wanted}"


def check_fonts(pdf):
    rows = run("pdffonts", pdf)[0].splitlines()[2:]
    assert rows, f"{pdf} has no fonts"
    for row in rows:
        # The columns before the object's number: embedded, subset, Unicode.
        assert row.split()[-5:-2] == ["yes", "yes", "yes"], row


def check_text(pdf, song):
    words = run("pdftotext", "-layout", pdf, "-")[0]
    assert song["title"] in words, f"{pdf} lacks its title"
    tokens = words.split()
    for bar in song["bars"]:
        assert str(bar["number"]) in tokens, f"{pdf} lacks bar {bar['number']}"
    for chord in song["chords"]:
        assert chord["symbol"] in tokens, f"{pdf} lacks {chord['symbol']}"


def check_picture(pdf, folder):
    """No ink in the margins, some on the page."""
    per_mm = 100 / 25.4
    _, said = run("pdftoppm", "-gray", "-r", "100", pdf, folder / "page")
    assert not said, said
    for picture in sorted(folder.glob("page*.pgm")):
        magic, size, _, pixels = picture.read_bytes().split(b"\n", 3)
        assert magic == b"P5"
        width, height = map(int, size.split())
        side, top = int(13.5 * per_mm), int(11.5 * per_mm)
        rows = [pixels[y * width : (y + 1) * width] for y in range(height)]
        edges = rows[:top] + rows[-top:] + [r[:side] for r in rows] + [r[-side:] for r in rows]
        assert all(min(edge) > 250 for edge in edges), f"{pdf}: ink in the margin of {picture.name}"
        dark = sum(row.count(0) for row in rows)
        assert 0.001 < dark / (width * height) < 0.3, f"{pdf}: {picture.name} is empty or black"
        picture.unlink()


def check_svg(svg, title, pages):
    root = ElementTree.parse(svg).getroot()
    assert root.tag == SVG + "svg"
    groups = [g for g in root.iter(SVG + "g") if g.get("id", "").startswith("page-")]
    assert len(groups) == pages, f"{svg} has {len(groups)} pages"
    assert title in [t.text for t in root.iter(SVG + "text")], f"{svg} lacks its title"


def grey(pdf, folder):
    """The mean grey of each square of 3 mm of the first page: how edges are smoothed is evened out."""
    run("pdftoppm", "-gray", "-r", "72", "-f", "1", "-l", "1", pdf, folder / "small")
    (picture,) = folder.glob("small*.pgm")
    _, size, _, pixels = picture.read_bytes().split(b"\n", 3)
    picture.unlink()
    width, height = map(int, size.split())
    step = 8
    squares = [
        sum(sum(pixels[row * width + x : row * width + x + step]) for row in range(y, y + step))
        for y in range(0, height - step, step)
        for x in range(0, width - step, step)
    ]
    return size, [square / step**2 for square in squares]


def check_alike(pdf, svg, folder):
    """librsvg sees in the SVG what Poppler sees in the PDF. It has not the typeface at hand."""
    drawn = folder / "drawn.pdf"
    run("rsvg-convert", "-f", "pdf", "-o", drawn, svg)
    (size, ours), (other_size, other) = grey(pdf, folder), grey(drawn, folder)
    assert size == other_size, f"{svg}: {other_size} for {size}"
    away = sum(abs(a - b) for a, b in zip(ours, other)) / len(ours)
    assert away < 1.5, f"{svg} looks different from the PDF: {away:.2f} of 255 on average"
    return away


def check_song(program, song, folder):
    base = folder / song.stem
    data, pdf, svg = (base.with_suffix(e) for e in (".json", ".pdf", ".svg"))
    run(program, "arrange", song, "-o", data, "-o", pdf, "-o", svg)
    told = json.loads(data.read_text())
    run("qpdf", "--check", pdf)
    about = facts(pdf)
    assert about["Title"] == told["title"], about
    assert about["Creator"].startswith("Thumbline"), about
    check_size(pdf, "a4")
    check_fonts(pdf)
    check_text(pdf, told)
    check_picture(pdf, folder)
    check_svg(svg, told["title"], int(about["Pages"]))
    if about["Pages"] == "1":
        check_alike(pdf, svg, folder)
    for paper in SIZES:
        run(program, "arrange", song, "--paper", paper, "--large", "-o", pdf)
        run("qpdf", "--check", pdf)
        check_size(pdf, paper)
        check_text(pdf, told)
        check_picture(pdf, folder)
    return int(about["Pages"])


def check_booklet(program, songs, folder):
    pdf = folder / "grades.pdf"
    run(program, "arrange", songs[0], "--grades", "--booklet", "Three Grades", "-o", pdf)
    reader = pypdf.PdfReader(pdf)
    assert reader.metadata.title == "Three Grades"
    names = [item.title for item in reader.outline]
    starts = [reader.get_destination_page_number(item) for item in reader.outline]
    assert 2 <= len(names) <= 3 and "grade 1" in names[0] and "grade 3" in names[-1], names
    assert starts[0] == 1 and starts == sorted(set(starts)), starts
    contents = reader.pages[0].extract_text()
    assert "Three Grades" in contents and str(starts[-1] + 1) in contents, contents
    evening = folder / "evening.pdf"
    run(program, "arrange", *songs, "--booklet", "The Evening", "-o", evening)
    run("qpdf", "--check", evening)
    reader = pypdf.PdfReader(evening)
    assert len(reader.outline) == len(songs)
    starts = [reader.get_destination_page_number(item) for item in reader.outline]
    pages = [page.indirect_reference for page in reader.pages]
    links = [note.get_object() for note in reader.pages[0]["/Annots"]]
    assert [pages.index(list.__getitem__(link["/A"]["/D"], 0)) for link in links] == starts
    check_fonts(evening)
    check_picture(evening, folder)


def main(program, songs):
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        pages = sum(check_song(program, song, folder) for song in songs)
        check_booklet(program, songs, folder)
    print(f"{len(songs)} songs on {pages} pages are whole, legible and within their margins")


if __name__ == "__main__":
    main(Path(sys.argv[1]), [Path(p) for p in sys.argv[2:]])
