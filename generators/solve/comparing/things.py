"""Parts and hoses, before and after: which are made again, and why."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.layout.mounting import PlacedPart
from generators.model.hose_path import HosePath
from generators.model.plan import Hole, PartPlan, Slot
from generators.parts.building.mirror import mirrored
from generators.sheetmetal.folding import bend_length, flat_pattern
from generators.solve.comparing.holes import SAME_MM
from generators.solve.hoses.lines import HoseAnswer
from generators.standards import HoleTolerance

Verdict = Literal["same", "again", "new", "gone"]
SAME_RAD = math.radians(0.005)
SHOWN = 4
OTHER_HAND = "of the other hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThingChange:
    """A part or a hose: as it was, to be made again, new or gone; ``why`` in words."""

    kind: Literal["part", "hose"]
    name: str
    title: str
    verdict: Verdict
    why: tuple[str, ...] = ()


def part_changes(
    before: Sequence[PlacedPart], after: Sequence[PlacedPart], *, other: bool = False
) -> tuple[ThingChange, ...]:
    """Every part of both; with ``other`` those after are of the other hand, and seen in a mirror."""
    mine = {p.spec.name: p for p in before}
    theirs = {p.spec.name: p for p in after}
    out = []
    for name in dict.fromkeys([*mine, *theirs]):
        was, now = mine.get(name), theirs.get(name)
        title = (now or was or before[0]).plan.title
        if was is None or now is None:
            out.append(
                ThingChange(kind="part", name=name, title=title, verdict="new" if was is None else "gone")
            )
            continue
        why = tuple(_part_why(was.plan, now.plan))
        if other and why:
            # a part that is its own mirror image only calls its holes by other names; of another it is told
            # how it differs besides being of the other hand
            alike = _same_metal(was.plan, now.plan)
            why = () if alike else (OTHER_HAND, *_part_why(was.plan, mirrored(now.plan)))
        out.append(
            ThingChange(kind="part", name=name, title=title, verdict="again" if why else "same", why=why)
        )
    return tuple(out)


def _part_why(was: PartPlan, now: PartPlan) -> Iterator[str]:
    """What of a part's metal differs; nothing where the same piece serves."""
    if was.material != now.material:
        yield f"of {now.material}, was {was.material}"
    if abs(was.thickness_mm - now.thickness_mm) > SAME_MM:
        yield f"{now.thickness_mm:g} mm sheet, was {was.thickness_mm:g} mm"
    yield from _finished_why(was, now)
    if was.printed or now.printed:
        yield from _block_why(was, now)
        return
    flat, other = flat_pattern(was), flat_pattern(now)
    corners = [(p.u, p.v, p.bulge) for p in flat.contour.vertices]
    others = [(p.u, p.v, p.bulge) for p in other.contour.vertices]
    if not _alike(corners, others):
        a, b = bounds(flat.contour), bounds(other.contour)
        size = (b[2] - b[0], b[3] - b[1])
        was_size = (a[2] - a[0], a[3] - a[1])
        yield (
            f"blank {fixed(size[0], 2)} x {fixed(size[1], 2)} mm, "
            f"was {fixed(was_size[0], 2)} x {fixed(was_size[1], 2)} mm"
            if math.dist(size, was_size) > SAME_MM
            else "another outline of the blank"
        )
    yield from _openings_why([*flat.holes, *flat.slots], [*other.holes, *other.slots])
    bends = [(b.angle_rad, b.inside_radius_mm, b.direction) for b in was.bends]
    bent = [(b.angle_rad, b.inside_radius_mm, b.direction) for b in now.bends]
    if len(bends) != len(bent) or any(
        abs(a[0] - b[0]) > SAME_RAD or abs(a[1] - b[1]) > SAME_MM or a[2] != b[2]
        for a, b in zip(bends, bent, strict=True)
    ):
        yield "bent otherwise"


def _finished_why(was: PartPlan, now: PartPlan) -> Iterator[str]:
    """What is done to a part besides cutting and bending, and how closely it is made."""
    for what, old, new in (("finish", was.finish, now.finish), ("letters etched", was.etch, now.etch)):
        if old != new:
            yield f"{what}: {new or 'none'}, was {old or 'none'}"
    if was.tolerance != now.tolerance:
        yield f"made to {now.tolerance}, was to {was.tolerance}"
    if was.bush != now.bush:
        yield (
            f"another {now.bush.what} in its pivots"
            if was.bush and now.bush and was.bush.what == now.bush.what
            else (f"a {now.bush.what} in its pivots" if now.bush else "no bush or bearing in its pivots")
        )


def _same_metal(was: PartPlan, now: PartPlan) -> bool:
    """True for one piece, whatever its holes and bends are called."""
    if was.material != now.material or abs(was.thickness_mm - now.thickness_mm) > SAME_MM or was.printed:
        return False
    one, two = flat_pattern(was), flat_pattern(now)
    outlines = [[(p.u, p.v, p.bulge) for p in flat.contour.vertices] for flat in (one, two)]
    holes: list[list[Hole | Slot]] = [[*flat.holes, *flat.slots] for flat in (one, two)]
    bends = [
        sorted(
            (round(b.angle_rad, 4), round(b.inside_radius_mm, 2), b.direction, round(bend_length(b), 2))
            for b in plan.bends
        )
        for plan in (was, now)
    ]
    return (
        _alike(*outlines)
        and bends[0] == bends[1]
        and len(holes[0]) == len(holes[1])
        and all(any(_same_opening(a, b) for b in holes[1]) for a in holes[0])
        and not any(_finished_why(was, now))
    )


def _block_why(was: PartPlan, now: PartPlan) -> Iterator[str]:
    for one, two in zip(was.flanges, now.flanges, strict=False):
        corners = [(p.u, p.v, p.bulge) for p in one.contour.vertices]
        if not _alike(corners, [(p.u, p.v, p.bulge) for p in two.contour.vertices]):
            yield "another outline"
        yield from _openings_why([*one.holes, *one.slots], [*two.holes, *two.slots])
        pegs = [(p.u_mm, p.v_mm, p.height_mm) for p in one.pegs]
        if not _alike(pegs, [(p.u_mm, p.v_mm, p.height_mm) for p in two.pegs]):
            yield "other pegs"


def _alike(some: Sequence[tuple[float, float, float]], others: Sequence[tuple[float, float, float]]) -> bool:
    """Points one by one, wherever the outline begins."""
    if len(some) != len(others):
        return False
    return any(
        all(
            math.dist(a[:2], b[:2]) <= SAME_MM and abs(a[2] - b[2]) <= 1e-4
            for a, b in zip(some, [*others[k:], *others[:k]], strict=True)
        )
        for k in range(max(len(others), 1))
    )


def _openings_why(some: Sequence[Hole | Slot], others: Sequence[Hole | Slot]) -> Iterator[str]:
    was, now = {o.name: _opening(o) for o in some}, {o.name: _opening(o) for o in others}
    told = [("new", [n for n in now if n not in was]), ("without", [n for n in was if n not in now])]
    both = [n for n in was if n in now]
    told.append(("moved", [n for n in both if math.dist(was[n][:2], now[n][:2]) > SAME_MM]))
    told.append(("another size of", [n for n in both if math.dist(was[n][2:], now[n][2:]) > SAME_MM]))
    mine, theirs = {o.name: o for o in some}, {o.name: o for o in others}
    told += [
        (word, [n for n in both if what(mine[n]) != what(theirs[n])]) for word, what in _WORK_OF_OPENINGS
    ]
    told.append(("turned", [n for n in both if _turned(mine[n], theirs[n])]))
    for word, names in told:
        if names:
            more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
            yield f"{word} {', '.join(names[:SHOWN])}{more}"


def _turned(one: Hole | Slot, two: Hole | Slot) -> bool:
    """True for a slot that lies another way; a round-ended one is the same after half a turn."""
    if not (isinstance(one, Slot) and isinstance(two, Slot)):
        return False
    turn = abs(math.remainder(one.angle_rad - two.angle_rad, math.pi))
    return turn * max(one.travel_mm, two.travel_mm) / 2 > SAME_MM


def _tolerance(o: Hole | Slot) -> tuple[float, float] | None:
    return _limits(o.tolerance)


def _limits(tolerance: HoleTolerance | None) -> tuple[float, float] | None:
    return None if tolerance is None else (tolerance.lower_mm, tolerance.upper_mm)


def _finish(o: Hole | Slot) -> tuple[object, ...]:
    if isinstance(o, Slot) or o.finish is None:
        return ()
    return o.finish.kind, o.finish.words, o.finish.thread, _limits(o.finish.tolerance)


def _fitting(o: Hole | Slot) -> str:
    return o.fitting.kind


_WORK_OF_OPENINGS: tuple[tuple[str, Callable[[Hole | Slot], object]], ...] = (
    ("another tolerance of", _tolerance),
    ("another finish of", _finish),
    ("another fitting in", _fitting),
)
"""What is done to an opening besides its place and size. On a blank a reamed hole is its pilot, whatever it
is reamed to."""


def _same_opening(one: Hole | Slot, two: Hole | Slot) -> bool:
    """True for one opening by whatever name."""
    return (
        math.dist(_opening(one), _opening(two)) <= SAME_MM
        and not _turned(one, two)
        and all(what(one) == what(two) for _, what in _WORK_OF_OPENINGS)
    )


def _opening(o: Hole | Slot) -> tuple[float, float, float, float]:
    if isinstance(o, Slot):
        return o.u_mm, o.v_mm, o.width_mm, o.travel_mm
    return o.u_mm, o.v_mm, o.diameter_mm, 0.0


def hose_changes(before: Sequence[HoseAnswer], after: Sequence[HoseAnswer]) -> tuple[ThingChange, ...]:
    """Every hose and line of both, as things in the hand: a line of the other hand is another line."""
    mine, theirs = {h.spec.name: h for h in before}, {h.spec.name: h for h in after}
    out = []
    for name in dict.fromkeys([*mine, *theirs]):
        was, now = mine.get(name), theirs.get(name)
        spec = (now or was or before[0]).spec
        title = spec.title or name.replace("_", " ")
        if was is None or now is None:
            out.append(
                ThingChange(kind="hose", name=name, title=title, verdict="new" if was is None else "gone")
            )
            continue
        why = tuple(_hose_why(was, now))
        out.append(
            ThingChange(kind="hose", name=name, title=title, verdict="again" if why else "same", why=why)
        )
    return tuple(out)


def _hose_why(was: HoseAnswer, now: HoseAnswer) -> Iterator[str]:
    for what, old, new in (
        ("kind", was.spec.kind, now.spec.kind),
        ("size", f"-{was.spec.dash}", f"-{now.spec.dash}"),
        ("outside", f"{was.run.outside_dia_mm:g} mm", f"{now.run.outside_dia_mm:g} mm"),
    ):
        if old != new:
            yield f"another {what}: {new}, was {old}"
    ends = ("from_end", "to_end", "from_adapter", "to_adapter")
    if any(getattr(was.spec, end) != getattr(now.spec, end) for end in ends):
        yield "other ends"
    if was.length is None or now.length is None:
        if (was.length is None) != (now.length is None):
            yield "no way found for it" if now.length is None else "a way found for it"
        return
    long, old_long = now.length.made_up_mm, was.length.made_up_mm
    if abs(long - old_long) > SAME_MM:
        yield f"{long:.0f} mm seat to seat, was {old_long:.0f} mm"
    elif now.spec.kind == "rigid" and was.path and now.path and not _same_bends(was.path, now.path):
        yield "bent otherwise"


def _same_bends(was: HosePath, now: HosePath) -> bool:
    """True for one shape, wherever it lies: distances of its joints, and which way it leaves its plane."""
    one, two = _shape(was), _shape(now)
    return len(one) == len(two) and all(abs(a - b) <= 2 * SAME_MM for a, b in zip(one, two, strict=True))


def _shape(path: HosePath) -> list[float]:
    points = [np.array(s.start) for s in path.segments]
    out = [float(np.linalg.norm(a - b)) for k, a in enumerate(points) for b in points[k + 1 :]]
    out += [segment.length_mm for segment in path.segments]
    for a, b, c, d in zip(points, points[1:], points[2:], points[3:], strict=False):
        volume = float(np.dot(np.cross(b - a, c - a), d - a))
        out.append(math.copysign(abs(volume) ** (1 / 3), volume) if abs(volume) > 1.0 else 0.0)
    return out
