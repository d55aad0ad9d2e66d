"""Reads the hose order and the cut and bend list of a kit; every number worked out again."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from generators.figures import fixed
from generators.model.hose_path import Arc, HosePath
from generators.model.plan import PartPlan
from generators.model.spec.fittings import HoseEnd
from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.lengths import meant_mm
from generators.verify.pdf.kit.told import read_told
from generators.verify.pdf.nest import cut_work
from generators.verify.readback import ReadBack

Vector = NDArray[np.float64]
STEPS = 200
METRES, DEGREES = 0.0006, 0.6
ROUNDED_MM = 0.013
"""Half a thousandth of an inch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseWanted:
    """One hose to order: name, length seat to seat, slack left under pressure, path, the seats' ways out,
    bore and working pressure where they are given.
    """

    title: str
    name: str
    length_mm: float
    spare_mm: float
    path: HosePath
    ways: tuple[tuple[float, float, float], tuple[float, float, float]]
    ends: tuple[HoseEnd | None, HoseEnd | None]
    bore_mm: float = 0.0
    rating_mpa: float | None = None


def angle_between(path: HosePath, ways: tuple[Sequence[float], Sequence[float]]) -> float:
    """The angle from the near fitting to the far one, degrees, carried along the hose by double reflection.

    Wang, Jüttler, Zheng and Liu, Computation of rotation minimizing frames (2008): two reflections for each
    short step along the curve.
    """
    points, ways_along = _points(path)
    near = _square(-np.array(ways[0]), ways_along[0])
    for k in range(len(points) - 1):
        step = points[k + 1] - points[k]
        c1 = float(step @ step)
        if c1 < 1e-18:
            continue
        left = near - (2 / c1) * float(step @ near) * step
        tangent = ways_along[k] - (2 / c1) * float(step @ ways_along[k]) * step
        rest = ways_along[k + 1] - tangent
        c2 = float(rest @ rest)
        near = left if c2 < 1e-18 else left - (2 / c2) * float(rest @ left) * rest
    last = ways_along[-1]
    far = _square(-np.array(ways[1]), last)
    seen_right = np.cross(last, near)
    clockwise = math.degrees(math.atan2(float(far @ seen_right), float(far @ near)))
    return -clockwise % 360


def _square(vector: Vector, along: Vector) -> Vector:
    across = vector - float(vector @ along) * along
    return np.asarray(across / np.linalg.norm(across))


def _points(path: HosePath) -> tuple[list[Vector], list[Vector]]:
    """Points along the centre line and the way there, in short steps."""
    points: list[Vector] = []
    ways: list[Vector] = []
    for segment in path.segments:
        if isinstance(segment, Arc):
            axis, centre, start = np.array(segment.axis), np.array(segment.centre), np.array(segment.start)
            arm = start - centre
            side = np.cross(axis, arm)
            for k in range(STEPS + 1):
                a = segment.sweep_rad * k / STEPS
                points.append(centre + math.cos(a) * arm + math.sin(a) * side)
                way = -math.sin(a) * arm + math.cos(a) * side
                ways.append(np.asarray(way / np.linalg.norm(way)))
        else:
            start, end = np.array(segment.start), np.array(segment.end)
            way = (end - start) / np.linalg.norm(end - start)
            points += [start, end]
            ways += [way, way]
    return points, ways


def read_hose_order(
    path: Path, *, rel: str, title: str, revision: str, hoses: Sequence[HoseWanted], sets: int, inch: bool
) -> ReadBack:
    """The finished order against lengths and paths."""
    facts = (f"{len(hoses)} hoses, angles carried along anew",)
    problems = partial(_order_problems, hoses=hoses, sets=sets, inch=inch)
    return read_told(path, problems, rel=rel, title=title, revision=revision, facts=facts)


def _order_problems(text: str, hoses: Sequence[HoseWanted], sets: int, *, inch: bool) -> Iterator[str]:
    for hose in hoses:
        row = _row(text, plain(f"{hose.title}{sets}-"))
        if row is None:
            yield f"does not order {sets} of {hose.title}"
            continue
        # no further than to the row of another hose: its numbers are not this one's
        row = min(
            (row.partition(plain(f"{h.title}{sets}-"))[0] for h in hoses if h is not hose),
            key=len,
            default=row,
        )
        length = f"{fixed(hose.length_mm / 25.4, 3)}in" if inch else f"{fixed(hose.length_mm, 2)}mm"
        if length not in row:
            yield f"does not give {length} for {hose.title}"
        yield from (f"{hose.title}: {p}" for p in _make_problems(row, hose, inch=inch))
        yield from (f"{hose.title}: {p}" for p in _tolerance_problems(row, hose, inch=inch))
        yield from (f"{hose.title}: {p}" for p in _angle_problems(row, hose))


def _make_problems(row: str, hose: HoseWanted, *, inch: bool) -> Iterator[str]:
    """Bore and working pressure as given; where one is not, it must be asked for."""
    bore = re.search(r"([\d./]+)(mm|in)inside", row)
    meant = meant_mm(bore[1], bore[2]) if bore else [0.0]
    if not any(abs(mm - hose.bore_mm) <= (ROUNDED_MM if inch else 0.0006) for mm in meant):
        yield f"gives a bore of {' or '.join(f'{mm:g}' for mm in meant)} mm, {hose.bore_mm:g} mm is right"
    working = re.search(r"for([\d.]+)MPa", row)
    said = float(working[1]) if working else 0.0
    if abs(said - (hose.rating_mpa or 0.0)) > 0.005 * said:
        yield f"gives {said:g} MPa, {hose.rating_mpa or 0.0:g} MPa is right"
    if ("notgiven:ask" in row) != (not hose.bore_mm or hose.rating_mpa is None):
        yield "does not ask for what is not given, or asks for what is"


def _tolerance_problems(row: str, hose: HoseWanted, *, inch: bool) -> Iterator[str]:
    """The tolerance by the table of lengths, to a tenth; never a minus beyond the slack that is left."""
    found = re.search(r"\+([\d.]+)(?:mm|in),−([\d.]+)(?:mm|in)", row)
    if found is None:
        yield "gives no tolerance"
        return
    inches = hose.length_mm / 25.4
    usual = (
        next((t for most, t in ((12, 0.125), (18, 0.1875), (36, 0.25)) if inches <= most), 0.01 * inches)
        * 25.4
    )
    plus, minus = (float(word) * (25.4 if inch else 1.0) for word in found.groups())
    for what, said, most in (("plus", plus, usual), ("minus", minus, min(usual, max(0.0, hose.spare_mm)))):
        if not most - 0.1 - ROUNDED_MM <= said <= most + (ROUNDED_MM if inch else 1e-6):
            yield f"gives {what} {said:.2f} mm, {most:.2f} mm is right"


def _row(text: str, begins: str) -> str | None:
    """A row of a table from its first cell on, as far as one may be long."""
    at = text.find(begins)
    return None if at < 0 else text[at : at + 400]


def _angle_problems(row: str, hose: HoseWanted) -> Iterator[str]:
    both = all(end is not None and end.angle_rad > 0 for end in hose.ends)
    for end in hose.ends:
        if end is not None and end.angle_rad > 0:
            elbow = plain(f"{math.degrees(end.angle_rad):.0f} degree elbow")
            if elbow not in row:
                yield f"does not say {elbow!r}"
    if not both:
        return
    wanted = angle_between(hose.path, hose.ways)
    shown = [k for k in range(360) if f"{k}°±" in row]
    # the longest number that ends there: 45° holds 5° as well
    printed = max(shown, default=-1)
    if printed < 0 or abs((printed - wanted + 180) % 360 - 180) > DEGREES:
        yield f"gives {printed}° between its elbows, along the hose it is {wanted:.1f}°"


def read_cut_and_bend(
    path: Path,
    *,
    rel: str,
    title: str,
    revision: str,
    plans: Sequence[PartPlan],
    least_mm: Mapping[str, float],
    sets: int,
    files: Mapping[str, str],
    pieces: Mapping[str, str],
) -> ReadBack:
    """The finished list: each blank with its count, cut length and pierces, each bend with its angle.

    ``pieces`` are lengths in words of hose and tube that is cut, by title.
    """
    bends = sum(len(plan.bends) for plan in plans)
    facts = (f"{len(plans)} blanks measured along chords, {bends} bends, {len(pieces)} of hose or tube",)

    def problems(text: str) -> Iterator[str]:
        yield from _cut_problems(text, plans, least_mm, sets, files)
        for name, length in pieces.items():
            row = _row(text, plain(name)) or ""
            if plain(f"{sets}{length}") not in row:
                yield f"does not list {sets} of {name}, cut to {length}"

    return read_told(path, problems, rel=rel, title=title, revision=revision, facts=facts)


def _cut_problems(
    text: str, plans: Sequence[PartPlan], least_mm: Mapping[str, float], sets: int, files: Mapping[str, str]
) -> Iterator[str]:
    for plan in plans:
        count = plan.quantity * sets
        row = _row(text, plain(f"{plan.name}{plan.material},"))
        length, pierces = cut_work(plan, least_mm[plan.name])
        row = "" if row is None else row.partition(files[plan.name])[0]
        if not row:
            yield f"does not list the blank of {plan.name} with its file {files[plan.name]}"
            continue
        metres = [w for w in (f"{length / 1000 + d:.3f}m{pierces}" for d in (-0.001, 0, 0.001)) if w in row]
        if not metres:
            yield f"does not give {length / 1000:.3f} m and {pierces} pierces for {plan.name}"
        for bend in plan.bends:
            angle = f"{math.degrees(bend.angle_rad):.1f}°"
            wanted = plain(f"{plan.name}{count}{bend.parent} to {bend.child}{angle}")
            if wanted not in text:
                yield f"does not list the bend {bend.parent} to {bend.child} of {count} {plan.name}"
