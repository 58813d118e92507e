#!/usr/bin/env python3
"""Every DXF of some files or folders must open in an outside reader without an error or a repair.

Usage: dxf_check.py FILE-OR-FOLDER...
Exit status 1, with a list, if one does not; 2 if there is nothing to check.
"""

import pathlib
import sys

import ezdxf

MILLIMETRES = 4
FILMS = ("ETCH-FRONT", "ETCH-REAR")
# Drawings of the engine have it; their lines end where something hides them.
VIEWS = "THIN-LINES"


def files(arguments):
    for argument in map(pathlib.Path, arguments):
        yield from sorted(argument.rglob("*.dxf")) if argument.is_dir() else [argument]


def faults(path):
    """What is wrong with a drawing, in words."""
    try:
        # Not the recovering reader: a drawing that needs it is not sound.
        drawing = ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError, UnicodeError, ValueError) as error:
        return [f"cannot be read: {error}"]
    auditor = drawing.audit()
    found = [f"error: {entry.message}" for entry in auditor.errors]
    found += [f"needs a repair: {entry.message}" for entry in auditor.fixes]
    if drawing.header.get("$INSUNITS") != MILLIMETRES:
        found.append(f"its unit is {drawing.header.get('$INSUNITS')}, not {MILLIMETRES} (millimetres)")
    space = drawing.modelspace()
    polylines = space.query("POLYLINE")
    if not any(entity.dxf.layer == VIEWS for entity in space):
        found += [f"an open polyline on layer {p.dxf.layer}" for p in polylines if not p.is_closed]
    found += [
        f"a polyline of {len(p)} vertices on layer {p.dxf.layer}" for p in polylines if len(p) < 2
    ]
    named = {layer.dxf.name.upper() for layer in drawing.layers}
    found += [
        f"layer {layer} is used but not declared"
        for layer in sorted({entity.dxf.layer for entity in space})
        if layer.upper() not in named
    ]
    if any(entity.dxf.layer in FILMS for entity in space):
        # A film shows what is etched away, not plates; without its marks it registers with nothing.
        if not space.query('CIRCLE[layer=="REGISTER"]'):
            found.append("a film without register marks")
        return found
    if not any(p.dxf.layer == "OUTLINE" for p in polylines):
        found.append("no outline")
    if not space.query('TEXT[layer=="LABELS"]'):
        found.append("no plate is named")
    return found


def main():
    paths = list(files(sys.argv[1:]))
    if not paths:
        print("dxf_check: no DXF files given or found", file=sys.stderr)
        return 2
    wrong = 0
    for path in paths:
        for fault in faults(path):
            wrong += 1
            print(f"{path}: {fault}")
    print(f"dxf_check: {len(paths)} drawings, {wrong} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
