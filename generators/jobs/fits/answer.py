"""Fits, fits with these moves, or does not, because."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from generators.errors import LookupFault, PedalplateError
from generators.issue.work import Progress
from generators.jobs.fits.read import Measured
from generators.jobs.spread.cures import Cure, Found, Tried, cheapest, failing, for_bolts, for_hose
from generators.jobs.spread.run import sizes
from generators.measure.chance.kit import Key, Kit, key_of
from generators.measure.chance.run import Tally, added, installs, tally
from generators.solve.job import Prepared, prepare
from generators.solve.spread.build import kit_of

INSTALLS, SEED = 4_000, 1
ROUNDS, MOST_TRIED = 4, 8
OWN = "drill by sheets made for this vehicle (fits --sheets)"
Verdict = Literal["fits", "fits with moves", "does not fit", "measure again"]
NOTHING: frozenset[Key] = frozenset()
LEAST = {"existing": 0.05, "obstacle": 0.05, "component": 0.05, "panel_angle": 0.001, "hole_size": 0.05}
"""What is nearer to the spec than this, mm or rad, is written as the spec has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """The answer; ``likely`` is what it is by the other readings where one must be measured again.

    ``now`` are the counts of the kit as sold, ``moves`` what is done otherwise, each with the chance it gives
    after those before; ``why`` what fails and how often, with all moves made.
    """

    measured: Measured
    verdict: Verdict
    likely: Verdict
    now: Tally
    names: tuple[str, ...]
    moves: tuple[Tried, ...]
    why: tuple[tuple[str, float], ...]
    values: Mapping[str, Any]

    @property
    def chance(self) -> float:
        """The chance as sold."""
        return self.now.together / self.now.tries


def counts(measured: Measured, kit: Kit, laid: frozenset[Key] = NOTHING) -> Tally:
    """Installs on this vehicle."""
    done = [
        tally(installs(kit, measured.inputs(kit, SEED, number, size, laid)))
        for number, size in enumerate(sizes(INSTALLS))
    ]
    return added(done)


def thing_names(kit: Kit) -> tuple[str, ...]:
    """What may fail, in the order of ``Tally.thing_failed``."""
    return (*(f"bolts of {part.title} pass" for part in kit.bolted), *(g.name for g in kit.gauges))


def own_values(measured: Measured) -> dict[str, Any]:
    """Keys of the spec as this vehicle has them: holes, things in the way, components, leans."""
    form = measured.form
    off: dict[tuple[str, str], dict[str, float]] = {}
    for k in form.kit.vehicle:
        of, thing, axis = key_of(form.kit, k)
        if (of, thing, axis) in measured.known and abs(measured.vehicle.mean[k]) >= LEAST[of]:
            off.setdefault((of, thing), {})[axis] = float(measured.vehicle.mean[k])
    return placed(form.prepared, off)


def placed(prepared: Prepared, off: Mapping[tuple[str, str], Mapping[str, float]]) -> dict[str, Any]:
    """Keys of the spec with things off by so much: by what varies and which thing, mm or rad along each axis.

    Of a mirrored job the keys are in the hand that is written.
    """
    job, mirrored = prepared.file.job, prepared.file.form.mirrored
    side = -1.0 if mirrored else 1.0
    out: dict[str, Any] = {}

    def flat(at: Sequence[float], by: Mapping[str, float], wide: float = 0.0) -> list[str]:
        # a box's corner is its left one: in a mirror that is the other one
        u = at[0] + by.get("u", 0.0)
        return [_mm(side * (u + (wide if mirrored else 0.0))), _mm(at[1] + by.get("v", 0.0))]

    for panel in job.panel:
        for hole in panel.existing:
            by = off.get(("existing", f"{panel.name}.{hole.name}"))
            if by:
                out[f"panel[{panel.name}].existing[{hole.name}].at"] = flat(hole.at, by)
        for box in panel.obstacle:
            by = off.get(("obstacle", f"{panel.name}.{box.name}"))
            path = f"panel[{panel.name}].obstacle[{box.name}]"
            if by and box.corner is not None and box.size is not None:
                out[f"{path}.corner"] = flat(box.corner, by, box.size[0])
            elif by and box.centre is not None:
                out[f"{path}.centre"] = flat(box.centre, by)
        by = off.get(("panel_angle", panel.name))
        if by:
            out[f"panel[{panel.name}].tilt"] = f"{np.degrees(panel.tilt_rad + by['']):.2f} deg"
    for component in job.component:
        by = off.get(("component", component.name))
        if by and component.on.at is not None:
            at = [value + by.get(axis, 0.0) for axis, value in zip("xyz", component.on.at, strict=True)]
            at[1] *= side
            out[f"component[{component.name}].on.at"] = [_mm(value) for value in at]
    return out


def _mm(value: float) -> str:
    return f"{round(value, 1) + 0.0:g} mm"


def answered(measured: Measured, progress: Progress) -> Fits:
    """Whether the kit goes on this vehicle, by which moves, or why not."""
    form = measured.form
    prepared, spread = form.prepared, form.spread
    now = counts(measured, form.kit)
    best, here, kit = now, prepared, form.kit
    moves: list[Tried] = []
    values: dict[str, Any] = {}
    laid = NOTHING
    fails = failing(prepared)
    for number in range(ROUNDS):
        if best.together >= spread.wanted * best.tries:
            break
        found: list[Found] = []
        cures = [c for c in _moves(measured, here, kit, best) if c.words not in {m.cure.words for m in moves}]
        for k, cure in enumerate(cures[:MOST_TRIED]):
            progress("try moves", number * MOST_TRIED + k, ROUNDS * MOST_TRIED)
            try:
                again = prepare(
                    prepared.file.spec_path, variant=prepared.file.form.name, values={**values, **cure.values}
                )
            except (PedalplateError, LookupFault):
                continue  # a move that cannot be made
            other = kit_of(again, spread)
            done = counts(measured, other, measured.known if cure.words == OWN else laid)
            brings = tuple(sorted(failing(again) - fails))
            tried = Tried(cure=cure, tally=done, brings=brings, after=number)
            if not brings and done.together > best.together:
                found.append((tried, again, other))
        if not found:
            break
        pick = cheapest(found, (spread.wanted,))
        moves.append(pick[0])
        best, here, kit = pick[0].tally, pick[1], pick[2]
        values |= pick[0].cure.values
        if pick[0].cure.words == OWN:
            laid = measured.known
    sure = best.together >= spread.wanted * best.tries
    verdict: Verdict = "does not fit" if not sure else "fits with moves" if moves else "fits"
    waits = any(slip.kind == "wrong" for slip in measured.vehicle.slips)
    names = thing_names(kit)
    why = [(name, count / best.tries) for name, count in zip(names, best.thing_failed, strict=True) if count]
    return Fits(
        measured=measured,
        verdict="measure again" if waits else verdict,
        likely=verdict,
        now=now,
        names=thing_names(form.kit),
        moves=tuple(moves) if sure else (),
        why=tuple(sorted(why, key=lambda each: -each[1])),
        values=values if sure else {},
    )


def _moves(measured: Measured, prepared: Prepared, kit: Kit, done: Tally) -> Iterator[Cure]:
    """What the one at the vehicle can do otherwise, where it fails most."""
    things = [*(("bolts", part.part) for part in kit.bolted), *((g.kind, g.hose) for g in kit.gauges)]
    for k in sorted(range(len(things)), key=lambda k: -done.thing_failed[k]):
        if not done.thing_failed[k]:
            break
        kind, name = things[k]
        if kind in ("reach", "line"):
            yield from for_hose(prepared, name, kind)
            yield from _by_hose(prepared, name)
        elif kind == "bolts":
            yield from for_bolts(prepared, kit, name)
    own = own_values(measured)
    if own:
        yield Cure(words=OWN, cost=3, values=own)


def _by_hose(prepared: Prepared, name: str) -> Iterator[Cure]:
    """An end that is put where the hose, as it is made up, puts it."""
    answer = next(h for h in prepared.lines.hoses if h.spec.name == name)
    if answer.spec.kind != "hose" or answer.length is None or answer.spec.decides:
        return
    components = {c.name: c for c in prepared.file.job.component}
    for end, port in (("to", answer.spec.to), ("from", answer.spec.from_)):
        component = components[port.partition(".")[0]]
        if component.on.at is None:
            yield Cure(
                words=f"drill last, where {name.replace('_', ' ')} puts {component.name.replace('_', ' ')}",
                cost=1,
                values={
                    f"hose[{name}].decides": end,
                    f"hose[{name}].made_up": f"{answer.length.made_up_mm:g} mm",
                },
            )
