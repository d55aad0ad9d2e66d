"""Changes of hoses, clamps and what they end on that may clear a finding on a line."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence

from generators.checks.hose.cases import ChainCase, HoseCase
from generators.checks.nudges import nudges
from generators.figures import fixed
from generators.model.changes import Change, Insert, NewTable, Proposal, Shift, Step
from generators.model.hose_path import HosePath
from generators.model.hose_results import RisePoint
from generators.model.limits import Limits
from generators.reading.keys.lines import split_port
from generators.routing.lengths import SHORTENING
from generators.routing.paths.curves import at_station
from generators.units import DASH_MM

STAND_OFF_MM = 12.0
"""Fastener to hose of a clamp that is proposed: about a clamp's own, to be set to the one used."""

STEEP = 0.7
"""A hose that climbs more than this (sine) is held from the side, any other from below."""

HELD = ("port", "clamp", "grommet")


def fitting_lengths(case: HoseCase, path_mm: float, limits: Limits) -> tuple[float, float]:
    """Shortest and longest made-up length that every rule on lengths lets pass, mm.

    The slack; and what must be left when all of it but the fittings has shortened by 4 % and both ends have
    moved (AC 43.13-1B fig 9-9). Where that asks for more than the least slack, as much room is left above
    (ours).
    """
    low = path_mm * (1.0 + limits.hose_slack_ratio)
    if case.spec.service != "feed":
        fittings = 2 * case.spec.end_mm
        low = max(low, fittings + (path_mm + case.moves_mm - fittings) / (1.0 - SHORTENING))
    return low, low + path_mm * max(limits.hose_slack_most_ratio - limits.hose_slack_ratio, 0.0)


def fitting_hose(case: HoseCase, path: HosePath, limits: Limits) -> tuple[Proposal, ...]:
    """The hose made up to a length that every rule takes, or to the shortest that does not pull."""
    least, most = fitting_lengths(case, path.length_mm, limits)
    whole = math.ceil(least)
    key = f"hose[{case.spec.name}].made_up"
    made = case.spec.made_up_mm
    steps = []
    if made is not None and made > most:
        steps.append(
            Change(path=key, to=math.floor(most) if math.floor(most) >= least else most, rounding="down")
        )
    steps.append(Change(path=key, to=whole if whole <= most else least, rounding="up"))
    steps.append(Change(path=key, to=(least + most) / 2, rounding="near"))
    longer = made is None or made < least
    words = f"take a {'longer' if longer else 'shorter'} hose for {case.spec.name}, by {{by}}"
    return tuple(Proposal(words=words, steps=(step,)) for step in steps)


def straight_of(case: HoseCase, wanted_mm: float) -> tuple[Proposal, ...]:
    """The straight run asked for set to what the rule wants."""
    change = Change(path=f"hose[{case.spec.name}].straight", to=wanted_mm, rounding="up")
    return (Proposal(words=f"ask for the straight run at the ends of {case.spec.name}", steps=(change,)),)


def dash_of(case: HoseCase) -> tuple[Proposal, ...]:
    """The hose made the size of its ports, where both are one."""
    first, last = case.dashes
    if first is None or (last is not None and last != first):
        return ()
    change = Change(path=f"hose[{case.spec.name}].dash", word=first)
    return (Proposal(words=f"make {case.spec.name} -{first} as its ports are", steps=(change,)),)


def clamp_dash(clamp: str, dash: int) -> tuple[Proposal, ...]:
    """A clamp of another size; of a row, all of them."""
    change = Change(path=f"clamp[{clamp}].dash", word=dash)
    return (Proposal(words=f"take a -{dash} clamp for {clamp}", steps=(change,)),)


def clamps_at(case: HoseCase, path: HosePath, stations: Sequence[float]) -> tuple[Proposal, ...]:
    """New clamps that hold the hose where it runs, ``stations`` mm along; none without stations.

    They are put free in the vehicle: what they are bolted to there is the user's to see.
    """
    steps: list[Step] = []
    places = []
    dash = max(2, math.ceil(case.outside_mm / DASH_MM - 1e-9))
    names = _new_names(case, len(stations))
    for name, station in zip(names, sorted(stations), strict=True):
        place, along = at_station(path, station)
        steep = abs(along[2]) > STEEP
        facing = "right" if steep else "up"
        axis = 1 if steep else 2
        at = [c - STAND_OFF_MM if k == axis else c for k, c in enumerate(place)]
        spot = ", ".join(json.dumps(f"{fixed(c, 1)} mm") for c in at)
        keys = (
            ("name", json.dumps(name)),
            ("dash", str(dash)),
            ("on", f'{{ at = [{spot}], facing = "{facing}" }}'),
            ("stand_off", json.dumps(f"{STAND_OFF_MM:g} mm")),
            ("aside_by", json.dumps("0 mm")),
        )
        steps.append(NewTable(kind="clamp", keys=keys))
        before = next((s.name for s in path.supports[1:-1] if s.kind in HELD and s.station_mm > station), "")
        steps.append(Insert(path=f"hose[{case.spec.name}].clamps", name=name, before=before))
        places.append(f"x {place[0]:.0f} y {place[1]:.0f} z {place[2]:.0f}")
    if not steps:
        return ()
    words = f"hold {case.spec.name} with a clamp at {' and at '.join(places)}, bolted to what is there"
    return (Proposal(words=words, steps=tuple(steps)),)


def further_off(case: HoseCase, path: HosePath, station_mm: float, short_mm: float) -> tuple[Proposal, ...]:
    """The clamp nearest to a place of the hose moved, along its sheet or, where it has none, up and down."""
    clamps = {clamp.name: clamp for clamp in case.clamps}
    held = [s for s in path.supports if s.name in clamps]
    if not held:
        return ()
    name = min(held, key=lambda s: abs(s.station_mm - station_mm)).name
    if clamps[name].on.at is None:
        return nudges(name, [f"clamp:{name}"], short_mm)
    far = math.ceil(short_mm + 1.0)
    return tuple(
        Proposal(words=f"{way} {name} by {{by}}", steps=(Shift(thing=f"clamp:{name}", up=up),))
        for way, up in (("raise", far), ("lower", -far))
    )


def _new_names(case: HoseCase, count: int) -> list[str]:
    taken = {clamp.name for clamp in case.clamps}
    names: list[str] = []
    number = 1
    while len(names) < count:
        name = f"{case.spec.name[:30]}_held_{number}"
        if name not in taken:
            names.append(name)
        number += 1
    return names


def guides(path: HosePath) -> list[float]:
    """Where a path is led round something by nothing, mm along, each place once."""
    found: list[float] = []
    for support in path.supports:
        if support.kind == "guide" and all(abs(support.station_mm - s) > 1.0 for s in found):
            found.append(support.station_mm)
    return found


def held_near(case: ChainCase, point: RisePoint) -> str:
    """The clamp, grommet or port of the user's nearest to a point of the run; empty for none.

    What a router leads a path by is no place anybody knows.
    """
    hose = next((h for h in case.hoses if h.spec.name == point.hose), None)
    supports = () if hose is None or hose.path is None else hose.path.supports
    if all(s.name != point.near for s in supports if s.kind not in HELD):
        return point.near
    held = [s for s in supports if s.kind in HELD]
    return min(held, key=lambda s: abs(s.station_mm - point.hose_station_mm)).name if held else ""


def rises(case: ChainCase, high: RisePoint, low: RisePoint, by_mm: float) -> tuple[Proposal, ...]:
    """What is at the high point lowered, or what is at the low point after it raised."""
    found = []
    for point, up in ((high, -by_mm), (low, by_mm)):
        name = held_near(case, point)
        if name:
            way = "lower" if up < 0 else "raise"
            found.append(Proposal(words=f"{way} {name} by {{by}}", steps=(_lift(name, up),)))
    return tuple(found)


def raised(component: str, up_mm: float) -> tuple[Proposal, ...]:
    """A component raised."""
    return (
        Proposal(
            words=f"raise {component} by {{by}}", steps=(Shift(thing=f"component:{component}", up=up_mm),)
        ),
    )


def _lift(support: str, up_mm: float) -> Shift:
    component, port = split_port(support)
    return Shift(thing=f"component:{component}" if port else f"clamp:{support}", up=up_mm)
