"""Changes that would lift the chance, cheapest first, each tried by solving the job again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np

from generators.errors import LookupFault, PedalplateError
from generators.issue.work import Progress
from generators.jobs.spread.run import counted, sizes
from generators.measure.chance.kit import Kit, shifted
from generators.measure.chance.run import Tally, added
from generators.model.findings import Severity
from generators.model.spec.forms.spread import Spread
from generators.model.words import INSTRUMENT_MM
from generators.reading.keys.datums import datum_value
from generators.solve.job import Prepared, prepare
from generators.solve.spread.build import kit_of

Middles = Mapping[tuple[str, str, str], float]
NO_MIDDLES: Middles = MappingProxyType({})
COSTS = (
    "nothing is made otherwise",
    "a few minutes at the vehicle",
    "a longer hose",
    "a part is cut otherwise",
    "each customer measures first",
)
TRIED_INSTALLS = 4_000
ROUNDS = 4
GOOD_SHARE = 0.25
"""Of the chance that is missing: a cheap change that makes up so much of it goes before a dear one."""
MOST_TRIED = 10
SLOTS_MM = (4.0, 8.0)
HOSE_STEPS = (2, 4)
MEASURED = frozenset({"existing", "obstacle", "component"})
"""What a measuring form asks for; how well, is the tape's own figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A change: in words, at which cost (a place in ``COSTS``), the keys it sets, and whether it measures."""

    words: str
    cost: int
    values: Mapping[str, Any] = field(default_factory=dict)
    measures: bool = False
    corrects: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A change with the counts it gives, and what findings it brings.

    It was tried after so many others that were taken.
    """

    cure: Cure
    tally: Tally
    brings: tuple[str, ...] = ()
    after: int = 0

    @property
    def chance(self) -> float:
        """Share that goes together."""
        return self.tally.chance


def measured(spread: Spread) -> Spread:
    """The spread of vehicles whose holes and obstacles were measured first: what is left is the tape's."""
    tape = INSTRUMENT_MM["tape"]
    rows = tuple(
        replace(row, off_mm=min(row.off_mm or 0.0, tape), source="one standard deviation of a tape")
        if row.of in MEASURED
        else row
        for row in spread.input
    )
    return replace(spread, input=rows)


def solved(
    prepared: Prepared, spread: Spread, cures: Sequence[Cure], middles: Middles = NO_MIDDLES
) -> tuple[Prepared, Kit]:
    """The job with changes put over it, and its kit about what vehicles told. Raises as ``prepare``."""
    values = {key: value for cure in cures for key, value in cure.values.items()}
    file = prepared.file
    again = prepare(file.spec_path, variant=file.form.name, values=values) if values else prepared
    known = measured(spread) if any(cure.measures for cure in cures) else spread
    kit = kit_of(again, known)
    # a spec that was corrected, or a vehicle that was measured, has them in its own places
    return again, kit if any(c.corrects or c.measures for c in cures) else shifted(kit, middles)


def chance_of(kit: Kit, seed: int, count: int = TRIED_INSTALLS) -> Tally:
    """The counts of some installs of a kit."""
    return added([counted(kit, seed, number, size) for number, size in enumerate(sizes(count))])


def lifted(
    prepared: Prepared,
    spread: Spread,
    kit: Kit,
    seed: int,
    progress: Progress,
    middles: Middles = NO_MIDDLES,
    correct: Mapping[str, Any] | None = None,
) -> tuple[tuple[Tried, ...], tuple[Tried, ...]]:
    """The changes to make, one after the other, until the chance wanted is there; and all that were tried.

    ``middles`` are what vehicles told the spec is off by, ``correct`` the keys that mend it.

    Of those that reach it the cheapest is taken; where none does, the cheapest that makes up a good share of
    what is missing, else the one that lifts most, and on from there.
    """
    taken: list[Tried] = []
    tried: list[Tried] = []
    fails = failing(prepared)
    here, now, best = prepared, kit, chance_of(kit, seed)
    for number in range(ROUNDS):
        if best.together >= spread.wanted * best.tries:
            break
        known = {t.cure.words for t in taken}
        first = (
            [Cure(words="correct the spec to what was measured", cost=0, values=correct, corrects=True)]
            if correct
            else []
        )
        cures = [c for c in (*first, *_proposals(here, now, best, spread)) if c.words not in known][
            :MOST_TRIED
        ]
        found: list[Found] = []
        for k, cure in enumerate(cures):
            progress("try changes", number * MOST_TRIED + k, ROUNDS * MOST_TRIED)
            try:
                again, other = solved(prepared, spread, [*(t.cure for t in taken), cure], middles)
            except (PedalplateError, LookupFault):
                continue  # the change itself is none that can be made
            brings = tuple(sorted(failing(again) - fails))
            found.append(
                (Tried(cure=cure, tally=chance_of(other, seed), brings=brings, after=number), again, other)
            )
        tried += [each for each, *_ in found]
        sound = [each for each in found if not each[0].brings and each[0].tally.together > best.together]
        if not sound:
            break
        good = best.chance + GOOD_SHARE * (spread.wanted - best.chance)
        pick = cheapest(sound, (spread.wanted, good))
        taken.append(pick[0])
        best, here, now = pick[0].tally, pick[1], pick[2]
    return tuple(taken), tuple(tried)


Found = tuple[Tried, Prepared, Kit]
"""A change that was tried, and the job and the kit with it."""


def cheapest(found: Sequence[Found], bounds: Sequence[float]) -> Found:
    """Of what reaches the first of the chances that any reaches the cheapest, else what lifts most."""
    for bound in bounds:
        if enough := [each for each in found if each[0].chance >= bound]:
            return min(enough, key=lambda each: (each[0].cure.cost, -each[0].chance))
    return max(found, key=lambda each: (each[0].chance, -each[0].cure.cost))


def failing(prepared: Prepared) -> set[str]:
    """Rules that fail, each with its place."""
    return {f"{f.code} {f.where}" for f in prepared.findings if f.severity is Severity.FAIL and not f.waived}


def _proposals(prepared: Prepared, kit: Kit, done: Tally, spread: Spread) -> Iterator[Cure]:
    """What might help where it fails most, cheapest first of each place."""
    things = [*(("bolts", part.part) for part in kit.bolted), *((g.kind, g.hose) for g in kit.gauges)]
    order = sorted(range(len(things)), key=lambda k: -done.thing_failed[k])
    for k in order:
        if not done.thing_failed[k]:
            break
        kind, name = things[k]
        if kind in ("reach", "line"):
            yield from for_hose(prepared, name, kind)
        elif kind == "bolts":
            yield from for_bolts(prepared, kit, name)
    if any(row.of in MEASURED for row in spread.input):
        yield Cure(words="have each customer measure his vehicle first (form, fits)", cost=4, measures=True)
    yield from _datums(prepared)


def _title(prepared: Prepared, name: str) -> str:
    return name.replace("_", " ")


def for_hose(prepared: Prepared, name: str, kind: str) -> Iterator[Cure]:
    """What makes a hose reach, or a rigid line meet."""
    words = _title(prepared, name)
    yield Cure(
        words=f"measure {words} on the vehicle and make it there",
        cost=1,
        values={f"hose[{name}].measure": True},
    )
    answer = next(h for h in prepared.lines.hoses if h.spec.name == name)
    if kind == "reach" and answer.length is not None:
        for steps in HOSE_STEPS:
            yield longer_hose(prepared, name, steps * prepared.file.shop.hose_step_mm)


def longer_hose(prepared: Prepared, name: str, by_mm: float) -> Cure:
    """A hose of a known length made up longer."""
    answer = next(h for h in prepared.lines.hoses if h.spec.name == name)
    made_up = by_mm + (0.0 if answer.length is None else answer.length.made_up_mm)
    return Cure(
        words=f"make {_title(prepared, name)} {by_mm:g} mm longer",
        cost=2,
        values={f"hose[{name}].made_up": f"{made_up:g} mm"},
    )


def for_bolts(prepared: Prepared, kit: Kit, name: str) -> Iterator[Cure]:
    """What lets the bolts of a part pass."""
    part = next(p for p in prepared.parts if p.spec.name == name)
    words = _title(prepared, name)
    mount = part.mount
    if mount is not None and mount.drill_from not in ("", mount.face):
        yield Cure(
            words=f"drill through {words}, bolted on",
            cost=1,
            values={f"part[{name}].mount.drill_from": mount.face},
        )
    joints = next(b.joints for b in kit.bolted if b.part == name)
    own = {o.name: o for f in part.plan.flanges for o in f.openings if o.mates}
    far = _names_at(part, [j.part for j in joints], own, prepared)
    for slot in SLOTS_MM:
        if far:
            yield Cure(
                words=f"slots {slot:g} mm longer in {words}",
                cost=3,
                values={
                    f"part[{name}].rework": [
                        {"hole": hole, "slot": f"{slot:g} mm", "toward": f"{np.degrees(way):.2f} deg"}
                        for hole, way in far
                    ]
                },
            )


def _names_at(
    part: Any, points: Sequence[tuple[float, float]], own: Mapping[str, Any], prepared: Prepared
) -> list[tuple[str, float]]:
    """Holes of a part to slot, all but the first, along the line from the first to each."""
    if part.spec.rework or len(own) < 2 or len(points) < 2 or prepared.file.form.mirrored:
        return []
    (first, *rest) = own.values()
    return [(o.name, float(np.arctan2(o.v_mm - first.v_mm, o.u_mm - first.u_mm))) for o in rest]


def _datums(prepared: Prepared) -> Iterator[Cure]:
    """Holes given from another hole of the panel, at the same place by plan."""
    if prepared.file.form.mirrored:
        return
    for panel in prepared.file.job.panel:
        for path, at, what in (
            *((f"panel[{panel.name}].hole[{h.name}].at", h.at, h.name) for h in panel.hole),
            *(
                (f"part[{p.spec.name}].mount.at", p.mount.at, p.spec.name)
                for p in prepared.parts
                if p.mount is not None and p.mount.panel == panel.name
            ),
        ):
            if at.u_from or at.v_from or not at.from_:
                continue
            u = datum_value(panel, at.from_, "u") + at.u_mm
            v = datum_value(panel, at.from_, "v") + at.v_mm
            for hole in panel.existing:
                if hole.name != at.from_:
                    new = {
                        "from": hole.name,
                        "u": f"{u - hole.at[0]:.4f} mm",
                        "v": f"{v - hole.at[1]:.4f} mm",
                    }
                    yield Cure(
                        words=f"give {_title(prepared, what)} from {_title(prepared, hole.name)}",
                        cost=0,
                        values={path: new},
                    )
