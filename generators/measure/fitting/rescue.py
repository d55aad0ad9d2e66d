"""The smallest thing that makes a part go on holes as drilled, by metal removed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.figures import fixed
from generators.measure.equations import Array
from generators.measure.fitting.fit import Fit, Joint, fit, violations
from generators.model.words import RescueKind
from generators.standards import Drill, DrillSystem, drills
from generators.units import UnitSystem

SPARE_MM = 0.1
"""Clearance a rescue leaves beside what is needed: nobody files to nothing."""

STEP_MM = 0.5
COARSE_MM, FINE_MM, ROUND_MM = 0.5, 0.05, 1e-3
LEAST_CUT_MM = 0.05
"""What is less than this nobody files, drills or moves: it is no rescue. Ours."""

NUT_BEARING_MM = 1.0
"""Metal a nut must still bear on each side of an opened hole: as the rule reuse-oversize asks, ours."""

FLATS_PER_CORNERS = math.sqrt(3) / 2
SEALED = ("bulkhead", "grommet")


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is done to one hole, in the panel frame: a slot, a larger hole or another place.

    ``on_panel`` when it is the panel's hole, which is opened only; else the part's. ``lengthen_mm`` along
    ``toward_rad``; ``diameter_mm`` 0 for unchanged; ``move`` the shift of its centre.
    """

    hole: str
    on_panel: bool = False
    lengthen_mm: float = 0.0
    toward_rad: float = 0.0
    diameter_mm: float = 0.0
    move: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescue:
    """One way to make it go on.

    ``metal_mm3`` is what is cut away, of the part or (redrill) of the panel. ``new_blank`` when the part
    must be made again. ``joints`` are those after the change. ``sure`` when it then goes on in 95 % of cases.
    ``cannot`` says why it is out of the question.
    """

    kind: RescueKind
    changes: tuple[Change, ...]
    words: str
    metal_mm3: float
    joints: tuple[Joint, ...]
    new_blank: bool = False
    sure: bool = True
    cannot: str = ""

    @property
    def rank(self) -> tuple[bool, bool, bool, float]:
        """Possible before impossible, a file before a new blank, sure before likely, then the least metal."""
        return bool(self.cannot), self.new_blank, not self.sure, self.metal_mm3


def direction_words(angle_rad: float) -> str:
    """A direction on the panel in words: ``toward 30 deg (right and up)``."""
    u, v = math.cos(angle_rad), math.sin(angle_rad)
    words = [
        w
        for w, x in (("right", u), ("left", -u), ("up", v), ("down", -v))
        if x > math.sin(math.radians(22.5))
    ]
    return f"toward {math.degrees(math.remainder(angle_rad, 2 * math.pi)):.0f} deg ({' and '.join(words)})"


def next_drill(diameter_mm: float, units: UnitSystem | None = None) -> Drill | None:
    """The smallest standard drill not below ``diameter_mm``; ``None`` beyond the table.

    Of the sizes sold where people measure in ``units``, as far as these reach; without, of all.
    """
    fits = [d for d in drills() if d.diameter_mm >= diameter_mm - 1e-9]
    here = [d for d in fits if units is not None and (d.system == DrillSystem.METRIC) == (units == "metric")]
    return min(here or fits, key=lambda d: d.diameter_mm, default=None)


def least_extra(joints: Sequence[Joint], which: Sequence[int], most_mm: float) -> float | None:
    """The least clearance to add to those joints, to 0.05 mm, so that ``SPARE_MM`` is left everywhere.

    ``None`` when ``most_mm`` does not do. More clearance never leaves less, so a coarse pass finds where
    to look closely.
    """
    coarse = _enough(joints, which, np.arange(0.0, most_mm + COARSE_MM, COARSE_MM))
    if coarse is None:
        return None
    low = max(0.0, coarse - COARSE_MM)
    return _enough(joints, which, np.arange(low, coarse + FINE_MM / 2, FINE_MM))


def _enough(joints: Sequence[Joint], which: Sequence[int], trial: Array) -> float | None:
    clear = np.tile([j.clearance_mm for j in joints], (len(trial), 1))
    clear[:, list(which)] += trial[:, None]
    panel = np.tile([j.panel for j in joints], (len(trial), 1, 1))
    good = np.flatnonzero(violations(joints, panel, clear) <= -SPARE_MM + ROUND_MM)
    return float(trial[good[0]]) if good.size else None


def opened(joint: Joint, change: Change) -> Joint:
    """The joint after a change of one of its two holes."""
    if change.on_panel:
        return replace(joint, panel_dia_mm=change.diameter_mm)
    if change.lengthen_mm:
        half = change.lengthen_mm / 2
        u, v = joint.part
        at = (u + half * math.cos(change.toward_rad), v + half * math.sin(change.toward_rad))
        return replace(joint, part=at, travel_mm=change.lengthen_mm, slot_rad=change.toward_rad)
    moved = (joint.part[0] + change.move[0], joint.part[1] + change.move[1])
    return replace(joint, part=moved, part_dia_mm=change.diameter_mm or joint.part_dia_mm)


def _after(joints: Sequence[Joint], changes: Sequence[Change]) -> tuple[Joint, ...]:
    out = list(joints)
    for change in changes:
        i = next(k for k, j in enumerate(out) if j.name == change.hole)
        out[i] = opened(out[i], change)
    return tuple(out)


def _slot(joints: Sequence[Joint], i: int, extra: float, thickness_mm: float) -> Rescue | None:
    j = joints[i]
    more = [extra if k == i else 0.0 for k in range(len(joints))]
    laid = fit(joints, more)
    # in the part's own place: the slot turns with it
    toward = math.atan2(laid.off_mm[i][1], laid.off_mm[i][0]) - laid.turn_rad
    length = math.ceil(round(extra / STEP_MM, 6)) * STEP_MM
    if length < STEP_MM:
        return None  # nothing to file there
    change = Change(hole=j.name, lengthen_mm=length, toward_rad=math.remainder(toward, 2 * math.pi))
    words = f"lengthen hole {j.name} of the part by {length:g} mm {direction_words(toward)}"
    cannot = ""
    if j.kind in SEALED:
        cannot = f"a {j.kind} must fill its hole"
    elif j.travel_mm:
        cannot = "it is a slot already"
    elif length > j.shank_mm:
        cannot = "a slot longer than the bolt is thick leaves too little under its head"
    return Rescue(
        kind="slot",
        changes=(change,),
        words=words,
        metal_mm3=length * j.part_dia_mm * thickness_mm,
        joints=_after(joints, (change,)),
        cannot=cannot,
    )


def _wider(
    j: Joint, extra: float, sheet_mm: float, units: UnitSystem | None, *, panel: bool
) -> tuple[Change, float, str, str] | None:
    """One hole opened by ``extra`` or the next drill above: change, metal, drill and what is against it."""
    was = j.panel_dia_mm if panel else j.part_dia_mm
    drill = next_drill(max(was + 2 * extra, was + LEAST_CUT_MM), units)
    if drill is None or (panel and j.fixed):
        return None
    metal = math.pi / 4 * (drill.diameter_mm**2 - was**2) * sheet_mm
    if not panel:
        metal += (drill.diameter_mm - was) * j.travel_mm * sheet_mm
    bears = j.nut_circle_mm * FLATS_PER_CORNERS
    cannot = ""
    if j.kind in SEALED:
        cannot = f"a {j.kind} must fill its hole"
    elif bears and drill.diameter_mm > bears - 2 * NUT_BEARING_MM:
        cannot = f"a nut of {fixed(bears, 1)} mm across flats would hardly bear on it"
    change = Change(hole=j.name, on_panel=panel, diameter_mm=drill.diameter_mm)
    size = (
        drill.name if drill.name.endswith("mm") else f"{fixed(drill.diameter_mm, 2)} mm ({drill.name} drill)"
    )
    return change, metal, size, cannot


def _enlarge(
    joints: Sequence[Joint],
    which: Sequence[int],
    extra: float,
    sheets_mm: tuple[float, float],
    kind: RescueKind,
    units: UnitSystem | None,
) -> Rescue | None:
    """Holes of the part, of the panel or of both opened; ``sheets_mm`` are part and panel."""
    sides = {"enlarge_panel": (True,), "enlarge_both": (False, True)}.get(kind, (False,))
    changes, metal, cannot = [], 0.0, ""
    names: dict[bool, list[str]] = {False: [], True: []}
    for i in which:
        for panel in sides:
            # what both give together is what one alone would
            opened_one = _wider(joints[i], extra / len(sides), sheets_mm[panel], units, panel=panel)
            if opened_one is None:
                return None
            change, cut, drill, against = opened_one
            changes.append(change)
            metal += cut
            names[panel].append(f"{joints[i].name} to {drill}")
            cannot = cannot or against
    hole = "hole" if len(which) == 1 else "holes"
    words = " and ".join(
        f"the {'panel' if panel else 'part'}'s {hole} {', '.join(names[panel])}" for panel in sides
    )
    return Rescue(
        kind=kind,
        changes=tuple(changes),
        words=f"open {words}",
        metal_mm3=metal,
        joints=_after(joints, changes),
        cannot=cannot,
    )


def _move(joints: Sequence[Joint], i: int, laid: Fit, thickness_mm: float) -> Rescue | None:
    """A fitting that nothing else positions: its hole in a new blank goes where the panel has it."""
    j = joints[i]
    at = laid.place(*j.part)
    step = complex(j.panel[0] - at[0], j.panel[1] - at[1]) * complex(
        math.cos(laid.turn_rad), -math.sin(laid.turn_rad)
    )
    if abs(step) <= max(j.clearance_mm, LEAST_CUT_MM):
        return None  # its bolt goes through as it is
    change = Change(hole=j.name, move=(step.real, step.imag))
    words = (
        f"make the part again with hole {j.name} moved {fixed(abs(step), 1)} mm "
        f"{direction_words(math.atan2(step.imag, step.real))}"
    )
    return Rescue(
        kind="move",
        changes=(change,),
        words=words,
        metal_mm3=math.pi / 4 * j.part_dia_mm**2 * thickness_mm,
        joints=_after(joints, (change,)),
        new_blank=True,
        cannot="" if j.kind in SEALED else "other parts hang on this hole",
    )


def _redrill(
    joints: Sequence[Joint], i: int, laid: Fit, panel_mm: float, ligament_mm: float
) -> Rescue | None:
    j = joints[i]
    at = laid.place(*j.part)
    apart = math.dist(at, j.panel)
    if apart <= max(j.clearance_mm, LEAST_CUT_MM):
        return None
    need = j.panel_dia_mm / 2 + j.part_dia_mm / 2 + ligament_mm
    new = replace(j, panel=at, panel_dia_mm=j.part_dia_mm, panel_sigma_mm=0.0)
    words = (
        f"blank the panel's hole for {j.name} and drill it {fixed(apart, 1)} mm away, "
        f"at u {at[0]:.1f} v {at[1]:.1f}"
    )
    cannot = (
        ""
        if apart >= need
        else f"only {fixed(apart, 1)} mm from the old hole, {fixed(need, 1)} mm leave metal between"
    )
    return Rescue(
        kind="redrill",
        changes=(),
        words=words,
        metal_mm3=math.pi / 4 * j.part_dia_mm**2 * panel_mm,
        joints=tuple(new if k == i else each for k, each in enumerate(joints)),
        cannot=cannot,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """Clearance lacking: of each hole alone, and of all alike; ``None`` where that does not help. mm."""

    each: tuple[float | None, ...]
    together: float | None


def needs(joints: Sequence[Joint]) -> Needs:
    """What opening one hole, or all, must give."""
    return Needs(
        each=tuple(least_extra(joints, (i,), 2 * max(j.shank_mm, 5.0)) for i, j in enumerate(joints)),
        together=least_extra(joints, range(len(joints)), 10.0) if len(joints) > 1 else None,
    )


def opened_rescues(
    joints: Sequence[Joint],
    lacking: Needs,
    sheets_mm: tuple[float, float],
    more_mm: float = 0.0,
    units: UnitSystem | None = None,
) -> Iterator[Rescue]:
    """Slots and larger holes of the part and the panel, in no order; ``more_mm`` is added to each need.

    ``sheets_mm`` are the thicknesses of part and panel; drills are those of ``units``. What would cut nothing
    is no rescue.
    """
    one: tuple[RescueKind, ...] = ("enlarge", "enlarge_panel", "enlarge_both")
    for i, extra in enumerate(lacking.each):
        if extra is not None:
            found = [_slot(joints, i, extra + more_mm, sheets_mm[0])]
            found += [_enlarge(joints, (i,), extra + more_mm, sheets_mm, kind, units) for kind in one]
            yield from (option for option in found if option is not None)
    if lacking.together is not None:
        every = range(len(joints))
        option = _enlarge(joints, every, lacking.together + more_mm, sheets_mm, "enlarge_all", units)
        if option is not None:
            yield option


def placed_rescues(
    joints: Sequence[Joint], sheets_mm: tuple[float, float], ligament_mm: float
) -> Iterator[Rescue]:
    """A hole of the part moved, or one of the panel blanked and drilled again, in no order.

    ``sheets_mm`` are the thicknesses of part and panel; ``ligament_mm`` what must stay between holes.
    """
    for i, joint in enumerate(joints):
        rest = [j for j in joints if j is not joint]
        laid = fit(rest) if rest else None
        if laid is not None and laid.worst_mm >= SPARE_MM:
            found = _move(joints, i, laid, sheets_mm[0]), _redrill(joints, i, laid, sheets_mm[1], ligament_mm)
            yield from (option for option in found if option is not None)
