"""Every rule can fire and can keep silent, and nothing fires that is not in the register."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from functools import cache
from importlib import import_module
from pkgutil import walk_packages

import pytest
from bolt_jobs import BOLT_CASES
from bolt_load_jobs import BOLT_LOAD_CASES
from bracket_jobs import BRACKET_CASES
from fastener_jobs import FASTENER_CASES
from finish_jobs import FINISH_CASES
from fold_jobs import FOLD_CASES
from form_jobs import FORM_CASES
from hose_jobs import HOSE_CASES
from jobs.printed_figures import rounded
from joint_jobs import JOINT_CASES
from machine_jobs import MACHINE_CASES
from parts.plans_in_space import plan_of
from pedal_jobs import PEDAL_CASES
from pedal_space_jobs import PEDAL_SPACE_CASES
from printed_jobs import PRINTED_CASES
from small_jobs import (
    SHOP,
    STRAIGHT_ONLY,
    angle_part,
    box,
    channel,
    codes,
    fold,
    foot,
    hole,
    layout,
    notched,
    nutted,
    old,
    panel,
    part,
    part_hole,
    plate,
    pointed,
    unnotched,
)
from standing_jobs import STANDING_CASES
from survey_jobs import SURVEY_CASES
from zone_jobs import ZONE_CASES

from generators import checks
from generators.checks.panel.panel import check_panel
from generators.checks.panel.unused import check_unused
from generators.checks.part.gauges import check_gauges
from generators.checks.register import RULES, explain
from generators.checks.rule import Rule
from generators.errors import LookupFault
from generators.geometry.contours import polygon
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.plan import KeepOut, PanelHole, PartPlan
from generators.model.spec.shop import Shop, Stock
from generators.parts.building.pivots.pressed import with_bush
from generators.parts.pedal_hanger import PedalHanger
from generators.standards import Trust

Case = Callable[[], list[Finding]]
UNMEASURED = Shop(stock=(Stock(material="1008 steel", thickness_mm=3.0, inside_radius_mm=3.0),))
# the leg unfolds along the arm that stands up at the end of its bend, with no gap between them
HOOK = polygon([(0, 0), (140, 0), (140, 150), (100, 150), (100, 60), (0, 60)])

UNITS = ("", "mm", "mm2", "mm3", "N", "MPa", "deg")
PLACES = (
    "part:p",
    "panel:firewall",
    "pedal:clutch",
    "pedal:brake",
    "hose:h",
    "line:h",
    "clamp:c",
    "order",
    "space:",
    "component:",
    "variant:",
)


def unused(*holes: PanelHole) -> list[Finding]:
    return list(check_unused(layout(*holes), (), {}))


def gauged(thickness: str) -> list[Finding]:
    table = {"name": "firewall", "material": "mild steel", "thickness": thickness}
    return list(check_gauges({"panel": [table]}))


# 16 mm bores in 3 mm cheeks 90 mm apart inside; by hand: 1° and atan(2 hypot(0.5, 0.2) / 93)
LEAN = math.radians(1.0) + math.atan(2 * math.hypot(0.5, 0.2) / 93.0)
PASSES_MM = 16.0 * math.cos(LEAN) - 3.0 * math.sin(LEAN)


def hung(shaft_mm: float) -> PartPlan:
    """A hanger with a shaft through its pivots."""
    return replace(plan_of("pedal_hanger"), shaft_mm=shaft_mm)


def bushed(least_mm: float) -> PartPlan:
    """A hanger with a bush pressed into its pivots of 18 H7, 18.018 mm at most."""
    keys = PedalHanger(pivot_bore_mm=18.0, pivot_bush_mm=16.0, pivot_bush_outside_mm=(least_mm, 18.065))
    return with_bush(plan_of("pedal_hanger", pivot_bore_mm=18.0), keys)


STRIP = Shop(
    stock=(Stock(material="S235 steel", thickness_mm=4.0, inside_radius_mm=4.0, bent_without_cracks="along"),)
)


def flanged(radius: float) -> PartPlan:
    """A leg in 4 mm S235: 5 mm across the grain and 6 along it by EN 10025-2."""
    return angle_part(material="S235 steel", thickness=4, radius=radius, leg=80)


def _both(u0: float) -> tuple[KeepOut, ...]:
    return box(u0, 50, 200, 150), box(u0, 50, 200, 150, face="engine")


# code: (an input with just that wrong, the nearest input with it right)
CASES: dict[str, tuple[Case, Case]] = {
    "hole-edge-distance": (lambda: panel(hole("1", 200, 13)), lambda: panel(hole("1", 200, 13.5))),
    "hole-spacing": (
        lambda: panel(hole("1", 100, 100), hole("2", 119, 100)),
        lambda: panel(hole("1", 100, 100), hole("2", 120, 100)),
    ),
    "hole-ligament": (
        lambda: panel(hole("1", 100, 100, 10, kind="bore"), hole("2", 112, 100, 10, kind="bore")),
        lambda: panel(hole("1", 100, 100, 10, kind="bore"), hole("2", 114, 100, 10, kind="bore")),
    ),
    "hole-bend-distance": (
        lambda: part(angle_part(part_hole("h", 0, 49, 11))),
        lambda: part(angle_part(part_hole("h", 0, 48, 11))),
    ),
    "nut-on-bend": (
        lambda: part(angle_part(part_hole("h", 0, 51, 6, nut=20))),
        lambda: part(angle_part(part_hole("h", 0, 49, 6, nut=20))),
    ),
    "hole-process-limit": (
        lambda: part(plate(part_hole("h", 0, 0, 2.9))),
        lambda: part(plate(part_hole("h", 0, 0, 3.0))),
    ),
    "flange-length": (lambda: part(angle_part(leg=8)), lambda: part(angle_part(leg=10))),
    "bend-near-bend": (lambda: part(channel(8)), lambda: part(channel(10))),
    "hole-on-die": (
        lambda: part(angle_part(part_hole("h", 0, 49, 18, "bore"))),
        lambda: part(angle_part(part_hole("h", 0, 49, 9, "bore"))),
    ),
    # inside 43 deep; with 8 of punch and 1 of air in front of its plane 43 + 9 sqrt 2 = 55.73 wide, less 6
    "bend-sequence": (
        lambda: part(channel(53.2), shop=STRAIGHT_ONLY),
        lambda: part(channel(53.3), shop=STRAIGHT_ONLY),
    ),
    "bend-gauge": (lambda: part(pointed(9.0)), lambda: part(pointed(11.0))),
    "pivot-in-line": (lambda: part(hung(PASSES_MM + 0.02)), lambda: part(hung(PASSES_MM - 0.02))),
    "press-fit": (lambda: part(bushed(18.017)), lambda: part(bushed(18.019))),
    "bend-relief": (lambda: part(unnotched()), lambda: part(notched(4.8))),
    "bend-radius": (lambda: part(angle_part(radius=2.9)), lambda: part(angle_part(radius=3.0))),
    "bend-radius-own": (lambda: part(flanged(5.9), shop=STRIP), lambda: part(flanged(6.0), shop=STRIP)),
    # plain dies: 3 mm takes V 24, which makes R 3 to 4
    "die-radius": (lambda: part(angle_part(radius=4.1)), lambda: part(angle_part(radius=4.0))),
    "bend-radius-unknown": (
        lambda: part(angle_part(material="6061-T6", thickness=8, radius=40)),
        lambda: part(angle_part(material="6061-T6", thickness=6, radius=40)),
    ),
    "blank-overlap": (
        lambda: part(angle_part(base=HOOK, leg=80, bend_at=((100.0, 60.0), (0.0, 60.0)))),
        lambda: part(angle_part(leg=80)),
    ),
    "stock-missing": (
        lambda: part(angle_part(), shop=Shop()),
        lambda: part(angle_part(), shop=SHOP),
    ),
    "k-unmeasured": (
        lambda: part(angle_part(k_source="DIN 6935 (k/2)"), shop=UNMEASURED),
        lambda: part(angle_part(), shop=SHOP),
    ),
    # 18 gauge of steel is 0.0478 in, by the Manufacturers' Standard Gauge
    "sheet-gauge": (lambda: gauged("18 ga"), lambda: gauged("0.0478 in")),
    "hole-off-panel": (lambda: panel(hole("1", 200, 3.2)), lambda: panel(hole("1", 200, 3.4))),
    "panel-bead": (
        lambda: panel(hole("1", 200, 100), keepouts=(box(100, 103, 300, 120, reason="bead", bead=True),)),
        lambda: panel(hole("1", 200, 100), keepouts=(box(100, 104, 300, 120, reason="bead", bead=True),)),
    ),
    "hole-near-fold": (
        lambda: panel(hole("1", 200, 250), folds=(fold(262),)),
        lambda: panel(hole("1", 200, 250), folds=(fold(264),)),
    ),
    # (6 + 1.2) tan 0.4 = 3.04 mm from the fold line to the tangent line; the hole's edge at 3.0 and 3.1
    "hole-in-fold": (
        lambda: panel(hole("1", 200, 100, 10), folds=(fold(108.0),)),
        lambda: panel(hole("1", 200, 100, 10), folds=(fold(108.1),)),
    ),
    "hole-shared": (
        lambda: panel(hole("1", 100, 100), hole("2", 100.05, 100)),
        lambda: panel(hole("1", 100, 100), hole("2", 130, 100)),
    ),
    "hole-tool": (
        lambda: panel(hole("1", 100, 100, 20, tool="step drill", kind="bore")),
        lambda: panel(hole("1", 100, 100, 12, kind="bore")),
    ),
    "no-witness-hole": (
        lambda: panel(old("A", 205, 100, status="blank", name="middle"), witness_hole="middle"),
        lambda: panel(old("A", 215, 100, status="blank", name="middle"), witness_hole="middle"),
    ),
    # Ø20 at 100, 100, a keep-out on both faces: 4.9 mm and 5.1 mm of ring beside the 1 mm left free; a plug's
    # lips want 5 mm
    "blank-room": (
        lambda: panel(old("A", 100, 100, 20, status="blank"), keepouts=_both(115.9)),
        lambda: panel(old("A", 100, 100, 20, status="blank"), keepouts=_both(116.1)),
    ),
    "reuse-oversize": (
        lambda: panel(nutted("A", 100, 100, status="reuse", diameter=8.5)),
        lambda: panel(nutted("A", 100, 100, status="reuse", diameter=7.5)),
    ),
    "reuse-unused": (
        lambda: unused(old("A", 100, 100, 20, status="reuse")),
        lambda: unused(old("A", 100, 100, 20, status="reuse", kind="grommet")),
    ),
    "keep-out": (
        lambda: panel(nutted("1", 100, 100), keepouts=(box(105, 50, 200, 150),)),
        lambda: panel(nutted("1", 100, 100), keepouts=(box(112, 50, 200, 150),)),
    ),
    "drill-path": (
        lambda: panel(hole("1", 100, 100), keepouts=(box(50, 50, 200, 150, face="engine", gap_mm=24),)),
        lambda: panel(hole("1", 100, 100), keepouts=(box(50, 50, 200, 150, face="engine", gap_mm=26),)),
    ),
    "nut-clash": (
        lambda: panel(nutted("1", 100, 100), nutted("2", 111, 100)),
        lambda: panel(nutted("1", 100, 100), nutted("2", 112, 100)),
    ),
    "spanner-clash": (
        lambda: panel(nutted("1", 100, 100), nutted("2", 116, 100)),
        lambda: panel(nutted("1", 100, 100), nutted("2", 117, 100)),
    ),
    "nut-on-footprint": (
        lambda: panel(nutted("1", 100, 100), footprints=(foot("plate", 105, 50, 200, 150),)),
        lambda: panel(nutted("1", 100, 100), footprints=(foot("plate", 106, 50, 200, 150),)),
    ),
    "hole-under-part": (
        lambda: panel(hole("1", 100, 100), footprints=(foot("plate", 50, 50, 200, 150),)),
        lambda: panel(hole("1", 100, 100, owners=("plate",)), footprints=(foot("plate", 50, 50, 200, 150),)),
    ),
    "footprint-clash": (
        lambda: panel(footprints=(foot("a", 50, 50, 150, 150), foot("b", 149, 50, 250, 150))),
        lambda: panel(footprints=(foot("a", 50, 50, 150, 150), foot("b", 150, 50, 250, 150))),
    ),
    "part-off-panel": (
        lambda: panel(footprints=(foot("a", -1, 50, 150, 150),)),
        lambda: panel(footprints=(foot("a", 0, 50, 150, 150),)),
    ),
    "part-on-obstacle": (
        lambda: panel(footprints=(foot("a", 50, 50, 150, 150),), keepouts=(box(149, 60, 200, 90),)),
        lambda: panel(footprints=(foot("a", 50, 50, 150, 150),), keepouts=(box(150, 60, 200, 90),)),
    ),
    **PEDAL_CASES,
    **PEDAL_SPACE_CASES,
    **FOLD_CASES,
    **BOLT_CASES,
    **BRACKET_CASES,
    **BOLT_LOAD_CASES,
    **PRINTED_CASES,
    **JOINT_CASES,
    **FASTENER_CASES,
    **SURVEY_CASES,
    **HOSE_CASES,
    **STANDING_CASES,
    **ZONE_CASES,
    **FORM_CASES,
    **FINISH_CASES,
    **MACHINE_CASES,
}


@cache
def judged(code: str) -> tuple[list[Finding], list[Finding]]:
    """What the bad and the good case of a rule say: several tests look at each."""
    bad, good = (case() for case in CASES[code])
    return bad, good


def test_cases_cover_the_register() -> None:
    assert set(CASES) == {rule.code for rule in RULES}
    assert len({rule.code for rule in RULES}) == len(RULES)


def test_every_rule_written_is_in_the_register() -> None:
    modules = [import_module(m.name) for m in walk_packages(checks.__path__, f"{checks.__name__}.")]
    written = [thing for m in modules for thing in vars(m).values() if isinstance(thing, Rule)]
    assert written
    assert set(written) == set(RULES)


@pytest.mark.parametrize("code", CASES)
def test_rule_fires_and_keeps_silent(code: str) -> None:
    bad, good = judged(code)
    assert code in codes(bad)
    assert code not in codes(good)


def test_nothing_fires_outside_the_register() -> None:
    known = {rule.code for rule in RULES}
    emitted = [f for code in CASES for findings in judged(code) for f in findings]
    assert {f.code for f in emitted} == known
    for f in emitted:
        assert f.where.startswith(PLACES), f
        assert f.found, f
        assert f.wanted, f
        assert f.unit in UNITS, f
        assert f.unit == "" or f.value is not None or f.limit is not None, f
        assert all(x is None or (type(x) is float and math.isfinite(x)) for x in (f.value, f.limit)), f
        assert f.source, f
        assert f.advice[0].islower(), f
        assert not f.advice.endswith("."), f


def test_numbers_are_those_of_the_words() -> None:
    begins = re.compile(r"(-?[0-9]+\.[0-9]{2}) mm")
    looked = 0
    for f in (f for code in CASES for findings in judged(code) for f in findings):
        for words, number in ((f.found, f.value), (f.wanted, f.limit)):
            told = begins.match(words)
            if told is None or " x " in words or "of hose, " in words:  # three sizes, two lengths
                continue
            looked += 1
            assert f.unit == "mm", f
            assert number is not None, f
            # what lies inside a part says so in words, and is negative
            said, exact = abs(Decimal(told[1])), abs(number)
            # to the nearest as every table has it; a limit may be rounded to its safe side, up or down
            assert said == rounded(exact, 2) or (words is f.wanted and abs(float(said) - exact) < 0.01), f
    assert looked > 50


@pytest.mark.parametrize(
    ("code", "value", "limit", "unit"),
    [
        ("hole-edge-distance", 13.0, 2 * 6.6, "mm"),  # 2 D of AC 43.13-1B 4-57c
        ("hole-spacing", 19.0, 3 * 6.6, "mm"),  # 3 D
        ("hole-near-fold", 262 - 250 - 3.3, 10.0, "mm"),
        ("hole-under-part", -50.0, 3.3, "mm"),
        ("footprint-clash", 100.0, 0.0, "mm2"),  # 1 mm of 100
    ],
)
def test_numbers_by_hand(code: str, value: float, limit: float, unit: str) -> None:
    (found,) = [f for f in judged(code)[0] if f.code == code]
    assert (found.value, found.limit, found.unit) == (pytest.approx(value), pytest.approx(limit), unit)


def test_rules_are_complete() -> None:
    keys = {f.name for f in fields(Limits)}
    trusts = {t.value for t in Trust}
    for rule in RULES:
        assert rule.trust in trusts, rule.code
        assert not rule.limit_key or rule.limit_key in keys, rule.code
        assert all((rule.title, rule.meaning, rule.formula, rule.source, rule.mend)), rule.code
    # these go with another limit in one rule; every other limit explains itself
    paired = {
        "ligament_mm",
        "rod_angle_fail_rad",
        "hose_slack_most_ratio",
        "hose_steering_mm",
        "hose_face_mm",
        "hole_flex_mm",
        "everyday_factor",
    }
    assert keys - paired == {rule.limit_key for rule in RULES if rule.limit_key}


def test_a_good_panel_is_silent() -> None:
    assert panel(nutted("1", 100, 100), nutted("2", 150, 100)) == []


def test_an_empty_panel_only_lacks_its_witness_hole() -> None:
    assert codes(check_panel(replace(layout(), holes=()), Limits())) == {"no-witness-hole"}


def test_explain_finds_a_rule() -> None:
    assert explain("hole-edge-distance").limit_key == "hole_edge_ratio"


def test_explain_suggests() -> None:
    with pytest.raises(LookupFault) as caught:
        explain("hole-edge-distence")
    assert caught.value.known[0] == "hole-edge-distance"
    assert set(caught.value.known) == {rule.code for rule in RULES}
