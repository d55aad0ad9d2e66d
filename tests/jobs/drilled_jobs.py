"""Jobs drawn at random whose holes a hand drill made, measured: what `asdrilled` must answer for each."""

from __future__ import annotations

import itertools
import math
import random
import shutil
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from jobs.paper_jobs import SHOP, drawn_job

from generators.errors import ExportError, SpecError
from generators.jobs.asdrilled.files import revised_spec
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled
from generators.layout.mounting import PlacedPart, placement
from generators.model.findings import Severity
from generators.model.plan import Hole, PanelHole, Slot
from generators.parts import kind_named
from generators.sheetmetal.lying import on_panel
from generators.solve.job import Prepared, prepare

WRITTEN_MM = 0.0101
"""A place written to 0.01 mm, each way: half a digit, and the other half of the turn's rounding."""

LEFT_MM = 0.02


@dataclass(frozen=True, kw_only=True)
class Drilled:
    """A job, its part and its holes as drilled: place and diameter by the part's own names, before any mix-up."""

    spec: Path
    readings: Path
    design: Prepared
    part: PlacedPart
    holes: dict[str, tuple[float, float, float]]
    tied: bool


def _size(own: Hole | Slot) -> float:
    return own.diameter_mm if isinstance(own, Hole) else own.width_mm


def drilled_job(seed: int, folder: Path) -> Drilled | None:
    """The job of a seed with one part's holes drilled by hand; None for one no reader takes."""
    rng = random.Random(seed)
    shutil.copyfile(SHOP, folder / "shop.toml")
    spec = folder / "toy.toml"
    spec.write_text(drawn_job(seed).text, encoding="utf-8")
    try:
        design = prepare(spec)
    except SpecError:
        return None
    able = [
        p
        for p in design.parts
        if p.mount is not None
        and kind_named(p.spec.kind).plan_on is None  # refused: planned anew, it would not lie on them
        and sum(o.mates and o.fitting.shank_mm > 0 for o in on_panel(p.plan).openings) > 1
    ]
    if not able:
        return None
    part = rng.choice(able)
    mount = part.mount
    if mount is None:
        return None
    panel = next(p for p in design.file.job.panel if p.name == mount.panel)
    place = placement(panel, mount)
    shift = (rng.gauss(0, 2.0), rng.gauss(0, 2.0))
    turn = rng.gauss(0, math.radians(1.0))
    wander = rng.choice((0.0, 0.15, 0.4, 0.9))
    joints = [o for o in on_panel(part.plan).openings if o.mates and o.fitting.shank_mm > 0]
    stray = rng.choice([*joints, None, None])
    holes = {}
    for own in joints:
        u, v = place.apply(own.u_mm, own.v_mm)
        du, dv = u - place.du, v - place.dv
        off = rng.uniform(2.0, 15.0) if own is stray else 0.0
        way = rng.uniform(0, 2 * math.pi)
        u = place.du + shift[0] + du * math.cos(turn) - dv * math.sin(turn) + rng.gauss(0, wander)
        v = place.dv + shift[1] + du * math.sin(turn) + dv * math.cos(turn) + rng.gauss(0, wander)
        size = max(2.0, _size(own) + rng.choice((0.0, 0.1, 0.3, -0.1, -1.5)))
        holes[own.name] = (
            round(u + off * math.cos(way), 3),
            round(v + off * math.sin(way), 3),
            round(size, 2),
        )
    tied = rng.random() < 0.7 or len(holes) < 3
    names = {name: name for name in holes}
    if rng.random() < 0.15:
        a, b = rng.sample(sorted(holes), 2)
        names[a], names[b] = b, a
    text = _tied(panel.name, part.spec.name, holes, names) if tied else _apart(panel.name, part, holes, names)
    (folder / "r.toml").write_text(text, encoding="utf-8")
    return Drilled(spec=spec, readings=folder / "r.toml", design=design, part=part, holes=holes, tied=tied)


def _head(panel: str, part: str) -> str:
    return f'[measure]\nname = "drilled"\ntitle = "As drilled"\npanel = "{panel}"\npart = "{part}"\n'


def _tied(panel: str, part: str, holes: dict[str, tuple[float, float, float]], names: dict[str, str]) -> str:
    """Centres read from two edges."""
    text = _head(panel, part)
    for name, (u, v, size) in holes.items():
        text += f'\n[[hole]]\nname = "{names[name]}"\ndiameter = "{size} mm"\n'
        text += f'at = ["{u} mm", "{v} mm"]\nuncertainty = "0.1 mm"\n'
    return text


def _apart(
    panel: str, part: PlacedPart, holes: dict[str, tuple[float, float, float]], names: dict[str, str]
) -> str:
    """Distances between the holes alone, and on which side the third lies: no edge ties them down."""
    text = _head(panel, part.spec.name)
    for name, (_, _, size) in holes.items():
        text += f'\n[[hole]]\nname = "{names[name]}"\ndiameter = "{size} mm"\n'
    for (a, pa), (b, pb) in itertools.combinations(holes.items(), 2):
        far = math.dist(pa[:2], pb[:2])
        text += (
            f'\n[[reading]]\nfrom = "{names[a]}"\nto = "{names[b]}"\nis = "{far:.2f} mm"\nby = "caliper"\n'
        )
    a, b = list(holes)[:2]
    (ua, va, _), (ub, vb, _) = holes[a], holes[b]

    def left(name: str) -> float:
        u, v, _ = holes[name]
        return (ub - ua) * (v - va) - (vb - va) * (u - ua)

    c = max((n for n in holes if n not in (a, b)), key=lambda n: abs(left(n)))
    side = "left" if left(c) > 0 else "right"
    return text + (
        f'\n[[handed]]\nhole = "{names[c]}"\nside = "{side}"\nfrom = "{names[a]}"\nto = "{names[b]}"\n'
    )


def complaints(drilled: Drilled, folder: Path, told: Counter[str]) -> Iterator[str]:
    """What is wrong with the answer to one job; what came of it is counted in ``told``."""
    try:
        answer = as_drilled(drilled.spec, drilled.readings)
    except SpecError as error:
        told[f"readings refused: {error.faults[0].found.partition(',')[0]}"] += 1
        if not all(fault.expected and fault.line for fault in error.faults):
            yield "refuses the readings and says not where or why"
        return
    kind = answer.rescue.kind if answer.rescue is not None else "none"
    told[kind] += 1
    if not answer.writes:
        if not answer.findings:
            yield f"writes nothing ({kind}) and says not why"
        return
    try:
        text = revised_spec(answer)
    except ExportError as error:
        told["no spec"] += 1
        if "opposite hand" not in str(error):
            yield f"cannot write the spec: {error}"
        return
    (folder / "asdrilled.toml").write_text(text, encoding="utf-8")
    try:
        solved = prepare(folder / "asdrilled.toml")
    except SpecError as error:
        yield f"writes a spec that does not read: {error.faults[0]}"
        return
    yield from _holes(drilled, answer, solved)
    yield from _check(drilled, answer, solved, told)


def _own(prepared: Prepared, part: str) -> list[PanelHole]:
    return [h for x in prepared.layouts for h in x.holes if part in h.owners]


def _holes(drilled: Drilled, answer: AsDrilled, solved: Prepared) -> Iterator[str]:
    """No hole is lost: as many as before, those measured where and as large as they are, others as designed."""
    name = drilled.part.spec.name
    was, now = _own(drilled.design, name), _own(solved, name)
    if len(was) != len(now):
        yield f"had {len(was)} holes of {name} and has {len(now)}"
    placed = next(p for p in solved.parts if p.spec.name == name)
    if placed.mount is None:
        yield "has lost its mount"
        return
    mount = placed.mount
    panel = next(p for p in solved.file.job.panel if p.name == mount.panel)
    place = placement(panel, mount)
    measured = {j.name: j for j in answer.joints}
    rescued = {j.name: j for j in answer.rescue.joints} if answer.rescue is not None else {}
    again = answer.rescue is not None and answer.rescue.kind == "redrill"
    for own in on_panel(placed.plan).openings:
        if not own.mates:
            continue
        u, v = place.apply(own.u_mm, own.v_mm)
        joint = measured.get(own.name)
        if joint is None or (again and rescued[own.name].panel != joint.panel):
            # drilled as designed, where the part now lies
            if not any(math.dist((h.u_mm, h.v_mm), (u, v)) < 0.5 and h.status != "blank" for h in now):
                yield f"hole {own.name} was not measured and is drilled nowhere"
            continue
        mine = [
            h
            for h in now
            if math.isclose(h.there_mm, joint.panel_dia_mm, abs_tol=WRITTEN_MM) and h.status == "reuse"
        ]
        if drilled.tied:
            mine = [h for h in mine if math.dist((h.u_mm, h.v_mm), joint.panel) < 2 * WRITTEN_MM]
        if not mine:
            yield f"hole {own.name} as drilled, {joint.panel_dia_mm:.2f} mm, is not in the panel"
            continue
        hole = min(mine, key=lambda h: math.dist((h.u_mm, h.v_mm), (u, v)))
        yield from _passes(own, hole, (u, v), math.remainder(_turned(place, own), math.pi), joint.fixed)


def _turned(place: object, own: Hole | Slot) -> float:
    if isinstance(own, Hole):
        return 0.0
    u0, v0 = place.apply(0.0, 0.0)  # type: ignore[attr-defined]
    u1, v1 = place.apply(math.cos(own.angle_rad), math.sin(own.angle_rad))  # type: ignore[attr-defined]
    return math.atan2(v1 - v0, u1 - u0)


def _passes(
    own: Hole | Slot, hole: PanelHole, at: tuple[float, float], way: float, fixed: bool
) -> Iterator[str]:
    """ASME Y14.5 appendix B, floating: the centres may lie (Hp - F)/2 + (Hq - F)/2 apart, besides a slot's travel."""
    du, dv = hole.u_mm - at[0], hole.v_mm - at[1]
    along, across = du * math.cos(way) + dv * math.sin(way), -du * math.sin(way) + dv * math.cos(way)
    half = own.travel_mm / 2 if isinstance(own, Slot) else 0.0
    off = math.hypot(max(abs(along) - half, 0.0), across)
    room = (_size(own) - own.fitting.shank_mm) / 2
    room += 0.0 if fixed else (hole.final_dia_mm - own.fitting.shank_mm) / 2
    if off > room + LEFT_MM:
        yield f"the bolt of {own.name} does not pass: {off:.2f} mm off, {room:.2f} mm may be"


def _check(drilled: Drilled, answer: AsDrilled, solved: Prepared, told: Counter[str]) -> Iterator[str]:
    """`check` passes as far as the job did before, or the answer says what fails now."""

    def fails(prepared: Prepared) -> Counter[str]:
        return Counter(f.code for f in prepared.findings if f.severity is Severity.FAIL)

    said = {f.code for f in answer.outcome.brings} if answer.outcome is not None else set()
    new = fails(solved) - fails(drilled.design)
    told["fails told"] += bool(new)
    yield from (f"{code} fails and nobody said so" for code in new if code not in said)
