"""Reliefs cut where a plan needs them, so that a kind may join its flanges edge to edge.

A flange narrower than its parent's edge gets a notch beside each end of its bend that lies inside that
edge: as wide and as deep as the relief, round at its bottom. Where no tongue would be left beyond it, the
corner is cut off. Two bends that meet at a corner end one relief before it, and the corner is cut out
between them; their flanges become narrower by as much, and so do flanges that hang on those.

Sizes: ``relief_width`` (FAA-H-8083-31 ch. 4, "Folding a box": hole diameters). The notch is that hole drawn
out to the edge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from generators.errors import GeometryFault
from generators.geometry.clipping import clipped
from generators.geometry.contours import MIN_SEGMENT_MM, Placement, Point, transformed
from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Flange, PartPlan
from generators.sheetmetal.folding import bend_length, edge_index
from generators.sheetmetal.tree import reached, require_foldable

QUARTER_RIGHT = -math.tan(math.pi / 8)
STRAIGHT = 1e-9
TONGUE = 1.5
"""A notch leaves a tongue of half a relief beside it, or the corner goes; common practice, no source."""

Cut = tuple[float, float]
"""What a bend loses at its start and at its end, mm."""


def relieved(plan: PartPlan, relief_mm: float) -> PartPlan:
    """The plan with a relief of ``relief_mm`` wherever metal goes on past a bend, or two bends meet.

    A plan that needs none comes back as it is. Raises ``GeometryFault`` naming the bend beside which there
    is no room, and as ``flat_pattern`` does.
    """
    require_foldable(plan)
    flanges = {f.name: f for f in plan.flanges}
    bends = {b.name: b for b in plan.bends}
    for name in reached(plan):
        if not any(b.parent == name for b in bends.values()):
            continue
        hung = next((b for b in bends.values() if b.child == name), None)
        if hung is not None:
            _set_off(flanges, bends, hung, relief_mm)
        own = {b.name: b for b in bends.values() if b.parent == name}
        flange, cuts = _with_reliefs(flanges[name], own, relief_mm, hung)
        flanges[name] = flange
        for bend_name, cut in cuts.items():
            _narrow(flanges, bends, bends[bend_name], cut)
    return replace(
        plan,
        flanges=tuple(flanges[f.name] for f in plan.flanges),
        bends=tuple(bends[b.name] for b in plan.bends),
    )


def _set_off(flanges: dict[str, Flange], bends: dict[str, Bend], hung: Bend, width: float) -> None:
    """Keep a flange's own bends off the ends of the bend it hangs on: a notch and a tongue fit between."""
    flange = flanges[hung.child]
    corners = ((bend_length(hung), 0.0), (0.0, 0.0))
    for bend in [b for b in bends.values() if b.parent == flange.name]:
        meets = tuple(
            2 * width if math.dist(tip, corner) < MIN_SEGMENT_MM else 0.0
            for tip, corner in zip((bend.start, bend.end), corners, strict=True)
        )
        if not any(meets):
            continue
        if bend_length(bend) < sum(meets) + width:
            raise GeometryFault(f"the relief beside bend {hung.name!r} leaves nothing of bend {bend.name!r}")
        at = edge_index(flanges[flange.name].contour, bend.start, bend.end)
        _narrow(flanges, bends, bend, (meets[0], meets[1]))
        new = bends[bend.name]
        chain = list(flanges[flange.name].contour.vertices)
        added = [Vertex(*tip) for tip, lost in zip((new.start, new.end), meets, strict=True) if lost]
        chain[at + 1 : at + 1] = added
        flanges[flange.name] = replace(flanges[flange.name], contour=Contour(tuple(chain)))


def _with_reliefs(
    flange: Flange, own: Mapping[str, Bend], width: float, hung: Bend | None
) -> tuple[Flange, dict[str, Cut]]:
    """The flange with its reliefs, and what each of its bends loses to a corner."""
    vertices = flange.contour.vertices
    count = len(vertices)
    edges = {edge_index(flange.contour, b.start, b.end): b for b in own.values()}
    on_edges = set(edges)
    if hung is not None:
        on_edges.add(edge_index(flange.contour, (0.0, 0.0), (bend_length(hung), 0.0)))
    taken = {j % count for i in on_edges for j in (i, i + 1)}
    instead: dict[int, list[Vertex]] = {}
    cuts: dict[str, Cut] = {}

    def change(index: int, new: list[Vertex], bend: Bend) -> None:
        if index % count in instead:
            raise GeometryFault(f"no room for a relief beside bend {bend.name!r}")
        instead[index % count] = new

    for i, bend in edges.items():
        start, end = vertices[i], vertices[(i + 1) % count]
        after = edges.get((i + 1) % count)
        if after is not None:
            corner = _corner(start, end, vertices[(i + 2) % count], width, bend)
            change(i + 1, corner, bend)
            cuts[bend.name] = (cuts.get(bend.name, (0.0, 0.0))[0], width)
            cuts[after.name] = (width, cuts.get(after.name, (0.0, 0.0))[1])
        elif _goes_on(start, end, vertices[(i + 2) % count]):
            on, beyond = vertices[(i + 2) % count], vertices[(i + 3) % count]
            here, room = _beside(start, end, on, beyond, width, bend, (i + 2) % count not in taken)
            change(i + 1, here, bend)
            if not room:
                change(i + 2, [], bend)
        before = edges.get((i - 1) % count)
        if before is None and _goes_on(vertices[i - 1], start, end):
            on, beyond = vertices[i - 1], vertices[(i - 2) % count]
            here, room = _beside(end, start, on, beyond, width, bend, (i - 1) % count not in taken)
            change(i, _backwards(here), bend)
            if not room:
                change(i - 1, [], bend)
    for bend in own.values():
        if bend_length(bend) - sum(cuts.get(bend.name, (0.0, 0.0))) < width:
            raise GeometryFault(f"the corner reliefs leave nothing of bend {bend.name!r}")
    chain = [v for i, old in enumerate(vertices) for v in instead.get(i, [old])]
    return replace(flange, contour=Contour(tuple(chain))), cuts


def _unit(a: Vertex, b: Vertex) -> Point:
    length = math.dist((a.u, a.v), (b.u, b.v))
    return (b.u - a.u) / length, (b.v - a.v) / length


def _goes_on(a: Vertex, b: Vertex, c: Vertex) -> bool:
    """True when the straight edge ``ab`` goes straight on to ``c``."""
    if a.bulge or b.bulge:
        return False
    (du, dv), (eu, ev) = _unit(a, b), _unit(b, c)
    return abs(du * ev - dv * eu) < STRAIGHT and du * eu + dv * ev > 0


def _beside(
    far: Vertex, tip: Vertex, on: Vertex, beyond: Vertex, width: float, bend: Bend, free: bool
) -> tuple[list[Vertex], bool]:
    """Vertices from a bend's end ``tip`` on along the edge to ``on``, and False when ``on`` is cut off.

    Walked away from the bend; at its start that is backwards, and bulges mirror. ``free`` is False when
    another bend stands at ``on``.
    """
    eu, ev = _unit(far, tip)
    # into the flange: left of the edge as the contour runs, which is away from the start
    turn = 1.0 if (bend.end[0] - bend.start[0]) * eu + (bend.end[1] - bend.start[1]) * ev > 0 else -1.0
    iu, iv = -ev * turn, eu * turn
    half = width / 2

    def at(along: float, deep: float, bulge: float = 0.0) -> Vertex:
        return Vertex(tip.u + along * eu + deep * iu, tip.v + along * ev + deep * iv, bulge)

    room = math.dist((tip.u, tip.v), (on.u, on.v))
    if room > TONGUE * width:
        notch = [Vertex(tip.u, tip.v), at(0, half, -turn), at(width, half), at(width, 0)]
        return notch, True
    du, dv = beyond.u - on.u, beyond.v - on.v
    deep = du * iu + dv * iv
    between = on.bulge if turn > 0 else beyond.bulge
    if not free or between or deep < width + MIN_SEGMENT_MM:
        raise GeometryFault(
            f"no room for a relief of {width:.2f} mm beside bend {bend.name!r}: {room:.2f} mm of edge left"
        )
    leave = room + (du * eu + dv * ev) * width / deep
    if leave < MIN_SEGMENT_MM:
        return [Vertex(tip.u, tip.v)], False
    fillet = min(half, leave / 2)
    step = [
        Vertex(tip.u, tip.v),
        at(0, width - fillet, turn * QUARTER_RIGHT),
        at(fillet, width),
        at(leave, width),
    ]
    return step, False


def _backwards(walked: list[Vertex]) -> list[Vertex]:
    """A chain walked away from a bend's start, in the sense of the contour: bulges belong to the next."""
    out = [Vertex(v.u, v.v, -walked[i - 1].bulge) for i, v in enumerate(walked) if i > 0]
    return [*reversed(out), walked[0]]


def _corner(a: Vertex, corner: Vertex, b: Vertex, width: float, bend: Bend) -> list[Vertex]:
    """Instead of a corner between two bends: both end ``width`` before it, the rest is cut out."""
    (du, dv), (eu, ev) = _unit(a, corner), _unit(corner, b)
    turn = du * ev - dv * eu
    if turn < STRAIGHT:
        raise GeometryFault(f"bend {bend.name!r} meets another at an inside corner; cut a slot between them")
    first = (corner.u - width * du, corner.v - width * dv)
    last = (corner.u + width * eu, corner.v + width * ev)
    # both walls run square to their bends, into the flange, to where they meet
    deep = ((last[0] - first[0]) * eu + (last[1] - first[1]) * ev) / (-dv * eu + du * ev)
    inner = (first[0] - dv * deep, first[1] + du * deep)
    fillet = min(width, deep) / 2
    # the walls meet at the angle the contour turns by here; the arc is tangent to both
    between = math.atan2(turn, du * eu + dv * ev)
    back = fillet / math.tan(between / 2)
    bulge = -math.tan((math.pi - between) / 4)
    wall = (last[0] - inner[0], last[1] - inner[1])
    length = math.hypot(*wall)
    return [
        Vertex(*first),
        Vertex(inner[0] + dv * back, inner[1] - du * back, bulge),
        Vertex(inner[0] + wall[0] / length * back, inner[1] + wall[1] / length * back),
        Vertex(*last),
    ]


def _narrow(flanges: dict[str, Flange], bends: dict[str, Bend], bend: Bend, cut: Cut) -> None:
    """Shorten a bend by what a corner takes at each end, its flange with it, and all that hangs on that."""
    at_start, at_end = cut
    if at_start < MIN_SEGMENT_MM and at_end < MIN_SEGMENT_MM:
        return
    length = bend_length(bend)
    eu, ev = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    bends[bend.name] = replace(
        bend,
        start=(bend.start[0] + at_start * eu, bend.start[1] + at_start * ev),
        end=(bend.end[0] - at_end * eu, bend.end[1] - at_end * ev),
    )
    child = flanges[bend.child]
    # the child's u runs from the parent's end to its start
    low, high = at_end, length - at_start
    contour = clipped(clipped(child.contour, low, keep_above=True), high, keep_above=False)
    move = Placement(du=-low)
    flanges[child.name] = replace(
        child,
        contour=transformed(contour, move),
        holes=tuple(replace(h, u_mm=h.u_mm - low) for h in child.holes),
        slots=tuple(replace(s, u_mm=s.u_mm - low) for s in child.slots),
    )
    for own in [b for b in bends.values() if b.parent == child.name]:
        lost = (_beyond(own.start, own.end, low, high), _beyond(own.end, own.start, low, high))
        moved = replace(own, start=(own.start[0] - low, own.start[1]), end=(own.end[0] - low, own.end[1]))
        bends[own.name] = moved
        if sum(lost) > bend_length(own) - MIN_SEGMENT_MM:
            raise GeometryFault(f"a corner relief leaves nothing of bend {own.name!r}")
        _narrow(flanges, bends, moved, lost)


def _beyond(tip: Point, other: Point, low: float, high: float) -> float:
    """How much of an edge, from its end ``tip``, lies outside ``low`` to ``high``."""
    run = other[0] - tip[0]
    over = max(low - tip[0], tip[0] - high)
    if over < MIN_SEGMENT_MM:
        return 0.0
    if abs(run) < MIN_SEGMENT_MM:
        return math.dist(tip, other)
    return over / abs(run) * math.dist(tip, other)
