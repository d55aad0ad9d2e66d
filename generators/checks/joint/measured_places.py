"""The mating rule on holes that are there: does a part's fastener find them, as well as they were measured?

What takes their uncertainty up is decided with the way each hole is made (``solve.work``): a part hung on
one such hole goes where it is, and the rest is drilled through the part. What is left is in
``HoleWork.short_mm``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from generators.checks.joint.mating import MATING, round_zone
from generators.checks.rule import SAME_MM, finding, listed, mm
from generators.layout.mounting import PlacedPart
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.model.words import INSTRUMENT_MM

LEAST_SIGMA_MM = 0.05
"""Nobody reads a drilled rim finer by hand: half of what a caliper gives (common practice, no source)."""

SLOT_STEP_MM = 1.0
FINEST, COARSEST = 0.5, 3.0
"""An uncertainty over its instrument's: four readings halve it (s / sqrt n); more than three times it is a
slip of the pen or of the hand. Ours."""


def check_measured_places(
    panels: Sequence[Panel], parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout]
) -> Iterator[Finding]:
    """A warning for each part whose fasteners measured holes may not take, and a note for each part on
    several holes of which nobody says how they were measured. Raises nothing.
    """
    by_name = {part.spec.name: part for part in parts}
    for panel, layout in zip(panels, layouts, strict=True):
        yield from _contradicted(panel)
        yield from _unsaid(panel, by_name, layout)
        sets: dict[tuple[str, ...], list[PanelHole]] = {}
        for hole in layout.holes:
            if hole.work.short_mm is not None:
                owners = tuple(name for name in hole.owners if name in by_name)
                sets.setdefault(owners, []).append(hole)
        for owners, holes in sets.items():
            asked, _, room = max((_short(h) for h in holes), key=lambda short: short[0] - short[2])
            worst = max(round_zone(h.sigma_mm) for h in holes)
            numbers = [f"{h.number} ({h.name})" for h in holes]
            yield finding(
                MATING,
                Severity.WARN,
                f"panel:{layout.panel} hole{'s' if len(holes) > 1 else ''} {listed(numbers)}",
                value=asked,
                limit=room,
                found=f"{mm(asked)} of place and tolerance, as measured "
                f"(each true centre within {mm(worst / 2)})",
                wanted=f"{mm(room)} of clearance",
                advice="measure the holes again with a caliper, rim to rim; or slot the part, or give it a "
                "looser fit",
                proposals=tuple(
                    _mends(
                        layout.panel,
                        holes,
                        asked - room,
                        [by_name[o] for o in owners],
                        {e.name: e.measured_by for e in panel.existing if e.measured_by},
                    )
                ),
            )


def _contradicted(panel: Panel) -> Iterator[Finding]:
    """A note for each hole whose uncertainty is not one its instrument gives."""
    for hole in panel.existing:
        usual = INSTRUMENT_MM.get(hole.measured_by)
        given = hole.uncertainty_mm
        if usual is None or given is None or FINEST - SAME_MM <= given / usual <= COARSEST + SAME_MM:
            continue
        yield finding(
            MATING,
            Severity.NOTE,
            f"panel:{panel.name} existing {hole.name}",
            value=given,
            limit=usual,
            found=f"an uncertainty of {mm(given)}, which is taken, though measured_by is {hole.measured_by}",
            wanted=f"about {mm(usual)}, what a {hole.measured_by} gives",
            advice="correct the one that is wrong, or leave measured_by out where measure worked it out",
        )


def _unsaid(panel: Panel, parts: Mapping[str, PlacedPart], layout: PanelLayout) -> Iterator[Finding]:
    # what lies on a part's hole by name was measured and judged with the part in hand
    unsaid = {e.name for e in panel.existing if e.action == "reuse" and not (e.sigma_mm or e.serves_hole)}
    for name in parts:
        holes = [h for h in layout.holes if h.name in unsaid and h.shank_mm and name in h.owners]
        if len(holes) > 1:
            names = listed(f"{h.number} ({h.name})" for h in holes)
            yield finding(
                MATING,
                Severity.NOTE,
                f"panel:{layout.panel} holes {names}",
                found=f"{name} is bolted to them, and nobody says what they were measured with",
                wanted="measured_by, or the uncertainty that measure writes",
                advice=f"say measured_by of each: by tape the holes of {name} may not meet them",
            )


def _instrument(sigma_mm: float) -> str:
    """The coarsest instrument that gives an uncertainty, or the finest there is."""
    enough = [name for name, usual in INSTRUMENT_MM.items() if usual <= sigma_mm + SAME_MM]
    return max(enough, key=INSTRUMENT_MM.__getitem__, default="caliper")


def _short(hole: PanelHole) -> tuple[float, float, float]:
    return hole.work.short_mm or (0.0, 0.0, 0.0)


def _mends(
    panel: str,
    holes: Sequence[PanelHole],
    lacks_mm: float,
    parts: Sequence[PlacedPart],
    read: Mapping[str, str],
) -> Iterator[Proposal]:
    """Measured finer, drilled through the part, slotted, or of a looser fit, in that order."""
    # what else there is stays; what is measured shrinks alike
    share = min((room - asked + measured) / measured for asked, measured, room in map(_short, holes))
    finer = math.floor(min(h.sigma_mm for h in holes) * share * 100) / 100
    if finer >= LEAST_SIGMA_MM:
        yield Proposal(
            words=f"measure {listed(h.name for h in holes)} again, with a standard uncertainty of "
            f"{finer:g} mm or less",
            steps=(
                *(
                    Change(path=f"panel[{panel}].existing[{h.name}].uncertainty", to=finer, rounding="exact")
                    for h in holes
                ),
                # with what gives so much, lest both contradict each other
                *(
                    Change(path=f"panel[{panel}].existing[{h.name}].measured_by", word=_instrument(finer))
                    for h in holes
                    if h.name in read and finer < FINEST * INSTRUMENT_MM[read[h.name]]
                ),
            ),
        )
    for part in parts:
        name, keys, mount = part.spec.name, part.spec.parameters, part.spec.mount
        if mount is not None and mount.drill_from not in ("", mount.face):
            yield Proposal(
                words=f"drill through {name}, from the face it lies on",
                steps=(Change(path=f"part[{name}].mount.drill_from", word=mount.face),),
            )
        slot = getattr(keys, "mount_slot_mm", None)
        if isinstance(slot, float):
            by = SLOT_STEP_MM * math.ceil(lacks_mm / SLOT_STEP_MM)
            yield Proposal(
                words=f"make the mounting slots of {name} {{by}} longer",
                steps=(Change(path=f"part[{name}].parameters.mount_slot", by=by, start=slot),),
            )
        if getattr(keys, "mount_fit", "coarse") not in ("coarse", "loose"):
            yield Proposal(
                words=f"give the mounting bolts of {name} a coarse fit",
                steps=(Change(path=f"part[{name}].parameters.mount_fit", word="coarse"),),
            )
