"""The plates of a body built, meshed and written by another geometry kernel (OCCT, PyPI `cadquery-ocp`).

Works from the dimensions that `plate_dimensions` prints, never from a mesh or a solid of this project. Where
there is a choice the kernel is given the cheaper way: openings of flat plates are inner wires and no cuts,
boilers are turned with their bands on, sheet that bends about parallel lines is one prism, all cuts of a plate
are one operation, one rivet of each size is meshed and then only placed, and exchange files carry neither
rivets nor parameter curves.
"""

import math

import numpy as np
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeVertex
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepOffsetAPI import BRepOffsetAPI_ThruSections
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.collections import (
    IndexedDataMap_TCollection_AsciiString_TCollection_AsciiString as FileInfo,
)
from OCP.collections import List_TopoDS_Shape
from OCP.GC import GC_MakeArcOfCircle
from OCP.GeomAbs import GeomAbs_Line, GeomAbs_Plane
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_ProgressRange
from OCP.RWGltf import RWGltf_CafWriter
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Controller, STEPControl_Writer
from OCP.StlAPI import StlAPI_Writer
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Wire
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool

# How finely rivets alone are meshed: six-sided, as they are here.
RIVET_CHORD_MM, RIVET_ANGLE_RAD = 0.1, 1.1
# The kernel's own default of the angle between neighbouring facets.
ANGLE_RAD = 0.5
# How far a rivet that is to become one with its plate reaches into it: without that the kernel's union fails.
SKIRT_MM = 0.05
# How far a cutting tool stands out of the metal, so that no face of it lies on a face of the plate.
CLEAR_MM = 0.2

TO_FACE = TopoDS.Face if hasattr(TopoDS, "Face") else TopoDS.Face_s
TO_EDGE = TopoDS.Edge if hasattr(TopoDS, "Edge") else TopoDS.Edge_s
TO_WIRE = TopoDS.Wire if hasattr(TopoDS, "Wire") else TopoDS.Wire_s


def quieten():
    """No statistics on standard output, and exchange files without parameter curves."""
    messenger = Message.DefaultMessenger_s()
    messenger.RemovePrinters(messenger.Printers().First().DynamicType()) if messenger.Printers().Size() else None
    STEPControl_Controller.Init_s()
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)


# --- curves, wires and faces -----------------------------------------------------------------------------


def pnt(p):
    return gp_Pnt(float(p[0]), float(p[1]), float(p[2]))


def direction(v):
    return gp_Dir(float(v[0]), float(v[1]), float(v[2]))


def vec(v):
    return gp_Vec(float(v[0]), float(v[1]), float(v[2]))


def wire_of(segments):
    """A closed wire of lines (two points) and arcs (three), each beginning where the one before ends."""
    builder = BRep_Builder()
    wire = TopoDS_Wire()
    builder.MakeWire(wire)
    vertices = [BRepBuilderAPI_MakeVertex(pnt(segment[0])).Vertex() for segment in segments]
    for i, segment in enumerate(segments):
        start, end = vertices[i], vertices[(i + 1) % len(segments)]
        if len(segment) == 2:
            edge = BRepBuilderAPI_MakeEdge(start, end)
        else:
            arc = GC_MakeArcOfCircle(*(pnt(p) for p in segment)).Value()
            edge = BRepBuilderAPI_MakeEdge(arc, start, end)
        builder.Add(wire, edge.Edge())
    wire.Closed(True)
    return wire


def circle_wire(centre, normal, radius):
    builder = BRep_Builder()
    wire = TopoDS_Wire()
    builder.MakeWire(wire)
    circle = gp_Circ(gp_Ax2(pnt(centre), direction(normal)), float(radius))
    builder.Add(wire, BRepBuilderAPI_MakeEdge(circle).Edge())
    wire.Closed(True)
    return wire


class Frame:
    """A plane in space with axes; heights are measured along its normal."""

    def __init__(self, own):
        self.origin, self.x, self.normal = (np.array(own[key]) for key in ("origin", "x", "normal"))
        self.y = np.cross(self.normal, self.x)

    def at(self, x, y, z):
        return self.origin + self.x * x + self.y * y + self.normal * z

    def boundary(self, drawn, z):
        """A wire of what is drawn in the plane, at a height."""
        segments = [list(zip(s[0::2], s[1::2])) for s in drawn]
        if len(segments) == 2 and all(len(s) == 3 for s in segments):
            (x0, y0), (x1, y1) = segments[0][0], segments[1][0]
            centre = self.at((x0 + x1) / 2, (y0 + y1) / 2, z)
            return circle_wire(centre, self.normal, math.hypot(x1 - x0, y1 - y0) / 2)
        return wire_of([[self.at(x, y, z) for x, y in s] for s in segments])

    def prism(self, outline, holes, low, high):
        """What stands over an outline with openings, from one height to another."""
        plane = gp_Pln(pnt(self.at(0, 0, low)), direction(self.normal))
        face = BRepBuilderAPI_MakeFace(plane, self.boundary(outline, low), True)
        for hole in holes:
            face.Add(TO_WIRE(self.boundary(hole, low).Reversed()))
        return BRepPrimAPI_MakePrism(face.Face(), vec(self.normal * (high - low))).Shape()


# --- plates ----------------------------------------------------------------------------------------------


def cut(shape, tools):
    return combine(BRepAlgoAPI_Cut(), [shape], tools) if tools else shape


def combine(operation, arguments, tools):
    for setter, shapes in ((operation.SetArguments, arguments), (operation.SetTools, tools)):
        own = List_TopoDS_Shape()
        for shape in shapes:
            own.Append(shape)
        setter(own)
    operation.SetRunParallel(False)
    operation.SetToFillHistory(False)
    operation.Build(Message_ProgressRange())
    if not operation.IsDone():
        raise RuntimeError("the kernel's cut failed")
    found = solids(operation.Shape())
    if len(found) != 1:
        raise RuntimeError(f"the kernel's cut left {len(found)} solids")
    return found[0]


def solids(shape):
    explorer = TopExp_Explorer(shape, TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def flat_plate(plate, shape):
    low, high = plate["z_low"], plate["z_high"]
    frame = Frame(shape["frame"])
    solid = frame.prism(shape["outline"], shape["holes"], low, high)
    return cut(solid, [pocket(frame, region, low, high) for region in shape["regions"]])


def pocket(frame, region, low, high):
    """What a half-etched place takes away."""
    if region["z_high"] < high:
        return frame.prism(region["boundary"], [], region["z_high"], high + CLEAR_MM)
    return frame.prism(region["boundary"], [], low - CLEAR_MM, region["z_low"])


def folded_plate(plate, shape):
    legs = [
        Frame(leg["frame"]).prism(leg["outline"], leg["holes"], plate["z_low"], plate["z_high"])
        for leg in shape["legs"]
    ]
    webs = [
        swept(ring(web["cells"], web["z_low"], web["z_high"], None), web["cells"]) for web in shape["webs"]
    ]
    return combine(BRepAlgoAPI_Fuse(), legs[:1], legs[1:] + webs)


class Cell:
    """Part of a plane or cone: three rulings with their normals."""

    def __init__(self, own):
        self.front, self.rear, self.normals = (np.array(own[key]) for key in ("front", "rear", "normals"))
        self.bent, self.turn = own["bent"], own["turn"]

    def rows(self, z, axis):
        """Start, middle and end of a skin's front and rear side, slid along rulings into the section planes."""
        sides = []
        for points, rulings in ((self.front, self.rear - self.front), (self.rear, self.rear - self.front)):
            side = points + self.normals * z
            if axis is not None:
                lean = (self.normals * z) @ axis / (rulings @ axis)
                side = side - rulings * lean[:, None]
            sides.append(side)
        return sides

    def run(self, side):
        return [side[0], side[1], side[2]] if self.bent else [side[0], side[2]]


def ring(cells, low, high, axis):
    """Closed runs round the metal at its front and at its rear."""
    cells = [Cell(own) for own in cells]
    rings = []
    for end in (0, 1):
        outer = [cell.run(cell.rows(high, axis)[end]) for cell in cells]
        inner = [cell.run(cell.rows(low, axis)[end])[::-1] for cell in cells[::-1]]
        rings.append(outer + [[outer[-1][-1], inner[0][0]]] + inner + [[inner[-1][-1], outer[0][0]]])
    return rings


def swept(rings, cells):
    """The solid between two rings: a prism if they are alike, else ruled."""
    rulings = np.array([np.array(c["rear"]) - np.array(c["front"]) for c in cells]).reshape(-1, 3)
    if np.abs(rulings - rulings[0]).max() < 1e-9:
        face = BRepBuilderAPI_MakeFace(wire_of(rings[0]), True).Face()
        return BRepPrimAPI_MakePrism(face, vec(rulings[0])).Shape()
    sections = BRepOffsetAPI_ThruSections(True, True, 1e-6)
    sections.CheckCompatibility(False)
    for own in rings:
        sections.AddWire(wire_of(own))
    sections.Build()
    return sections.Shape()


def turned(plate, shape):
    """Sheet about one axis: its section along a ruling, turned."""
    cell = Cell(shape["cells"][0])
    is_whole = abs(abs(cell.turn) - 2 * math.pi) < 1e-9
    centres = [centre_of(side, is_whole) for side in (cell.front, cell.rear)]
    along = (centres[1] - centres[0]) / np.linalg.norm(centres[1] - centres[0])
    start, ruling = cell.front[0], cell.rear[0] - cell.front[0]

    def corner(v, z):
        return start + ruling * v + cell.normals[0] * z

    low, high = plate["z_low"], plate["z_high"]
    outer = [(0.0, high)]
    bands = [own for own in shape["regions"] if own["z_high"] > high]
    for band in sorted(bands, key=lambda own: share(own["cells"][0]["front"][0], start, ruling)):
        own = band["cells"][0]
        for v, heights in (
            (share(own["front"][0], start, ruling), (high, band["z_high"])),
            (share(own["rear"][0], start, ruling), (band["z_high"], high)),
        ):
            outer += [(v, z) for z in heights]
    corners = [corner(v, z) for v, z in outer + [(1.0, high), (1.0, low), (0.0, low)]]
    face = BRepBuilderAPI_MakeFace(
        wire_of([[a, b] for a, b in zip(corners, corners[1:] + corners[:1])]), True
    ).Face()
    spokes = cell.front[0] - centres[0], cell.front[1] - centres[0]
    axis = along if is_whole or np.cross(*spokes) @ along > 0 else -along
    axis = gp_Ax1(pnt(centres[0]), direction(axis))
    if is_whole:
        return BRepPrimAPI_MakeRevol(face, axis).Shape()
    return BRepPrimAPI_MakeRevol(face, axis, abs(cell.turn)).Shape()


def share(point, start, ruling):
    return float((np.array(point) - start) @ ruling / (ruling @ ruling))


def centre_of(side, is_whole):
    """Centre of the circle through three points, the last the first again for a whole one."""
    if is_whole:
        return (side[0] + side[1]) / 2
    a, b, c = side
    u, v = b - a, c - a
    w = np.cross(u, v)
    return a + (np.cross(w, u) * (v @ v) + np.cross(v, w) * (u @ u)) / (2 * (w @ w))


def rolled_plate(plate, shape):
    low, high = plate["z_low"], plate["z_high"]
    cells, axis = shape["cells"], np.array(shape["axis"])
    if len(cells) == 1 and cells[0]["bent"]:
        solid = turned(plate, shape)
    else:
        solid = swept(ring(cells, low, high, axis), cells)
    tools = [punch(hole, high - low) for hole in shape["holes"]]
    tools += [mark(region, low, high, axis) for region in shape["regions"] if region["z_high"] <= high]
    return cut(solid, tools)


def punch(hole, thickness):
    if "through" in hole:
        reach = thickness + hole["radius"]
        out = np.array(hole["direction"])
        foot = gp_Ax2(pnt(np.array(hole["through"]) - out * reach), direction(out))
        return BRepPrimAPI_MakeCylinder(foot, hole["radius"], 2 * reach).Shape()
    return Frame(hole["frame"]).prism(hole["boundary"], [], -2 * thickness, 2 * thickness)


def mark(region, low, high, axis):
    """What a half-etched tick at an end of bent metal takes away."""
    inside = region["z_low"] > low
    heights = (low - CLEAR_MM, region["z_low"]) if inside else (region["z_high"], high + CLEAR_MM)
    # Standing out of the end of the metal; which end it is does not matter to the metal beyond the other.
    cells = [extended(own, region) for own in region["cells"]]
    return swept(ring(cells, *heights, axis), cells)


def extended(cell, region):
    front, rear = np.array(cell["front"]), np.array(cell["rear"])
    ruling = (rear - front) / np.linalg.norm(rear - front, axis=1)[:, None]
    at_front, at_rear = region["at_front"], region["at_rear"]
    return dict(
        cell,
        front=(front - ruling * (CLEAR_MM if at_front else 0.0)).tolist(),
        rear=(rear + ruling * (CLEAR_MM if at_rear else 0.0)).tolist(),
    )


MAKERS = {"flat": flat_plate, "folded": folded_plate, "rolled": rolled_plate}


# --- stages ----------------------------------------------------------------------------------------------


class Made:
    """Plates as solids, and what is meshed and shown of them with their rivets."""

    def __init__(self, solids_, heads, shown):
        self.solids, self.heads, self.shown = solids_, heads, shown

    def to_mesh(self):
        """Every solid that is meshed finely, once."""
        return self.shown if self.heads == [] else self.solids


def build(plates, fused):
    """Solids of all plates. Rivets are placed on them, each a solid of its own, or `fused` with them."""
    made, heads, shown = [], {}, []
    for plate in plates:
        try:
            made.append(MAKERS[plate["shape"]["kind"]](plate, plate["shape"]))
        except Exception as error:
            raise RuntimeError(f"{plate['id']}: {error}") from error
    builder = BRep_Builder()
    for plate, solid in zip(plates, made):
        own = [placed_head(rivet, heads, SKIRT_MM if fused else 0.0) for rivet in plate["rivets"]]
        if fused:
            shown.append(combine(BRepAlgoAPI_Fuse(), [solid], own) if own else solid)
            continue
        compound = TopoDS_Compound()
        builder.MakeCompound(compound)
        for part in [solid, *own]:
            builder.Add(compound, part)
        shown.append(compound)
    return Made(made, [] if fused else list(heads.values()), shown)


def placed_head(rivet, heads, skirt):
    """A rivet in its place; one of each size is made."""
    size = rivet["radius"], rivet["height"]
    if size not in heads:
        heads[size] = head(*size, skirt)
    place = gp_Trsf()
    place.SetTransformation(gp_Ax3(pnt(rivet["centre"]), direction(rivet["normal"])), gp_Ax3())
    return heads[size].Moved(TopLoc_Location(place))


def head(radius, height, skirt):
    """A cap of a sphere on the plane z = 0, and under it a cylinder as deep as the skirt."""
    angle = 2 * math.atan2(height, radius)
    ball = radius / math.sin(angle)
    half = angle / 2
    middle = (ball * math.sin(half), 0, height - ball + ball * math.cos(half))
    rim, top, foot = (radius, 0, 0), (0, 0, height), (0, 0, -skirt)
    below = [[foot, (radius, 0, -skirt)], [(radius, 0, -skirt), rim]] if skirt else [[foot, rim]]
    wire = wire_of([*below, [rim, middle, top], [top, foot]])
    face = BRepBuilderAPI_MakeFace(wire, True).Face()
    return BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()


def mesh(made, chord_error, parallel):
    for own in made.heads:
        BRepMesh_IncrementalMesh(own, RIVET_CHORD_MM, False, RIVET_ANGLE_RAD, parallel)
    # The widest facets that are asked for anywhere: heads that are one with their plates are as coarse as others.
    angle = ANGLE_RAD if made.heads else RIVET_ANGLE_RAD
    if parallel:
        builder = BRep_Builder()
        whole = TopoDS_Compound()
        builder.MakeCompound(whole)
        for solid in made.to_mesh():
            builder.Add(whole, solid)
        BRepMesh_IncrementalMesh(whole, chord_error, False, angle, True)
        return
    for solid in made.to_mesh():
        BRepMesh_IncrementalMesh(solid, chord_error, False, angle, False)


def write_stl(plates, compounds, folder):
    for plate, shape in zip(plates, compounds):
        writer = StlAPI_Writer()
        writer.ASCIIMode = False
        if not writer.Write(shape, str(folder / f"{plate['id']}.stl")):
            raise RuntimeError(f"{plate['id']}: the kernel's STL failed")


def write_glb(plates, compounds, file):
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    for plate, shape in zip(plates, compounds):
        label = tool.AddShape(shape, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(plate["id"]))
    writer = RWGltf_CafWriter(TCollection_AsciiString(str(file)), True)
    if not writer.Perform(document, FileInfo(), Message_ProgressRange()):
        raise RuntimeError("the kernel's GLB failed")


def write_step(plates, solids_, folder):
    for plate, solid in zip(plates, solids_):
        writer = STEPControl_Writer()
        writer.Transfer(solid, STEPControl_AsIs)
        status = writer.Write(str(folder / f"{plate['id']}.step"))
        if int(getattr(status, "value", status)) != 1:
            raise RuntimeError(f"{plate['id']}: the kernel's STEP failed with {status}")


# --- what came out ---------------------------------------------------------------------------------------


def volume(solid):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, props, 1e-6, False, False)
    return props.Mass()


def is_valid(solid):
    return BRepCheck_Analyzer(solid).IsValid()


def parts(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def triangles(shape):
    location = TopLoc_Location()
    found = (BRep_Tool.Triangulation_s(TO_FACE(face), location) for face in parts(shape, TopAbs_FACE))
    return sum(own.NbTriangles() for own in found if own is not None)


# Shares of a triangle's corners at which its distance is measured: those of `PlateMesh::measure_chord_error`.
SAMPLES = np.array(
    [[1, 1, 1], [1.5, 1.5, 0], [0, 1.5, 1.5], [1.5, 0, 1.5], [1.5, 0.75, 0.75], [0.75, 1.5, 0.75], [0.75, 0.75, 1.5]]
) / 3


def chord_error(solid):
    """Greatest distance of a curved face's triangles from the face, along its normal."""
    greatest = 0.0
    for face in map(TO_FACE, parts(solid, TopAbs_FACE)):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() == GeomAbs_Plane:
            continue
        location = TopLoc_Location()
        mesh_ = BRep_Tool.Triangulation_s(face, location)
        place = location.Transformation()
        count = mesh_.NbNodes()
        nodes = [mesh_.Node(i + 1).Transformed(place) for i in range(count)]
        nodes = np.array([[p.X(), p.Y(), p.Z()] for p in nodes])
        uv = np.array([[(q := mesh_.UVNode(i + 1)).X(), q.Y()] for i in range(count)])
        for k in range(1, mesh_.NbTriangles() + 1):
            corners = [i - 1 for i in mesh_.Triangle(k).Get()]
            for point, (u, v) in zip(SAMPLES @ nodes[corners], SAMPLES @ uv[corners]):
                true, along, across = gp_Pnt(), gp_Vec(), gp_Vec()
                surface.D1(float(u), float(v), true, along, across)
                normal = along.Crossed(across)
                if normal.Magnitude() < 1e-12:
                    continue
                off = gp_Vec(true, pnt(point)).Dot(normal.Normalized())
                greatest = max(greatest, abs(off))
    return greatest


def edge_error(solid):
    """Greatest distance of the middle of a chord from its curved edge."""
    greatest = 0.0
    for face in map(TO_FACE, parts(solid, TopAbs_FACE)):
        location = TopLoc_Location()
        mesh_ = BRep_Tool.Triangulation_s(face, location)
        for edge in map(TO_EDGE, parts(face, TopAbs_EDGE)):
            if BRep_Tool.Degenerated_s(edge):
                continue
            curve = BRepAdaptor_Curve(edge)
            if curve.GetType() == GeomAbs_Line:
                continue
            polygon = BRep_Tool.PolygonOnTriangulation_s(edge, mesh_, location)
            if polygon is None or not polygon.HasParameters():
                continue
            for i in range(1, polygon.NbNodes()):
                t0, t1 = polygon.Parameter(i), polygon.Parameter(i + 1)
                ends = curve.Value(t0), curve.Value(t1)
                middle = gp_Pnt(*((getattr(ends[0], c)() + getattr(ends[1], c)()) / 2 for c in "XYZ"))
                greatest = max(greatest, middle.Distance(curve.Value((t0 + t1) / 2)))
    return greatest
