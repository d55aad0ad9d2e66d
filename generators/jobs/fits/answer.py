"""Fits, fits with these moves, or does not, because.

The kit is solved where the readings put things; what is not sure of them and what people do vary about that.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np

from generators.errors import GeometryFault, LookupFault, PedalplateError
from generators.figures import format_short
from generators.issue.work import Progress
from generators.jobs.fits.read import Measured
from generators.jobs.spread.cures import (
    GOOD_SHARE,
    HOSE_STEPS,
    Cure,
    Found,
    Tried,
    cheapest,
    failing,
    for_bolts,
    for_hose,
    longer_hose,
)
from generators.jobs.spread.run import sizes
from generators.measure.chance.draws import BLOCK
from generators.measure.chance.kit import Key, Kit, key_of
from generators.measure.chance.run import Tally, added, gauge_room, installs, tally
from generators.routing.lengths import SHORTENING
from generators.solve.job import Prepared, prepare
from generators.solve.spread.build import kit_of, kit_there

INSTALLS, SEED = 4_000, 1
ROUNDS, MOST_TRIED = 4, 8
OWN = "drill by sheets made for this vehicle (fits --sheets)"
Verdict = Literal["fits", "fits with moves", "does not fit", "measure again"]
LEAST_LIFT = 0.005
"""A move that lifts the chance by less is not worth making: ours."""
LEFT_OVER = 0.01
"""Share of installs a hose that is made for a vehicle may leave short: ours."""
NOTHING: frozenset[Key] = frozenset()
LEAST = {"existing": 0.05, "obstacle": 0.05, "component": 0.05, "panel_angle": 0.001, "hole_size": 0.05}
"""What is nearer to the spec than this, mm or rad, is written as the spec has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failing:
    """What fails, in which share of installs, and what is left of it on the vehicle as measured.

    ``room_mm`` is negative for what is missing; None where it cannot be told in mm.
    """

    name: str
    share: float
    room_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fits:
    """The answer; ``likely`` is what it would be where readings must be measured again.

    ``now`` are the counts of the kit as sold, ``moves`` what is done otherwise, each with the chance it gives
    after those before; ``why`` is what fails as sold, ``still`` what does with all moves made. ``rooms`` are
    what is left of each thing that must hold, as sold, on the vehicle as measured, mm. ``foretold`` says that
    the kit could not be solved on this vehicle: then all is by slopes of the plan.
    """

    measured: Measured
    verdict: Verdict
    likely: Verdict
    now: Tally
    moves: tuple[Tried, ...]
    why: tuple[Failing, ...]
    still: tuple[Failing, ...]
    values: Mapping[str, Any]
    rooms: Mapping[str, float]
    foretold: bool

    @property
    def chance(self) -> float:
        """The chance as sold."""
        return self.now.chance


def counts(measured: Measured, kit: Kit, laid: frozenset[Key] = NOTHING) -> Tally:
    """Installs on this vehicle."""
    done = [
        tally(installs(kit, measured.inputs(kit, SEED, number, size, laid)))
        for number, size in enumerate(sizes(INSTALLS))
    ]
    return added(done)


def standing(measured: Measured, prepared: Prepared, laid: frozenset[Key] = NOTHING) -> tuple[Kit, bool]:
    """The kit of a job as it stands on this vehicle; True where it could be solved there."""
    spread = measured.form.spread
    try:
        return kit_there(prepared, spread, measured.off(laid)), True
    except (PedalplateError, GeometryFault):
        return kit_of(prepared, spread), False


def thing_names(kit: Kit) -> tuple[str, ...]:
    """What may fail, in the order of ``Tally.thing_failed``."""
    return (*(f"bolts of {part.title} pass" for part in kit.bolted), *(g.name for g in kit.gauges))


def failings(names: Sequence[str], done: Tally, left: Mapping[str, float]) -> tuple[Failing, ...]:
    """What fails, the most often first."""
    out = [
        Failing(name=name, share=count / done.tries, room_mm=left.get(name))
        for name, count in zip(names, done.thing_failed, strict=True)
        if count
    ]
    return tuple(sorted(out, key=lambda each: -each.share))


def rooms(measured: Measured, kit: Kit, laid: frozenset[Key] = NOTHING) -> dict[str, float]:
    """What is left of each gauge on the vehicle as measured, nothing else off, mm."""
    off = measured.off(laid)
    x = np.array([[off.get(key_of(kit, k), 0.0) for k in range(len(kit.columns))]])
    return {g.name: float(gauge_room(g, x)[0]) for g in kit.gauges if g.rows.any()}


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
    sold, solved = standing(measured, prepared)
    sold_rooms, now = rooms(measured, sold), counts(measured, sold)
    state = _State(prepared=prepared, kit=sold, tally=now)
    moves: list[Tried] = []
    fails = failing(prepared)
    for number in range(ROUNDS):
        if state.tally.together >= spread.wanted * state.tally.tries:
            break
        tried: list[tuple[Found, _State]] = []
        known = {m.cure.words for m in moves}
        cures = [c for c in _moves(measured, state, sold) if c.words not in known]
        for k, cure in enumerate(cures[:MOST_TRIED]):
            progress("try moves", number * MOST_TRIED + k, ROUNDS * MOST_TRIED)
            again = _moved(measured, state, cure, solved)
            lift = LEAST_LIFT * now.tries
            if again is None or again.tally.together - state.tally.together < lift:
                continue
            brings = tuple(sorted(failing(again.prepared) - fails))
            if not brings:
                one = Tried(cure=cure, tally=again.tally, brings=brings, after=number)
                tried.append(((one, again.prepared, again.kit), again))
        if not tried:
            break
        good = state.tally.chance + GOOD_SHARE * (spread.wanted - state.tally.chance)
        pick = cheapest([found for found, _ in tried], (spread.wanted, good))
        state = next(after for found, after in tried if found is pick)
        kept = [m for m in moves if not _undone(m.cure, pick[0].cure)]
        moves = [*(moves if len(kept) == len(moves) else _again(measured, kept, sold, solved)), pick[0]]
    sure = state.tally.together >= spread.wanted * state.tally.tries
    verdict: Verdict = "does not fit" if not sure else "fits with moves" if moves else "fits"
    return Fits(
        measured=measured,
        verdict="measure again" if measured.vehicle.doubt else verdict,
        likely=verdict,
        now=now,
        moves=tuple(moves),
        why=failings(thing_names(sold), now, sold_rooms),
        still=failings(thing_names(state.kit), state.tally, rooms(measured, state.kit, state.laid)),
        values=state.values if sure else {},
        rooms=sold_rooms,
        foretold=not solved,
    )


@dataclass(frozen=True, kw_only=True)
class _State:
    """The job with the moves made so far, its kit on this vehicle and the counts of that."""

    prepared: Prepared
    kit: Kit
    tally: Tally
    values: Mapping[str, Any] = field(default_factory=dict)
    laid: frozenset[Key] = NOTHING


def _moved(measured: Measured, state: _State, cure: Cure, solved: bool) -> _State | None:
    """With one move more; None for one that cannot be made, or that stands on this vehicle in no way."""
    file = measured.form.prepared.file
    laid = measured.known if cure.words == OWN else state.laid
    values = _together(state.values, cure.values)
    try:
        prepared = prepare(file.spec_path, variant=file.form.name, values=values)
    except (PedalplateError, LookupFault):
        return None
    kit, there = standing(measured, prepared, laid)
    if solved and not there:
        return None
    return _State(prepared=prepared, kit=kit, tally=counts(measured, kit, laid), values=values, laid=laid)


def _again(measured: Measured, moves: Sequence[Tried], sold: Kit, solved: bool) -> list[Tried]:
    """The same moves where one before or between them is left out: what each gives then."""
    prepared = measured.form.prepared
    state = _State(prepared=prepared, kit=sold, tally=counts(measured, sold))
    out = []
    for move in moves:
        after = _moved(measured, state, move.cure, solved)
        if after is not None:
            state = after
            out.append(replace(move, tally=after.tally))
    return out


def _hoses(values: Mapping[str, Any]) -> set[str]:
    """Hoses whose length these keys say."""
    return {key.rpartition(".")[0] for key in values if key.rpartition(".")[2] in ("made_up", "measure")}


def _undone(move: Cure, by: Cure) -> bool:
    """True for a move on a hose whose length a later move says otherwise."""
    return OWN not in (move.words, by.words) and bool(_hoses(move.values) & _hoses(by.values))


def _together(values: Mapping[str, Any], more: Mapping[str, Any]) -> dict[str, Any]:
    """Moves made together: what says a hose's length last, says it alone."""
    told = {f"{hose}.{what}" for hose in _hoses(more) for what in ("made_up", "measure", "decides")}
    return {**{key: value for key, value in values.items() if key not in told}, **more}


def _as_sold(prepared: Prepared) -> dict[str, Any]:
    """Hoses of the kit as long as they were sold, whatever sheets are drawn."""
    return {
        f"hose[{h.spec.name}].made_up": f"{h.length.made_up_mm:g} mm"
        for h in prepared.lines.hoses
        if h.spec.kind == "hose" and h.length is not None and not h.measure_why and h.spec.made_up_mm is None
    }


def _moves(measured: Measured, state: _State, sold: Kit) -> Iterator[Cure]:
    """What the one at the vehicle can do otherwise, where it fails most."""
    prepared, kit, done = state.prepared, state.kit, state.tally
    things = [*(("bolts", part.part) for part in kit.bolted), *((g.kind, g.hose) for g in kit.gauges)]
    for k in sorted(range(len(things)), key=lambda k: -done.thing_failed[k]):
        if not done.thing_failed[k]:
            break
        kind, name = things[k]
        if kind in ("reach", "line"):
            for cure in for_hose(prepared, name, kind):
                yield _beside_sold(measured, cure, name)
            yield from _by_hose(prepared, name)
            yield from _long_enough(measured, sold, name)
        elif kind == "bolts":
            yield from for_bolts(prepared, kit, name)
    own = own_values(measured)
    if own:
        yield Cure(words=OWN, cost=3, values={**_as_sold(prepared), **own})


def _beside_sold(measured: Measured, cure: Cure, name: str) -> Cure:
    """A hose of another length, said beside the one that was sold."""
    key = f"hose[{name}].made_up"
    sold = next(h.length for h in measured.form.prepared.lines.hoses if h.spec.name == name)
    if key not in cure.values or sold is None:
        return cure
    units = measured.form.prepared.file.units
    was = format_short(sold.made_up_mm, units)
    now = format_short(float(str(cure.values[key]).removesuffix(" mm")), units)
    return replace(cure, words=f"make {name.replace('_', ' ')} {now} long, not {was} as sold")


def _long_enough(measured: Measured, sold: Kit, name: str) -> Iterator[Cure]:
    """A hose made as long as this vehicle needs it, so that all but one in a hundred reaches."""
    prepared = measured.form.prepared
    answer = next(h for h in prepared.lines.hoses if h.spec.name == name)
    gauge = next((g for g in sold.gauges if g.hose == name), None)
    if gauge is None or gauge.kind != "reach" or answer.spec.kind != "hose" or not gauge.rows.any():
        return
    drawn = measured.inputs(sold, SEED, 0, BLOCK, NOTHING)
    short = -float(np.quantile(gauge_room(gauge, drawn), LEFT_OVER))
    step = prepared.file.shop.hose_step_mm
    steps = math.ceil(short / (1.0 - SHORTENING) / step)
    # a step or two more are tried for every hose
    if steps > max(HOSE_STEPS):
        yield _beside_sold(measured, longer_hose(prepared, name, steps * step), name)


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
