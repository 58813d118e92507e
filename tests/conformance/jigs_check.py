#!/usr/bin/env python3
"""Jigs of build folders, held by other libraries against what they must be.

Usage: jigs_check.py FOLDER...
A folder is what `platework build --out` writes. For every jig: its 3MF is read by lib3mf in strict mode
without a warning, in millimetres, one object a piece; each object is watertight with positive volume, is
as many solids as stated, has the stated volume, keeps the least wall and fits the bed (trimesh, numpy).
Blanks have their volume in closed form or by quadrature. The firebox wrapper, laid on its soldering block
mesh to mesh, leaves between nothing and the film of solder everywhere. Bends of forming tools are sprung
back by the published formula and must land on what is wanted. Exit status 1 with a list of faults.
"""

import json
import pathlib
import sys

import lib3mf
import numpy as np
import trimesh

# Walls between letters are engraving, not walls: only faces at least so large count (mm²).
WALL_FACE_MM2 = 3.0
WALL_RAYS = 250
JIG_CHORD_MM = 0.002


def objects(path, faults):
    """Name and mesh of each object of a 3MF, read strictly."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    if reader.GetWarningCount():
        faults.append(f"{path}: lib3mf has {reader.GetWarningCount()} warnings, the first: {reader.GetWarning(0)[0]}")
    if model.GetUnit() != lib3mf.ModelUnit.MilliMeter:
        faults.append(f"{path}: is not in millimetres")
    found = []
    each = model.GetMeshObjects()
    while each.MoveNext():
        own = each.GetCurrentMeshObject()
        if not own.IsManifoldAndOriented():
            faults.append(f"{path}: {own.GetName()} is not a manifold")
        vertices = np.array([list(v.Coordinates) for v in own.GetVertices()])
        triangles = np.array([list(t.Indices) for t in own.GetTriangleIndices()])
        found.append((own.GetName(), trimesh.Trimesh(vertices, triangles, process=False)))
    return found


def ray_lengths(mesh, origins, directions):
    """Length of each ray to the mesh and the face hit (Möller and Trumbore); infinite where there is none."""
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    p, q = b - a, c - a
    lengths, faces = [], []
    for origin, ray in zip(origins, directions):
        h = np.cross(ray, q)
        det = np.einsum("ij,ij->i", p, h)
        with np.errstate(all="ignore"):
            s = origin - a
            u = np.einsum("ij,ij->i", s, h) / det
            k = np.cross(s, p)
            v = np.einsum("j,ij->i", ray, k) / det
            length = np.einsum("ij,ij->i", q, k) / det
            hit = (np.abs(det) > 1e-14) & (u >= 0) & (v >= 0) & (u + v <= 1) & (length > 1e-5)
        length = np.where(hit, length, np.inf)
        nearest = int(np.argmin(length))
        lengths.append(length[nearest])
        faces.append(nearest)
    return np.array(lengths), np.array(faces)


def thinnest(mesh):
    """Least wall between large faces that look away from each other."""
    order = np.argsort(-mesh.area_faces)[:WALL_RAYS]
    order = order[mesh.area_faces[order] >= WALL_FACE_MM2]
    if len(order) == 0:
        return np.inf
    normals = mesh.face_normals[order]
    lengths, faces = ray_lengths(mesh, mesh.triangles_center[order], -normals)
    facing = np.einsum("ij,ij->i", mesh.face_normals[faces], normals) < -0.906
    large = mesh.area_faces[faces] >= WALL_FACE_MM2
    walls = lengths[facing & large & np.isfinite(lengths)]
    return walls.min() if len(walls) else np.inf


def piece_faults(where, mesh, piece, printer):
    scale = printer["printed_scale"]
    found = []
    if not (mesh.is_watertight and mesh.is_winding_consistent):
        found.append("is not watertight")
    if not mesh.volume > 0.0:
        found.append(f"encloses {mesh.volume:.3f} mm³")
    if mesh.body_count != piece["solids"]:
        found.append(f"is {mesh.body_count} solids, {piece['solids']} stated")
    want = piece["volume_mm3"] * scale**3
    if abs(mesh.volume - want) > 1e-4 * want + 0.01:
        found.append(f"encloses {mesh.volume:.3f} mm³, {want:.3f} stated")
    size = mesh.extents
    bed = printer["bed_mm"]
    lies = (size[0] <= bed[0] and size[1] <= bed[1]) or (size[1] <= bed[0] and size[0] <= bed[1])
    if not lies or size[2] > bed[2]:
        found.append(f"of {size.round(1)} mm does not fit the bed")
    wall = thinnest(mesh)
    if wall < printer["least_wall_mm"] - 0.02:
        found.append(f"has a wall of {wall:.3f} mm")
    blank = piece["blank_volume_mm3"]
    if blank is not None and abs(blank[0] - blank[1]) > 1e-3 * blank[1]:
        found.append(f"is cut from a blank of {blank[0]:.2f} mm³, {blank[1]:.2f} in closed form")
    return [f"{where}: {fault}" for fault in found]


def nearest_on(points, mesh):
    """Nearest point of the mesh to each point, and its face, by the distance to each triangle's plane and edges."""
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    places, faces = [], []
    for point in points:
        on = trimesh.triangles.closest_point(mesh.triangles, np.broadcast_to(point, a.shape))
        away = np.linalg.norm(on - point, axis=1)
        nearest = int(np.argmin(away))
        places.append(on[nearest])
        faces.append(nearest)
    return np.array(places), np.array(faces)


def gap_faults(folder, known, facts):
    """Gap between the firebox wrapper and its soldering block."""
    jig = next((jig for jig in known["jigs"] if jig["id"] == "firebox-soldering-block"), None)
    path = folder / "formed" / "firebox-wrapper.stl"
    if jig is None or not path.exists():
        return []
    scale = known["printer"]["printed_scale"]
    found = []
    parts = objects(folder / "jigs" / "firebox-soldering-block.3mf", found)
    blocks = []
    for (name, mesh), piece in zip(parts, jig["pieces"]):
        # As it should come out of the printer, its least corner at the origin, then in its place.
        vertices = mesh.vertices / scale
        if abs(np.ptp(vertices[:, 0]) - piece["size_mm"][0]) > 0.01:
            # Laid on the bed turned by a quarter: turned back.
            vertices = np.c_[vertices[:, 1], -vertices[:, 0], vertices[:, 2]]
        vertices = vertices - vertices.min(axis=0)
        origin, *axes = (np.array(row) for row in piece["to_body"])
        blocks.append(trimesh.Trimesh(origin + vertices @ np.array(axes), mesh.faces, process=False))
    block = trimesh.util.concatenate(blocks)
    wrapper = trimesh.load(path)
    rng = np.random.default_rng(1)
    thickness = facts["thickness_mm"]
    low, high = block.bounds
    weights = wrapper.area_faces / wrapper.area_faces.sum()
    chosen = rng.choice(len(wrapper.faces), 2500, p=weights)
    u, v = rng.random((2, len(chosen)))
    u, v = np.where(u + v > 1, 1 - u, u), np.where(u + v > 1, 1 - v, v)
    t = wrapper.triangles[chosen]
    points = t[:, 0] + u[:, None] * (t[:, 1] - t[:, 0]) + v[:, None] * (t[:, 2] - t[:, 0])
    # Over the block's own length, and beside the groove of its centre line.
    keep = (points[:, 0] > low[0] + 1.2) & (points[:, 0] < high[0] - 0.2) & (np.abs(points[:, 1]) > 1.0)
    points, normals = points[keep], wrapper.face_normals[chosen][keep]
    on, faces = nearest_on(points, block)
    outward = block.face_normals[faces]
    gaps = np.einsum("ij,ij->i", points - on, outward)
    inner = (np.einsum("ij,ij->i", normals, outward) < -0.95) & (np.abs(gaps) < 0.8 * thickness)
    gaps = gaps[inner]
    film = known["film_mm"]
    error = facts["mesh"]["chord_error_mm"] + 2.0 * JIG_CHORD_MM
    print(f"{folder}: wrapper on its block: {len(gaps)} places, gap {gaps.min():.4f} to {gaps.max():.4f} mm, film {film} mm")
    if len(gaps) < 300:
        found.append(f"{folder}: only {len(gaps)} places of the wrapper lie over its block")
    if gaps.min() < -error or gaps.max() > film + error:
        found.append(f"{folder}: the wrapper is {gaps.min():.4f} to {gaps.max():.4f} mm off its block, 0 to {film} wanted")
    return found


def bend_faults(jig):
    """Bends of a tool sprung back: R_i/R_f = 4X³ − 3X + 1, X = R_i Y/(E T); the neutral line keeps its length."""
    found = []
    for forming in jig.get("forming", []):
        t, y, e = forming["thickness_mm"], forming["yield_mpa"], forming["elasticity_mpa"]
        for bend in forming["bends"]:
            tool = bend["tool_radius_mm"]
            if bend["by_hand"]:
                continue
            x = tool * y / (e * t)
            left = tool / (4 * x**3 - 3 * x + 1)
            angle = bend["tool_angle_deg"] * (2 * tool / t + 1) / (2 * left / t + 1)
            if abs(left - bend["wanted_radius_mm"]) > 1e-3 or abs(angle - bend["wanted_angle_deg"]) > 1e-2:
                found.append(f"{jig['id']}: {forming['plate']} springs back to {left:.4f} mm, {angle:.3f}°, not to {bend}")
    return found


def folder_faults(folder):
    known = json.loads((folder / "jigs" / "jigs.json").read_text())
    plates = {plate["id"]: plate for plate in json.loads((folder / "report.json").read_text())["plates"]}
    found = [f"{folder}: {jig['id']} is refused: {jig['reason']}" for jig in known["refused"]]
    count = 0
    for jig in known["jigs"]:
        path = folder / "jigs" / f"{jig['id']}.3mf"
        parts = objects(path, found)
        names = [name for name, _ in parts]
        if names != [f"{jig['id']}/{piece['name']}" for piece in jig["pieces"]]:
            found.append(f"{path}: holds {names}")
            continue
        for (name, mesh), piece in zip(parts, jig["pieces"]):
            count += 1
            found += piece_faults(f"{folder}: {name}", mesh, piece, known["printer"])
        found += bend_faults(jig)
    laid = 0
    for path in sorted((folder / "jigs").glob("bed-*.3mf")):
        boxes = [mesh.bounds[:, :2] for _, mesh in objects(path, found)]
        laid += len(boxes)
        bed = known["printer"]["bed_mm"]
        for i, (low, high) in enumerate(boxes):
            if (low < -1e-6).any() or high[0] > bed[0] + 1e-6 or high[1] > bed[1] + 1e-6:
                found.append(f"{path}: object {i} hangs over the bed")
            for other_low, other_high in boxes[:i]:
                if (low < other_high).all() and (other_low < high).all():
                    found.append(f"{path}: objects lie on each other")
    if laid != count:
        found.append(f"{folder}: {laid} of {count} pieces lie on beds")
    if "firebox-wrapper" in plates:
        found += gap_faults(folder, known, plates["firebox-wrapper"])
    return len(known["jigs"]), count, found


def main():
    if len(sys.argv) < 2:
        print(__doc__, file=sys.stderr)
        return 2
    wrong = 0
    for folder in map(pathlib.Path, sys.argv[1:]):
        jigs, pieces, found = folder_faults(folder)
        for fault in found:
            print(fault)
        wrong += len(found)
        print(f"jigs_check: {folder}: {jigs} jigs, {pieces} pieces, {len(found)} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
