"""Findings on the order of bends: how grave, which words, and mends that were tried."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from fold_jobs import zed
from small_jobs import SHOP, STRAIGHT_ONLY, channel, codes, only, part, pointed

from generators.bending.mends import mends
from generators.bending.search import bend_sequence
from generators.bending.setting import setting_of
from generators.bending.steps import Refusal, Step
from generators.bending.trial import Trial
from generators.checks.part.part import check_part
from generators.geometry.contours import rectangle
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.plan import Flange
from generators.model.spec.shop import Shop
from generators.model.spec.tools.press import Brake

# channel(24): 3 mm sheet, R 3, cheeks 40 behind their tangent lines: 30 wide and 43 deep inside
DEEP = channel(24.0)


def test_a_shop_that_names_its_punches_is_told_what_it_cannot_bend() -> None:
    found = only(part(DEEP, shop=STRAIGHT_ONLY), "bend-sequence")
    assert found.severity is Severity.FAIL
    assert found.where in ("part:p bend l", "part:p bend r")
    assert "meets the punch straight at " in found.found


def test_on_plain_tools_it_is_a_warning() -> None:
    # 100 wide and 250 deep inside: beyond the plain gooseneck's neck, (250 - 100)/sqrt 2 = 106 past the plane
    plan = channel(94.0)
    deep = replace(
        plan,
        flanges=(plan.flanges[0], *(replace(f, contour=rectangle(0, 0, 100, 247)) for f in plan.flanges[1:])),
    )
    assert only(part(deep), "bend-sequence").severity is Severity.WARN


def test_the_mend_says_how_deep_it_may_be() -> None:
    found = only(part(DEEP, shop=STRAIGHT_ONLY), "bend-sequence")
    # pressed on by its tolerance of 1 degree and the 3 nobody has measured each leg rises by 47: the web's inside is
    # 27 less the fibre of 2 degrees, and its end stands 9 off the punch's plane (8 of the punch, 1 of air)
    h, less = math.radians(47), math.radians(2) * (3 + 0.43 * 3)
    depth = ((27 - less) * math.cos(h) - 9 + 3 * math.sin(h)) / math.sin(h) - 3
    assert depth == pytest.approx(12.73, abs=0.01)
    assert found.value == pytest.approx(40.0)
    assert depth - 2 < found.limit <= depth
    assert "less deep" in found.advice
    # by the same, as wide as 43 inside asks, 29.24 more; the search stops a millimetre from it
    more = (9 - 3 * math.sin(h) + 43 * math.sin(h)) / math.cos(h) - 3 + less - 24
    assert more == pytest.approx(29.24, abs=0.01)
    wider = re.search(r"make flange web (\d+) mm wider between bends", found.advice)
    assert wider is not None
    assert more <= int(wider[1]) <= more + 1
    assert "weld it on" in found.advice
    shallow = replace(
        DEEP,
        flanges=(
            DEEP.flanges[0],
            DEEP.flanges[1],
            replace(DEEP.flanges[2], contour=rectangle(0, 0, 100, 12.7)),
        ),
    )
    assert "bend-sequence" not in codes(part(shallow, shop=STRAIGHT_ONLY))


def test_the_gooseneck_named_as_a_mend_is_one() -> None:
    # 60 wide and 90 deep inside: 30/sqrt 2 = 21.2 past the plane and 1 of air: a neck of 30 is enough, none is less
    plan = channel(54.0)
    deep = replace(
        plan,
        flanges=(plan.flanges[0], *(replace(f, contour=rectangle(0, 0, 100, 87)) for f in plan.flanges[1:])),
    )
    assert "its neck 30 mm back" in only(part(deep, shop=STRAIGHT_ONLY), "bend-sequence").advice


def test_what_the_die_does_not_carry_is_said_once() -> None:
    # legs too short for the die are the business of flange-length
    short = pointed(60.0)
    stock = replace(SHOP.stock[0], die_opening_mm=24.0)
    found = codes(part(short, shop=replace(STRAIGHT_ONLY, stock=(stock,))))
    assert "flange-length" in found
    assert "bend-sequence" not in found


def test_a_short_tab_elsewhere_takes_no_mends_away() -> None:
    """The die lets off only the bend that another rule names: the deep channel keeps its finding and mends."""
    tab = Flange(name="tab", contour=rectangle(0, 0, 24, 4))
    bent = replace(DEEP.bends[0], name="t", child="tab", start=(24.0, 100.0), end=(0.0, 100.0))
    plan = replace(DEEP, flanges=(*DEEP.flanges, tab), bends=(*DEEP.bends, bent))
    stock = replace(SHOP.stock[0], die_opening_mm=24.0)
    findings = part(plan, shop=replace(STRAIGHT_ONLY, stock=(stock,)))
    assert "flange-length" in codes(findings)
    assert "(each tried)" in only(findings, "bend-sequence").advice


def test_a_sheet_is_bent_over_its_own_die_and_springs_as_its_test_bend_did() -> None:
    stock = replace(SHOP.stock[0], die_opening_mm=20.0, springback_rad=math.radians(1.5))
    setting = setting_of(DEEP, Shop(stock=(stock,)))
    assert setting.opening_mm == 20.0
    assert setting.springback_rad == pytest.approx(math.radians(1.5))


def test_a_joggle_is_said_not_to_have_been_tried() -> None:
    found = only(part(zed(8.0)), "bend-sequence")
    assert found.severity is Severity.NOTE
    assert "offset die" in found.found


@pytest.mark.parametrize(
    ("brake", "cure"),
    [
        # 1.42 x 370 x 100 x 9 / 24 = 19.7 kN; with 15 kN the V must be 24 x 19.703 / 15 = 31.5 wide
        (Brake(force_n=15_000.0), "a V of 32 mm or wider"),
        (Brake(force_n=15_000.0), "a press of 20 kN or more"),
        # the highest plain punch, 240, on a die of 80: the stroke ends 313 over the table, the ram at 350
        (Brake(open_mm=400.0, stroke_mm=50.0), "a higher one where the ram stops short"),
    ],
)
def test_a_press_that_is_stated_and_too_small_is_a_fail_with_a_cure_of_its_own(
    brake: Brake, cure: str
) -> None:
    stock = replace(SHOP.stock[0], die_opening_mm=24.0)
    found = only(part(channel(100.0), shop=Shop(stock=(stock,), brake=brake)), "bend-sequence")
    assert found.severity is Severity.FAIL
    assert cure in found.advice
    assert "weld" not in found.advice


def test_mends_are_bounded_and_left_out_where_none_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """All mends of a part together try no more ways than they may; brief findings try none."""
    tried: list[str] = []
    attempt = Trial.attempt

    def counted(self: Trial) -> Step | Refusal:
        tried.append(self.bend.name)
        return attempt(self)

    monkeypatch.setattr(Trial, "attempt", counted)
    setting = setting_of(DEEP, STRAIGHT_ONLY)
    sequence = bend_sequence(DEEP, setting)
    for most in (0, 7, 30):
        monkeypatch.setattr("generators.bending.mends.MOST_TRIED", most)
        mends.cache_clear()
        tried.clear()
        mends(DEEP, setting, sequence)
        assert len(tried) <= most
    mends.cache_clear()
    tried.clear()
    found = check_part(DEEP, Limits(), STRAIGHT_ONLY, brief=True)
    assert not tried
    assert "bend-sequence" in codes(found)


def test_what_was_not_tried_to_the_end_is_no_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    """A part that may well be bent is not refused because the search took too long."""
    monkeypatch.setattr("generators.bending.search.MOST_TRIALS", 1)
    bend_sequence.cache_clear()
    found = only(part(DEEP, shop=STRAIGHT_ONLY), "bend-sequence")
    bend_sequence.cache_clear()
    assert found.severity is Severity.WARN
    assert "more are left" in found.found
