"""What loads and holds each part of a job: the spec's load cases, and those every pedal hanger has."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from generators.checks.joint.panel_give import JudgedGive
from generators.errors import Fault, GeometryFault, SpecError
from generators.geometry.frames import Matrix, apply
from generators.hydraulics.linkage import motion
from generators.layout.mounting import PlacedPart
from generators.model.joints.hole_finish import bore_span
from generators.model.plan import Flange, Hole, PartPlan, Slot
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.job import Job
from generators.model.spec.load import TOWARD, Hold, Load
from generators.model.words import PEDAL_CASES, LoadCase, PedalKind
from generators.reading import JobFile
from generators.sheetmetal.folding import folded_frames
from generators.solve.brackets.automatic import OwnCase, own_cases
from generators.solve.pedals import PedalAnswer, pedal_pose
from generators.standards import material, pedal_load
from generators.strength import bores as ask
from generators.strength.bores import Bore, Vector
from generators.strength.corners import sharp_corners
from generators.strength.statics import Pose, bearing_mm, reactions

if TYPE_CHECKING:
    from generators.strength.problem import Problem

SHAFT = "pivot_"
BRACE = "brace_"
NOSE = "_bore"

CASE_WORDS = {
    "normal": "everyday effort",
    "limit": "the most that may come",
    "structure": "structure only",
    "side": "from the side",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BracketCase:
    """One load case of a part, ready to be judged.

    ``kind`` is normal, limit, structure, side or force. ``force_n`` acts at the pad, or on ``hole`` along
    ``toward``. ``source`` says where the force is from. ``rod_n`` is the force along the pushrod, of which
    each of the ``master`` bolts takes its one of ``shares``. ``words`` say what loads it where neither a pad
    nor one hole does.
    """

    name: str
    kind: LoadCase
    force_n: float
    source: str
    forces: tuple[ask.BoreForce, ...]
    pedal: str = ""
    pose: Pose | None = None
    shaft: tuple[Bore, ...] = ()
    master: tuple[Bore, ...] = ()
    shares: tuple[float, ...] = ()
    rod_n: float = 0.0
    hole: str = ""
    toward: Vector = (0.0, 0.0, 0.0)
    words: str = ""

    @property
    def what(self) -> str:
        """The case in words."""
        if self.words:
            return self.words
        if self.hole:
            return f"{self.force_n:.0f} N on hole {self.hole}"
        return f"{self.force_n:.0f} N on the {self.pedal} pad, {CASE_WORDS[self.kind]}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracket:
    """A part with its bores in its own frame, the bolts that hold it, and its cases.

    ``give`` is how far its panel gives, where the panel says how it is carried.
    """

    part: PlacedPart
    bores: tuple[Bore, ...]
    holds: tuple[ask.Hold, ...]
    cases: tuple[BracketCase, ...]
    give: JudgedGive | None = None

    def bore(self, name: str) -> Bore:
        """The bore of that name. Raises ``KeyError``."""
        return next(b for b in self.bores if b.name == name)

    def problem(self, brep: str, *, passes: int = 2, surface: bool = True) -> Problem:
        """What the solver is asked."""
        # only asked where the solver is: a check has the quick answer
        from generators.strength.problem import Case, Problem  # noqa: PLC0415

        plan, row = self.part.plan, material(self.part.plan.material)
        return Problem(
            part=plan.name,
            brep=brep,
            thickness_mm=plan.thickness_mm,
            e_mpa=row.e_mpa,
            poisson=row.poisson,
            bores=self.bores,
            holds=self.holds,
            cases=tuple(Case(name=c.name, forces=c.forces) for c in self.cases),
            sharp=sharp_corners(plan),
            passes=passes,
            surface=surface,
        )


def openings(flange: Flange) -> tuple[Hole | Slot, ...]:
    """Round holes and slots of a flange."""
    return (*flange.holes, *flange.slots)


def bores_of(plan: PartPlan) -> tuple[Bore, ...]:
    """Every round hole and every slot of a folded part, in the root flange's frame; bosses and collars are
    part of their bores.
    """
    frames = folded_frames(plan)
    return tuple(
        _bore(plan, frames[flange.name], hole) for flange in plan.flanges for hole in openings(flange)
    )


def _bore(plan: PartPlan, frame: Matrix, hole: Hole | Slot) -> Bore:
    low, high = bore_span(hole.finish if isinstance(hole, Hole) else None, plan.thickness_mm)
    return Bore(
        name=hole.name,
        centre=_v(apply(frame, np.array([[hole.u_mm, hole.v_mm, low]]))[0]),
        axis=_v(frame[:3, 2]),
        radius_mm=(hole.diameter_mm if isinstance(hole, Hole) else bearing_mm(hole)) / 2,
        length_mm=high - low,
        slotted=isinstance(hole, Slot),
    )


def brackets(
    file: JobFile, parts: Sequence[PlacedPart], pedals: Sequence[PedalAnswer]
) -> tuple[Bracket, ...]:
    """The parts with load cases. Raises ``SpecError`` for loads and bolts on holes that are not there."""
    out: list[Bracket] = []
    faults: list[Fault] = []
    for part in parts:
        loads = [(i, load) for i, load in enumerate(file.job.load) if load.part == part.spec.name]
        hung = [p for p in pedals if p.spec.hanger == part.spec.name]
        own = list(own_cases(file.job, part, bores_of(part.plan), pedals))
        if loads or hung or own:
            found, wrong = _bracket(file, part, loads, hung, own)
            faults += wrong
            if found is not None:
                out.append(found)
    if faults:
        raise SpecError(faults)
    return tuple(out)


def _bracket(
    file: JobFile,
    part: PlacedPart,
    loads: Sequence[tuple[int, Load]],
    hung: Sequence[PedalAnswer],
    own: Sequence[OwnCase],
) -> tuple[Bracket | None, list[Fault]]:
    """The bracket and its faults; without a load in the spec a part that cannot be judged is passed over."""
    bores = bores_of(part.plan)
    masters = {m for pedal in hung for m in master_bolts(part, pedal.spec.kind)}
    faults: list[Fault] = []
    holds = _holds(file, part, bores, masters, faults)
    if not holds and not faults:
        if not loads:
            return None, []
        faults.append(
            file.fault_at(
                f"{file.part_path(part.spec.name)}.hold",
                "a loaded part that no bolt holds",
                "holes of this part in hold.holes",
            )
        )
    cases: list[BracketCase] = []
    for index, load in loads:
        try:
            cases.append(_case(file.job, part, bores, load, hung))
        except GeometryFault as fault:
            at = f"load[{index}].{fault.parameter}" if fault.parameter else f"load[{index}]"
            faults.append(file.fault_at(at, str(fault), _known_holes(bores)))
    given = {(c.pedal, c.kind) for c in cases}
    for pedal in hung:
        for kind in PEDAL_CASES:
            if (pedal.spec.name, kind) in given or (kind == "structure" and pedal.spec.kind != "brake"):
                continue
            load = Load(
                name=f"{pedal.spec.name}_{kind}", part=part.spec.name, case=kind, pedal=pedal.spec.name
            )
            try:
                cases.append(_case(file.job, part, bores, load, hung))
            except GeometryFault:
                continue  # a hanger without two shaft bores in line has no case nobody asked for
    named = {c.name for c in cases}
    for found in own:
        # what goes straight through to what holds the part loads nothing of it
        if found.name not in named and not {f.bore for f in found.forces} <= {h.bore for h in holds}:
            cases.append(
                BracketCase(
                    name=found.name,
                    kind="limit",
                    force_n=found.force_n,
                    source=found.source,
                    forces=found.forces,
                    words=found.words,
                )
            )
    if faults or not cases:
        return None, faults
    return Bracket(part=part, bores=bores, holds=holds, cases=tuple(cases)), []


def _known_holes(bores: Sequence[Bore]) -> str:
    return f"one of the holes {', '.join(b.name for b in bores)}"


def _holds(
    file: JobFile, part: PlacedPart, bores: Sequence[Bore], masters: set[str], faults: list[Fault]
) -> tuple[ask.Hold, ...]:
    hold: Hold = part.spec.hold
    holes = {h.name: h for f in part.plan.flanges for h in openings(f)}
    names = hold.holes
    for index, name in enumerate(names):
        if name not in holes:
            path = f"{file.part_path(part.spec.name)}.hold.holes[{index}]"
            faults.append(file.fault_at(path, f"no hole {name!r}", _known_holes(bores)))
    if not names:
        names = tuple(
            h.name
            for h in holes.values()
            if h.fitting.kind in ("bolt", "insert", "rivet")
            and h.name not in masters
            and (h.mates or h.name.startswith(BRACE))
        )
    return tuple(
        ask.Hold(
            bore=name,
            ring_mm=bearing_mm(holes[name]) if hold.by == "washer" or isinstance(holes[name], Slot) else 0.0,
            flex_mm_per_n=hold.flex_mm_per_n or 0.0,
        )
        for name in names
        if name in holes
    )


def master_bolts(part: PlacedPart, kind: PedalKind) -> tuple[str, ...]:
    """Names of the bolts of the masters a pedal of that kind works: those beside a nose bore."""
    flanges = part.plan.flanges if part.plan.pedal is not None else part.plan.flanges[:1]
    names = [h.name for f in flanges for h in f.holes]
    noses = [n.removesuffix(NOSE) for n in names if n.endswith(NOSE)]
    own = [n for n in noses if n.startswith(kind)] or noses
    return tuple(n for n in names for nose in own if n.startswith(f"{nose}_") and not n.endswith(NOSE))


def master_shares(pedal: Pedal, bolts: Sequence[str]) -> tuple[float, ...]:
    """Share of the rod's force each master bolt takes: all alike, but a balance bar's two masters as it is
    set."""
    front = [n for n in bolts if pedal.brake and pedal.brake.circuit_of(n) == "front"]
    rear = [n for n in bolts if n not in front]
    if pedal.brake is None or pedal.brake.rear is None or not front or not rear:
        return (1 / len(bolts),) * len(bolts)
    share = pedal.brake.front_share
    return tuple(share / len(front) if n in front else (1 - share) / len(rear) for n in bolts)


def _case(
    job: Job, part: PlacedPart, bores: Sequence[Bore], load: Load, hung: Sequence[PedalAnswer]
) -> BracketCase:
    by_name = {b.name: b for b in bores}
    if load.case == "force":
        if load.hole not in by_name:
            raise GeometryFault(f"no hole {load.hole!r} in part {load.part}", "hole")
        size = load.force_n or 0.0
        x, y, z = TOWARD[load.toward]
        force = (x * size, y * size, z * size)
        return BracketCase(
            name=load.name,
            kind="force",
            force_n=size,
            source="the spec",
            forces=(ask.BoreForce(bore=load.hole, force=force),),
            hole=load.hole,
            toward=(x, y, z),
        )
    pedal = next(p for p in hung if p.spec.name == load.pedal)
    shaft = tuple(b for b in bores if b.name.startswith(SHAFT))
    master = tuple(by_name[name] for name in master_bolts(part, pedal.spec.kind))
    if not master:
        raise GeometryFault(f"part {load.part} has no master bolts to take the rod's force", "pedal")
    if load.force_n is None:
        row = pedal_load(load.case, pedal.spec.kind)
        size, source = row.force_n, f"{row.source} ({row.trust})"
    else:
        size, source = load.force_n, "the spec"
    shares = master_shares(pedal.spec, [b.name for b in master])
    pose = pose_in_part(pedal, part, job, master, shares)
    way = pose.across if load.case == "side" else pose.press
    force = (way[0] * size, way[1] * size, way[2] * size)
    reaction = reactions(pose, force, shaft, master, shares)
    return BracketCase(
        name=load.name,
        kind=load.case,
        force_n=size,
        source=source,
        forces=reaction.forces,
        pedal=load.pedal,
        pose=pose,
        shaft=shaft,
        master=master,
        shares=shares,
        rod_n=reaction.rod_n,
    )


def judged_turn(pedal: PedalAnswer) -> float:
    """The pedal's turn (rad) its hanger is judged at: a clutch at its stop, a brake at its target effort."""
    link = pedal.linkage
    if pedal.clutch is not None:
        return pedal.clutch.at_stop.angle_rad
    reach = pedal.brake.at_effort_mm if pedal.brake is not None else link.travel_mm
    return min(reach, link.travel_mm) / link.pad_radius_mm


def pose_in_part(
    pedal: PedalAnswer, part: PlacedPart, job: Job, master: Sequence[Bore], shares: Sequence[float]
) -> Pose:
    """The pedal at its judged turn in the hanger's own frame; beside others on one shaft it is where its
    masters together resist."""
    link, turn = pedal.linkage, judged_turn(pedal)
    frame = link.frame
    out, up, across, axis = (np.array(v) for v in (frame.out, frame.up, link.across, frame.axis))
    c, s = math.cos(turn), link.sense * math.sin(turn)

    def turned(place: tuple[float, float]) -> Matrix:
        arm = place[0] * out + place[1] * up
        return np.asarray(c * arm + s * np.cross(across, arm))

    pivot = np.array(frame.pivot)
    pin_arm, pad_arm = turned(link.pin), turned(link.pad)
    seat = np.array(frame.seat) + float(motion(link, np.array([turn])).piston_mm[0]) * axis
    press = link.sense * np.cross(across, pad_arm) / link.pad_radius_mm
    back = np.linalg.inv(pedal_pose(part, job)).astype(np.float64)
    points = apply(
        back, np.array([pivot, pivot + link.pin_side_mm * across + pin_arm, pivot + pad_arm, seat])
    )
    points[:, 0] += float(np.dot(shares, [b.centre[0] for b in master])) - points[3, 0]
    ways = np.array([across, press, axis]) @ back[:3, :3].T
    return Pose(
        pivot=_v(points[0]),
        pin=_v(points[1]),
        pad=_v(points[2]),
        seat=_v(points[3]),
        across=_v(ways[0]),
        press=_v(ways[1]),
        axis=_v(ways[2]),
    )


def _v(values: Matrix) -> Vector:
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z
