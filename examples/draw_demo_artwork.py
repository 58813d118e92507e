#!/usr/bin/env python3
"""Draws the two demonstration artworks of class B with an outside library.

    platework build demo-models/class-b.toml --out OUT
    python3 examples/draw_demo_artwork.py OUT/flats demo-models/artwork

needs `ezdxf` (any 1.x). Written are `class-b-sound.dxf`, every plate as it is meant but laid about
the sheet as a draughtsman might, and `class-b-three-faults.dxf`, the same with three faults:

* the boiler wrapper is developed on the outside of the cladding (drawn from the full-size figures);
* the firebox wrapper is drawn as a trapezium between its end perimeters;
* a handrail hole of the smokebox wrapper is set out by its distance in plan.

No line of it uses the project's own writer of drawings, so that reader and writer cannot agree by habit.
"""

import json
import math
import sys
from pathlib import Path

import ezdxf

MM_PER_INCH = 7.0 / 12.0  # 7 mm to the foot
GAP = 16.0
SHEET_WIDTH = 520.0


def read_flats(folder):
    return [json.loads(path.read_text()) for path in sorted(folder.glob("*.json"))]


def vertices(outline):
    return [(v["x_mm"], v["y_mm"], v["bulge"]) for v in outline]


def boiler_on_the_outside():
    """Sector of the right cone over the cladding: 4 ft 5 in to 4 ft 10 in in 11 ft."""
    front, rear, length = (inches * MM_PER_INCH for inches in (53.0 / 2, 58.0 / 2, 132.0))
    taper = rear - front
    slant = math.hypot(length, taper)
    half = math.pi * taper / slant
    inner, outer = front * slant / taper, rear * slant / taper

    def at(radius, angle):
        return (radius * math.cos(angle) - inner, radius * math.sin(angle))

    bulge = math.tan(half / 2)
    corners = [at(inner, -half), at(outer, -half), at(outer, half), at(inner, half)]
    return [(*p, b) for p, b in zip(corners, (0.0, bulge, 0.0, -bulge))]


def firebox_as_a_trapezium(flat):
    length = {edge["name"]: edge["flat_mm"] for edge in flat["edges"]}
    rear_crown = next(p["x_mm"] for p in flat["points"] if p["name"] == "rear-crown")
    front, rear = length["front"] / 2, length["rear"] / 2
    return [(0.0, -front, 0.0), (rear_crown, -rear, 0.0), (rear_crown, rear, 0.0), (0.0, front, 0.0)]


def hole_on_plan_length(hole):
    """The smokebox is round to below the handrail: 4 ft 7 in outside, of 0.30 mm sheet."""
    outside = 55.0 / 2 * MM_PER_INCH
    angle = hole["centre"]["y_mm"] / (outside - 0.15)
    return {**hole, "centre": {"x_mm": hole["centre"]["x_mm"], "y_mm": outside * math.sin(angle)}}


def with_faults(flats):
    spoilt = []
    for flat in flats:
        flat = dict(flat)
        if flat["plate"] == "boiler-wrapper":
            flat["drawn"] = boiler_on_the_outside()
        if flat["plate"] == "firebox-wrapper":
            flat["drawn"] = firebox_as_a_trapezium(flat)
        if flat["plate"] == "smokebox-wrapper":
            flat["holes"] = [
                hole_on_plan_length(h) if h["feature"] == "handrail-left-1" else h for h in flat["holes"]
            ]
        spoilt.append(flat)
    return spoilt


class Place:
    """Turned and moved: where a flat lies on the sheet."""

    def __init__(self, angle_deg, dx=0.0, dy=0.0):
        self.angle = angle_deg
        self.cos, self.sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        self.dx, self.dy = dx, dy

    def __call__(self, x, y):
        return (self.cos * x - self.sin * y + self.dx, self.sin * x + self.cos * y + self.dy)


def arc_of(start, end, bulge):
    """Centre, radius and end angles (degrees, anticlockwise) of a side with a bulge."""
    (x0, y0), (x1, y1) = start, end
    rise = (1 - bulge * bulge) / (4 * bulge)
    cx = (x0 + x1) / 2 - (y1 - y0) * rise
    cy = (y0 + y1) / 2 + (x1 - x0) * rise
    angles = [math.degrees(math.atan2(y - cy, x - cx)) for x, y in (start, end)]
    if bulge < 0:
        angles.reverse()
    return (cx, cy), math.hypot(x0 - cx, y0 - cy), angles


class Sheet:
    def __init__(self):
        self.doc = ezdxf.new("R2000", units=4)
        for name, colour in (
            ("OUTLINES", 7),
            ("OPENINGS", 1),
            ("HALF ETCH", 3),
            ("RIVETS", 5),
            ("CENTRE LINES", 8),
            ("NAMES", 2),
            ("SHEET", 9),
        ):
            self.doc.layers.add(name, color=colour)
        self.space = self.doc.modelspace()
        self.doc.blocks.new("RIVET").add_circle((0, 0), 0.5)

    def run(self, points, place, layer, style):
        """A closed run: one polyline, or lines and arcs in no order of travel."""
        moved = [(*place(x, y), bulge) for x, y, bulge in points]
        if style == 0:
            self.space.add_lwpolyline(moved, format="xyb", close=True, dxfattribs={"layer": layer})
            return
        sides = list(zip(moved, moved[1:] + moved[:1]))
        for i, ((x0, y0, bulge), (x1, y1, _)) in enumerate(sides[::2] + sides[1::2]):
            if bulge == 0.0:
                ends = [(x0, y0), (x1, y1)]
                self.space.add_line(*(ends if i % 2 else ends[::-1]), dxfattribs={"layer": layer})
            else:
                centre, radius, (first, last) = arc_of((x0, y0), (x1, y1), bulge)
                self.space.add_arc(centre, radius, first, last, dxfattribs={"layer": layer})

    def plate(self, number, flat, place):
        style = number % 2
        self.run(flat.get("drawn") or vertices(flat["outline"]), place, "OUTLINES", style)
        for hole in flat["holes"]:
            if hole["diameter_mm"] is None:
                self.run(vertices(hole["outline"]), place, "OPENINGS", 1 - style)
            else:
                centre = place(hole["centre"]["x_mm"], hole["centre"]["y_mm"])
                self.space.add_circle(centre, hole["diameter_mm"] / 2, dxfattribs={"layer": "OPENINGS"})
        for region in flat["regions"]:
            self.run(vertices(region["outline"]), place, "HALF ETCH", style)
        for rivet in flat["rivets"]:
            self.space.add_blockref(
                "RIVET",
                place(rivet["x_mm"], rivet["y_mm"]),
                dxfattribs={"layer": "RIVETS", "xscale": rivet["head_mm"], "yscale": rivet["head_mm"]},
            )
        for mark in flat["marks"]:
            ends = [place(mark[end]["x_mm"], mark[end]["y_mm"]) for end in ("from", "to")]
            self.space.add_line(*ends, dxfattribs={"layer": "CENTRE LINES"})

    def name(self, number, flat, at):
        text = flat["plate"] if number % 3 else flat["title"].upper()
        self.space.add_text(text, height=2.5, dxfattribs={"layer": "NAMES", "insert": at})


def bounds(points, place):
    """Least rectangle round a run, arcs by sampling."""
    xs, ys = [], []
    for (x0, y0, bulge), (x1, y1, _) in zip(points, points[1:] + points[:1]):
        samples = [(x0, y0)]
        if bulge:
            (cx, cy), radius, (first, last) = arc_of((x0, y0), (x1, y1), bulge)
            sweep = (last - first) % 360
            samples += [
                (
                    cx + radius * math.cos(math.radians(first + sweep * i / 16)),
                    cy + radius * math.sin(math.radians(first + sweep * i / 16)),
                )
                for i in range(17)
            ]
        for x, y in samples:
            px, py = place(x, y)
            xs.append(px)
            ys.append(py)
    return min(xs), min(ys), max(xs), max(ys)


def draw(flats, path):
    sheet = Sheet()
    x, y, row = GAP, GAP, 0.0
    for number, flat in enumerate(flats):
        angle = (0.0, 90.0, 180.0, 270.0, 12.5, 203.0)[number % 6]
        points = flat.get("drawn") or vertices(flat["outline"])
        low_x, low_y, high_x, high_y = bounds(points, Place(angle))
        if x + (high_x - low_x) + GAP > SHEET_WIDTH:
            x, y, row = GAP, y + row + GAP, 0.0
        place = Place(angle, x - low_x, y - low_y)
        sheet.plate(number, flat, place)
        sheet.name(number, flat, (x, y - 4.0))
        x += high_x - low_x + GAP
        row = max(row, high_y - low_y)
    sheet.space.add_lwpolyline(
        [(0, 0), (SHEET_WIDTH, 0), (SHEET_WIDTH, y + row + GAP), (0, y + row + GAP)],
        close=True,
        dxfattribs={"layer": "SHEET"},
    )
    sheet.doc.saveas(path)


def main():
    flats_folder, out = Path(sys.argv[1]), Path(sys.argv[2])
    # The same file from the same flats: no date, no random name.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    out.mkdir(parents=True, exist_ok=True)
    flats = read_flats(flats_folder)
    draw(flats, out / "class-b-sound.dxf")
    draw(with_faults(flats), out / "class-b-three-faults.dxf")


if __name__ == "__main__":
    main()
