#!/usr/bin/env python3
"""Films of a build against its drawings: `films_check.py FOLDER`, the folder that holds `fret/`.

At 2540 dpi a pixel is 0.01 mm. Only the register marks, the scale bar and twenty windows of 10 mm by 10 mm are
rasterised, of the films with the rear as the model asks for it and of those with the rear the other way. Front and
rear must register and measure true, and every pixel further than 0.01 mm from a drawn border must be black where
the drawing is etched and clear where it is not.
"""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
import numpy
import shapely
from ezdxf.path import make_path

PIXEL_MM = 0.01
LIMIT_MM = 0.01
MARGIN_MM = 16.0
REGISTER_OFF_MM = 6.0
WINDOWS = 20
WINDOW_MM = 10.0


def window(pdf: Path, page: int, height: float, low: tuple[float, float], size: float) -> numpy.ndarray:
    """Darkness 0 to 1 of a square of the page; low is its lower left corner (mm), rows from the bottom."""
    n = round(size / PIXEL_MM)
    x, y = round(low[0] / PIXEL_MM), round((height - low[1] - size) / PIXEL_MM)
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            ["pdftoppm", "-gray", "-r", "2540", "-f", str(page), "-l", str(page), "-singlefile",
             "-x", str(x), "-y", str(y), "-W", str(n), "-H", str(n), str(pdf), f"{folder}/w"],
            check=True, capture_output=True)
        data = next(Path(folder).glob("w*.pgm")).read_bytes()
    fields = data.split(maxsplit=4)
    columns, rows = int(fields[1]), int(fields[2])
    image = numpy.frombuffer(data[-columns * rows:], dtype=numpy.uint8).reshape(rows, columns)
    return 1.0 - image[::-1].astype(float) / 255.0


def middle(darkness: numpy.ndarray) -> float:
    """Middle of the one dark stretch of a row (mm from its start)."""
    return float((darkness * (numpy.arange(len(darkness)) + 0.5)).sum() / darkness.sum() * PIXEL_MM)


def mark(pdf: Path, page: int, height: float, at: tuple[float, float]) -> tuple[float, float]:
    """Middle of a register mark (mm on the page), from its arms beyond the circle."""
    size = 8.0
    low = (at[0] - size / 2, at[1] - size / 2)
    image = window(pdf, page, height, low, size)
    arm = slice(round((size / 2 + 2.0) / PIXEL_MM), round((size / 2 + 2.6) / PIXEL_MM))
    near = slice(round((size / 2 - 0.5) / PIXEL_MM), round((size / 2 + 0.5) / PIXEL_MM))
    start = near.start * PIXEL_MM
    x = middle(image[arm, near].mean(axis=0))
    y = middle(image[near, arm].mean(axis=1))
    return (low[0] + start + x, low[1] + start + y)


def drawn(path: Path, layer: str) -> list[numpy.ndarray]:
    """Loops of a face's drawing as points (mm)."""
    loops = []
    for entity in ezdxf.readfile(path).modelspace().query(f'POLYLINE[layer=="{layer}"]'):
        loops.append(numpy.array([(p.x, p.y) for p in make_path(entity).flattening(2e-4)]))
    return loops


def region(loops: list[numpy.ndarray], box) -> shapely.Geometry:
    """What the loops enclose an odd number of times within a box."""
    whole = shapely.Polygon()
    for loop in loops:
        polygon = shapely.make_valid(shapely.Polygon(loop))
        if polygon.intersects(box):
            whole = whole.symmetric_difference(polygon.intersection(box))
    return whole


def check_window(pdf: Path, page: int, sheet: dict, mirrored: bool, loops, at) -> float:
    """Distance from a border of the furthest pixel that is wrong (mm)."""
    width, height = sheet["width_mm"] + 2 * MARGIN_MM, sheet["height_mm"] + 2 * MARGIN_MM
    # On the grid of pixels, wholly on the sheet.
    low = [round(min(max(p - WINDOW_MM / 2, 0.0), limit - WINDOW_MM), 2)
           for p, limit in zip(at, (sheet["width_mm"], sheet["height_mm"]))]
    x = low[0] + MARGIN_MM
    page_low = (width - x - WINDOW_MM if mirrored else x, low[1] + MARGIN_MM)
    image = window(pdf, page, height, page_low, WINDOW_MM)
    if mirrored:
        image = image[:, ::-1]
    box = shapely.box(low[0], low[1], low[0] + WINDOW_MM, low[1] + WINDOW_MM)
    meant = region(loops, box.buffer(0.5))
    steps = (numpy.arange(image.shape[0]) + 0.5) * PIXEL_MM
    xs, ys = numpy.meshgrid(low[0] + steps, low[1] + steps)
    inside = shapely.contains_xy(meant, xs.ravel(), ys.ravel()).reshape(image.shape)
    wrong = inside != (image > 0.5)
    if not wrong.any():
        return 0.0
    points = shapely.points(xs[wrong], ys[wrong])
    return float(shapely.distance(points, meant.boundary).max())


def registered(pdf: Path, sheet: dict, mirrored: bool) -> list[str]:
    """What is wrong with the register of front and rear of a film, and with its scale bar."""
    w, h = sheet["width_mm"], sheet["height_mm"]
    height = h + 2 * MARGIN_MM
    marks = [(w / 2, -REGISTER_OFF_MM), (w + REGISTER_OFF_MM, h / 2),
             (w / 2, h + REGISTER_OFF_MM), (-REGISTER_OFF_MM, h / 2)]
    worst = 0.0
    for x, y in marks:
        at = (x + MARGIN_MM, y + MARGIN_MM)
        behind = (w + 2 * MARGIN_MM - at[0], at[1]) if mirrored else at
        front, rear = mark(pdf, 1, height, at), mark(pdf, 2, height, behind)
        if mirrored:
            rear = (w + 2 * MARGIN_MM - rear[0], rear[1])
        worst = max([worst] + [abs(a - b) for a, b in zip(front, rear)] + [abs(a - b) for a, b in zip(front, at)])
    teeth = []
    for x in (0.0, sheet["scale_bar_mm"]):
        low = (MARGIN_MM + sheet["scale_bar_at_mm"][0] + x - 0.8, MARGIN_MM + sheet["scale_bar_at_mm"][1] + 4.2)
        teeth.append(low[0] + middle(window(pdf, 1, height, low, 1.6)[:80].mean(axis=0)))
    off = abs(teeth[1] - teeth[0] - sheet["scale_bar_mm"])
    seen = "from the rear" if mirrored else "from the front"
    print(f"{pdf.name}, rear seen {seen}: register within {worst:.4f} mm, "
          f"scale bar of {sheet['scale_bar_mm']} mm within {off:.4f} mm")
    if worst > LIMIT_MM or off > LIMIT_MM:
        return [f"{pdf.name}: register out by {worst:.4f} mm, scale bar by {off:.4f} mm"]
    return []


def main() -> int:
    fret = Path(sys.argv[1]) / "fret"
    plan = json.loads((fret / "fret.json").read_text())
    asked = plan["rear_film"] == "from-rear"
    bad, places = [], []
    for sheet in plan["sheets"]:
        n = sheet["sheet"]
        faces = [(page, name, drawn(fret / f"{name}-{n}.dxf", f"ETCH-{name.upper()}"))
                 for page, name in ((1, "front"), (2, "rear"))]
        for pdf, mirrored in ((fret / f"films-{n}.pdf", asked), (fret / f"films-{n}-other.pdf", not asked)):
            bad += registered(pdf, sheet, mirrored)
            places += [(sheet, pdf, page, name, mirrored and page == 2, loops, tuple(loop[0]))
                       for page, name, loops in faces for loop in loops]
    step = max(len(places) // WINDOWS, 1)
    furthest = 0.0
    for sheet, pdf, page, name, mirrored, loops, at in places[::step][:WINDOWS]:
        out = check_window(pdf, page, sheet, mirrored, loops, at)
        furthest = max(furthest, out)
        if out > LIMIT_MM:
            bad.append(f"{pdf.name}, {name}: out by {out:.3f} mm near x {at[0]:.1f}, y {at[1]:.1f} mm")
    print(f"{min(len(places), WINDOWS)} windows of {WINDOW_MM:.0f} mm, the worst pixel {furthest:.4f} mm from its border")
    for line in bad:
        print(line)
    return 1 if bad or not places else 0


if __name__ == "__main__":
    sys.exit(main())
