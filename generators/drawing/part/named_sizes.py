"""Which dimension of a part each parameter sets, found by moving it and looking what moves.

Nothing is declared twice: a parameter is said to set a dimension only if the dimension has the
parameter's value, and still has it after the parameter was changed a little (both times to 1e-6 mm).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from generators.drawing.part.profile import outside_legs
from generators.errors import GeometryFault, LookupFault
from generators.figures import fixed
from generators.geometry.contours import arc_middle, arc_of, segments
from generators.geometry.frames import Matrix, apply
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.model.spec.fields import SpecField, spec_fields
from generators.sheetmetal.folding import folded_frames

SAME = 1e-6
STEPS_MM = (0.37, -0.37, 0.041, -0.041)
STEPS_RAD = (0.0123, -0.0123)
OTHER_THREADS = ("M5", "M8")
ORIGIN, HOLE, CORNER = 0, 1, 2
ALONG = "xyz"
DIGITS = "0123456789"

Plans = Callable[[Any], PartPlan]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A point dimensions are taken from: the origin, a hole's centre or a corner, of one flange."""

    rank: int
    flange: str
    place: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A length between two spots. ``axis`` is x, y or z of the folded part; u or v of a flange's own
    frame; ``leg`` for an outside length of a flange; ``apart`` for two holes of a flange on the skew."""

    key: str
    text: str
    axis: str
    start: Spot
    end: Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Something a parameter sets that is written beside it: an opening's size, a corner radius, an angle.

    ``place`` is in the frame of ``flange``; ``bend`` names the bend of an angle.
    """

    key: str
    text: str
    flange: str = ""
    place: tuple[float, float] = (0.0, 0.0)
    radius_mm: float = 0.0
    bend: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSizes:
    """What could be found: each parameter is in one of the three at most."""

    spans: tuple[Span, ...]
    labels: tuple[Label, ...]
    unseen: tuple[str, ...]


def find_named_sizes(parameters: type[Any], plans: Plans) -> NamedSizes:
    """Dimensions named after the parameters of a kind, at its defaults.

    ``plans`` makes a plan of any parameters. A parameter that moves nothing one for one is ``unseen``.
    """
    default = parameters()
    base = plans(default)
    spans: list[Span] = []
    labels: list[Label] = []
    unseen: list[str] = []
    for field in spec_fields(parameters):
        found: Span | Label | None = None
        for other, step in _variants(field, default):
            try:
                moved = plans(replace(default, **{field.attribute: other}))
            except (GeometryFault, LookupFault):
                continue
            found = _size_of(field, float(field.default), step, base, moved) if step else None
            found = found or _changed_opening(field, base, moved)
            if found is not None:
                break
        if isinstance(found, Span):
            spans.append(found)
        elif isinstance(found, Label):
            labels.append(found)
        else:
            unseen.append(field.key)
    return NamedSizes(spans=tuple(spans), labels=tuple(labels), unseen=tuple(unseen))


def _variants(field: SpecField, default: Any) -> list[tuple[Any, float]]:
    """Other values of a parameter, with how far they are from its default where it is a size."""
    value, spec = getattr(default, field.attribute), field.spec
    if spec.kind in ("length", "angle") and value is not None:
        lo, hi = spec.lo if spec.lo is not None else -math.inf, spec.hi if spec.hi is not None else math.inf
        steps = STEPS_MM if spec.kind == "length" else STEPS_RAD
        return [(value + s, s) for s in steps if lo <= value + s <= hi]
    if spec.kind == "choice":
        return [(c, 0.0) for c in spec.choices if c != value]
    if spec.kind == "text":
        return [(t, 0.0) for t in OTHER_THREADS if t != value]
    if spec.kind == "integer":
        return [(value + s, 0.0) for s in (1, -1) if (spec.lo or 0) <= value + s <= (spec.hi or 0)]
    return []


def number_text(value: float) -> str:
    """At most two decimals, without trailing zeros."""
    return fixed(value, 2).rstrip("0").rstrip(".")


def _size_of(
    field: SpecField, value: float, step: float, base: PartPlan, moved: PartPlan
) -> Span | Label | None:
    if field.spec.kind == "angle":
        return _bend_angle(field.key, value, step, base, moved)
    if abs(value) < SAME:
        return None
    text = f"{field.key} {number_text(value)}"
    return (
        _opening_size(field.key, text, value, step, base, moved)
        or _corner(field.key, text, value, step, base, moved)
        or _folded_span(field.key, text, value, step, base, moved)
        or _leg(field.key, text, value, step, base, moved)
        or _flange_span(field.key, text, value, step, base, moved)
    )


def _bend_angle(key: str, value: float, step: float, base: PartPlan, moved: PartPlan) -> Label | None:
    """The bend a parameter opens or closes one for one."""
    for before, after in zip(base.bends, moved.bends, strict=False):
        if abs(abs(after.angle_rad - before.angle_rad) - abs(step)) < SAME:
            own, bent = math.degrees(value), math.degrees(before.angle_rad)
            same = abs(own - bent) < SAME
            text = f"{key} {number_text(own)}°" + ("" if same else f" (bent {number_text(bent)}°)")
            return Label(key=key, text=text, bend=before.name)
    return None


def _openings(plan: PartPlan) -> list[tuple[str, Hole | Slot]]:
    return [(f.name, o) for f in plan.flanges for o in _own(f)]


def _own(flange: Flange) -> tuple[Hole | Slot, ...]:
    return (*flange.holes, *flange.slots)


def _sizes(item: Hole | Slot) -> tuple[float, ...]:
    if isinstance(item, Hole):
        return (item.diameter_mm,)
    return item.width_mm, item.travel_mm, item.width_mm + item.travel_mm


def _opening_size(
    key: str, text: str, value: float, step: float, base: PartPlan, moved: PartPlan
) -> Label | None:
    """The first opening one of whose own sizes is the parameter."""
    for (flange, before), (_, after) in zip(_openings(base), _openings(moved), strict=False):
        if type(before) is not type(after):
            return None
        for a, b in zip(_sizes(before), _sizes(after), strict=True):
            if abs(a - value) < SAME and abs(b - value - step) < SAME:
                return _beside(
                    key, text.replace(" ", " Ø", 1) if isinstance(before, Hole) else text, flange, before
                )
    return None


def _beside(key: str, text: str, flange: str, item: Hole | Slot) -> Label:
    radius = item.diameter_mm / 2 if isinstance(item, Hole) else item.width_mm / 2
    return Label(key=key, text=text, flange=flange, place=(item.u_mm, item.v_mm), radius_mm=radius)


def _changed_opening(field: SpecField, base: PartPlan, moved: PartPlan) -> Label | None:
    """The first opening whose size a thread, fit or count changes, or that it adds or takes away."""
    if field.spec.kind in ("length", "angle"):
        return None
    text = f"{field.key} {field.default}"
    before, after = _openings(base), {o.name: o for _, o in _openings(moved)}
    for flange, item in before:
        other = after.get(item.name)
        counted = other is None and field.spec.kind == "integer"
        if counted or (other is not None and _sizes(other) != _sizes(item)):
            return _beside(field.key, text, flange, item)
    known = {o.name for _, o in before}
    added = next((name for name in after if name not in known), "") if field.spec.kind == "integer" else ""
    kin = added.rstrip(DIGITS)
    return next(
        (_beside(field.key, text, *b) for b in before if kin and b[1].name.rstrip(DIGITS) == kin), None
    )


# ------------------------------------------------------------------------------- lengths
def _folded_spots(plan: PartPlan) -> list[Spot]:
    frames = folded_frames(plan)
    root = plan.flanges[0].name
    spots = [Spot(rank=ORIGIN, flange=root, place=(0.0, 0.0, 0.0))]
    for flange in plan.flanges:
        marks = [(HOLE, o.u_mm, o.v_mm) for o in _own(flange)]
        marks += [(CORNER, p.u, p.v) for p in flange.contour.vertices]
        for rank, u, v in marks:
            for w in (0.0, plan.thickness_mm):
                x, y, z = apply(frames[flange.name], np.array([(u, v, w)]))[0].tolist()
                spots.append(Spot(rank=rank, flange=flange.name, place=(x, y, z)))
    return spots


def _flange_spots(plan: PartPlan, name: str) -> list[Spot]:
    flange = plan.flange(name)
    spots = [Spot(rank=ORIGIN, flange=name, place=(0.0, 0.0))] if flange is plan.flanges[0] else []
    spots += [Spot(rank=HOLE, flange=name, place=(o.u_mm, o.v_mm)) for o in _own(flange)]
    return spots + [Spot(rank=CORNER, flange=name, place=(p.u, p.v)) for p in flange.contour.vertices]


def _matches(before: Floats, after: Floats, value: float, step: float) -> NDArray[np.intp]:
    """Index pairs whose separations are ``value`` before and ``value + step`` after; shapes (n, n)."""
    hits: NDArray[np.intp] = np.argwhere(
        (np.abs(np.abs(before) - abs(value)) < SAME) & (np.abs(np.abs(after) - abs(value + step)) < SAME)
    )
    return hits[hits[:, 0] < hits[:, 1]]


def _best(spots: Sequence[Spot], pairs: NDArray[np.intp], axis: int) -> tuple[float, Spot, Spot] | None:
    """The pair to dimension: the origin and holes before corners, and not far across the measured way."""
    best: tuple[float, Spot, Spot] | None = None
    for i, j in pairs.tolist():
        a, b = spots[i], spots[j]
        across = math.dist(
            [c for k, c in enumerate(a.place) if k != axis], [c for k, c in enumerate(b.place) if k != axis]
        )
        cost = 60.0 * (a.rank + b.rank) + across + (0.0 if a.flange == b.flange else 15.0)
        if best is None or cost < best[0] - SAME:
            best = cost, a, b
    return best


def _axis_span(
    key: str, text: str, value: float, step: float, spots: tuple[list[Spot], list[Spot]], names: str
) -> Span | None:
    before, after = spots
    if [s.rank for s in before] != [s.rank for s in after]:
        return None
    best: tuple[float, Spot, Spot] | None = None
    way = ""
    for axis, name in enumerate(names):
        old, new = (np.array([s.place[axis] for s in group]) for group in (before, after))
        pairs = _matches(old[:, None] - old[None, :], new[:, None] - new[None, :], value, step)
        found = _best(before, pairs, axis)
        if found is not None and (best is None or found[0] < best[0] - SAME):
            best, way = found, name
    return None if best is None else Span(key=key, text=text, axis=way, start=best[1], end=best[2])


def _folded_span(
    key: str, text: str, value: float, step: float, base: PartPlan, moved: PartPlan
) -> Span | None:
    return _axis_span(key, text, value, step, (_folded_spots(base), _folded_spots(moved)), ALONG)


def _flange_span(
    key: str, text: str, value: float, step: float, base: PartPlan, moved: PartPlan
) -> Span | None:
    """Along u or v of one flange, or between two holes of it on the skew."""
    if [f.name for f in base.flanges] != [f.name for f in moved.flanges]:
        return None
    for flange in base.flanges:
        before, after = _flange_spots(base, flange.name), _flange_spots(moved, flange.name)
        span = _axis_span(key, text, value, step, (before, after), "uv")
        if span is not None:
            return span
        if [s.rank for s in before] != [s.rank for s in after]:
            continue
        old, new = (np.array([s.place for s in group if s.rank != CORNER]) for group in (before, after))
        if len(old) > 1:
            gaps = [np.linalg.norm(g[:, None] - g[None, :], axis=2) for g in (old, new)]
            pairs = _matches(gaps[0], gaps[1], value, step)
            if len(pairs):
                marks = [s for s in before if s.rank != CORNER]
                i, j = pairs[0].tolist()
                return Span(key=key, text=text, axis="apart", start=marks[i], end=marks[j])
    return None


def _leg(key: str, text: str, value: float, step: float, base: PartPlan, moved: PartPlan) -> Span | None:
    """An outside length of a flange, mould line to mould line or to its end."""
    sides = [outside_legs(p, folded_frames(p), list(p.bends)) for p in (base, moved)]
    for before, after in zip(*sides, strict=False):
        if abs(before.length - value) < SAME and abs(after.length - value - step) < SAME:
            ends = [Spot(rank=CORNER, flange="", place=tuple(p.tolist())) for p in (before.start, before.end)]
            return Span(key=key, text=text, axis="leg", start=ends[0], end=ends[1])
    return None


def _corner(key: str, text: str, value: float, step: float, base: PartPlan, moved: PartPlan) -> Label | None:
    """The first rounded corner of that radius."""
    for before, after in zip(base.flanges, moved.flanges, strict=False):
        sides = zip(segments(before.contour), segments(after.contour), strict=False)
        for (a, b), (c, d) in sides:
            if not a.bulge or not c.bulge:
                continue
            if abs(arc_of(a, b).radius - value) < SAME and abs(arc_of(c, d).radius - value - step) < SAME:
                return Label(
                    key=key, text=text.replace(" ", " R", 1), flange=before.name, place=arc_middle(a, b)
                )
    return None


def leg_outside(plan: PartPlan, span: Span) -> Matrix:
    """Unit vector out of the part at a leg, in the root's frame."""
    for leg in outside_legs(plan, folded_frames(plan), list(plan.bends)):
        if np.allclose([leg.start, leg.end], [span.start.place, span.end.place], atol=SAME):
            return leg.outside
    raise ValueError(f"{span.key} is no leg of the plan")
