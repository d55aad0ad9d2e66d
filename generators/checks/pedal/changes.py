"""Changes of a pedal that may clear a finding on it: stop, strokes, bores from the ranking, pin and rod."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from generators.errors import PedalplateError
from generators.figures import fixed
from generators.hydraulics.brake import CircuitResult
from generators.hydraulics.clutch import clutch_setup
from generators.hydraulics.linkage import Linkage, build_linkage, motion
from generators.hydraulics.ranking import BEATEN, FRONT, HEAVY, LONG, SAME_BORE_MM, Ranking, rank, with_own
from generators.hydraulics.result import ClutchResult, line_name
from generators.hydraulics.window import StopWindow, stop_window
from generators.model.changes import Change, Proposal
from generators.model.spec.hydraulics import Pedal
from generators.standards import standard_bores

LONGEST_STROKE_MM = 60.0
"""Cylinder strokes are looked for up to this: longer ones are no common part (common practice, no source)."""

STROKE_STEP_MM = 0.5
PIN_STEP_MM = 1.0
RATING_STEP_MPA = 0.5
FARTHEST_PIN_MM = 25.0
"""A pin moved further makes another pedal."""

_ANGLES = 41
_MOST = 4


def stop_at(pedal: Pedal, pad_mm: float) -> Proposal:
    """The stop put at a pad travel, mm; a bolt of its own where the floor is the stop."""
    change = Change(path=f"pedal[{pedal.name}].stop", to=pad_mm)
    does = "set the stop of" if pedal.stop_mm is not None or pedal.stop is None else "fit a stop bolt for"
    words = f"{does} pedal {pedal.name} at {fixed(pad_mm, 1)} mm of pad travel"
    return Proposal(words=words, steps=(change,))


def with_stop(pedal: Pedal, window: StopWindow) -> tuple[Change, ...]:
    """The stop moved along where the spec sets one that another cylinder makes wrong."""
    if pedal.stop_mm is None or window.recommended_mm is None:
        return ()
    if window.earliest_mm <= pedal.stop_mm <= window.latest_mm:
        return ()
    return (Change(path=f"pedal[{pedal.name}].stop", to=window.recommended_mm),)


def _window(pedal: Pedal, link: Linkage) -> StopWindow | None:
    try:
        return stop_window(
            clutch_setup(pedal, build_linkage(pedal, link.frame)), pedal.stop_mm, pedal.stop == "floor"
        )
    except PedalplateError:
        return None


def _least(low: float, high: float, good: Callable[[float], bool]) -> float | None:
    """The least stroke, in whole steps, at which ``good`` holds; it holds for every longer one."""
    if low >= high or not good(high):
        return None
    while high - low > STROKE_STEP_MM / 2:
        middle = (low + high) / 2
        low, high = (low, middle) if good(middle) else (middle, high)
    return STROKE_STEP_MM * math.ceil(high / STROKE_STEP_MM - 1e-6)


def longer_stroke(pedal: Pedal, result: ClutchResult, cylinder: str) -> tuple[Proposal, ...]:
    """A longer stroke of ``master`` or ``slave``: the least for which the stop in use is right.

    Without any stop that is right it is the least that gives one.
    """
    master, slave = pedal.master, pedal.slave
    if master is None or slave is None:
        return ()
    own = master if cylinder == "master" else slave

    def longer(stroke: float) -> Pedal:
        if cylinder == "master":
            return replace(pedal, master=replace(master, stroke_mm=stroke))
        return replace(pedal, slave=replace(slave, stroke_mm=stroke))

    def good(stroke: float) -> bool:
        window = _window(longer(stroke), result.linkage)
        if window is None or window.recommended_mm is None:
            return False
        limit = next(x for x in window.limits if x.key == cylinder)
        return result.window.empty or limit.margin_mm >= 0

    try:
        stroke = _least(own.stroke_mm, LONGEST_STROKE_MM, good)
    except PedalplateError:
        # a master shorter inside than the stroke asked for
        return ()
    if stroke is None:
        return ()
    window = _window(longer(stroke), result.linkage)
    change = Change(path=f"pedal[{pedal.name}].{cylinder}.stroke", to=stroke, rounding="up")
    steps = (change, *(with_stop(pedal, window) if window is not None else ()))
    return (Proposal(words=f"buy another {cylinder}, of at least {stroke:g} mm stroke", steps=steps),)


def bores(pedal: Pedal, result: ClutchResult, *, most_mpa: float = math.inf) -> tuple[Proposal, ...]:
    """Common bores at the pedal's own ratio, as the ranking has them: within both targets first.

    One cylinder changed goes before two. ``most_mpa`` leaves out what makes more pressure.
    """
    ranked = ranked_with_own(pedal, result, [result.lever_ratio])
    if ranked is None:
        return ()
    table, others = ranked
    rows: list[tuple[bool, int, int]] = []
    for row, changed in enumerate(others):
        if (
            changed
            and table.code[row] in (FRONT, BEATEN, HEAVY, LONG)
            and table.pressure_mpa[row] <= most_mpa
        ):
            rows.append((int(table.code[row]) in (HEAVY, LONG), changed, row))
    return tuple(
        _bored(pedal, result, float(table.master_mm[row]), float(table.slave_mm[row]))
        for _, _, row in sorted(rows)[:_MOST]
    )


def ranked_with_own(
    pedal: Pedal, result: ClutchResult, ratios: Sequence[float]
) -> tuple[Ranking, list[int]] | None:
    """The ranking of common bores and the pedal's own, and how many of its cylinders each row changes.

    ``ratios`` are pad over pin radius. None for a pedal without a master or a slave. Raises nothing.
    """
    if pedal.master is None or pedal.slave is None:
        return None
    own = pedal.master.bore_mm, pedal.slave.bore_mm
    table = rank(
        pedal,
        result.linkage.frame,
        masters_mm=with_own([b.bore_mm for b in standard_bores("master")], own[0]),
        slaves_mm=with_own([b.bore_mm for b in standard_bores("slave")], own[1]),
        ratios=ratios,
    )
    bores = np.column_stack((table.master_mm, table.slave_mm))
    return table, np.count_nonzero(np.abs(bores - own) > SAME_BORE_MM, axis=1).tolist()


def bore_label(cylinder: str, bore_mm: float) -> str:
    """A bore as it is bought: ``7/8 in``, or its millimetres where it is no common one."""
    near = (b.label for b in standard_bores(cylinder) if abs(b.bore_mm - bore_mm) <= SAME_BORE_MM)
    return next(near, f"{bore_mm:g} mm")


def _bored(pedal: Pedal, result: ClutchResult, master_mm: float, slave_mm: float) -> Proposal:
    steps: list[Change] = []
    words = []
    changed = pedal
    if pedal.master is not None and abs(master_mm - pedal.master.bore_mm) > SAME_BORE_MM:
        changed = replace(changed, master=replace(pedal.master, bore_mm=master_mm))
        words.append(f"a {bore_label('master', master_mm)} master")
        steps.append(Change(path=f"pedal[{pedal.name}].master.bore", to=master_mm, rounding="exact"))
    if pedal.slave is not None and abs(slave_mm - pedal.slave.bore_mm) > SAME_BORE_MM:
        changed = replace(changed, slave=replace(pedal.slave, bore_mm=slave_mm))
        words.append(f"a {bore_label('slave', slave_mm)} slave")
        steps.append(Change(path=f"pedal[{pedal.name}].slave.bore", to=slave_mm, rounding="exact"))
    window = _window(changed, result.linkage)
    if window is not None:
        steps += with_stop(pedal, window)
    return Proposal(words=f"buy {' and '.join(words)}", steps=tuple(steps))


def straighter_rod(pedal: Pedal, link: Linkage, pad_mm: float, limit_rad: float) -> tuple[Proposal, ...]:
    """The pin moved up or down on the arm, or the pivot over the cylinder, by the least that does it."""
    found: list[tuple[float, Proposal]] = []
    steps = range(1, int(FARTHEST_PIN_MM / PIN_STEP_MM) + 1)
    by = [sign * PIN_STEP_MM * n for n in steps for sign in (1, -1)]
    up = np.array(link.frame.up)
    for far in by:
        changed = replace(pedal, pin=(pedal.pin[0], pedal.pin[1] + far))
        if _steepest(changed, link, pad_mm) <= limit_rad:
            change = Change(path=f"pedal[{pedal.name}].pin[1]", by=far)
            words = f"move the rod pin of pedal {pedal.name} {{by}} {_way(far)} on its arm"
            found.append((abs(far), Proposal(words=words, steps=(change,))))
            break
    for far in by if pedal.hanger else ():
        x, y, z = (float(c) for c in np.array(link.frame.pivot) + far * up)
        if _steepest(pedal, replace(link, frame=replace(link.frame, pivot=(x, y, z))), pad_mm) <= limit_rad:
            change = Change(path=f"part[{pedal.hanger}].parameters.pivot_up", by=far)
            words = f"put the pivot of {pedal.hanger} {{by}} {_way(far)}"
            found.append((abs(far), Proposal(words=words, steps=(change,))))
            break
    return tuple(proposal for _, proposal in sorted(found, key=lambda pair: pair[0]))


def _way(far: float) -> str:
    return "up" if far > 0 else "down"


def _steepest(pedal: Pedal, link: Linkage, pad_mm: float) -> float:
    """Largest angle of the rod from rest to a pad travel, rad; infinite for what cannot be."""
    try:
        changed = build_linkage(pedal, link.frame)
    except PedalplateError:
        return math.inf
    turns = np.linspace(0.0, pad_mm / changed.pad_radius_mm, _ANGLES)
    return float(motion(changed, turns).rod_angle_rad.max())


def rod_of(pedal: Pedal, length_mm: float) -> tuple[Proposal, ...]:
    """The rod set to a length, mm."""
    change = Change(path=f"pedal[{pedal.name}].rod_length", to=length_mm)
    return (
        Proposal(words=f"set the rod of pedal {pedal.name} to {fixed(length_mm, 1)} mm", steps=(change,)),
    )


def larger_reservoir(path: str, needed_mm3: float) -> tuple[Proposal, ...]:
    """A reservoir that holds enough; ``path`` is its key."""
    change = Change(path=path, to=math.ceil(needed_mm3 / 1000), unit="cc", rounding="up")
    words = f"fit a reservoir of at least {math.ceil(needed_mm3 / 1000)} cc"
    return (Proposal(words=words, steps=(change,)),)


def brake_bores(pedal: Pedal, circuits: Sequence[CircuitResult], *, larger: bool) -> tuple[Proposal, ...]:
    """The next common master bores larger or smaller: of all circuits, then of one."""
    one = {c.name: next(_next_bores(c.bore_mm, larger), None) for c in circuits}
    sets = [tuple(c.name for c in circuits), *((c.name,) for c in circuits if len(circuits) > 1)]
    found = []
    for names in sets:
        steps, words = [], []
        for name in names:
            bore = one[name]
            if bore is not None:
                path = f"pedal[{pedal.name}].brake.{name}.bore"
                steps.append(Change(path=path, to=bore[0], rounding="exact"))
                words.append(f"a {bore[1]} {name} master")
        if steps:
            found.append(Proposal(words=f"take {' and '.join(words)}", steps=tuple(steps)))
    return tuple(found)


def larger_master(pedal: Pedal, circuit: CircuitResult, rating_mpa: float) -> tuple[Proposal, ...]:
    """Common masters so large that the circuit stays under a rating, MPa; the smallest of them first.

    The force on the piston hardly changes with the bore, so the area is taken in proportion.
    """
    least = circuit.bore_mm * math.sqrt(circuit.most_mpa / rating_mpa)
    found = []
    for bore_mm, label in ((b.bore_mm, b.label) for b in standard_bores("master")):
        if bore_mm >= least - SAME_BORE_MM:
            path = f"pedal[{pedal.name}].brake.{circuit.name}.bore"
            steps = (Change(path=path, to=bore_mm, rounding="exact"),)
            found.append(Proposal(words=f"take a {label} {circuit.name} master", steps=steps))
    return tuple(found[:3])


def stronger_piece(pedal: Pedal, circuit: CircuitResult, name: str) -> tuple[Proposal, ...]:
    """The weakest piece of a circuit replaced by one that bears the largest pressure, in steps of 0.5 MPa."""
    needed = math.ceil(circuit.most_mpa / RATING_STEP_MPA - 1e-9) * RATING_STEP_MPA
    # without a line of that name it is what the circuit has beside its lines
    path = f"pedal[{pedal.name}].brake.{circuit.name}.rating"
    for index, line in enumerate(pedal.line):
        if name == line_name(index, line):
            path = f"pedal[{pedal.name}].line[{index}].rating"
    change = Change(path=path, to=needed, unit="MPa", rounding="up")
    return (Proposal(words=f"replace the {name} by one rated {needed:g} MPa or more", steps=(change,)),)


def tandem_master(pedal: Pedal) -> tuple[Proposal, ...]:
    """A tandem master in place of the single one: two circuits in one bore."""
    change = Change(path=f"pedal[{pedal.name}].brake.tandem", word=True)
    return (Proposal(words="fit a tandem master, which has a circuit for each axle", steps=(change,)),)


def longer_brake_stroke(pedal: Pedal, circuit: CircuitResult) -> tuple[Proposal, ...]:
    """A master of that circuit whose stroke covers the piston's travel."""
    stroke = STROKE_STEP_MM * math.ceil(circuit.piston_mm / STROKE_STEP_MM - 1e-6)
    change = Change(path=f"pedal[{pedal.name}].brake.{circuit.name}.stroke", to=stroke, rounding="up")
    words = f"take a {circuit.name} master of at least {stroke:g} mm stroke"
    return (Proposal(words=words, steps=(change,)),)


def _next_bores(bore_mm: float, larger: bool) -> Iterator[tuple[float, str]]:
    rows = [(b.bore_mm, b.label) for b in standard_bores("master")]
    if larger:
        return (row for row in rows if row[0] > bore_mm + SAME_BORE_MM)
    return (row for row in reversed(rows) if row[0] < bore_mm - SAME_BORE_MM)
