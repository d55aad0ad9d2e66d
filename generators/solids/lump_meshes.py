"""Boxes, rods, hulls and turned bodies as closed triangle meshes; no kernel. Vehicle frame, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from generators.space.lumps import Lump, Turned, box_solid, lumps, square_to
from generators.space.pieces import Array, Box, Hull, Piece, Rod

CHORD_MM = 0.1
"""How far a chord of a drawn round may lie off it."""

Faces = NDArray[np.int64]


def chords(radius_mm: float, angle_rad: float) -> int:
    """Chords for an arc that stays within ``CHORD_MM`` of them, none of more than a quarter turn."""
    one = 2 * math.acos(max(1.0 - CHORD_MM / radius_mm, math.cos(math.pi / 4)))
    return max(1, math.ceil(angle_rad / one - 1e-9))


def corners_round(radius_mm: float) -> int:
    """Corners of a drawn circle, in fours and at least eight."""
    return 4 * max(2, chords(radius_mm, math.pi / 2))


def body_mesh(pieces: Sequence[Piece]) -> tuple[Array, Faces]:
    """Points (n, 3) and triangles (m, 3) of a body: one closed mesh for each of its solids, side by side."""
    points: list[Array] = []
    faces: list[Faces] = []
    first = 0
    for lump in lumps(pieces):
        corners, triangles = lump_mesh(lump)
        points.append(corners)
        faces.append(triangles.astype(np.int64) + first)
        first += len(corners)
    return np.vstack(points), np.vstack(faces)


def lump_mesh(lump: Lump) -> tuple[Array, NDArray[np.integer]]:
    """Points and triangles of one solid, counter-clockwise from outside."""
    match lump:
        case Box():
            return box_solid(lump)
        case Hull():
            return lump.solid
        case Turned():
            return _lathe(lump.base, lump.axis, lump.corners)
        case Rod():
            length, radius = math.dist(lump.start, lump.end), lump.radius_mm
            corners = [(0.0, 0.0), (radius, 0.0), (radius, length), (0.0, length)]
            if lump.round_ends:
                turns = np.linspace(0.0, math.pi / 2, chords(radius, math.pi / 2) + 1)[1:-1].tolist()
                bottom = [(radius * math.sin(t), -radius * math.cos(t)) for t in turns]
                top = [(r, length - s) for r, s in reversed(bottom)]
                middle = [(radius, 0.0)] + ([(radius, length)] if length > 1e-6 else [])
                corners = [(0.0, -radius), *bottom, *middle, *top, (0.0, length + radius)]
            return _lathe(np.array(lump.start), lump.pose[:3, 2], corners)


def _lathe(base: Array, axis: Array, corners: Sequence[tuple[float, float]]) -> tuple[Array, Faces]:
    """A section (radius, station) from axis to axis, turned once."""
    side = square_to(axis)
    count = corners_round(max(r for r, _ in corners))
    angles = 2 * math.pi * np.arange(count) / count
    ring = np.outer(np.cos(angles), side) + np.outer(np.sin(angles), np.cross(axis, side))
    rings = [base + axis * s + ring * r for r, s in corners[1:-1]]
    poles = [base + axis * corners[0][1], base + axis * corners[-1][1]]
    points = np.vstack([*rings, *poles])
    i = np.arange(count)
    j = (i + 1) % count
    first, last = len(rings) * count, len(rings) * count + 1
    faces = [np.column_stack([np.full(count, first), j, i])]
    for row in range(len(rings) - 1):
        a, b, c, d = row * count + i, row * count + j, (row + 1) * count + j, (row + 1) * count + i
        faces += [np.column_stack([a, b, c]), np.column_stack([a, c, d])]
    top = (len(rings) - 1) * count
    faces.append(np.column_stack([np.full(count, last), top + i, top + j]))
    return points, np.vstack(faces).astype(np.int64)
