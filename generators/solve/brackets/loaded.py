"""The loaded brackets of a job with how they are held: by the washers chosen, on a panel that gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from generators.checks.joint.panel_give import JudgedGive, PinGive
from generators.errors import GeometryFault
from generators.layout.mounting import PlacedPart, placement
from generators.model.spec.job import Panel
from generators.reading import JobFile
from generators.solve.brackets.cases import Bracket, BracketCase, brackets
from generators.solve.brackets.joints import SIDE, acting_of, held_bolts
from generators.solve.fasteners.joint import sheet_metal
from generators.solve.fasteners.of_parts import Bolted, Key
from generators.solve.pedals import PedalAnswer
from generators.standards import material
from generators.strength.joint.group import GroupBolt, elastic
from generators.strength.joint.loads import HeldBolt
from generators.strength.joint.plate import Plate, Stiffener, bead_ei, compliance, shared_flex

SOFT = "5052-H32"
"""Stands in for the stiffness of aluminium of no name: all its alloys have nearly one modulus."""


def loaded_brackets(
    file: JobFile,
    parts: Sequence[PlacedPart],
    pedals: Sequence[PedalAnswer],
    bolted: Mapping[Key, Bolted] | None = None,
) -> tuple[Bracket, ...]:
    """The parts with load cases, held as they will be. Raises ``SpecError`` as ``brackets`` does."""
    found = brackets(file, parts, pedals)
    return tuple(_on_its_panel(file, _washered(bracket, bolted or {}), pedals) for bracket in found)


def _washered(bracket: Bracket, bolted: Mapping[Key, Bolted]) -> Bracket:
    """Rings as wide as the washers on the part's side, where its bolts clamp it with washers."""
    spec = bracket.part.spec
    if spec.hold.by != "washer":
        return bracket
    side = SIDE[bracket.part.mount.face] if bracket.part.mount is not None else "high"
    holds = []
    for hold in bracket.holds:
        found = bolted.get((spec.name, hold.bore))
        made = None if found is None else found.made
        wide = max((w.outside_mm for w in made.washers if w.side == side), default=0.0) if made else 0.0
        holds.append(replace(hold, ring_mm=wide or hold.ring_mm))
    return replace(bracket, holds=tuple(holds))


def _on_its_panel(file: JobFile, bracket: Bracket, pedals: Sequence[PedalAnswer]) -> Bracket:
    """With how far its panel gives along each bolt, where the panel says how it is carried."""
    give = panel_give(file, bracket, pedals)
    if give is None:
        return bracket
    flat = {b.hole for b in held_bolts(bracket) if b.lies}
    typed = bracket.part.spec.hold.flex_mm_per_n
    flex = give.flex_mm_per_n if typed is None else typed
    # a typed figure was read for every bolt, braces too; a panel gives only under what goes through it
    holds = tuple(
        replace(h, flex_mm_per_n=flex if typed is not None or h.bore in flat else 0.0) for h in bracket.holds
    )
    return replace(bracket, holds=holds, give=give)


def panel_give(file: JobFile, bracket: Bracket, pedals: Sequence[PedalAnswer]) -> JudgedGive | None:
    """How far the panel under a bracket gives along each of its bolts; None where nobody says how it is
    carried, or none of the bolts goes through it between its supports."""
    mount = bracket.part.mount
    if mount is None:
        return None
    panel = next(p for p in file.job.panel if p.name == mount.panel)
    if panel.carried is None:
        return None
    (u0, v0), (wide, tall) = field_of(panel)
    place = placement(panel, mount)
    rows = []
    for bolt in held_bolts(bracket):
        u, v = place.apply(bolt.at[0], bolt.at[1])
        if bolt.lies and 0 < u - u0 < wide and 0 < v - v0 < tall:
            rows.append((bolt, (u - u0, v - v0)))
    if not rows:
        return None
    case, bolts = _leading(bracket), [b for b, _ in rows]
    pulls = _pulls(bolts, bracket, case)
    gives: dict[str, NDArray[np.float64]] = {}
    for edges in ("rest", "clamped"):
        plate = _plate(panel, wide, tall, (u0, v0), clamped=edges == "clamped")
        gives[edges] = compliance(plate, [at for _, at in rows])
    flex = {edges: shared_flex(give, pulls) for edges, give in gives.items()}
    moved = gives[panel.carried.edges] @ np.array(pulls)
    return JudgedGive(
        part=bracket.part.spec.name,
        panel=panel.name,
        flex_mm_per_n=flex[panel.carried.edges],
        least_mm_per_n=flex["clamped"],
        most_mm_per_n=flex["rest"],
        typed_mm_per_n=bracket.part.spec.hold.flex_mm_per_n,
        moved_mm=float(np.max(np.abs(moved))),
        thickness_mm=panel.thickness_mm,
        case=case.what,
        words=_words(panel, wide, tall),
        pins=tuple(
            _at_pin(file, p.spec.name, c, _pulls(bolts, bracket, c), gives, panel.carried.edges)
            for p in pedals
            for c in bracket.cases
            if c.pedal == p.spec.name and c.kind == "normal" and abs(_axial_n(c)) > 1.0
        ),
    )


def _axial_n(case: BracketCase) -> float:
    """The rod's force along the cylinder's axis, N; 0 where there is none."""
    if case.pose is None:
        return 0.0
    rod = np.array(case.pose.seat) - np.array(case.pose.pin)
    return float(case.rod_n * (rod @ np.array(case.pose.axis)) / np.linalg.norm(rod))


def _at_pin(
    file: JobFile,
    name: str,
    case: BracketCase,
    pulls: Sequence[float],
    gives: Mapping[str, NDArray[np.float64]],
    edges: str,
) -> PinGive:
    """The panel's give as the pedal feels it: what the bolts' pulls store in it over the rod's force
    squared (Clapeyron)."""
    f = np.array(pulls)
    index = next(i for i, p in enumerate(file.job.pedal) if p.name == name)
    # what stands in the spec: the pedal itself may hold what was computed already
    given = file.source.table["pedal"][index]
    at_pin = {key: float(f @ give @ f) / _axial_n(case) ** 2 for key, give in gives.items()}
    return PinGive(
        pedal=name,
        flex_mm_per_n=at_pin[edges],
        least_mm_per_n=at_pin["clamped"],
        most_mm_per_n=at_pin["rest"],
        typed_mm_per_n=file.job.pedal[index].bracket_flex_mm_per_n if "bracket_flex" in given else None,
        twice=given.get("hanger_flex") == "computed",
    )


def panel_flex(found: Sequence[Bracket]) -> dict[str, float]:
    """Per pedal, the give of the panel under its hanger at the pin, mm/N, where it is computed, nobody has
    typed it, and the hanger's own give does not hold it already."""
    return {
        pin.pedal: pin.flex_mm_per_n
        for bracket in found
        if bracket.give is not None
        for pin in bracket.give.pins
        if pin.typed_mm_per_n is None and not pin.twice
    }


def field_of(panel: Panel) -> tuple[tuple[float, float], tuple[float, float]]:
    """Corner and size of the free field of a panel: as given, or the box round its outline."""
    carried = panel.carried
    if carried is not None and carried.corner is not None and carried.size is not None:
        return carried.corner, carried.size
    us, vs = ([corner[k] for corner in panel.outline] for k in (0, 1))
    return (min(us), min(vs)), (max(us) - min(us), max(vs) - min(vs))


def _words(panel: Panel, wide: float, tall: float) -> str:
    beads = sum(1 for b in panel.bead if b.depth_mm > 0)
    edges = (
        "edges clamped" if panel.carried is not None and panel.carried.edges == "clamped" else "edges resting"
    )
    plus = f", {beads} bead{'s' if beads > 1 else ''}" if beads else ""
    return f"{panel.title.lower()} {wide:.0f} x {tall:.0f} mm of {panel.thickness_mm:g} mm, {edges}{plus}"


def _plate(panel: Panel, wide: float, tall: float, corner: tuple[float, float], *, clamped: bool) -> Plate:
    row = sheet_metal(panel.material) or material(
        SOFT if "alumin" in panel.material.lower() else "S235 steel"
    )
    u0, v0 = corner
    beads = tuple(
        Stiffener(
            start=(b.start[0] - u0, b.start[1] - v0),
            end=(b.end[0] - u0, b.end[1] - v0),
            ei=bead_ei(b.width_mm, b.depth_mm, panel.thickness_mm, row.e_mpa),
        )
        for b in panel.bead
        if b.depth_mm > 0
    )
    return Plate(
        wide=wide,
        tall=tall,
        thickness=panel.thickness_mm,
        e_mpa=row.e_mpa,
        poisson=row.poisson,
        edges="clamped" if clamped else "rest",
        beads=beads,
    )


def _leading(bracket: Bracket) -> BracketCase:
    """The case movement is judged by: everyday effort at a pad, else the first."""
    return next((c for c in bracket.cases if c.kind == "normal"), bracket.cases[0])


def _pulls(bolts: Sequence[HeldBolt], bracket: Bracket, case: BracketCase) -> list[float]:
    """Pull of each bolt on the panel by the elastic group; one each where it does not hold the part."""
    group = [GroupBolt(name=b.hole, at=b.at, axis=b.axis) for b in bolts]
    try:
        forces = elastic(group, acting_of(bracket, case))
    except GeometryFault:
        return [1.0] * len(bolts)
    return [forces[b.hole][2] for b in bolts]
