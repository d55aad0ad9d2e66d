"""The pedals in motion: their bodies with the whole way of each, and what the rules say of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from generators.checks.pedal.defaults import check_defaults
from generators.checks.pedal.hub import check_hubs
from generators.checks.space.floor import check_floor
from generators.checks.space.ground import Ground
from generators.checks.space.moves import moved_aside
from generators.checks.space.pads import Footed, check_column, check_foot, check_height, check_spacing
from generators.checks.space.swing import Moving, check_swing
from generators.layout.mounting import PlacedPart
from generators.model.changes import Proposal
from generators.model.findings import Finding
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import Job
from generators.reading import JobFile
from generators.solve.bodies.components import FLANGE
from generators.solve.bodies.pedals import FREE_SHAFT_MM, SHAFT_MM, PedalShapes
from generators.solve.brackets.arms import arm_findings
from generators.solve.floors import Ends
from generators.solve.pedals import PedalAnswer
from generators.space.body import Body
from generators.space.motion import Mover
from generators.space.pieces import Rod

_SEAT_MM = 5.0
"""How far outside a cylinder's axis its rod's seat may lie and still be its own."""
_BALL_MM = 0.01
_ALONG = 1 - 1e-9


def end_of_travel(answer: PedalAnswer) -> float:
    """The pedal's turn at the end of its travel, rad: at a stop that is set or has a place, the covering
    gone where the floor is the stop; else at the floor."""
    link = answer.linkage
    end = link.travel_mm
    if answer.clutch is not None and answer.clutch.window.given:
        end = min(answer.clutch.window.gone_mm, link.bare_mm)
    elif answer.frame.stop_mm is not None:
        end = min(answer.frame.stop_mm, end)
    return end / link.pad_radius_mm


class PedalInSpace:
    """One pedal's bodies: those that move with their ways, the shaft and the stop that stand still."""

    def __init__(self, answer: PedalAnswer, ends: Ends | None, parts: Sequence[PlacedPart]) -> None:
        """Take arm, pad and rod to the end of their travel."""
        self.answer, self.ends = answer, ends
        self.pedal: Pedal = answer.spec
        self.shapes = PedalShapes(answer.spec, answer.frame)
        hanger = next((p for p in parts if p.spec.name == answer.spec.hanger), None)
        self.hanger = hanger
        self._parameters = None if hanger is None else hanger.spec.parameters
        end = end_of_travel(answer)
        self.end_rad = end
        apart = self._bar_mm
        self.arm = self.shapes.swinging(self.shapes.arm(), end)
        self.pad = self.shapes.swinging(self.shapes.pad(), end)
        self.rod = self.shapes.rod(answer.linkage, end, apart)
        width = getattr(self._parameters, "inside_width_mm", FREE_SHAFT_MM)
        bore = getattr(self._parameters, "pivot_bore_mm", SHAFT_MM)
        bush = None if hanger is None else hanger.plan.bush
        bore = bore if bush is None else bush.inside_mm
        bore = getattr(self._parameters, "pivot_spacer_mm", None) or bore
        given = None if hanger is None else hanger.plan.shaft_mm
        self.shaft = self.shapes.shaft(width, given or bore)
        self.stop = None if ends is None else ends.stop

    @property
    def _bar_mm(self) -> float:
        """Between the rods of a balance bar; 0 for one rod."""
        if self.pedal.brake is None or self.pedal.brake.rear is None:
            return 0.0
        return float(getattr(self._parameters, "balance_spacing_mm", 0.0))

    @property
    def movers(self) -> tuple[Mover, ...]:
        """Arm, pad and rod."""
        return self.arm, self.pad, self.rod

    @property
    def pivots(self) -> tuple[Body, ...]:
        """The shaft, and the stop bolt if it has a place."""
        return (self.shaft,) if self.stop is None else (self.shaft, self.stop)

    def moving(self, standing: Sequence[Body], job: Job, others: Sequence[PedalInSpace]) -> Moving:
        """The pedal with the names of what each body is not held against."""
        floor = "" if self.ends is None else self.ends.floor.body
        underfoot = {floor}
        pads = {o.pad.body.name for o in others}
        steering = {b.name for b in standing if b.name in steering_names(job)}
        cylinders = {b.name for b in standing if b.what == "cylinder" and self._takes(b)}
        cylinders |= {f"{name}{FLANGE}" for name in cylinders}
        around = {b.name for b in standing if b.what in ("part", "panel", "bolt") and self._passed(b, job)}
        return Moving(
            pedal=self.pedal.name,
            movers=self.movers,
            apart={
                self.arm.body.name: frozenset(underfoot | self._turned_on(standing)),
                self.pad.body.name: frozenset(underfoot | pads | steering),
                self.rod.body.name: frozenset(cylinders),
            },
            through={self.rod.body.name: frozenset(around)},
            floor=next((b.owner for b in standing if b.name == floor and b.what != "panel"), ""),
        )

    def aside(self, standing: Sequence[Body], job: Job, ground: Ground) -> tuple[Proposal, ...]:
        """The hanger, or what ends the travel, moved out of each other's way; a panel stays where it is."""
        met = None if self.ends is None else self.ends.floor.body
        floor = next((b for b in standing if b.name == met and b.what != "panel"), None)
        if floor is None or abs(self.shapes.across[1]) < _ALONG:
            return ()
        carried = ground.movable.get(f"part {self.pedal.hanger}")
        other = ground.movable.get(f"{floor.what} {floor.owner}")
        things = [(thing, k == 0) for k, thing in enumerate((carried, other)) if thing is not None]
        if carried is other:
            return ()
        limits = job.limits
        clear = limits.pad_column_mm if floor.name in steering_names(job) else limits.moving_clear_mm
        whole = [b for b in standing if (b.what, b.owner) == (floor.what, floor.owner)]
        return moved_aside([self.arm.body, self.pad.body], whole, clear, things)

    def _turned_on(self, standing: Sequence[Body]) -> set[str]:
        """What the pedal's hub turns on and against between the cheeks: a tube, the flanges of bushes."""
        own = f"bolt:{self.pedal.hanger}.pivot_"
        return {b.name for b in standing if self.pedal.hanger and b.name.startswith(own)}

    def _takes(self, cylinder: Body) -> bool:
        """True for a cylinder whose axis the rod's seat lies on."""
        seat, half = np.array(self.answer.frame.seat), self._bar_mm / 2
        for piece in cylinder.pieces:
            if isinstance(piece, Rod):
                axis = piece.pose[:3, 2]
                for side in (-half, half):
                    at = seat + side * self.shapes.across - piece.pose[:3, 3]
                    if float(np.linalg.norm(at - (at @ axis) * axis)) <= _SEAT_MM:
                        return True
        return False

    def _passed(self, body: Body, job: Job) -> bool:
        """True for what the rod goes through: its hanger, the panel under that and what lies between them."""
        if not self.pedal.hanger:
            return body.what == "panel"
        mounts = {p.name: p.mount.panel for p in job.part if p.mount is not None}
        panel = mounts.get(self.pedal.hanger, "")
        return body.owner in (self.pedal.hanger, panel) or mounts.get(body.owner) == panel != ""

    def footed(self, job: Job, others: Sequence[PedalInSpace]) -> Footed:
        """The pad with a shoe on it."""
        return Footed(
            pedal=self.pedal.name,
            pad=self.pad,
            shoe=self.shapes.swinging(self.shapes.shoe(job.driver), self.end_rad),
            middle=self.shapes.middle(_BALL_MM),
            apart=frozenset({o.stop.name for o in (self, *others) if o.stop is not None}),
        )


def steering_names(job: Job) -> frozenset[str]:
    """Names of the bodies of everything that steers."""
    loose = {f"obstacle:{o.name}" for o in job.obstacle if o.is_ == "steering"}
    return frozenset(
        loose | {f"obstacle:{p.name}.{o.name}" for p in job.panel for o in p.obstacle if o.is_ == "steering"}
    )


def pedals_in_space(
    answers: Sequence[PedalAnswer], ends: Mapping[str, Ends], parts: Sequence[PlacedPart]
) -> tuple[PedalInSpace, ...]:
    """Every pedal with its bodies."""
    return tuple(PedalInSpace(answer, ends.get(answer.spec.name), parts) for answer in answers)


def _hub_findings(pedals: Sequence[PedalInSpace]) -> Iterator[Finding]:
    """What the rule says of the hubs on each hanger's shaft."""
    hangers = {p.hanger.plan.name: p.hanger.plan for p in pedals if p.hanger is not None}
    for plan in hangers.values():
        yield from check_hubs(
            plan, [p.pedal for p in pedals if p.hanger is not None and p.hanger.plan is plan]
        )


def pedal_findings(
    file: JobFile, pedals: Sequence[PedalInSpace], standing: Sequence[Body], ground: Ground
) -> Iterator[Finding]:
    """What the rules say of the pedals on their way; ``standing`` is everything else of the job."""
    job, limits = file.job, file.job.limits
    yield from _hub_findings(pedals)
    for index, pedal in enumerate(pedals):
        floor = None if pedal.ends is None else pedal.ends.floor
        if pedal.ends is not None and floor is not None:
            aside = pedal.aside(standing, job, ground)
            yield from check_floor(pedal.pedal, floor, pedal.ends.stop_mm, aside)
        yield from arm_findings(pedal.shapes, limits)
        yield from check_defaults(pedal.pedal, file.source.table["pedal"][index], floor)
    stops = [p.stop for p in pedals if p.stop is not None]
    around = [*standing, *stops]
    moving = [p.moving(standing, job, [o for o in pedals if o is not p]) for p in pedals]
    yield from check_swing(moving, around, limits.moving_clear_mm)
    feet = [p.footed(job, [o for o in pedals if o is not p]) for p in pedals]
    yield from check_spacing(feet, limits.pad_apart_mm)
    steering = [b for b in standing if b.name in steering_names(job)]
    covers = {p.name: p.covering_mm or 0.0 for p in job.panel}
    floors = [(b, covers[b.owner]) for b in standing if b.what == "panel"]
    for foot in feet:
        yield from check_column(foot, steering, limits.pad_column_mm)
        yield from check_height(foot, floors, limits.pad_over_floor_mm)
        yield from check_foot(foot, standing)
