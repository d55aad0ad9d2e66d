"""The mating rule on shared patterns: holes that come from one definition still agree where they are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.checks.joint.mating import MATING, Opened, fit_finding, looser_fits
from generators.checks.rule import SAME_MM, finding, mm
from generators.geometry.contours import Placement
from generators.layout.mounting import PlacedPart, placement
from generators.model.findings import Finding, Severity
from generators.model.plan import Hole, PanelLayout
from generators.model.spec.job import Job, Panel
from generators.model.spec.shop import Positions
from generators.model.words import other_hand
from generators.sheetmetal.lying import on_panel
from generators.standards import fastener

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One use of a pattern: its holes in the plan, in the pattern's order, mm.

    ``placed`` are the same in the frame of ``panel`` when the use lies flat on one. ``free`` uses bring
    their own panel holes, or are the panel's; the others must meet somebody's.
    """

    owner: str
    where: str
    points: tuple[Point, ...]
    diameter_mm: float
    fixed: bool
    zone_mm: float
    panel: str = ""
    placed: tuple[Point, ...] = ()
    free: bool = True


def check_patterns(
    job: Job, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout], shop: Positions
) -> Iterator[Finding]:
    """Findings on every pair of uses of every shared pattern. Raises nothing."""
    for pattern in job.pattern:
        uses = [
            *_panel_uses(job, layouts, pattern.name),
            *(use for part in parts for use in _part_uses(job, part, pattern.name, shop)),
        ]
        yield from _met(pattern.name, uses)
        shank = fastener(pattern.thread).major_mm
        for a, b in itertools.combinations(uses, 2):
            if a.owner != b.owner:
                yield from _pair(pattern.name, a, b, shank)


def _panel_uses(job: Job, layouts: Sequence[PanelLayout], name: str) -> Iterator[Use]:
    for panel, layout in zip(job.panel, layouts, strict=True):
        known = {h.name: h for h in layout.holes}
        for use in panel.pattern:
            label = use.label or use.name
            holes = [known[n] for i in range(len(known)) if (n := f"{label}_{i + 1}") in known]
            if use.name == name and holes:
                points = tuple((h.u_mm, h.v_mm) for h in holes)
                yield Use(
                    owner=f"panel {panel.name}",
                    where=f"panel:{panel.name} pattern {label}",
                    points=points,
                    diameter_mm=min(h.final_dia_mm for h in holes),
                    fixed=False,
                    zone_mm=0.0,  # what a hand drill does is looked at hole by hole
                    panel=panel.name,
                    placed=points,
                )


def _part_uses(job: Job, part: PlacedPart, name: str, shop: Positions) -> Iterator[Use]:
    panels: dict[str, Panel] = {p.name: p for p in job.panel}
    for use in part.spec.pattern:
        if use.name != name:
            continue
        label = use.label or use.name
        label = other_hand(label) if part.plan.mirrored else label
        flange, holes = _holes(part, label)
        points = tuple((h.u_mm, h.v_mm) for h in holes)
        flat = part.mount is not None and flange == part.plan.flanges[0].name
        place = placement(panels[part.mount.panel], part.mount) if flat and part.mount else Placement()
        yield Use(
            owner=f"part {part.spec.name}",
            where=f"part:{part.spec.name} flange {flange}, pattern {label}",
            points=points,
            diameter_mm=holes[0].diameter_mm,
            fixed=use.holes == "tapped",
            zone_mm=shop.cut_mm,
            panel=part.mount.panel if flat and part.mount else "",
            placed=tuple(place.apply(u, v) for u, v in points) if flat else (),
            free=use.drill,
        )


def _holes(part: PlacedPart, label: str) -> tuple[str, list[Hole]]:
    for flange in (on_panel(part.plan), *part.plan.flanges[1:]):
        named = {h.name: h for h in flange.holes}
        found = [named[n] for i in range(len(named)) if (n := f"{label}_{i + 1}") in named]
        if found:
            return flange.name, found
    raise KeyError(label)


def _miss(a: Use, b: Use) -> float:
    """How far the worst hole of ``a`` is from any of ``b``, on one panel, mm."""
    return max(min(math.dist(p, q) for q in b.placed) for p in a.placed)


def _met(name: str, uses: Sequence[Use]) -> Iterator[Finding]:
    """A part flat on a panel must lie on some other use of its pattern there, if there is one."""
    for use in uses:
        others = [o for o in uses if o is not use and o.panel == use.panel and o.placed]
        if use.free or not use.placed or not others:
            continue
        nearest = min(others, key=lambda o: _miss(use, o))
        miss = _miss(use, nearest)
        if miss > SAME_MM:
            yield finding(
                MATING,
                Severity.FAIL,
                f"{use.where} and {nearest.where}",
                value=miss,
                limit=SAME_MM,
                found=f"holes {mm(miss) if miss >= 0.01 else f'{miss:.1e} mm'} apart",
                wanted="1e-6 mm",
                advice=f"place both uses of pattern {name} on one spot (at, rotate, flip, mount.at)",
            )


def _pair(name: str, a: Use, b: Use, shank_mm: float) -> Iterator[Finding]:
    """Two uses wherever they are: the same spacings, and holes that take one bolt."""
    where = f"{a.where} and {b.where}"
    if len(a.points) == len(b.points):
        spans = (
            abs(math.dist(a.points[i], a.points[j]) - math.dist(b.points[i], b.points[j]))
            for i, j in itertools.combinations(range(len(a.points)), 2)
        )
        off = max(spans, default=0.0)
        missing = 0
    else:
        off, missing = 0.0, abs(len(a.points) - len(b.points))
    if off > SAME_MM or missing:
        yield finding(
            MATING,
            Severity.FAIL,
            where,
            value=missing or off,
            limit=0.0 if missing else SAME_MM,
            unit="" if missing else "mm",
            found=f"{missing} holes missing" if missing else f"spacings {off:.1e} mm apart",
            wanted="1e-6 mm",
            advice=f"leave the holes of pattern {name} where the pattern puts them",
        )
        return
    if a.panel and a.panel == b.panel:
        return  # there every hole is looked at where it is
    looser = looser_fits(f"pattern[{name}].fit", f"pattern {name}")
    found = fit_finding(where, _opened(a), _opened(b), shank_mm, looser)
    if found is not None:
        yield found


def _opened(use: Use) -> Opened:
    return Opened(
        owner=use.owner, diameter_mm=use.diameter_mm, at=(0.0, 0.0), fixed=use.fixed, zone_mm=use.zone_mm
    )
