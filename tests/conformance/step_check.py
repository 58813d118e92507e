"""Holds exact solids against another geometry kernel (OCCT, PyPI `cadquery-ocp`).

    python3 tests/conformance/step_check.py LIST.json ...

A list is an array of objects, or a build's report.json whose plates have such an object as `solid`.
Files are relative to the list:
  file                 the STEP file
  name                 the product's name (optional)
  volume_mm3           expected volume
  area_mm2             expected area of all faces
  low_mm, high_mm      expected corners of the bounding box (optional)
  relative_tolerance   of volume and area (default 1e-6)
  box_tolerance_mm     of the corners (default 1e-3)

For each file: the header and entities are read without a fault, the unit is the millimetre, there is
exactly one solid and nothing else, the solid is valid, and volume, area and bounding box agree.
Exit status 1 if any file fails, 2 if there is nothing to check.
"""

import json
import sys
from pathlib import Path

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_FORWARD, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

try:
    from OCP.collections import Sequence_TCollection_AsciiString as Names
except ImportError:
    from OCP.TColStd import TColStd_SequenceOfAsciiString as Names

EDGE = TopoDS.Edge if hasattr(TopoDS, "Edge") else TopoDS.Edge_s
# Integrals over trimmed faces are far off without an accuracy asked for.
INTEGRAL_ACCURACY = 1e-12


def parts(shape, kind):
    """All sub-shapes of a kind."""
    explorer = TopExp_Explorer(shape, kind)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def volume_of(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, INTEGRAL_ACCURACY, False, False)
    return props.Mass()


def area_of(shape):
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, props, INTEGRAL_ACCURACY, False)
    return props.Mass()


def box_of(shape):
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, True, False)
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    return [low.X(), low.Y(), low.Z()], [high.X(), high.Y(), high.Z()]


def product_names(reader):
    """Names of the products in a file that is already read."""
    model = reader.WS().Model()
    names = []
    for i in range(1, model.NbEntities() + 1):
        entity = model.Value(i)
        if entity.DynamicType().Name() == "StepBasic_Product":
            names.append(entity.Id().ToCString())
    return names


def check(entry, folder):
    """What is wrong with a file, and one line about it."""
    wrong = []
    path = folder / entry["file"]
    reader = STEPControl_Reader()
    status = reader.ReadFile(str(path))
    if int(getattr(status, "value", status)) != 1:
        return [f"read status {status}"], ""
    if not reader.WS().ModelCheckList(True).IsEmpty(True):
        wrong.append("the reader reports faults of the header or of entities")
    units = Names(), Names(), Names()
    reader.FileUnits(*units)
    lengths = {units[0].Value(i).ToCString() for i in range(1, units[0].Length() + 1)}
    if lengths != {"millimetre"}:
        wrong.append(f"unit of length {sorted(lengths)}")
    roots = reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        return wrong + ["no shape"], ""
    solids, shells = len(parts(shape, TopAbs_SOLID)), len(parts(shape, TopAbs_SHELL))
    if (roots, solids, shells) != (1, 1, 1):
        wrong.append(f"{roots} roots, {solids} solids, {shells} shells")
    if not BRepCheck_Analyzer(shape).IsValid():
        wrong.append("not valid")
    if "name" in entry:
        names = product_names(reader)
        if names != [entry["name"]]:
            wrong.append(f"product named {names}")
    tolerance = entry.get("relative_tolerance", 1e-6)
    figures = []
    for name, got in (("volume_mm3", volume_of(shape)), ("area_mm2", area_of(shape))):
        want = entry[name]
        off = (got - want) / want
        figures.append(f"{name} {got:.6f} ({off:+.1e})")
        if not abs(off) <= tolerance:
            wrong.append(f"{name} {got!r}, expected {want!r}, off by {off:.2e}")
    if "low_mm" in entry:
        low, high = box_of(shape)
        off = max(abs(a - b) for a, b in zip(low + high, entry["low_mm"] + entry["high_mm"]))
        figures.append(f"box {off:.1e}")
        if not off <= entry.get("box_tolerance_mm", 1e-3):
            wrong.append(f"box {low} to {high}, off by {off:.2e}")
    loosest = max(BRep_Tool.Tolerance_s(EDGE(edge)) for edge in parts(shape, TopAbs_EDGE))
    figures.append(f"{len(parts(shape, TopAbs_FACE))} faces, loosest edge {loosest:.1e}")
    return wrong, "  ".join(figures)


def entries_of(path):
    """What a list, or a build's report, says of its solids."""
    known = json.loads(path.read_text(encoding="utf-8"))
    if isinstance(known, list):
        return known
    return [plate["solid"] for plate in known["plates"] if plate.get("solid")]


def main():
    if len(sys.argv) < 2:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    checked = failed = 0
    for path in map(Path, sys.argv[1:]):
        entries = entries_of(path)
        if not entries:
            print(f"{path}: nothing to check", file=sys.stderr)
            sys.exit(2)
        for entry in entries:
            wrong, figures = check(entry, path.parent)
            print(f"{'FAILED' if wrong else 'ok':7}{entry['file']:40}{figures}", flush=True)
            for line in wrong:
                print(f"       {line}")
            checked += 1
            failed += bool(wrong)
    print(f"{checked} files, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
