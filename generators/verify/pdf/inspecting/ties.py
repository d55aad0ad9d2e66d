"""Rows that tie a bent flange's holes to those of the flange it is bent off, along the fold between them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.model.plan import Hole, PartPlan
from generators.sheetmetal.folding import folded_frames

SHAFTED = {"bore", "pivot"}
LEAST_SINE = 1e-5
"""Faces nearer to parallel than that have no fold one could measure along: a hem's."""

IN_LINE_MM = 0.01
TWO = 2

Row = tuple[str, str, str, float, float, float]
"""Key, words, instrument, and nominal, least and most in mm."""


class _Centre(NamedTuple):
    number: int
    hole: Hole
    at: Matrix
    flange: str
    normal: Matrix


def wanted_ties(plan: PartPlan) -> Iterator[Row]:
    """Each bore, else the hole furthest from its bend, and what two bores in line differ by."""
    if plan.printed or not plan.bends:
        return
    frames = folded_frames(plan)
    centres = _centres(plan, frames)
    off = plan.bent_mm
    seen: list[tuple[_Centre, _Centre]] = []
    for flange in plan.flanges:
        for bend in (b for b in plan.bends if b.child == flange.name):
            normals = [frames[name][:3, 2] for name in (bend.parent, bend.child)]
            fold: Matrix = np.cross(normals[0], normals[1])
            sine = float(np.linalg.norm(fold))
            if sine < LEAST_SINE:
                continue
            fold = fold / sine
            mated = [c for c in centres[bend.parent] if c.hole.mates] or centres[bend.parent]
            for own in _looked_at(centres[flange.name], fold, normals[1], frames[flange.name][:3, 3]):
                # a hole tied to a bore in line with this one, so that the two ties tell how askew both are
                middle = [c for c, first in seen if c.flange == bend.parent and _shafted(own, first)]
                ties = [_farthest(own, onto, fold) for onto in (middle, mated)]
                tie = next((t for t in ties if t is not None and t[0] > off), None)
                if tie is None:
                    continue
                far, first = tie
                seen.append((own, first))
                names = " and ".join(n.replace("_", " ") for n in (bend.parent, bend.child))
                words = f"hole {first.number} to hole {own.number} along the fold of {names}"
                yield f"M{own.number}", words, "height gauge, pins, fold up", far, far - off, far + off
    count = 0
    for (one, from_one), (two, from_two) in itertools.combinations(seen, 2):
        met = {one.number, from_one.number} & {two.number, from_two.number}
        loose = [c for c in (one, from_one, two, from_two) if c.number not in met]
        if len(met) == 1 and len(loose) == TWO and _shafted(*loose):
            count += 1
            words = f"difference of M{one.number} and M{two.number}: more, and a bend line is askew"
            yield f"X{count}", words, "the two readings", 0.0, 0.0, plan.position_mm + plan.position_mm


def _farthest(own: _Centre, onto: list[_Centre], fold: Matrix) -> tuple[float, _Centre] | None:
    """The hole farthest along a fold, and how far; of two the first."""
    away = [(round(abs(float(np.dot(own.at - c.at, fold))), 6), -c.number, c) for c in onto]
    if not away:
        return None
    far, _, first = max(away, key=lambda row: row[:2])
    return far, first


def _shafted(one: _Centre, other: _Centre) -> bool:
    """Whether two bores of different flanges take one shaft."""
    if one.flange == other.flange or not {one.hole.fitting.kind, other.hole.fitting.kind} <= SHAFTED:
        return False
    return float(np.linalg.norm(np.cross(other.at - one.at, one.normal))) <= IN_LINE_MM


def _centres(plan: PartPlan, frames: dict[str, Matrix]) -> dict[str, list[_Centre]]:
    """Where the numbered round holes of each flange are once bent."""
    out: dict[str, list[_Centre]] = {flange.name: [] for flange in plan.flanges}
    pairs = ((flange.name, hole) for flange in plan.flanges for hole in flange.holes)
    for number, (name, hole) in enumerate(pairs, 1):
        at = apply(frames[name], np.array([[hole.u_mm, hole.v_mm, 0.0]]))[0]
        out[name].append(_Centre(number, hole, at, name, frames[name][:3, 2]))
    return out


def _looked_at(holes: list[_Centre], fold: Matrix, normal: Matrix, at_bend: Matrix) -> list[_Centre]:
    """The bores, else the hole furthest from the bend in its flange's plane."""
    bores = [c for c in holes if c.hole.fitting.kind in SHAFTED]
    if bores or not holes:
        return bores
    out = np.cross(fold, normal)
    return [max(holes, key=lambda c: (round(abs(float(np.dot(c.at - at_bend, out))), 6), -c.number))]
