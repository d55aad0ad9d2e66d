"""Another ratio for a pedal on a hanger: the rod's pin moved on its arm, and the pivot with it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from generators.checks.pedal.changes import (
    FARTHEST_PIN_MM,
    bore_label,
    bores,
    longer_stroke,
    ranked_with_own,
    with_stop,
)
from generators.errors import PedalplateError
from generators.figures import fixed
from generators.hydraulics.clutch import clutch_setup
from generators.hydraulics.linkage import build_linkage
from generators.hydraulics.ranking import BEATEN, FRONT, RATIOS, SAME_BORE_MM
from generators.hydraulics.result import ClutchResult
from generators.hydraulics.window import StopWindow, stop_window
from generators.model.changes import Change, Proposal, Rounding
from generators.model.spec.hydraulics import Pedal

_MOST = 2
_LEAST_MM = 0.5


def opened(pedal: Pedal, result: ClutchResult, beside: Sequence[Pedal] = ()) -> tuple[Proposal, ...]:
    """What opens an empty stop window, cheapest first.

    Another ratio needs nothing bought; then come the single changes found, another ratio with one other
    cylinder, longer strokes and other bores. ``beside`` are the other pedals of the hanger.
    """
    alone, joined = other_ratios(pedal, result, beside)
    found = list(alone[:1])
    for change in result.openers:
        if change.key == "pin":
            continue  # its cylinder moves along: another ratio of a hanger, else not the pedal's to say
        rounding: Rounding = "up" if change.key == "travel" else "exact"
        steps = [Change(path=f"pedal[{pedal.name}].{change.key}", to=change.value_mm, rounding=rounding)]
        if pedal.stop_mm is not None:
            middle = (change.earliest_mm + change.latest_mm) / 2
            steps.append(Change(path=f"pedal[{pedal.name}].stop", to=middle))
        found.append(Proposal(words=f"take {change.text}", steps=tuple(steps)))
    found += joined[:1]
    first = result.window.limits[0].key
    if first in ("master", "slave"):
        found += longer_stroke(pedal, result, first)
    return (*found, *bores(pedal, result))


def other_ratios(
    pedal: Pedal, result: ClutchResult, beside: Sequence[Pedal]
) -> tuple[tuple[Proposal, ...], tuple[Proposal, ...]]:
    """Ratios that keep both targets by the ranking, the nearest first: alone, and with one other cylinder.

    The pin goes up or down its arm in whole millimetres and the pivot the other way, so that the rod keeps
    its line. The pivot is the hanger's: the pins of the pedals ``beside`` on it move as far. Only what a
    hanger's parameters say can be moved, and only by ``FARTHEST_PIN_MM``. Raises nothing.
    """
    none: tuple[Proposal, ...] = ()
    fixed_rod = pedal.rod_length_mm is not None or any(p.rod_length_mm is not None for p in beside)
    if not pedal.hanger or pedal.measured == "plumb" or fixed_rod:
        return none, none
    ranked = ranked_with_own(pedal, result, RATIOS)
    if ranked is None:
        return none, none
    table, others = ranked
    rows: list[tuple[int, float, float, float, float]] = []
    for row in np.flatnonzero(np.isin(table.code, (FRONT, BEATEN))).tolist():
        master, slave = float(table.master_mm[row]), float(table.slave_mm[row])
        far = _far(pedal, float(table.ratio[row]))
        if others[row] <= 1 and far is not None:
            rows.append((others[row], abs(far), far, master, slave))
    out: tuple[list[Proposal], list[Proposal]] = ([], [])
    for changed, _, far, master, slave in sorted(rows):
        if len(out[changed]) == _MOST:
            continue
        made = _made(pedal, result, far, (master, slave), beside)
        if made is not None:
            out[changed].append(made)
    return tuple(out[0]), tuple(out[1])


def _far(pedal: Pedal, ratio: float) -> float | None:
    """How far up the pin goes for a ratio, whole mm; None for no other place, or one too far."""
    out, up = pedal.pin
    radius = math.hypot(*pedal.pad) / ratio
    if radius <= abs(out) or up == 0:
        return None
    far = float(round(math.copysign(math.sqrt(radius**2 - out**2), up) - up))
    return far if _LEAST_MM < abs(far) <= FARTHEST_PIN_MM else None


def _made(
    pedal: Pedal, result: ClutchResult, far: float, bores_mm: tuple[float, float], beside: Sequence[Pedal]
) -> Proposal | None:
    """The proposal, or None where no stop is right with it either."""
    if pedal.master is None or pedal.slave is None:
        return None
    master, slave = bores_mm
    changed = replace(
        pedal,
        pin=(pedal.pin[0], pedal.pin[1] + far),
        master=replace(pedal.master, bore_mm=master),
        slave=replace(pedal.slave, bore_mm=slave),
    )
    window = _window(changed, result, far)
    if window is None or window.recommended_mm is None:
        return None
    words, steps = [], [Change(path=f"pedal[{one.name}].pin[1]", by=far) for one in (pedal, *beside)]
    steps.append(Change(path=f"part[{pedal.hanger}].parameters.pivot_up", by=-far))
    for key, old, new in (("master", pedal.master.bore_mm, master), ("slave", pedal.slave.bore_mm, slave)):
        if abs(new - old) > SAME_BORE_MM:
            words.append(f"take a {bore_label(key, new)} {key}, ")
            steps.append(Change(path=f"pedal[{pedal.name}].{key}.bore", to=new, rounding="exact"))
    steps += with_stop(pedal, window)
    ratio = fixed(math.hypot(*changed.pad) / math.hypot(*changed.pin), 2)
    pins = " and ".join(one.name for one in (pedal, *beside))
    pins = f"rod pins of pedals {pins}" if beside else f"rod pin of pedal {pins}"
    way, other = ("up", "down") if far > 0 else ("down", "up")
    words.append(
        f"make pedal {pedal.name} {ratio}:1: {pins} {{by}} {way} on the arm, and the pivot of "
        f"{pedal.hanger} as far {other}"
    )
    return Proposal(words="".join(words), steps=tuple(steps))


def _window(changed: Pedal, result: ClutchResult, far: float) -> StopWindow | None:
    frame = result.linkage.frame
    x, y, z = (float(c) for c in np.array(frame.pivot) - far * np.array(frame.up))
    try:
        link = build_linkage(changed, replace(frame, pivot=(x, y, z)))
        return stop_window(clutch_setup(changed, link), changed.stop_mm)
    except PedalplateError:
        return None
