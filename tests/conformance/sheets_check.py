"""Printed sheets: the bar that checks the printer, words within the margins and clear of each other, nothing drawn outside.

    python sheets_check.py DIR [WORD=PAGES ...]

DIR holds PDF files. Wants pdfinfo, pdftotext and pdftoppm (poppler-utils) and numpy. Exit status 1 if anything is wrong.
"""

import pathlib
import re
import subprocess
import sys

import numpy as np

MM = 72 / 25.4
LEFT, OTHER = 20.0, 10.0  # margins (mm)
PAPERS = {(210.0, 297.0): "A4", (297.0, 420.0): "A3", (215.9, 279.4): "Letter"}
DPI = 400
BAR = 100.0
BAR_TOLERANCE = 0.05
# The bar stands on the title block: its left end, its line and the top of its end marks (mm from the lower left corner).
BAR_X, BAR_Y, BAR_TALL = 24.0, 28.0, 5.0


def run(*command):
    return subprocess.run(command, check=True, capture_output=True)


def pages_of(pdf):
    text = run("pdftotext", "-bbox", str(pdf), "-").stdout.decode()
    pages = []
    for head, body in re.findall(r'<page width="([\d.]+)" height="[\d.]+">(.*?)</page>', text, re.S):
        words = re.findall(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', body)
        pages.append([(*(float(v) / MM for v in w[:4]), w[4]) for w in words])
        assert float(head) > 0
    return pages


def size_of(pdf):
    text = run("pdfinfo", str(pdf)).stdout.decode()
    width, height = (float(v) / MM for v in re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", text).groups())
    return width, height, int(re.search(r"Pages:\s+(\d+)", text).group(1))


def paper_of(width, height):
    for (a, b), name in PAPERS.items():
        if {round(width, 1), round(height, 1)} == {a, b}:
            return name
    return None


def pictures(pdf):
    data = run("pdftoppm", "-r", str(DPI), "-gray", str(pdf)).stdout
    at = 0
    while at < len(data):
        head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data[at:])
        width, height = (int(v) for v in head.groups())
        at += head.end()
        yield np.frombuffer(data[at : at + width * height], np.uint8).reshape(height, width)
        at += width * height


def overlaps(words):
    # Boxes are those of the font's whole height: words touch only where their middle parts do.
    found = []
    shrunk = [(x0, y0 + 0.25 * (y1 - y0), x1, y1 - 0.2 * (y1 - y0), t) for x0, y0, x1, y1, t in words]
    shrunk.sort(key=lambda w: w[1])
    for i, a in enumerate(shrunk):
        for b in shrunk[i + 1 :]:
            if b[1] >= a[3]:
                break
            if a[0] < b[2] - 0.02 and b[0] < a[2] - 0.02 and a[1] < b[3] - 0.02:
                found.append((a[4], b[4]))
    return found


def bar_length(picture, height):
    dots = DPI / 25.4
    rows = picture.shape[0]
    row = lambda y: int(round(rows - y * dots))
    left, right = int((BAR_X - 3) * dots), int((BAR_X + BAR + 3) * dots)
    # Only the end marks reach so high: the ticks between them are 1.5 mm.
    band = picture[row(BAR_Y + BAR_TALL - 1) : row(BAR_Y + 2.5), left:right]
    dark = 255.0 - band.mean(axis=0)
    marks = np.flatnonzero(dark > 60)
    if len(marks) < 2:
        return None
    split = int(np.argmax(np.diff(marks))) + 1
    middle = lambda run: float((dark[run] * run).sum() / dark[run].sum())
    return (middle(marks[split:]) - middle(marks[:split])) / dots


def outside(picture):
    dots = DPI / 25.4
    edge = int((OTHER - 0.6) * dots)
    left = int((LEFT - 0.6) * dots)
    strips = [picture[:edge], picture[-edge:], picture[:, :left], picture[:, -edge:]]
    return any((strip < 200).any() for strip in strips)


def check(pdf, wanted):
    wrong = []
    width, height, count = size_of(pdf)
    paper = paper_of(width, height)
    if paper is None:
        wrong.append(f"{width:.2f} × {height:.2f} mm is no paper")
    pages = pages_of(pdf)
    if len(pages) != count:
        wrong.append(f"{len(pages)} pages of words, {count} pages")
    if wanted is not None and count != wanted:
        wrong.append(f"{count} pages, {wanted} wanted")
    worst = 0.0
    for number, (words, picture) in enumerate(zip(pages, pictures(pdf)), 1):
        if not any(f"of {count}" in f"{a[4]} {b[4]}" for a, b in zip(words, words[1:])):
            wrong.append(f"page {number}: its number is not found as text")
        for x0, y0, x1, y1, text in words:
            if x0 < LEFT or x1 > width - OTHER or y0 < OTHER - 1 or y1 > height - OTHER + 1:
                wrong.append(f"page {number}: {text!r} stands outside the margins")
        for a, b in overlaps(words):
            wrong.append(f"page {number}: {a!r} stands upon {b!r}")
        if outside(picture):
            wrong.append(f"page {number}: something is drawn outside the margins")
        length = bar_length(picture, height)
        if length is None:
            wrong.append(f"page {number}: no bar")
        else:
            worst = max(worst, abs(length - BAR))
            if abs(length - BAR) > BAR_TOLERANCE:
                wrong.append(f"page {number}: the bar measures {length:.3f} mm")
    return wrong, paper, count, worst


def main():
    folder = pathlib.Path(sys.argv[1])
    wanted = dict(pair.split("=") for pair in sys.argv[2:])
    files = sorted(folder.glob("*.pdf"))
    if not files:
        sys.exit(f"{folder}: no sheets")
    failed, pages, worst, papers = 0, 0, 0.0, {}
    for pdf in files:
        number = wanted.get(pdf.stem)
        wrong, paper, count, off = check(pdf, int(number) if number else None)
        pages += count
        worst = max(worst, off)
        papers[paper] = papers.get(paper, 0) + 1
        for words in wrong:
            print(f"{pdf.name}: {words}")
        failed += bool(wrong)
    kinds = ", ".join(f"{n} on {name}" for name, n in sorted(papers.items(), key=str))
    print(f"{len(files)} sheets ({kinds}), {pages} pages, {failed} wrong; bars off by {worst:.3f} mm at most")
    sys.exit(failed > 0)


main()
