"""Fitting parts, cylinders, fittings and clamps: one step each, with the panel and its holes lit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from generators.layout.spots import clamp_size
from generators.layout.stacking import doublers_under
from generators.model.lines import Clamp, Component
from generators.model.plan import Hole, PanelLayout, PartPlan, Slot
from generators.sheets.document import gap, side_by_side, table, together
from generators.sheets.hose_words import LandingLine, LinesSheet, title_of
from generators.sheets.install_drill import Steps, drill_steps, numbers
from generators.sheets.panel_view import PanelView
from generators.standards import bulkhead
from generators.units import format_length

VIEW_SHARE = 0.5
Rows = Sequence[tuple[str, str]]


def _also_carries(plan: PartPlan) -> list[tuple[str, str]]:
    """What goes into the part itself and not into the panel, counted."""
    openings: list[Hole | Slot] = []
    for flange in plan.flanges:
        openings += [*flange.holes, *flange.slots]
    words = [
        o.purpose
        for o in openings
        if not o.mates and o.fitting.kind == "bolt" and o.fitting.nut_face != "none"
    ]
    return [("part", f"{words.count(text)} × {text}") for text in dict.fromkeys(words)]


def _pictured(step: Any, layout: PanelLayout, face: str, lit: Sequence[str], rows: Rows, width: float) -> Any:
    """A step with its panel beside a table of what goes where."""
    view_width, table_width = width * VIEW_SHARE, width * (0.98 - VIEW_SHARE)
    view = PanelView(layout, width_mm=view_width, face=face, lit=lit, name_all=False)
    beside = (
        table(("hole", "what goes in"), rows, (table_width * 0.15, table_width * 0.85)) if rows else gap(1)
    )
    return together([step, side_by_side(view, beside, (view_width + width * 0.02, table_width))])


def part_story(plan: PartPlan, layout: PanelLayout, face: str, number: Steps, width: float) -> list[Any]:
    """Bolting one part to its panel."""
    mine = [h for h in layout.holes if plan.name in h.source.split("+")]
    rows = [(h.number, h.purpose) for h in mine] + _also_carries(plan)
    side = "cab side" if face == "cab" else "engine side"
    doubled = doublers_under(layout, plan.name, mine)
    what = "Panel, doubler and part" if doubled else "Panel and part"
    step = number(
        f"Fit the {plan.title.lower()} on the {side} of the {layout.title.lower()}.",
        f"Offer it up dry first: every bolt must drop through by hand. Holes {numbers(mine)}. "
        f"{what} together are {layout.thickness_mm + doubled + plan.thickness_mm:g} mm thick: add "
        "washers and nut for the length of the bolts.",
    )
    return [_pictured(step, layout, face, [h.number for h in mine], rows, width)]


def _face(lines: LinesSheet, name: str, layout: PanelLayout) -> str:
    """The face of the panel something stands on, seen by its direction."""
    panel = next((p for p in lines.panels if p.name == layout.panel), None)
    place = lines.places[name]
    if panel is None:
        return "cab"
    u, v = panel.u, panel.v
    normal = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    out = place.frame[:3, 0]
    return "cab" if sum(float(a) * b for a, b in zip(out, normal, strict=True)) > 0 else "engine"


def _where(component: Component, lines: LinesSheet, layouts: Mapping[str, PanelLayout]) -> str:
    place = lines.places[component.name]
    if place.panel:
        return f"in hole {place.hole} of the {layouts[place.panel].title.lower()}"
    if place.part:
        return f"on the {lines.part_title(place.part)}"
    x, y, z = (float(value) for value in place.frame[:3, 3])
    return (
        f"in its place on the vehicle (x {x:.0f}, y {y:.0f}, z {z:.0f} mm from the vehicle's origin: "
        "rearward, right, up)"
    )


def _bulkhead_words(component: Component) -> str:
    row = bulkhead(component.dash or 0)
    turn = ""
    if component.elbow is not None:
        turn = (
            f" Its 90 degree leg is on the {component.elbow.face} side and points {component.elbow.toward}, "
            "as the driver sees it: hold it there while the nut is tightened."
        )
    return (
        f"{row.thread} nut, {format_length(row.nut_af_mm)} across flats, with a washer on each face; hold "
        f"the body with a second spanner.{turn} Caps stay on both ends until the hose comes."
    )


def component_story(
    component: Component,
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
    number: Steps,
    width: float,
) -> list[Any]:
    """Putting one cylinder, reservoir or fitting in its place."""
    place = lines.places[component.name]
    ports = ", ".join(
        f"{port.name.replace('_', ' ')}{f' (-{port.dash})' if port.dash else ''}" for port in component.port
    )
    if component.kind == "bulkhead":
        text = _bulkhead_words(component)
    elif component.kind == "slave":
        text = "Bleed screw uppermost, rod to the fork, both screws locked. Caps stay on its ports."
    elif component.kind == "reservoir":
        text = (
            "Lid up, outlet as drawn. It must stay the highest point of the run: its lowest fluid level is "
            f"{format_length(component.level_mm or 0.0)} above where it stands."
        )
    else:
        text = (
            "Caps stay on its ports until the hose comes; every screw with a locking nut or a locked thread."
        )
    if ports:
        text += f" Ports: {ports}."
    if component.estimated:
        text += " Its place in these files is an estimate: hoses to it are measured after this step."
    # a cylinder sits in its hole, whatever else the part beside it is bolted with
    step = number(f"Fit the {title_of(component).lower()} {_where(component, lines, layouts)}.", text)
    layout = layouts.get(place.panel)
    if layout is None:
        return [step]
    hole = next(h for h in layout.holes if h.number == place.hole)
    rows = [(hole.number, f"{title_of(component)}: {format_length(hole.final_dia_mm)}")]
    return [_pictured(step, layout, _face(lines, component.name, layout), [hole.number], rows, width)]


def clamp_story(
    clamps: Sequence[Clamp],
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
    number: Steps,
    width: float,
) -> list[Any]:
    """Putting up the clamps of one panel, or of no panel, in one step."""
    first = lines.places[clamps[0].name]
    layout = layouts.get(first.panel)
    names = ", ".join(clamp.name.replace("_", " ") for clamp in clamps)
    rows = []
    for clamp in clamps:
        place = lines.places[clamp.name]
        if clamp.fastener == "grommet":
            what = f"grommet, -{clamp.dash} inside"
        else:
            off, aside = clamp_size(clamp)
            held = "threaded insert" if clamp.fastener == "insert" else "screw and locking nut"
            what = (
                f"-{clamp.dash} cushioned clamp, {held}; loop {clamp.aside} of the screw, hose {aside:.0f} "
                f"mm from it and {off:.0f} mm off the sheet"
            )
        rows.append((place.hole or "part", what))
    where = (
        f"the {layout.title.lower()}"
        if layout
        else f"the {lines.part_title(first.part) if first.part else 'vehicle'}"
    )
    step = number(
        f"Put up the clamps on {where}: {names}.",
        "Finger tight, open. The cushion's gap points to the screw; a clamp smaller than the hose chokes it. "
        "Left and right are as seen looking at that face.",
    )
    if layout is None:
        return [step, table(("hole", "what"), rows, (width * 0.12, width * 0.88))]
    lit = [lines.places[clamp.name].hole for clamp in clamps]
    return [_pictured(step, layout, _face(lines, clamps[0].name, layout), lit, rows, width)]


def land_story(
    landing: LandingLine,
    lines: LinesSheet,
    layouts: Mapping[str, PanelLayout],
    number: Steps,
    width: float,
) -> list[Any]:
    """Marking and drilling where a made-up hose has put a component."""
    component = lines.component(landing.component)
    layout = layouts.get(landing.panel)
    what = f"the {lines.part_title(landing.part)}" if landing.part else f"the {title_of(component).lower()}"
    step = number(
        f"Hold {what} where the {lines.hose(landing.hose).title.lower()} lets it go, and mark its holes.",
        "The hose on both fittings, hanging free in its path, neither pulled nor looped; the layout's own "
        "circles are the place it was worked out for. If it lands more than 10 mm from them, mark where it "
        "lands, measure that place, put it into the spec and make new files: rules were checked only for the "
        "layout's place.",
    )
    if layout is None:
        return [step]
    holes = [h for h in layout.holes if h.number in landing.holes]
    rows = [(h.number, h.purpose) for h in holes]
    face = _face(lines, landing.component, layout) if not landing.part else _part_face(landing, layout)
    return [
        _pictured(step, layout, face, [h.number for h in holes], rows, width),
        *drill_steps(holes, number, width),
    ]


def _part_face(landing: LandingLine, layout: PanelLayout) -> str:
    return next((f.face for f in layout.footprints if f.part == landing.part), "cab")
