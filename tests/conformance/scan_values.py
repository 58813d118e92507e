#!/usr/bin/env python3
"""Distances between two meshes by trimesh, for the values in crates/check/tests/scan/meshes.rs.

The meshes are made as that test makes them, and measured at the same points: the corners, which stand for no area where
triangles are large, and the middles of the parts that large triangles are cut into. Needs numpy, trimesh and rtree; run by hand."""

import math

import numpy as np
import trimesh


def lumpy(radius, steps, lump):
    points, faces = [], []
    around = 2 * steps
    for i in range(steps + 1):
        a = math.pi * i / steps
        for k in range(around):
            b = 2 * math.pi * k / around
            r = radius * (1 + lump * math.sin(3 * a) * math.cos(2 * b))
            points.append((r * math.sin(a) * math.cos(b), r * math.sin(a) * math.sin(b), r * math.cos(a)))
    at = lambda i, k: i * around + k % around
    for i in range(steps):
        for k in range(around):
            a, b, c, d = at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1)
            if i + 1 < steps:
                faces.append((a, b, c))
            if i > 0:
                faces.append((a, c, d))
    return np.array(points), np.array(faces)


def samples(points, faces):
    large = np.linalg.norm(points.max(0) - points.min(0)) / 250
    where, weight = [p for p in points], [0.0] * len(points)
    for face in faces:
        a, b, c = points[face]
        area = np.linalg.norm(np.cross(b - a, c - a)) / 2
        longest = max(np.linalg.norm(b - a), np.linalg.norm(c - b), np.linalg.norm(a - c))
        n = 1 if longest <= large else min(max(math.ceil(longest / large), 2), 256)
        if n == 1:
            for i in face:
                weight[i] += area / 3
            continue
        for i in range(n):
            for j in range(n - i):
                for share in (1 / 3, 2 / 3) if i + j + 1 < n else (1 / 3,):
                    where.append(a + (b - a) * (i + share) / n + (c - a) * (j + share) / n)
                    weight.append(area / n**2)
    return np.array(where), np.array(weight)


def one_sided(from_, to):
    where, weight = samples(*from_)
    _, far, _ = trimesh.proximity.closest_point(trimesh.Trimesh(*to, process=False), where)
    return far.max(), (weight * far).sum() / weight.sum(), math.sqrt((weight * far**2).sum() / weight.sum())


if __name__ == "__main__":
    plain, own = lumpy(10, 10, 0), lumpy(10, 14, 0.03)
    for name, values in (("from lumpy", one_sided(own, plain)), ("from plain", one_sided(plain, own))):
        print(name, "greatest %.9f mean %.9f rms %.9f" % values)
