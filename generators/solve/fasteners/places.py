"""Every bolted place of a job: through its panels, through its parts alone, and on the frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from generators.geometry.frames import Matrix
from generators.layout.mounting import PlacedPart, panel_pose, part_matrix, placement
from generators.layout.openings import REUSE_MM
from generators.layout.spots import Sheets, place
from generators.layout.stacking import gripped
from generators.model.install import InstallOrder
from generators.model.joints.fasteners import FastenerForm, Held, Side2, ThreadIn
from generators.model.plan import Footprint, Hole, PanelHole, PanelLayout, Slot
from generators.model.spec.job import Job, Panel
from generators.model.spec.lines import FRAME_THREAD
from generators.model.spec.titles import within
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.lying import lying, on_panel
from generators.solve.bodies.fixings.stacks import covering, panel_stack
from generators.solve.fasteners.bags import panel_bag, part_bag
from generators.solve.fasteners.holders import (
    Holder,
    Key,
    brace_holder,
    clamp_holder,
    holders,
    masters_of,
)
from generators.solve.fasteners.joint import Joint, Layer, bolt_name, bolt_of, sheet_yield
from generators.standards import Fastener, fastener

_SIDES: Mapping[str, tuple[Side2, ...]] = {
    "cab": ("high",),
    "engine": ("low",),
    "both": ("low", "high"),
    "none": (),
}
_THREADED: Mapping[str, tuple[FastenerForm, ThreadIn]] = {
    "bolt": ("bolt", "locking nut"),
    "insert": ("bolt", "insert"),
    "weld_nut": ("bolt", "weld nut"),
    "stud": ("stud", "locking nut"),
    "countersunk": ("countersunk", "locking nut"),
}
STOP = "stop"


class Places:
    """The bolted places of one job. Raises ``GeometryFault`` for a place that is not there."""

    def __init__(self, job: Job, parts: Sequence[PlacedPart], sheets: Sheets, order: InstallOrder) -> None:
        """Find out first what sits on which hole."""
        self.job, self.parts, self.sheets, self.order = job, parts, sheets, order
        self.known = {p.spec.name: p for p in parts}
        self.held: dict[Key, Holder] = dict(holders(job, sheets))
        self.held |= dict(masters_of(job, sheets, set(self.held)))
        self.tapped = {p.spec.name: _lying_openings(p, sheets.panels) for p in parts}

    def joints(self) -> Iterator[Joint]:
        """Every place, panel by panel, then part by part, then what is clamped to the vehicle."""
        for panel in self.job.panel:
            layout = self.sheets.layouts[panel.name]
            for hole in layout.holes:
                if hole.status in ("drill", "weld", "reuse") and hole.kind in _THREADED:
                    yield from self._in_panel(panel, layout, hole)
        for part in self.parts:
            if not part.plan.tool:
                yield from self._in_part(part)
        yield from self._on_frame()

    def _latest(self, tasks: Sequence[str]) -> str:
        """The task that comes last in the order of work: only then is everything there to be bolted."""
        return max(tasks, key=lambda t: -1 if (at := self.order.place(t)) is None else at)

    def _holder(self, layout: PanelLayout, hole: PanelHole) -> Holder | None:
        """What sits on a panel's hole, whether its place was given on the panel or on a part there."""
        found = self.held.get((layout.panel, hole.number))
        if found is not None:
            return found
        part, _, own = hole.stands_for.partition(".")
        found = self.held.get((part, own))
        if found is not None:
            return found
        for owner in hole.owners:
            for name, u, v, opening in self.tapped.get(owner, ()):
                if opening.mates and math.hypot(u - hole.u_mm, v - hole.v_mm) <= REUSE_MM:
                    found = self.held.get((owner, name))
                    if found is not None:
                        return found
        return None

    def _in_panel(self, panel: Panel, layout: PanelLayout, hole: PanelHole) -> Iterator[Joint]:
        row = bolt_of(hole.shank_mm)
        if row is None:
            return
        at = (hole.u_mm, hole.v_mm)
        holder = self._holder(layout, hole)
        form, into = _THREADED[hole.kind]
        owners = [o for o in hole.owners if o in self.known and self.known[o].mount is not None]
        tasks = [f"part:{o}" for o in owners] + ([holder.task] if holder else [])
        own = self._finished_here(layout, hole) if hole.kind == "bolt" else None
        sheets_mm = panel_stack(panel, layout, at).grip_mm
        over = 0.0
        if hole.kind == "insert":
            inside = gripped(layout, hole)[1]
            feet = [f for f in covering(layout, hole.nut_face, at) if f.part not in inside]
            sheets_mm = sum(f.thickness_mm for f in feet)
            if not feet and holder is None:
                return  # it waits for a bolt of something else
        if hole.kind == "weld_nut" and not owners and holder is None:
            return
        stud_mm = hole.reach_cab_mm or hole.reach_engine_mm
        if hole.kind == "stud":
            over = max((f.lift_mm + f.thickness_mm for f in covering(layout, hole.nut_face, at)), default=0.0)
        nuts = _SIDES[hole.nut_face]
        if own is not None:
            form, into, nuts = _by_finish(own[1], layout, own[0], nuts)
        stud = own if form == "stud" and own is not None else None
        if stud is not None:
            over = sheets_mm - self.known[stud[0]].plan.thickness_mm
            stud_mm = stud[1].finish.stands_mm if stud[1].finish is not None else 0.0
        yield Joint(
            key=bolt_name(layout.panel, hole.number),
            task=self._latest(tasks) if tasks else f"drill:{layout.panel}",
            bag=self._bag(owners, holder, layout),
            purpose=hole.purpose,
            row=row,
            form=form,
            into=into,
            sheets_mm=sheets_mm,
            low=self._layer(panel, layout, hole, "engine"),
            high=self._layer(panel, layout, hole, "cab"),
            held=_held(holder, panel_pose(panel)[:3, 2], "high"),
            nuts=nuts,
            lies=self._lies(owners),
            panel=layout.panel,
            hole=hole.number,
            part="" if stud is None else stud[0],
            stud_mm=stud_mm,
            over_mm=over,
            clamp=holder is not None and holder.clamp,
            soft_foot=holder is not None and holder.soft,
            large=holder is None and any(self.known[o].spec.hold.washers == "large" for o in owners),
        )

    def _lies(self, owners: Sequence[str]) -> Side2 | None:
        """The side the part lies on that is bolted on last; None where the panel alone has the hole."""
        mounts = [mount for o in owners if (mount := self.known[o].mount) is not None]
        if not mounts:
            return None
        return "high" if mounts[-1].face == "cab" else "low"

    def _bag(self, owners: Sequence[str], holder: Holder | None, layout: PanelLayout) -> str:
        if holder is not None:
            return holder.bag
        if not owners:
            return panel_bag(layout.title)
        last = self._latest([f"part:{o}" for o in owners]).partition(":")[2]
        return part_bag(self.known[last].spec, self.known[last].plan.title)

    def _layer(self, panel: Panel, layout: PanelLayout, hole: PanelHole, face: str) -> Layer:
        """The sheet on top of one face at a hole: a part's, else the panel itself."""
        feet: list[Footprint] = covering(layout, face, (hole.u_mm, hole.v_mm))
        wide, travel = hole.final_dia_mm, hole.travel_mm
        if not feet:
            return Layer(
                words=f"the {within(panel.title)}",
                thickness_mm=panel.thickness_mm,
                yield_mpa=sheet_yield(panel.material),
                hole_mm=wide,
                travel_mm=travel,
            )
        top = max(feet, key=lambda f: f.lift_mm + f.thickness_mm)
        plan = self.known[top.part].plan
        for _name, u, v, opening in self.tapped.get(top.part, ()):
            if math.hypot(u - hole.u_mm, v - hole.v_mm) <= REUSE_MM:
                wide, travel = _size(opening)
        return Layer(
            words=f"the {within(plan.title)}",
            thickness_mm=plan.thickness_mm,
            yield_mpa=sheet_yield(plan.material),
            hole_mm=wide,
            travel_mm=travel,
            soft=plan.printed,
        )

    def _finished_here(self, layout: PanelLayout, hole: PanelHole) -> tuple[str, Hole] | None:
        """The part on the panel whose hole there has a thread, a stud or a countersink, with that hole."""
        for name in sorted({f.part for f in layout.footprints}):
            for _name, u, v, opening in self.tapped.get(name, ()):
                near = math.hypot(u - hole.u_mm, v - hole.v_mm) <= REUSE_MM
                if near and isinstance(opening, Hole) and _form_of(opening) is not None:
                    return name, opening
        return None

    def _in_part(self, part: PlacedPart) -> Iterator[Joint]:
        """Bolts no panel has: through folded flanges, and through all of a part that drills no panel."""
        flat = {flange.name for flange, _ in lying(part.plan)}
        mount = part.mount
        panel = None if mount is None else self.sheets.panels[mount.panel]
        pose: Matrix | None = None
        if mount is not None and panel is not None:
            pose = part_matrix(panel, mount, part.lift_mm)
        frames = folded_frames(part.plan)
        for flange in part.plan.flanges:
            for opening in flange.openings:
                through = flange.name in flat and panel is not None and opening.mates
                row = bolt_of(opening.fitting.shank_mm) if opening.fitting.kind == "bolt" else None
                sunk = isinstance(opening, Hole) and opening.finish is not None and opening.finish.sink
                if row is None or (through and mount is not None and mount.holes):
                    continue
                deep = panel.thickness_mm + part.lift_mm if through and panel is not None else 0.0
                normal = None if pose is None else (pose @ frames[flange.name])[:3, 2]
                joint = self._part_joint(part, opening, row, deep, normal, panel if through else None)
                if sunk and isinstance(opening, Hole) and opening.finish is not None:
                    below: Side2 = "low" if opening.finish.side == "upper" else "high"
                    joint = replace(joint, form="countersunk", nuts=(below,))
                yield joint

    def _part_joint(
        self,
        part: PlacedPart,
        opening: Hole | Slot,
        row: Fastener,
        deep_mm: float,
        normal: Matrix | None,
        panel: Panel | None,
    ) -> Joint:
        spec, plan = part.spec, part.plan
        wide, travel = _size(opening)
        own = Layer(
            words=f"the {within(plan.title)}",
            thickness_mm=plan.thickness_mm,
            yield_mpa=sheet_yield(plan.material),
            hole_mm=wide,
            travel_mm=travel,
            soft=plan.printed,
        )
        low = own
        if panel is not None:
            low = replace(
                own,
                words=f"the {within(panel.title)}",
                thickness_mm=panel.thickness_mm,
                yield_mpa=sheet_yield(panel.material),
                soft=False,
            )
        stop = opening.name == STOP
        holder = self.held.get((spec.name, opening.name))
        if holder is None and not stop and panel is None:
            holder = brace_holder(spec, plan.title, opening.name)
        task = f"part:{spec.name}" if holder is None else self._latest([f"part:{spec.name}", holder.task])
        stands = [
            p.stop_bolt.stands_mm for p in self.job.pedal if p.stop_bolt and p.stop_bolt.part == spec.name
        ]
        return Joint(
            key=bolt_name(spec.name, opening.name),
            task=task,
            bag=holder.bag if holder is not None else part_bag(spec, plan.title),
            purpose=opening.purpose,
            row=row,
            form="stop bolt" if stop else "bolt",
            into="jam nuts" if stop else "locking nut",
            sheets_mm=plan.thickness_mm + deep_mm,
            low=low,
            high=own,
            held=_held(holder, normal, "high"),
            part=spec.name,
            opening=opening.name,
            quantity=plan.quantity,
            stands_mm=stands[0] if stands else STANDS_MM,
            clamp=holder is not None and holder.clamp,
            soft_foot=holder is not None and holder.soft,
            own_thread=opening.fitting.own_stud,
            outside=_outside(holder, wide, travel),
            large=spec.hold.washers == "large" and holder is None and panel is not None,
        )

    def _on_frame(self) -> Iterator[Joint]:
        """Clamps that sit in no hole of the job: on a rail or a tab of the vehicle."""
        for clamp in self.job.clamp:
            if clamp.on.at is None or clamp.fastener == "grommet":
                continue
            holder = clamp_holder(clamp, place(clamp.on, self.sheets))
            yield Joint(
                key=f"bolt:{clamp.name}",
                task=holder.task,
                bag=holder.bag,
                purpose=f"cushioned clamp {clamp.name.replace('_', ' ')}, on the vehicle",
                row=fastener(clamp.thread or FRAME_THREAD),
                into="insert" if clamp.fastener == "insert" else "locking nut",
                sheets_mm=0.0,
                held=Held(
                    words=f"{holder.words} and the metal it is bolted to",
                    thickness_mm=holder.thickness_mm,
                    known="open",
                ),
                clamp=True,
            )


_INTO: Mapping[str, ThreadIn] = {
    "tapped": "tapped hole",
    "press_nut": "press nut",
    "weld_nut": "weld nut",
}


def _form_of(hole: Hole) -> tuple[FastenerForm, ThreadIn] | None:
    """What goes through a finished hole of a part that lies on a panel; None for a plain one.

    A stud that stands away from the panel holds nothing there.
    """
    if hole.fitting.kind in _INTO:
        return "bolt", _INTO[hole.fitting.kind]
    if hole.finish is None:
        return None
    if hole.finish.kind == "press_stud":
        return ("stud", "locking nut") if hole.finish.side == "lower" else None
    return ("countersunk", "locking nut") if hole.finish.sink is not None else None


def _by_finish(
    hole: Hole, layout: PanelLayout, part: str, nuts: tuple[Side2, ...]
) -> tuple[FastenerForm, ThreadIn, tuple[Side2, ...]]:
    """Form, what its thread goes into, and where its nut turns, by what the part's hole is."""
    form, into = _form_of(hole) or ("bolt", "locking nut")
    face = next(f.face for f in layout.footprints if f.part == part)
    on: Side2 = "high" if face == "cab" else "low"
    behind: Side2 = "low" if on == "high" else "high"
    if form == "bolt":
        # into a thread of the part a bolt is driven through the panel, and so with its washer there
        return form, into, (behind,)
    sunk_in_panel = hole.finish is not None and hole.finish.sink is not None and hole.finish.side == "lower"
    return form, into, (on if sunk_in_panel else behind,)


UNKNOWN_MM = 10.0
"""Stands for the thickness of what nobody has measured: not thin."""

STANDS_MM = 20.0
"""How far a stop bolt stands off its upright where no pedal says (the key's own default)."""


def _size(opening: Hole | Slot) -> tuple[float, float]:
    """Width of an opening and the travel of a slot, mm."""
    return (opening.diameter_mm, 0.0) if isinstance(opening, Hole) else (opening.width_mm, opening.travel_mm)


def _outside(holder: Holder | None, hole_mm: float, travel_mm: float) -> Layer | None:
    """What is held from outside the job, as a sheet with the same opening; None for what is of the job."""
    if holder is None or not holder.outside:
        return None
    return Layer(
        words=holder.words if holder.known == "open" else f"the {holder.words}",
        thickness_mm=holder.thickness_mm or UNKNOWN_MM,
        yield_mpa=sheet_yield(holder.metal) if holder.metal else None,
        hole_mm=hole_mm,
        travel_mm=travel_mm,
    )


def _held(holder: Holder | None, normal: Matrix | None, default: Side2) -> Held | None:
    """What is held, on the side its holder stands on; ``normal`` is the high side's direction."""
    if holder is None:
        return None
    side = default
    if holder.way is not None and normal is not None:
        side = "high" if float(np.dot(holder.way, normal)) > 0 else "low"
    return Held(
        words=holder.words,
        thickness_mm=holder.thickness_mm,
        known=holder.known,
        side=side,
        outside=holder.outside,
        absent=holder.absent,
        counted=holder.counted,
        ends_on=holder.ends_on,
    )


def _lying_openings(
    part: PlacedPart, panels: Mapping[str, Panel]
) -> tuple[tuple[str, float, float, Hole | Slot], ...]:
    """Openings of a part that lie on its panel, in the panel's frame."""
    if part.mount is None:
        return ()
    at = placement(panels[part.mount.panel], part.mount)
    return tuple((o.name, *at.apply(o.u_mm, o.v_mm), o) for o in on_panel(part.plan).openings)
