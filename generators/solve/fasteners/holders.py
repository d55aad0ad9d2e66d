"""What sits on which bolts: cylinders and reservoirs by the pattern of their holes, clamps, braces."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from generators.geometry.frames import Matrix
from generators.layout.spots import CUSHION_MM, Place, Sheets, clamp_size, component_place, place
from generators.model.joints.fasteners import Known
from generators.model.plan import Flange, Hole, Slot
from generators.model.spec.job import Job, PartSpec
from generators.model.spec.lines import FLANGE_MM, Clamp, Component
from generators.model.spec.titles import within
from generators.solve.fasteners.bags import clamp_bag, component_bag, part_bag
from generators.units import DASH_MM

FOOT_MM = 3.0
"""Thickness of the two ends of a clamp's band one on the other (ours)."""

_NUMBER = re.compile(r"_\d+$")
_BORE = "_bore"
Key = tuple[str, str]
"""A panel and a hole's number, or a part and an opening's name."""


BRACE = "brace_"
"""Holes of a hanger's tab are called so, with a number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """Something that sits on bolts: its step, its bag, how thick it is there and which way it stands.

    ``way`` is the unit direction in the vehicle it stands off its sheet; None where that is not known.
    ``outside`` is what no table of the job is about; its ``metal`` then decides whether there is a figure.
    ``absent`` is a brace, for which the job has no more than the hole; ``counted`` one that stiffness and
    strength are worked out with, ``ends_on`` what its far end is bolted to.
    """

    task: str
    bag: str
    words: str
    thickness_mm: float
    known: Known
    way: Matrix | None
    clamp: bool = False
    soft: bool = False
    outside: bool = False
    metal: str = ""
    absent: bool = False
    counted: bool = False
    ends_on: str = ""


def spacer_mm(clamp: Clamp) -> float:
    """How far a clamp's band is held off the sheet at its bolt, mm."""
    off, _aside = clamp_size(clamp)
    return max(off - (clamp.dash * DASH_MM / 2 + CUSHION_MM), 0.0)


def component_words(component: Component) -> str:
    """A component in words, within a sentence."""
    return within(component.title) if component.title else component.name.replace("_", " ")


def component_holder(component: Component, where: Place) -> Holder:
    """A component as what sits on its bolts."""
    foot = "foot" if component.kind == "reservoir" else "flange"
    return Holder(
        task=f"component:{component.name}",
        bag=component_bag(component),
        words=f"{foot} of the {component_words(component)}",
        thickness_mm=FLANGE_MM.get(component.kind, 10.0)
        if component.flange_mm is None
        else component.flange_mm,
        known="given" if component.flange_mm is not None else "assumed",
        way=np.asarray(where.frame[:3, 0]),
        soft=component.kind == "reservoir",
    )


def clamp_holder(clamp: Clamp, where: Place) -> Holder:
    """A clamp as what sits on its bolt, with the spacer under it."""
    return Holder(
        task=f"clamp:{clamp.name}",
        bag=clamp_bag(clamp),
        words="clamp and its spacer" if spacer_mm(clamp) > 0 else "clamp",
        thickness_mm=FOOT_MM + spacer_mm(clamp),
        known="given",
        way=np.asarray(where.frame[:3, 0]),
        clamp=True,
    )


def stem(name: str) -> str:
    """What the bolts of one pattern share: ``master_1`` and ``master_bore`` are both of ``master``."""
    return name.removesuffix(_BORE) if name.endswith(_BORE) else _NUMBER.sub("", name)


def own_bolts(flange: Flange, name: str) -> list[str]:
    """Bolts of the thing that sits at an opening of a flange: those of its pattern; of a bore without, all
    bolts of the flange that hold the part to nothing."""
    bolts = [o for o in flange.openings if o.fitting.kind == "bolt"]
    same = [o.name for o in bolts if stem(o.name) == stem(name)]
    return same or [o.name for o in bolts if not o.mates and o.name != "stop"]


def opening_of(spec_part: Mapping[str, Flange], name: str) -> tuple[Flange, Hole | Slot] | None:
    """The flange and the opening of that name."""
    for flange in spec_part.values():
        for opening in flange.openings:
            if opening.name == name:
                return flange, opening
    return None


def holders(job: Job, sheets: Sheets) -> Iterator[tuple[Key, Holder]]:
    """Every hole something sits on. Raises ``GeometryFault`` for a place that is not there."""
    for component in job.component:
        if component.kind == "bulkhead" or component.on.at is not None:
            continue
        holder = component_holder(component, component_place(component, sheets))
        if component.on.part:
            flanges = {f.name: f for f in sheets.parts[component.on.part].plan.flanges}
            names: dict[str, None] = {}
            for hole in component.on.holes:
                found = opening_of(flanges, hole)
                if found is not None:
                    names.update(dict.fromkeys(own_bolts(found[0], hole)))
            yield from (((component.on.part, name), holder) for name in names)
        else:
            layout = sheets.layouts[component.on.panel]
            bores = [h.name for h in layout.holes if h.name in component.on.holes and h.kind != "bolt"]
            stems = {stem(name) for name in bores}
            for drilled in layout.holes:
                if drilled.name in component.on.holes or stem(drilled.name) in stems:
                    yield (component.on.panel, drilled.number), holder
    for clamp in job.clamp:
        if clamp.fastener == "grommet" or clamp.on.at is not None:
            continue
        where = place(clamp.on, sheets)
        holder = clamp_holder(clamp, where)
        if clamp.on.part:
            yield from (((clamp.on.part, name), holder) for name in clamp.on.holes)
        else:
            yield (clamp.on.panel, where.hole), holder


def masters_of(job: Job, sheets: Sheets, taken: set[Key]) -> Iterator[tuple[Key, Holder]]:
    """Masters that no component of the job is: those of a hanger, at the bores of its patterns."""
    for pedal in job.pedal:
        part = sheets.parts.get(pedal.hanger)
        if part is None:
            continue
        for flange in part.plan.flanges:
            for hole in flange.holes:
                if not hole.name.endswith(_BORE):
                    continue
                names = [n for n in own_bolts(flange, hole.name) if stem(n) == stem(hole.name)]
                if any((part.spec.name, n) in taken for n in names):
                    continue
                title = within(pedal.title) if pedal.title else f"{pedal.name.replace('_', ' ')} pedal"
                holder = Holder(
                    task=f"pedal:{pedal.name}",
                    bag=part_bag(part.spec, part.plan.title),
                    words=f"flange of the {title}'s master cylinder",
                    thickness_mm=FLANGE_MM["master"],
                    known="assumed",
                    way=None,
                )
                yield from (((part.spec.name, name), holder) for name in names)


def brace_holder(spec: PartSpec[object], title: str, name: str) -> Holder:
    """What is bolted to a part from outside the job: as the spec has it, else nobody knows how thick."""
    for held in spec.held:
        if name in held.holes:
            return Holder(
                task=f"part:{spec.name}",
                bag=part_bag(spec, title),
                words=held.what,
                thickness_mm=held.thickness_mm,
                known="given",
                way=None,
                outside=True,
                metal=held.material,
                ends_on=held.ends_on,
                absent=name.startswith(BRACE),
                counted=spec.hold.counts_on(name),
            )
    return Holder(
        task=f"part:{spec.name}",
        bag=part_bag(spec, title),
        words="what is bolted to it",
        thickness_mm=0.0,
        known="open",
        way=None,
        outside=True,
        absent=name.startswith(BRACE),
        counted=spec.hold.counts_on(name),
    )
