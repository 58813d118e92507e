#!/usr/bin/env python3
"""Every STL of a build folder must be one sound solid of the volume that its report expects.

Usage: stl_check.py FOLDER... | stl_check.py --report report.json FILE...
A folder is what `platework build --out` writes: STL files below it and report.json in it. Solids are
checked by trimesh and, if it is there, by admesh (its ORIGINAL column: it repairs in memory).
Exit status 1, with a list, if one is not sound; 2 if there is nothing to check.
"""

import argparse
import json
import pathlib
import re
import shutil
import subprocess
import sys

import trimesh

# Volume of a mesh against the volume by quadrature: chords lie inside curves.
VOLUME_SHARE = 0.005

# admesh lines that must be zero in the ORIGINAL column.
ADMESH_ZERO = ("Total disconnected facets", "Degenerate facets", "Backwards edges", "Normals fixed")


def expected_volumes(report):
    """Volume (mm³) by id, of the plates and blocks that the report measured."""
    known = json.loads(report.read_text())
    return {
        part["id"]: part["mesh"]["expected_volume_mm3"]
        for part in known["plates"] + known["blocks"]
        if part["mesh"] is not None
    }


def trimesh_faults(path, expected):
    try:
        mesh = trimesh.load(path, file_type="stl", force="mesh")
    except Exception as error:  # the loader raises whatever its parser meets
        return [f"cannot be read: {error}"]
    if len(mesh.faces) == 0:
        return ["has no triangles"]
    found = []
    if not mesh.is_watertight:
        found.append("is not watertight")
    if not mesh.is_winding_consistent:
        found.append("is wound both ways")
    if not mesh.volume > 0.0:
        found.append(f"encloses {mesh.volume:.6f} mm³: it is inside out or empty")
    want = expected.get(path.stem)
    if want is not None and abs(mesh.volume - want) > VOLUME_SHARE * want:
        off = 100.0 * (mesh.volume / want - 1.0)
        found.append(f"encloses {mesh.volume:.4f} mm³, expected {want:.4f} ({off:+.2f} %)")
    return found


def admesh_faults(path):
    """Figures of the ORIGINAL column; the exit status says nothing, admesh repairs what it reads."""
    run = subprocess.run(["admesh", str(path)], capture_output=True, text=True, check=False)
    text = run.stdout
    found = []
    for name in ADMESH_ZERO:
        line = re.search(rf"^{name}\s*:\s*(\d+)", text, re.MULTILINE)
        if line is None:
            found.append(f"admesh says nothing of '{name.lower()}'")
        elif int(line[1]) != 0:
            found.append(f"admesh: {name.lower()}: {line[1]}")
    return found


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("paths", nargs="+", type=pathlib.Path)
    parser.add_argument("--report", type=pathlib.Path, help="report with the expected volumes of files given")
    arguments = parser.parse_args()

    work = []
    for path in arguments.paths:
        if path.is_dir():
            known = expected_volumes(path / "report.json")
            work += [(file, known) for file in sorted(path.rglob("*.stl"))]
        else:
            known = expected_volumes(arguments.report) if arguments.report else {}
            work.append((path, known))
    if not work:
        print("stl_check: no STL files given or found", file=sys.stderr)
        return 2
    has_admesh = shutil.which("admesh") is not None
    wrong = measured = 0
    for path, known in work:
        measured += path.stem in known
        faults = trimesh_faults(path, known)
        if has_admesh:
            faults += admesh_faults(path)
        for fault in faults:
            wrong += 1
            print(f"{path}: {fault}")
    by = "trimesh and admesh" if has_admesh else "trimesh (admesh is not installed)"
    print(f"stl_check: {len(work)} solids by {by}, {measured} with an expected volume, {wrong} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
