"""Where the findings of a job are on its pictures."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence

from generators.geometry.contours import bounds
from generators.layout.spots import Sheets, place
from generators.model.findings import Finding
from generators.model.plan import PanelLayout
from generators.model.spec.lines import Spot
from generators.sheets.draft.content import Pin, Run
from generators.solve.job import Prepared

_NUMBER = re.compile(r"[0-9]+|[A-Z]{1,2}")
_WORD = re.compile(r"[A-Za-z0-9_]+")

Place = tuple[str, float, float]


def pinned(prepared: Prepared, runs: Sequence[Run] = ()) -> tuple[Pin, ...]:
    """Every finding with a number, in the order of the list; ``runs`` are hoses near panels."""
    return tuple(
        Pin(
            number=number,
            finding=finding,
            spots=tuple(dict.fromkeys(_spots(finding, prepared, runs))),
            things=tuple(dict.fromkeys(_things(finding, prepared))),
        )
        for number, finding in enumerate(prepared.findings, 1)
    )


def _things(finding: Finding, prepared: Prepared) -> Iterator[str]:
    """What a finding is about, by table and name; a line's is the pedal it belongs to."""
    kind, _, rest = finding.where.partition(":")
    name = rest.split(" ")[0]
    if kind == "space":
        yield "space"
        return
    yield f"{kind}:{name}"
    for pedal in prepared.file.job.pedal:
        if kind in ("line", "hose") and any(line.hose == name for line in pedal.line):
            yield f"pedal:{pedal.name}"


def _spots(finding: Finding, prepared: Prepared, runs: Sequence[Run]) -> Iterator[Place]:
    kind, _, rest = finding.where.partition(":")
    name, _, about = rest.partition(" ")
    job, sheets = prepared.file.job, prepared.lines.sheets
    if kind == "panel" and name in sheets.layouts:
        yield from _on_panel(next(x for x in prepared.layouts if x.panel == name), about)
    elif kind == "part":
        for layout in prepared.layouts:
            yield from _covered(layout, {name})
    elif kind in ("hose", "line"):
        named = {*_WORD.findall(rest)}
        yield from ((run.panel, *end) for run in runs if run.hose in named for end in run.ends)
    else:
        for thing in job.clamp if kind == "clamp" else job.component:
            if thing.name == name:
                yield from _held(thing.on, sheets)


def _covered(layout: PanelLayout, names: Collection[str]) -> Iterator[Place]:
    """The middles of where parts lie on a panel."""
    for footprint in layout.footprints:
        if footprint.part in names:
            u0, v0, u1, v1 = bounds(footprint.contour)
            yield layout.panel, (u0 + u1) / 2, (v0 + v1) / 2


def _held(spot: Spot, sheets: Sheets) -> Iterator[Place]:
    """The middle of the panel's hole a thing sits in; nothing where it stands free."""
    where = place(spot, sheets)
    layout = sheets.layouts.get(where.panel)
    for hole in layout.holes if layout is not None else ():
        if hole.name == where.hole:
            yield where.panel, hole.u_mm, hole.v_mm


def _on_panel(layout: PanelLayout, about: str) -> Iterator[Place]:
    """Holes by their numbers, else parts and what is in the way by name, else the upper left corner."""
    holes = {hole.number: hole for hole in layout.holes}
    bare = re.sub(r"\([^)]*\)", "", about)
    numbers = [n for n in _NUMBER.findall(bare) if n in holes] if bare.startswith("hole") else []
    if numbers:
        yield from ((layout.panel, holes[n].u_mm, holes[n].v_mm) for n in numbers)
        return
    words = set(_WORD.findall(about))
    parts = [*_covered(layout, words)]
    yield from parts
    shapes = [k.contour for k in layout.keepouts if k.name in words]
    for contour in shapes:
        u0, v0, u1, v1 = bounds(contour)
        yield layout.panel, (u0 + u1) / 2, (v0 + v1) / 2
    if not shapes and not parts:
        u0, _v0, _u1, v1 = bounds(layout.contour)
        yield layout.panel, u0, v1
