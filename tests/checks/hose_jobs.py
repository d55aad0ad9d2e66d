"""Small hoses for the rules: each case just outside a limit, with the nearest one just inside."""

from __future__ import annotations

import math
from dataclasses import replace

from generators.checks.hose.cases import ChainCase, HoseCase
from generators.checks.hose.hoses import check_chain, check_hose
from generators.checks.hose.places import check_order, check_place, check_stated
from generators.model.findings import Finding
from generators.model.hose_path import Arc, HosePath, Segment, Straight, Support
from generators.model.hose_results import (
    AirTrap,
    Binding,
    Clearance,
    HoseLength,
    HoseSag,
    Placement,
    PlaneChange,
    RisePoint,
    RiseProfile,
    SagSpan,
)
from generators.model.limits import Limits
from generators.model.spec.lines import Clamp, Hose, Spot
from generators.model.words import GapKind, GapWith, Service, SupportKind

INCH = 25.4
SPEC = Hose(name="h", service="pressure", from_="slave.inlet", to="master.outlet", dash=4)
TUBE = Hose(
    name="h",
    kind="rigid",
    service="pressure",
    from_="slave.inlet",
    to="master.outlet",
    dash=4,
    radius_mm=20.0,
)


def path_of(length_mm: float, *supports: float, segments: tuple[Segment, ...] = ()) -> HosePath:
    """A straight hose of that length held by clamps at the stations."""
    stations: list[tuple[str, SupportKind, float]] = [
        ("start", "port", 0.0),
        *((f"c{s:.0f}", "clamp", s) for s in supports),
        ("end", "port", length_mm),
    ]
    return HosePath(
        name="h",
        segments=segments or (Straight(start=(0.0, 0.0, 0.0), end=(length_mm, 0.0, 0.0)),),
        supports=tuple(Support(name=name, kind=kind, station_mm=station) for name, kind, station in stations),
        outside_dia_mm=13.0,
        bend_radius_mm=76.2,
    )


def case(length_mm: float = 400.0, made_mm: float = 424.0, *supports: float, spec: Hose = SPEC) -> HoseCase:
    """A straight hose ``made_mm`` long on a path of ``length_mm``; its ends take 50 mm that do not shorten."""
    made = made_mm if spec.kind == "hose" else length_mm
    cut = made - 50.0
    return HoseCase(
        spec=replace(spec, made_up_mm=made) if spec.kind == "hose" else spec,
        path=path_of(length_mm, *supports),
        outside_mm=13.0 if spec.kind == "hose" else 6.35,
        radius_mm=76.2,
        straight_mm=19.5,
        length=HoseLength(
            path_mm=length_mm,
            made_up_mm=made,
            cut_mm=cut,
            slack_ratio=made / length_mm - 1,
            # AC 43.13-1B fig 9-9: a hose gets up to 4 % shorter
            spare_mm=made - 0.04 * cut - length_mm,
        ),
    )


def hose(one: HoseCase) -> list[Finding]:
    return check_hose(one, Limits())


def near(what: GapWith, kind: GapKind, gap_mm: float, limit_mm: float) -> list[Finding]:
    clearance = Clearance(
        hose="h",
        body="thing",
        what=what,
        kind=kind,
        gap_mm=gap_mm,
        limit_mm=limit_mm,
        station_mm=100.0,
        at=(1.0, 2.0, 3.0),
    )
    return hose(replace(case(), clearances=(clearance,)))


def bent(radius_mm: float) -> list[Finding]:
    arc = Arc(
        centre=(0.0, radius_mm, 0.0), axis=(0.0, 0.0, 1.0), start=(0.0, 0.0, 0.0), sweep_rad=400 / radius_mm
    )
    return hose(replace(case(), path=path_of(400.0, segments=(arc,))))


def clamped(dash: int, outside_mm: float = 13.0) -> list[Finding]:
    clamp = Clamp(name="c", dash=dash, on=Spot(at=(0.0, 0.0, 0.0)))
    return hose(replace(case(), outside_mm=outside_mm, straight_mm=50.0, clamps=(clamp,)))


def planes(held_by: str) -> list[Finding]:
    change = PlaneChange(station_mm=200.0, angle_rad=math.radians(40), between_mm=30.0, held_by=held_by)
    return hose(replace(case(), planes=(change,)))


def stated(length_mm: float) -> list[Finding]:
    """400 mm of path: 424 mm made up, 374 mm of hose; 1 % either way is let pass."""
    length = case().length
    assert length is not None
    return check_stated("clutch", "h", length_mm, length)


def dashes(first: int, second: int) -> list[Finding]:
    return hose(replace(case(), dashes=(first, second)))


def point(station_mm: float, height_mm: float) -> RisePoint:
    return RisePoint(
        hose="h",
        station_mm=station_mm,
        hose_station_mm=station_mm,
        height_mm=height_mm,
        at=(station_mm, 0.0, height_mm),
        near="c1",
    )


def trapped(*, there: bool) -> list[Finding]:
    low, high = point(200.0, 90.0), point(100.0, 120.0)
    traps = (AirTrap(high=high, low=low, mend_mm=30.0, at_start=False),) if there else ()
    profile = RiseProfile(points=(point(0.0, 0.0), high, low), traps=traps, length_mm=400.0)
    return check_chain(ChainCase(hoses=(case(),), profile=profile), Limits())


def level(above_mm: float) -> list[Finding]:
    ports = (("slave.inlet", 0.0), ("master.inlet", 300.0))
    chain = ChainCase(hoses=(case(),), profile=None, ports=ports, reservoir="r", level_mm=300.0 + above_mm)
    return check_chain(chain, Limits())


def brakes(wheel_mm: float) -> list[Finding]:
    one = replace(case(), spec=replace(SPEC, service="brake"))
    ports = (("slave.inlet", wheel_mm), ("master.outlet", 300.0))
    return check_chain(ChainCase(hoses=(one,), profile=None, ports=ports), Limits())


def shortened(moves_mm: float) -> list[Finding]:
    """400 mm of path, 424 mm made up of which 374 mm is hose: 24 - 14.96 = 9.04 mm are left."""
    return hose(replace(case(), moves_mm=moves_mm))


def placed(*, found: bool) -> list[Finding]:
    bound = (Binding(name="edge of the panel", saves_mm=0.5),)
    place = Placement(found=found, at=(100.0, 50.0), length_mm=400.0, paths=(), bound_by=bound, tried=9)
    return check_place("h", place)


def slack(
    below_mm: float = 0.0, gap_mm: float = 3.0, service: Service = "pressure", lowest_mm: float | None = None
) -> list[Finding]:
    """What is said of ``slack_case``."""
    return check_hose(slack_case(below_mm, gap_mm, service), Limits(hose_lowest_mm=lowest_mm))


def slack_case(below_mm: float = 0.0, gap_mm: float = 3.0, service: Service = "pressure") -> HoseCase:
    """400 mm of level hose, 13 mm thick, that hangs; a body 3 mm from which it must stay."""
    span = SagSpan(start="start", end="end", slack_mm=24.0, lowest=(200.0, 0.0, -below_mm), below_mm=below_mm)
    gap = Clearance(
        hose="h",
        body="thing",
        what="obstacle",
        kind="fixed",
        gap_mm=gap_mm,
        limit_mm=3.0,
        station_mm=200.0,
        at=(200.0, 0.0, -below_mm),
    )
    meets = () if gap.met else (gap,)
    sag = HoseSag(hose="h", path=path_of(424.0), spans=(span,), meets=meets)
    return replace(case(), spec=replace(SPEC, service=service), sag=sag)


def hose_above(lowest_mm: float) -> list[Finding]:
    """A hose without slack to speak of, level at height 0."""
    return check_hose(case(), Limits(hose_lowest_mm=lowest_mm))


def led_round(*bodies: str) -> HoseCase:
    """A hose with a clamp at 300 mm, and a guide of the router's own at 100 mm."""
    one = case(400.0, 424.0, 300.0)
    assert one.path is not None
    guide = Support(name="guide 1", kind="guide", station_mm=100.0)
    start, *rest = one.path.supports
    return replace(one, path=replace(one.path, supports=(start, guide, *rest)), avoids=bodies)


def bent_tube(straight_mm: float, sweep_deg: float = 45.0) -> list[Finding]:
    """A -4 tube with a bend ``straight_mm`` from its first seat, 300 mm from the other."""
    sweep = math.radians(sweep_deg)
    first = Straight(start=(0.0, 0.0, 0.0), end=(straight_mm, 0.0, 0.0))
    arc = Arc(
        centre=(straight_mm, 20.0, 0.0), axis=(0.0, 0.0, 1.0), start=(straight_mm, 0.0, 0.0), sweep_rad=sweep
    )
    at = (straight_mm + 20.0 * math.sin(sweep), 20.0 - 20.0 * math.cos(sweep), 0.0)
    far = (at[0] + 300.0 * math.cos(sweep), at[1] + 300.0 * math.sin(sweep), 0.0)
    one = case(straight_mm + 20.0 * sweep + 300.0, spec=TUBE)
    assert one.length is not None
    return hose(
        replace(one, path=path_of(one.length.path_mm, segments=(first, arc, Straight(start=at, end=far))))
    )


HOSE_CASES = {
    # a -4 tube nut with its sleeve takes 0.75 in, 19.05 mm (from memory)
    "tube-nut-room": (lambda: bent_tube(19.0), lambda: bent_tube(19.1)),
    "hose-bend-radius": (lambda: bent(76.1), lambda: bent(76.3)),
    "hose-straight-run": (
        lambda: hose(replace(case(), straight_mm=19.4)),
        lambda: hose(replace(case(), straight_mm=19.5)),
    ),
    "hose-too-short": (lambda: hose(case(400.0, 399.9)), lambda: hose(case(400.0, 420.0))),
    # NAVEDTRA 14105: 5 to 8 %
    "hose-slack": (lambda: hose(case(400.0, 419.9)), lambda: hose(case(400.0, 432.0))),
    "hose-length-change": (lambda: shortened(9.1), lambda: shortened(9.0)),
    # AC 43.13-1B 9-30d(3): 24 in
    "hose-support-spacing": (
        lambda: hose(case(24.1 * INCH, 26 * INCH)),
        lambda: hose(case(24 * INCH, 25.5 * INCH)),
    ),
    "hose-clearance": (
        lambda: near("obstacle", "fixed", 2.9, 3.0),
        lambda: near("obstacle", "fixed", 3.0, 3.0),
    ),
    "hose-near-moving": (
        lambda: near("obstacle", "moving", 11.9, 12.0),
        lambda: near("obstacle", "steering", 15.0, 15.0),
    ),
    "hose-near-hot": (
        lambda: near("obstacle", "hot", 74.9, 75.0),
        lambda: near("obstacle", "hot", 75.0, 75.0),
    ),
    "hose-edge": (lambda: near("edge", "fixed", 5.9, 6.0), lambda: near("edge", "fixed", 6.0, 6.0)),
    "hose-detour": (
        lambda: hose(led_round("heater")),
        lambda: hose(led_round()),
    ),
    "hose-hose-clearance": (
        lambda: near("hose", "hose", 2.9, 3.0),
        lambda: near("hose", "hose", 3.0, 3.0),
    ),
    # 0.99 x 374 = 370.26 mm, 1.01 x 424 = 428.24 mm
    "hose-stated-length": (lambda: stated(370.1), lambda: stated(428.2)),
    "hose-plane-change": (lambda: planes(""), lambda: planes("c1")),
    "place-best": (lambda: placed(found=False), list),
    # 8/16 in = 12.7 mm, 9/16 in = 14.29 mm
    "clamp-size": (lambda: clamped(8), lambda: clamped(9)),
    "hose-dash-size": (lambda: dashes(4, 3), lambda: dashes(4, 4)),
    "air-trap": (lambda: trapped(there=True), lambda: trapped(there=False)),
    "reservoir-low": (lambda: level(9.9), lambda: level(10.0)),
    "order-cycle": (lambda: check_order("a waits for b and b waits for a"), lambda: check_order("")),
    "hose-measure": (
        lambda: hose(replace(case(), measure_why="the spec asks to measure it")),
        lambda: hose(case()),
    ),
    "hose-sag": (lambda: slack(gap_mm=2.9), lambda: slack(gap_mm=3.0)),
    # half of 13 mm below the middle
    "hose-lowest": (
        lambda: slack(below_mm=50.1, lowest_mm=-56.5),
        lambda: slack(below_mm=50.0, lowest_mm=-56.5),
    ),
    "feed-hose-sag": (
        lambda: slack(below_mm=1.1, service="feed"),
        lambda: slack(below_mm=1.0, service="feed"),
    ),
    "residual-valve": (lambda: brakes(300.1), lambda: brakes(300.0)),
}
