"""Which steps have a picture of their thing in its place, of what, and from where it is seen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from generators.figures import format_length, format_short
from generators.geometry.frames import Matrix
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.install import PlacePicture, Step, StepTable, Task
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PartPlan
from generators.model.spec.lines import Component
from generators.model.spec.titles import asked, capital, within
from generators.model.words import OTHER, Face, HoseSide, Side
from generators.sheetmetal.folding import folded_frames
from generators.sheets.bolting.words import ONCE, SNUG, tightness_words
from generators.sheets.hose_words import LinesSheet, title_of
from generators.standards import bulkhead
from generators.strength.joint.strut import BraceLoad
from generators.units import UnitSystem

Parts = Mapping[str, tuple[PartPlan, str, Face]]
FACES = (
    ((0.0, 0.0, 1.0), "upper face"),
    ((0.0, 0.0, -1.0), "lower face"),
    ((1.0, 0.0, 0.0), "face toward the driver"),
    ((-1.0, 0.0, 0.0), "face toward the front"),
    ((0.0, 1.0, 0.0), "right-hand face"),
    ((0.0, -1.0, 0.0), "left-hand face"),
)
"""Of a sheet, by the way it looks in the vehicle."""


def with_place(
    step: Step, task: Task, lines: LinesSheet, parts: Parts, pedals: Mapping[str, PedalSheet]
) -> Step:
    """The same step, with a picture of what it fits in its place if that shows more than its words do."""
    picture = None
    if task.kind == "part":
        plan, panel, _face = parts[task.name]
        if step.do.startswith(f"Fit the {within(plan.title)} on the "):
            step = replace(step, how=f"{step.how}{_empty(plan, lines)}")
        if len(plan.flanges) > 1 and step.do.startswith(f"Fit the {within(plan.title)} on the "):
            picture = PlacePicture(thing=plan.name, title=plan.title, view="side", carriers=(panel,))
    elif task.kind == "pedal" and task.name in pedals:
        hanger = pedals[task.name].spec.hanger
        carriers = (hanger, parts[hanger][1]) if hanger in parts else ()
        marks = (("pivot", f"{hanger}.{_pivot(parts[hanger][0])}"),) if carriers else ()
        picture = PlacePicture(
            thing=within(task.title), title=capital(task.title), view="side", carriers=carriers, marks=marks
        )
    elif task.kind == "component":
        component = lines.component(task.name)
        if step.do.startswith(f"Fit the {within(title_of(component))} ") and _has_body(component):
            picture = _component(component, lines, parts)
    return step if picture is None else replace(step, pictures=(*step.pictures, picture))


def _empty(plan: PartPlan, lines: LinesSheet) -> str:
    """Bores of a part's legs that nothing of the job goes into, in a sentence after a blank, or nothing."""
    taken = {hole for c in lines.components if c.on.part == plan.name for hole in c.on.holes}
    masters = plan.pedal is not None and not any(c.kind == "master" for c in lines.components)
    bores: dict[tuple[str, float], int] = {}
    for hole in (hole for flange in plan.flanges[1:] for hole in flange.holes):
        free = hole.fitting.kind == "bore" and not hole.mates and hole.name not in taken and not masters
        if free and not hole.name.startswith("pivot"):
            key = (hole.purpose, hole.diameter_mm)
            bores[key] = bores.get(key, 0) + 1
    said = [f"{n} × {format_short(mm, lines.units)} ({what})" for (what, mm), n in bores.items()]
    return f" Nothing of this job goes into its {'; '.join(said)}: that stays empty." if said else ""


def _pivot(plan: PartPlan) -> str:
    names = [o.name for flange in plan.flanges for o in flange.openings if "pivot" in o.name]
    return names[-1] if names else ""


def _has_body(component: Component) -> bool:
    """True where a picture shows which way it stands; of a fitting only its leg does."""
    if component.kind == "bulkhead":
        return bool(component.elbows)
    return component.length_mm is not None and component.diameter_mm is not None


def _component(component: Component, lines: LinesSheet, parts: Parts) -> PlacePicture:
    place = lines.places[component.name]
    carriers = [name for name in (place.part, place.panel) if name]
    if place.part in parts and not place.panel:
        carriers.append(parts[place.part][1])
    mine = {name: way for name, way in lines.ways.items() if name.split(".")[0] == component.name}
    dashes = {port.name: port.dash for port in component.port}
    marks = []
    for name in mine:
        port = name.partition(".")[2]
        side = f"{port} side" if component.kind == "bulkhead" else port.replace("_", " ")
        marks.append((side + (f" (-{dashes[port]})" if dashes.get(port) else ""), name))
    ways = [*mine.values()]
    if component.kind != "bulkhead":
        x, y, z = place.frame[:3, 0].tolist()
        ways.append((x, y, z))
    seen: dict[HoseSide, float] = {
        "side": math.fsum(math.hypot(x, z) for x, _y, z in ways),
        "driver": math.fsum(math.hypot(y, z) for _x, y, z in ways),
    }
    # of a fitting it is the leg that must point the right way
    legs = any(elbow.toward in ("left", "right") for elbow in component.elbows)
    view: HoseSide = "driver" if legs or seen["driver"] > seen["side"] + 1e-6 else "side"
    return PlacePicture(
        thing=component.name,
        title=title_of(component),
        view=view,
        carriers=tuple(carriers),
        marks=tuple(marks),
    )


def brace_picture(
    plan: PartPlan, panel: str, what: str, sets: Sequence[FastenerSet], loads: Sequence[BraceLoad]
) -> PlacePicture:
    """The part with the holes of its brace, and how far off the other bolt is where that is known."""
    lengths = {load.hole: load.length_mm for load in loads if load.part == plan.name}
    marks = {made.opening: made.opening.replace("_", " ") for made in sets}
    return PlacePicture(
        thing=plan.name,
        title=f"{plan.title}: {what}",
        view="side",
        carriers=(panel,) if panel else (),
        marks=tuple((words, f"{plan.name}.{opening}") for opening, words in marks.items()),
        arc_mm=max((lengths.get(made.opening, 0.0) for made in sets), default=0.0),
    )


def brace_ends(
    plan: PartPlan, pose: Matrix | None, sets: Sequence[FastenerSet], arc_mm: float, units: UnitSystem
) -> StepTable:
    """How a brace is fixed at either end: here as worked out, there what carries the same force."""
    made = sets[0]
    face = _face(plan, pose, made)
    lies = f"flat on the {face} of that sheet" if face else "flat on that sheet"
    on = made.head in (None, _side(made))
    head = "head on the brace, nut on the other face" if on else "nut on the brace"
    size = f"{made.thread}{f'×{made.length_text}' if made.length_text else ''} {made.grade}".strip()
    far = f"{made.thread} {made.grade}".strip()
    own = made.held.thickness_mm if made.held is not None else 0.0
    thick = format_short(own, units) if own else ""
    away = f"{format_short(arc_mm, units, 0)} from bolt to bolt, " if arc_mm else ""
    tight = tightness_words(made, units).removesuffix(ONCE)
    metal = f"at least {thick}, as its own flat end" if thick else "as thick as the sheet here at least"
    lugs = dict.fromkeys(s.held.ends_on.rstrip(".") for s in sets if s.held and s.held.ends_on)
    metal = f"on {' and '.join(lugs)}" if lugs else f"on sound metal of the body, {metal}"
    rows = (
        ("this end", f"{lies}; {size}, two washers, locking nut: {head}"),
        (
            "far end",
            f"{away}{metal}; a bolt of the same thread and class ({far}) "
            "through it, with two washers and a locking nut: as long as the metal there asks, so not in "
            "the box",
        ),
        ("how tight", f"{tight}; at the far end the same in steel of that thickness, else {SNUG}"),
        (
            "when",
            "after the hoses, before fluid; the bolts of both ends tight before anybody presses the pedal",
        ),
    )
    return StepTable(head=("brace", "how it is fixed"), rows=rows, shares=(0.16, 0.84))


def far_end(sets: Sequence[FastenerSet], contact: str) -> str:
    """What the other end of a brace is bolted to, as the spec has it; else who is asked."""
    said = dict.fromkeys(made.held.ends_on.rstrip(".") for made in sets if made.held and made.held.ends_on)
    return (
        f"Its far end goes on {' and '.join(said)}." if said else f"Where it may end: ask {asked(contact)}."
    )


def _side(made: FastenerSet) -> str:
    return made.held.side if made.held is not None else "high"


def _face(plan: PartPlan, pose: Matrix | None, made: FastenerSet) -> str:
    """The face of its sheet a brace lies on, by where it looks in the vehicle; empty where nobody knows."""
    flange = next((f for f in plan.flanges if any(o.name == made.opening for o in f.openings)), None)
    if flange is None or pose is None:
        return ""
    return face_words(
        (pose @ folded_frames(plan)[flange.name])[:3, 2] * (1.0 if _side(made) == "high" else -1.0)
    )


def face_words(normal: Matrix) -> str:
    """The face of a sheet by the way it looks in the vehicle, that way given: ``face toward the front``."""
    return max(FACES, key=lambda one: float(np.dot(normal, one[0])))[1]


GOES_IN: Mapping[Side, str] = MappingProxyType(
    {
        "cab": "from the cab side",
        "engine": "from the engine side",
        "up": "from above",
        "down": "from below",
        "left": "from the left",
        "right": "from the right",
    }
)
"""Whence something is put on a sheet, by the side it stands on."""


def goes_in(component: Component, lines: LinesSheet) -> tuple[str, str]:
    """Whence a master cylinder is put in, after a comma, and how it then lies, a blank after it."""
    place = lines.places[component.name]
    if component.kind != "master" or not (place.panel or place.part):
        return "", ""
    whence = GOES_IN[component.on.side]
    if component.body_at is not None or component.body_along != "out":
        return f", {whence}", ""
    face = face_words(place.frame[:3, 0])
    return (
        f", {whence}",
        f"Its flange lies on the {face}, its rod end points through to the pedal. ",
    )


def bulkhead_words(component: Component, units: UnitSystem, *, later: bool) -> str:
    """Its nut, its washers and which way its legs point, in sentences."""
    row = bulkhead(component.dash or 0)
    turn = " Shoulder on one face, nut on the other: on which a spanner reaches it better."
    if component.elbow is not None:
        turn = (
            f" Its 90 degree leg is on the {component.elbow.face} side, the nut on the "
            f"{OTHER[component.elbow.face]} side. The leg points {component.elbow.toward}, as the driver "
            "sees it: hold it there while the nut is tightened."
        )
    if component.other_elbow is not None:
        # the nut does not pass a leg, so one of the two is screwed on last
        other = component.other_elbow
        turn += (
            f" The leg on the {other.face} side goes on after the nut and points {other.toward}: hold both "
            "while it is tightened."
        )
    return (
        f"{row.thread} nut, {format_length(row.nut_af_mm, units)} across flats, with a washer on each face; "
        f"hold the body with a second spanner.{turn} Its nut{', when it is tightened,' if later else ''} as "
        "tight as the fitting's maker gives: there is no figure for it here."
    )
