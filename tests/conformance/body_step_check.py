"""Reads the STEP file of a whole body with another geometry kernel (OCCT, PyPI `cadquery-ocp`).

    python3 tests/conformance/body_step_check.py FOLDER ...

Each folder is a build's. Its `body.step` must be read without a fault, hold one engine with its sub-assemblies
and under them exactly the plates that `solids/measures.json` lists, each one valid solid of the plate's name, with a
colour, of the volume stated there within 1e-5, inside the box stated there within 0.01 mm.
Exit status 1 if a file fails.
"""

import json
import sys
from pathlib import Path

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.Quantity import Quantity_Color
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.XCAFDoc import XCAFDoc_ColorGen, XCAFDoc_ColorSurf, XCAFDoc_DocumentTool

try:
    from OCP.TDF import TDF_LabelSequence
except ImportError:
    from OCP.collections import Sequence_TDF_Label as TDF_LabelSequence
from OCP.TDF import TDF_Label

VOLUME_RELATIVE = 1e-5
BOX_MM = 0.01


def labels(sequence):
    return [sequence.Value(i) for i in range(1, sequence.Length() + 1)]


def name_of(label):
    name = TDataStd_Name()
    return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""


def components(shapes, label):
    """Parts of a sub-assembly: the name of each there, and what it refers to."""
    found = TDF_LabelSequence()
    shapes.GetComponents_s(label, found)
    parts = []
    for own in labels(found):
        target = TDF_Label()
        parts.append((name_of(own), target if shapes.GetReferredShape_s(own, target) else own))
    return parts


def solids(shape):
    explorer, found = TopExp_Explorer(shape, TopAbs_SOLID), []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def coloured(colours, shape):
    colour = Quantity_Color()
    return any(
        colours.GetColor(own, kind, colour)
        for own in [shape, *solids(shape)]
        for kind in (XCAFDoc_ColorGen, XCAFDoc_ColorSurf)
    )


def check_plate(shapes, colours, label, want):
    wrong = []
    shape = shapes.GetShape_s(label)
    if len(solids(shape)) != 1:
        wrong.append(f"{len(solids(shape))} solids")
    if not BRepCheck_Analyzer(shape).IsValid():
        wrong.append("not valid")
    if not coloured(colours, shape):
        wrong.append("no colour")
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, VOLUME_RELATIVE / 100, False, False)
    off = props.Mass() / want["volume_mm3"] - 1
    if not abs(off) <= VOLUME_RELATIVE:
        wrong.append(f"volume off by {off:+.1e}")
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, True, False)
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    corners = [low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z()]
    for got, meant in zip(corners, want["low_mm"] + want["high_mm"]):
        if abs(got - meant) > BOX_MM:
            wrong.append(f"box at {got:.3f} instead of {meant:.3f} mm")
    return wrong


def check(folder):
    meant = {own["name"]: own for own in json.loads((folder / "solids/measures.json").read_text())}
    document = TDocStd_Document(TCollection_ExtendedString("body"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(True)
    status = reader.ReadFile(str(folder / "body.step"))
    if int(getattr(status, "value", status)) != 1 or not reader.Transfer(document):
        return [f"read status {status}"], ""
    if not reader.Reader().WS().ModelCheckList(True).IsEmpty(True):
        return ["the reader reports faults of the header or of entities"], ""
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    free = TDF_LabelSequence()
    shapes.GetFreeShapes(free)
    wrong, names, groups = [], [], []
    if free.Length() != 1:
        return [f"{free.Length()} roots"], ""
    for title, group in components(shapes, free.Value(1)):
        groups.append(title)
        for name, plate in components(shapes, group):
            names.append(name)
            if name in meant:
                faults = check_plate(shapes, colours, plate, meant[name])
                wrong.extend(f"{name}: {fault}" for fault in faults)
    if sorted(names) != sorted(meant):
        wrong.append(f"plates differ: {sorted(set(names) ^ set(meant))}")
    return wrong, f"{name_of(free.Value(1))}: {len(groups)} sub-assemblies, {len(names)} plates"


failed = False
for argument in sys.argv[1:]:
    folder = Path(argument)
    wrong, about = check(folder)
    for fault in wrong:
        print(f"{folder / 'body.step'}: {fault}")
    print(f"body_step_check: {about}, {len(wrong)} faults")
    failed |= bool(wrong)
sys.exit(1 if failed else 0)
