"""Holes that are marked together: one patch sheet each, with what is near to lay it by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from generators.drawing.template.tiles import EXISTING, content_box
from generators.layout.distances import between
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import within
from generators.model.words import NEW

NEAR_MM = 90.0  # loose holes closer than that are marked in one go
LAID_BY = 2
LOOSE = frozenset({"panel", "existing"})


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleGroup:
    """The holes of one patch, existing holes it is laid by, and the tile (whole panel mm) it shows.

    ``on_sheet`` are those of ``laid_by`` that the sheet has room for.
    """

    name: str
    holes: tuple[PanelHole, ...]
    laid_by: tuple[PanelHole, ...]
    on_sheet: tuple[PanelHole, ...]
    box: tuple[int, int, int, int]


def hole_groups(layout: PanelLayout, width: int, height: int) -> tuple[HoleGroup, ...]:
    """Groups of everything to drill, reuse or close; tiles are ``width`` × ``height`` mm.

    Holes of one part go together, loose ones with what is within 90 mm; a group wider than the tile is
    parted at its widest gap. A hole larger than the tile stays alone.
    """
    work = [h for h in layout.holes if h.status != "datum"]
    titles = {footprint.part: within(footprint.words) for footprint in layout.footprints}
    sets: list[tuple[str, list[PanelHole]]] = []
    for owners in dict.fromkeys(h.owners for h in work if h.status in NEW):
        mine = [h for h in work if h.owners == owners and h.status in NEW]
        name = " and ".join(titles.get(owner, owner) for owner in owners)
        sets += _clusters(mine) if LOOSE.issuperset(owners) else [(name, mine)]
    for old in (h for h in work if h.status not in NEW):
        # a hole to close or to reuse goes with the part that covers it
        near = min(sets, key=lambda s: min(between(old, h) for h in s[1]), default=None)
        if near is not None and min(between(old, h) for h in near[1]) < NEAR_MM:
            near[1].append(old)
        else:
            sets.append((_named(old), [old]))
    old_holes = [h for h in layout.holes if h.status in EXISTING]
    groups = []
    for name, holes in sets:
        for part in _parted(holes, width, height):
            groups.append(_group(name, part, old_holes, width, height))
    return _merged(groups)


def _named(hole: PanelHole) -> str:
    """What a hole is for; its name in the spec where nobody says."""
    return hole.purpose or hole.name


def _merged(groups: Sequence[HoleGroup]) -> tuple[HoleGroup, ...]:
    """Without the sheets whose holes another sheet shows whole, with them on that sheet instead."""
    kept = list(groups)
    for group in sorted(groups, key=lambda g: len(g.holes)):
        host = next((g for g in kept if g is not group and _shows(g, group.holes)), None)
        if group in kept and host is not None:
            kept.remove(group)
            both = tuple(dict.fromkeys([*host.holes, *group.holes]))
            kept[kept.index(host)] = replace(host, name=f"{host.name}, {group.name}", holes=both)
    return tuple(kept)


def _shows(group: HoleGroup, holes: Sequence[PanelHole]) -> bool:
    inner = content_box(holes)
    return all(a <= b for a, b in zip(group.box[:2], inner[:2], strict=True)) and all(
        a >= b for a, b in zip(group.box[2:], inner[2:], strict=True)
    )


def _clusters(holes: Sequence[PanelHole]) -> list[tuple[str, list[PanelHole]]]:
    """Single links of at most ``NEAR_MM``; each cluster is named after its first hole."""
    left, out = list(holes), []
    while left:
        cluster = [left.pop(0)]
        for hole in cluster:
            near = [h for h in left if between(h, hole) <= NEAR_MM]
            cluster += near
            left = [h for h in left if h not in near]
        out.append((_named(cluster[0]), cluster))
    return out


def _fits(holes: Sequence[PanelHole], width: int, height: int) -> bool:
    u0, v0, u1, v1 = content_box(holes)
    return u1 - u0 <= width and v1 - v0 <= height


def _parted(holes: Sequence[PanelHole], width: int, height: int) -> list[list[PanelHole]]:
    if len(holes) < 2 or _fits(holes, width, height):
        return [list(holes)]
    u0, v0, u1, v1 = content_box(holes)
    along_u = (u1 - u0) / width >= (v1 - v0) / height
    row = sorted(holes, key=lambda h: (h.u_mm, h.v_mm) if along_u else (h.v_mm, h.u_mm))
    at = [h.u_mm if along_u else h.v_mm for h in row]
    # the widest gap, the middle one when equal: two halves before a hole and the rest
    cut = max(range(1, len(row)), key=lambda k: (round(at[k] - at[k - 1], 6), -abs(k - len(row) / 2)))
    return [*_parted(row[:cut], width, height), *_parted(row[cut:], width, height)]


def _group(
    name: str, holes: Sequence[PanelHole], old: Sequence[PanelHole], width: int, height: int
) -> HoleGroup:
    others = sorted(
        (h for h in old if h not in holes), key=lambda h: (min(between(h, x) for x in holes), h.name)
    )
    shown: list[PanelHole] = []
    for hole in others:
        if len(shown) < LAID_BY and _fits([*holes, *shown, hole], width, height):
            shown.append(hole)
    mine = [h for h in holes if h.status in EXISTING]
    u0, v0, u1, v1 = content_box([*holes, *shown])
    u, v = math.floor((u0 + u1 - width) / 2), math.floor((v0 + v1 - height) / 2)
    return HoleGroup(
        name=name,
        holes=tuple(holes),
        laid_by=tuple(dict.fromkeys([*mine, *shown, *others[:LAID_BY]])),
        on_sheet=tuple(shown),
        box=(u, v, u + width, v + height),
    )
