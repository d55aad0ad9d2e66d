"""Where the pedal must stop: not before the clutch is released, not after anything runs out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from generators.errors import GeometryFault
from generators.hydraulics.clutch import (
    ClutchSetup,
    clutch_setup,
    curves,
    pad_of_bearing,
    pad_of_bottom,
    pads_up_to,
)
from generators.hydraulics.linkage import PedalFrame, build_linkage, moved_pin, travel_to_floor
from generators.model.spec.hydraulics import Pedal
from generators.standards import standard_bores

EFFORT_N = {"clutch": 180.0, "brake": 500.0}
"""Pad force not to exceed where the spec sets none. Clutch: upper end of 90 to 180 N, common practice,
no source. Brake: FMVSS 135 S7.5.2 and UN R13-H annex 3, 65 to 500 N, from memory."""

MOST_TRAVEL_MM = 180.0
"""Furthest the floor is moved when a change is looked for: leg travel, MIL-STD-1472F 5.4.2, from memory."""

STEEPEST_ROD_RAD = math.radians(5.0)
_PIN_STEPS = tuple(round(0.025 * n, 3) for n in range(1, 13))
_TRAVEL_STEP_MM = 5.0
_LONGER_MM = 3
_WHOLE_MM = 1e-6
_READ_MM = 0.01
"""No travel of a pad is read nearer than this (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StopLimit:
    """One thing that ends the pedal's travel. ``margin_mm`` is from the stop in use, pad travel."""

    key: str
    label: str
    pad_mm: float
    margin_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StopWindow:
    """Pad travels between which the pedal may stop, mm; an infinite travel is never reached.

    ``earliest_mm`` releases with the margin, ``releases_mm`` just releases. ``limits`` are master,
    slave, fingers and floor, the first to come first; ``latest_mm`` is the first. ``recommended_mm`` is
    where to put a stop bolt: the middle of the window as far as the floor's covering, None where there is
    no room for one. ``stop_mm`` is the stop in use: where the stop bolt stands, the spec's, else the middle,
    else the latest; ``given`` tells the first two. Where the floor is the stop (``by_floor``), ``stop_mm``
    has its covering whole, and ``gone_mm`` is the same with the covering gone; of any other stop both are
    one, and ``latest_mm`` stops at the covering.
    """

    releases_mm: float
    earliest_mm: float
    latest_mm: float
    limits: tuple[StopLimit, ...]
    recommended_mm: float | None
    stop_mm: float
    given: bool
    gone_mm: float
    by_floor: bool = False

    @property
    def empty(self) -> bool:
        """True when no stop is right, be it a bolt or the floor."""
        return not self.earliest_mm <= self.latest_mm

    @property
    def right(self) -> bool:
        """True when the stop in use is right, of a floor both with its covering and without."""
        return self.earliest_mm - _READ_MM <= self.stop_mm and self.gone_mm <= self.latest_mm + _READ_MM

    @property
    def floor_stops(self) -> bool:
        """True when the floor is the stop and is right as one: no bolt is set beside it."""
        return self.by_floor and self.right

    @property
    def bolt_latest_mm(self) -> float:
        """The last pad travel at which a stop bolt is met before floor and limits, mm."""
        return min(self.latest_mm, self.stop_mm) if self.by_floor else self.latest_mm

    @property
    def beside_mm(self) -> float:
        """Pad travel between the stop in use and the nearer end of the window, mm; a floor ends nothing that
        comes to harm."""
        ends = [limit.pad_mm for limit in self.limits if limit.key != "floor"]
        return min(self.release_margin_mm, min(ends) - self.gone_mm)

    @property
    def release_margin_mm(self) -> float:
        """Pad travel of the stop in use beyond the earliest, mm."""
        return self.stop_mm - self.earliest_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change that opens an empty window, with what comes of it.

    ``key`` is the spec key with its new ``value_mm``, ``text`` says it, ``effort_n`` is the pad force then
    and ``kept`` whether it stays within the target.
    """

    key: str
    value_mm: float
    text: str
    earliest_mm: float
    latest_mm: float
    effort_n: float
    kept: bool


def stop_of(pedal: Pedal, frame: PedalFrame) -> float | None:
    """Pad travel at the stop, mm: where its bolt was found to stand, else the spec's; None where free."""
    return pedal.stop_mm if frame.stop_mm is None else frame.stop_mm


def stop_window(setup: ClutchSetup, stop_mm: float | None, by_floor: bool = False) -> StopWindow:
    """The stop window of a clutch pedal; ``stop_mm`` is the spec's stop, pad travel, or None.

    With ``by_floor`` the floor is the stop: it must release with the covering whole, and nothing may run
    out with the covering gone.
    """
    clutch, link = setup.clutch, setup.link
    releases = pad_of_bearing(setup, clutch.free_play_mm + clutch.release_travel_mm)
    earliest = pad_of_bearing(
        setup, clutch.free_play_mm + clutch.release_travel_mm + clutch.release_margin_mm
    )
    places = {
        ("master", "the master bottoms"): pad_of_bottom(setup),
        ("slave", "the slave runs out"): pad_of_bearing(setup, setup.slave_limit_mm),
        ("fingers", "the release fingers over-travel"): pad_of_bearing(
            setup, clutch.free_play_mm + clutch.over_travel_mm
        ),
        ("floor", "the pad meets the floor"): link.bare_mm if by_floor else link.travel_mm,
    }
    latest = min(places.values())
    bolt_latest = min(latest, link.travel_mm)
    recommended = (earliest + bolt_latest) / 2 if earliest <= bolt_latest else None
    stop = link.travel_mm if by_floor else stop_mm
    if stop is None:
        stop = recommended if recommended is not None else latest
    gone = link.bare_mm if by_floor else stop
    limits = (
        StopLimit(key=key, label=label, pad_mm=pad, margin_mm=pad - gone)
        for (key, label), pad in places.items()
    )
    return StopWindow(
        releases_mm=releases,
        earliest_mm=earliest,
        latest_mm=latest,
        limits=tuple(sorted(limits, key=lambda limit: limit.pad_mm)),
        recommended_mm=recommended,
        stop_mm=stop,
        given=by_floor or stop_mm is not None,
        gone_mm=gone,
        by_floor=by_floor,
    )


def openers(pedal: Pedal, frame: PedalFrame) -> tuple[Change, ...]:
    """Single changes that open the window of ``pedal``, each the nearest of its kind, best first.

    Each is tried by computing everything again. Best are those that keep the effort within the target.
    Empty when none does it.
    """
    target = effort_target(pedal)
    found = []
    groups = (_strokes, _masters, _slaves, _pins, _floors)
    for group in (candidates(pedal, frame) for candidates in groups):
        for key, text, changed, at in group:
            change = _try(key, text, changed, at, target)
            if change is not None:
                found.append(change)
                break
    return tuple(sorted(found, key=lambda change: not change.kept))


def effort_target(pedal: Pedal) -> float:
    """Pad force not to exceed, N: the spec's, else that of the pedal's kind."""
    return pedal.targets.effort_n if pedal.targets.effort_n is not None else EFFORT_N[pedal.kind]


Candidate = tuple[str, str, Pedal, PedalFrame]


def _by_nearness(bore_mm: float, cylinder: str) -> list[tuple[float, str]]:
    others = [(b.bore_mm, b.label) for b in standard_bores(cylinder) if abs(b.bore_mm - bore_mm) > 0.01]
    return sorted(others, key=lambda other: abs(other[0] - bore_mm))


def _strokes(pedal: Pedal, frame: PedalFrame) -> Iterator[Candidate]:
    """Longer slaves by the millimetre, from the stroke that just releases with the margin."""
    if pedal.slave is None or pedal.clutch is None:
        return
    clutch = pedal.clutch
    released = clutch.free_play_mm + clutch.release_travel_mm + clutch.release_margin_mm
    least = math.ceil(clutch.fork_ratio * (released + clutch.wear_mm) - _WHOLE_MM)
    for stroke in range(max(least, math.floor(pedal.slave.stroke_mm) + 1), least + _LONGER_MM + 1):
        changed = replace(pedal, slave=replace(pedal.slave, stroke_mm=float(stroke)))
        yield "slave.stroke", f"a slave with {stroke} mm of stroke", changed, frame


def _masters(pedal: Pedal, frame: PedalFrame) -> Iterator[Candidate]:
    if pedal.master is not None:
        for bore, label in _by_nearness(pedal.master.bore_mm, "master"):
            changed = replace(pedal, master=replace(pedal.master, bore_mm=bore))
            yield "master.bore", f"a {label} master", changed, frame


def _slaves(pedal: Pedal, frame: PedalFrame) -> Iterator[Candidate]:
    if pedal.slave is not None and pedal.slave.kind == "plain":
        for bore, label in _by_nearness(pedal.slave.bore_mm, "slave"):
            changed = replace(pedal, slave=replace(pedal.slave, bore_mm=bore))
            yield "slave.bore", f"a {label} slave", changed, frame


def _pins(pedal: Pedal, frame: PedalFrame) -> Iterator[Candidate]:
    radius, lever = math.hypot(*pedal.pin), math.hypot(*pedal.pad)
    for step in _PIN_STEPS:
        for scale in (1 + step, 1 - step):
            changed, at = moved_pin(pedal, frame, scale)
            text = (
                f"a pin radius of {radius * scale:.1f} mm, a {lever / radius / scale:.2f}:1 pedal, with the "
                "cylinder moved along"
            )
            yield "pin", text, changed, at


def _floors(pedal: Pedal, frame: PedalFrame) -> Iterator[Candidate]:
    travel = travel_to_floor(pedal, frame) + _TRAVEL_STEP_MM
    lower = replace(frame, floor=None)
    while travel <= MOST_TRAVEL_MM:
        yield "travel", f"{travel:.0f} mm of pad travel to the floor", replace(pedal, travel_mm=travel), lower
        travel += _TRAVEL_STEP_MM


def _try(key: str, text: str, pedal: Pedal, frame: PedalFrame, target: float) -> Change | None:
    try:
        setup = clutch_setup(pedal, build_linkage(pedal, frame))
    except GeometryFault:
        # A change the linkage cannot make is no change to propose.
        return None
    window = stop_window(setup, None)
    if window.recommended_mm is None:
        return None
    stroke = curves(setup, pads_up_to(setup, window.recommended_mm, 41))
    if float(stroke.rod_angle_rad.max()) > STEEPEST_ROD_RAD:
        return None
    effort = float(stroke.effort_n.max())
    return Change(
        key=key,
        value_mm=_value(pedal, key),
        text=text,
        earliest_mm=window.earliest_mm,
        latest_mm=window.latest_mm,
        effort_n=effort,
        kept=effort <= target,
    )


def _value(pedal: Pedal, key: str) -> float:
    """The length a key of a pedal has, mm; of the pin, its radius."""
    if key == "pin":
        return math.hypot(*pedal.pin)
    table, _, name = key.rpartition(".")
    return float(getattr(getattr(pedal, table) if table else pedal, f"{name}_mm"))
