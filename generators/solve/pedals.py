"""The pedals of a job: hung where their hanger is, computed and checked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from generators.checks.pedal.brakes import check_brake
from generators.checks.pedal.hydraulics import check_clutch
from generators.errors import Fault, GeometryFault, LookupFault, SpecError
from generators.geometry.frames import Matrix, apply, frame
from generators.hydraulics.brake import BrakeResult, solve_brake
from generators.hydraulics.linkage import Linkage, PedalFrame, explicit_frame
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.hydraulics.ranking import RATIOS, Ranking, rank, with_own
from generators.hydraulics.result import ClutchResult, solve_clutch
from generators.layout.mounting import PlacedPart, leaning, part_matrix
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.pedal_place import PedalPlace
from generators.model.plan import PanelLayout
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import Job
from generators.reading import JobFile
from generators.solve.fasteners.pivots import inner_faces
from generators.solve.floors import Ends, travel_ends, with_ends
from generators.standards import standard_bores
from generators.units import UnitSystem

UPRIGHT = 0.5
"""Least share of the vertical in the plane a pedal swings in (ours)."""

_ACROSS = 0.99
"""Least share of the vehicle's right along a shaft that lies across (ours)."""

# A hanger on no panel: out is rearward and up is up, as on an upright firewall at the origin.
_LOOSE = np.array([[0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalAnswer:
    """One pedal with its answer: ``clutch`` or ``brake``, by its kind; the other is None."""

    spec: Pedal
    frame: PedalFrame
    clutch: ClutchResult | None = None
    brake: BrakeResult | None = None
    units: UnitSystem = "metric"
    bar_mm: float = 0.0
    cheeks_mm: tuple[float, float] | None = None

    @property
    def linkage(self) -> Linkage:
        """Its linkage in the vehicle frame. Raises ``ValueError`` for an answer without a result."""
        if self.clutch is not None:
            return self.clutch.linkage
        if self.brake is not None:
            return self.brake.linkage
        raise ValueError(f"pedal {self.spec.name} has no result")

    @property
    def pad_right_mm(self) -> float:
        """How far to the vehicle's right the middle of its pad is, mm."""
        across = np.cross(self.frame.up, self.frame.out)
        return float(self.frame.pivot[1] + self.spec.pad_side_mm * across[1])

    def findings(self, limits: Limits, pedals: Sequence[Pedal] = ()) -> list[Finding]:
        """What the rules say of it; of ``pedals`` those on its hanger go along where its ratio is changed."""
        found: list[Finding] = []
        if self.clutch is not None:
            beside = [p for p in pedals if p.hanger == self.spec.hanger and p.name != self.spec.name]
            found += check_clutch(self.spec, self.clutch, limits, beside)
        if self.brake is not None:
            found += check_brake(self.spec, self.brake, limits)
        return found

    def sheet(self, ranking: Ranking | None = None) -> PedalSheet:
        """What the sheets and the screen show of it."""
        return PedalSheet(
            spec=self.spec,
            clutch=self.clutch,
            brake=self.brake,
            ranking=ranking,
            units=self.units,
            bar_mm=self.bar_mm,
            cheeks_mm=self.cheeks_mm,
        )

    def ranking(self) -> Ranking | None:
        """Common bores and ratios ranked with the spec's own among them; None for a brake.

        Takes some tenths of a second.
        """
        if self.clutch is None:
            return None
        setup = self.clutch.setup
        return rank(
            self.spec,
            self.frame,
            masters_mm=with_own([b.bore_mm for b in standard_bores("master")], setup.master.bore_mm),
            slaves_mm=with_own([b.bore_mm for b in standard_bores("slave")], setup.slave.bore_mm),
            ratios=with_own(RATIOS, self.clutch.lever_ratio),
        )


def pedal_ends(file: JobFile, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]) -> dict[str, Ends]:
    """Floor and stop of each pedal that can be pressed. Raises ``SpecError`` as ``travel_ends`` does."""
    frames = {}
    for pedal in file.job.pedal:
        try:
            frames[pedal.name] = pedal_frame(pedal, file.job, parts)
        except GeometryFault:
            continue  # said when the pedal is solved
    return travel_ends(file, frames, parts, layouts)


def solve_pedals(
    file: JobFile, parts: Sequence[PlacedPart], ends: Mapping[str, Ends] = MappingProxyType({})
) -> tuple[PedalAnswer, ...]:
    """The answers of all pedals; ``ends`` has where their travel was found to end.

    Raises ``SpecError`` with the fault of every pedal that cannot be.
    """
    answers: list[PedalAnswer] = []
    faults: list[Fault] = []
    for index, pedal in enumerate(file.job.pedal):
        try:
            hung = with_ends(pedal_frame(pedal, file.job, parts), ends.get(pedal.name))
            clutch = pedal.kind == "clutch"
            answers.append(
                PedalAnswer(
                    spec=pedal,
                    frame=hung,
                    clutch=solve_clutch(pedal, hung) if clutch else None,
                    brake=None if clutch else solve_brake(pedal, hung, file.job.job.category),
                    units=file.units,
                    bar_mm=_bar_mm(pedal, parts),
                    cheeks_mm=_cheeks(pedal, hung, file.job, parts),
                )
            )
        except GeometryFault as fault:
            path = f"pedal[{index}].{fault.parameter}" if fault.parameter else f"pedal[{index}]"
            faults.append(file.fault_at(path, str(fault), "a pedal that can move through its travel"))
        except LookupFault as fault:
            known = f"one of {', '.join(fault.known)}"
            faults.append(file.fault_at(f"pedal[{index}]", f"{fault.table} {fault.key!r}", known))
    if faults:
        raise SpecError(faults)
    return tuple(answers)


def _bar_mm(pedal: Pedal, parts: Sequence[PlacedPart]) -> float:
    """Between the rods on a pedal's balance bar, mm: as the spec says it, else as its masters are apart."""
    if pedal.brake is None or pedal.brake.rear is None:
        return 0.0
    hanger = next((part.spec.parameters for part in parts if part.spec.name == pedal.hanger), None)
    apart = 0.0 if hanger is None else getattr(hanger, "balance_spacing_mm", 0.0)
    return float(pedal.brake.bar_span_mm or apart)


def _cheeks(
    pedal: Pedal, hung: PedalFrame, job: Job, parts: Sequence[PlacedPart]
) -> tuple[float, float] | None:
    """From the arm's plane to what its hub may meet at the hanger's left and right cheek, mm."""
    hanger = next((part for part in parts if part.spec.name == pedal.hanger), None)
    faces = None if hanger is None else inner_faces(hanger.plan)
    across = np.cross(hung.up, hung.out)
    # left and right are the driver's: of a shaft that does not lie across nobody says them
    if hanger is None or faces is None or across[1] < _ACROSS:
        return None
    arm = np.array(hung.pivot) + pedal.pin_side_mm * across
    left, right = sorted(((apply(pedal_pose(hanger, job), faces) - arm) @ across).tolist())
    bush = hanger.plan.bush
    flange = 0.0 if bush is None else bush.flange_thick_mm
    return (-left - flange, right - flange) if left < -flange and right > flange else None


def pedal_frame(pedal: Pedal, job: Job, parts: Sequence[PlacedPart]) -> PedalFrame:
    """Where a pedal hangs, vehicle frame, mm.

    With a hanger everything comes from that part's own parameters and mount, the numbers its holes are
    drilled by: the cylinder's axis runs through the part's origin on the panel's face, square to it or
    leaning by the hanger's ``wedge``, or where the plan says, and the pivot is ``pivot_up`` and
    ``pivot_out`` from there. Raises ``GeometryFault`` for a hanger that is not there.
    """
    if not pedal.hanger:
        return explicit_frame(pedal)
    hanger = next((part for part in parts if part.spec.name == pedal.hanger), None)
    if hanger is None:
        raise GeometryFault(f"no part named {pedal.hanger}", "hanger")
    place = hanger.plan.pedal
    pose = pedal_pose(hanger, job)
    # a hanger for two pedals says where along it each one's cylinders are
    aside = getattr(hanger.spec.parameters, f"{pedal.kind}_u_mm", 0.0)
    if hanger.plan.mirrored:
        aside = -aside  # they are given for the hand the kind draws
    if place is None:
        parameters = hanger.spec.parameters
        pivot_up, pivot_out = parameters.pivot_up_mm, parameters.pivot_out_mm
        # the seat counts from the panel's face, which a doubler under the hanger does not move
        high = -hanger.lift_mm
    else:
        pose = pose @ place_frame(place)
        pivot_up, pivot_out, high = place.pivot_up_mm, place.pivot_out_mm, 0.0
    pivot = apply(pose, np.array([[aside, pivot_up, pivot_out]]))[0]
    face = apply(pose, np.array([[aside, 0.0, high]]))[0]
    up, out = pose[:3, 1], pose[:3, 2]
    axis = leaning(-out, up, hanger)
    seat = face + pedal.seat_mm * axis
    return PedalFrame(
        pivot=_point(pivot), out=_point(out), up=_point(up), seat=_point(seat), axis=_point(axis)
    )


def place_frame(place: PedalPlace) -> Matrix:
    """Frame of the masters' flange in a part's root frame, 4×4, mm: right, up, out."""
    return frame(place.centre, np.array(place.right), np.array(place.up))


def squared(file: JobFile, parts: Sequence[PlacedPart]) -> JobFile:
    """The job with the places of every pedal square to its panel: those measured with a plumb line turned.

    A place (rearward, up) in the pedal's plane is ``rearward · l + up · p``, p the vertical's share in that
    plane and l square to it; out and up are its shares along the frame's own. A pedal whose hanger is not
    there is left for ``solve_pedals`` to refuse. Raises ``SpecError`` for one that swings level, where no
    plumb line helps.
    """
    pedals = []
    for index, pedal in enumerate(file.job.pedal):
        if pedal.measured == "plumb" and any(part.spec.name == pedal.hanger for part in parts):
            hung = pedal_frame(pedal, file.job, parts)
            out, up = np.array(hung.out), np.array(hung.up)
            across = np.cross(up, out)
            plumb = np.array([0.0, 0.0, 1.0]) - across[2] * across
            if np.linalg.norm(plumb) < UPRIGHT:
                fault = file.fault_at(
                    f"pedal[{index}].measured", "a pedal that swings level, measured by plumb", "panel"
                )
                raise SpecError([fault])
            plumb /= np.linalg.norm(plumb)
            level = np.cross(across, plumb)
            turn = np.array([[level @ out, plumb @ out], [level @ up, plumb @ up]])
            pedals.append(_turned(pedal, turn))
        else:
            pedals.append(pedal)
    return replace(file, job=replace(file.job, pedal=tuple(pedals)))


def _turned(pedal: Pedal, turn: Matrix) -> Pedal:
    def moved(place: tuple[float, float]) -> tuple[float, float]:
        out, up = (turn @ np.array(place)).tolist()
        return out, up

    stop = pedal.stop_bolt
    return replace(
        pedal,
        pin=moved(pedal.pin),
        pad=moved(pedal.pad),
        arm=tuple(moved(place) for place in pedal.arm),
        stop_bolt=stop if stop is None or stop.at is None else replace(stop, at=moved(stop.at)),
        measured="panel",
    )


def pedal_pose(hanger: PlacedPart, job: Job) -> Matrix:
    """Root frame of a hanger in the vehicle frame, 4×4, mm; of a loose one as if the masters' flange stood
    upright at the vehicle's origin."""
    if hanger.mount is None:
        place = hanger.plan.pedal
        return _LOOSE if place is None else _LOOSE @ np.linalg.inv(place_frame(place))
    panel = next(p for p in job.panel if p.name == hanger.mount.panel)
    return part_matrix(panel, hanger.mount, hanger.lift_mm)


def _point(values: Matrix) -> tuple[float, float, float]:
    # Adding 0.0 turns -0.0, which prints badly, into 0.0.
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z
