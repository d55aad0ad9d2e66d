"""Where fingers stand on a stop, what reaches past it, and a beam behind them, on a part worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bent_parts import ALLOWANCE, TWO, R, T, bend, channel, last, plan_of
from stepped import PAST_MM, bent, with_gauge

from generators.bending.gauging.past import stands
from generators.bending.legs import PartShape
from generators.bending.steps import Step
from generators.bending.trial import Setting
from generators.model.contour import Contour, Vertex
from generators.model.plan import Flange, PartPlan
from generators.model.spec.tools.press import BackGauge

NEAR = 60.0 + ALLOWANCE / 2


def test_fingers_keep_off_what_stands_beside_them_and_it_is_told() -> None:
    stop = bent(TWO).stop
    assert stop.distance_mm == pytest.approx(NEAR)
    # 50 mm of edge less the millimetre of air the brake wants
    assert stop.long_mm == pytest.approx(49.0)
    assert stop.apart_mm == pytest.approx(29.0)
    (past,) = stop.past
    assert (past.flange, past.at) == ("base", "beside")
    assert (past.past_mm, past.beside_mm) == (pytest.approx(PAST_MM), pytest.approx(1.0))


# the beam as far behind as the sheet reaches and the millimetre of air; its top a millimetre under the sheet
@pytest.mark.parametrize(
    ("behind", "top", "kept"),
    [
        (PAST_MM + 1.1, None, True),
        (PAST_MM + 0.9, None, False),
        (60.0, -1.1, True),
        (60.0, -0.9, False),
        (None, None, True),
    ],
)
def test_a_stop_at_which_the_sheet_meets_the_beam_is_none(
    behind: float | None, top: float | None, kept: bool
) -> None:
    gauge = BackGauge(beam_behind_mm=behind, beam_top_mm=top)
    stop = bent(with_gauge(gauge)).stop
    # else the edge further back, past which nothing lies
    assert stop.distance_mm == pytest.approx(NEAR if kept else NEAR + PAST_MM)
    assert bool(stop.past) == kept


def test_a_finger_wider_than_its_edge_stands_over_its_ends() -> None:
    assert stands((10.0, 22.0), (-5.0, 23.0), 20.0) == (2.0, 23.0)
    assert stands((10.0, 30.0), (-5.0, 40.0), 20.0) == (10.0, 30.0)


def test_the_face_of_a_flange_is_flat_above_its_radius() -> None:
    second = last(channel(80.0, 40.0), "l", TWO)[1]
    assert isinstance(second, Step)
    assert second.stop.on == "flange"
    assert second.stop.clear_mm == pytest.approx(6.0)
    assert second.stop.past == ()


def test_the_face_of_a_flange_that_hangs_is_flat_below_its_inside_radius() -> None:
    """Its outside begins on the sheet's upper face, T over the die's top: R + T under that it is flat.

    The radius is that flange's own, not that of the bend being made.
    """
    for radius in (R, 5.0):
        plan = channel(80.0, 40.0, direction="down", inside_radius_mm=radius)
        for step in last(plan, "r", TWO):
            if isinstance(step, Step) and step.stop.on == "flange":
                assert (step.stop.flange, step.stop.below) == ("left", True)
                assert step.stop.clear_mm == pytest.approx(radius)
                break
        else:
            pytest.fail("no way round has the gauge touch what hangs")


def test_a_finger_as_wide_as_the_edge_beside_it_has_room() -> None:
    assert bent(with_gauge(BackGauge(finger_width_mm=49.0))).stop.distance_mm == pytest.approx(NEAR)
    # off the free end of its edge a wider one stands too
    wide = bent(with_gauge(BackGauge(finger_width_mm=100.0))).stop
    assert wide.distance_mm == pytest.approx(NEAR)
    assert [p.beside_mm for p in wide.past] == [pytest.approx(1.0)]


DEEP, HIGH = 40.0, 80.0


def eared(wide: float) -> PartPlan:
    """A base with a wall to bend up, and an ear bent up before, 40 beside the wall's bend and 10 before it.

    The wall is 40 deep and, from 10 off its bend on, so ``wide`` along it: the bend is 60 long.
    """
    plan = plan_of(
        {"base": (60.0, 100.0), "wall": (60.0, DEEP), "ear": (50.0, HIGH)},
        [
            bend("w", "base", "wall", (60.0, 0.0), (60.0, 60.0)),
            bend("e", "base", "ear", (50.0, 100.0), (0.0, 100.0)),
        ],
    )
    far = 60.0 - wide
    ring = ((0.0, 0.0), (60.0, 0.0), (60.0, DEEP), (far, DEEP), (far, 10.0), (0.0, 10.0))
    wall = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in ring))
    return replace(
        plan, flanges=(plan.flanges[0], Flange(name="wall", contour=wall), plan.flanges[2]), name="ear"
    )


def walled(wide: float, high_mm: float = 40.0) -> Step:
    """The wall's bend, the wall toward the gauge, with fingers so high."""
    plan = eared(wide)
    setting = Setting(
        brake=with_gauge(BackGauge(finger_height_mm=high_mm)), tensile_mpa=370.0, opening_mm=24.0
    )
    step = setting.tried(PartShape(plan=plan), plan.bends[0], frozenset({"e"}), True)
    assert isinstance(step, Step)
    return step


def test_what_swings_past_the_stop_beside_the_fingers_is_told() -> None:
    """Its near side is 10 before the bend when that has taken its arc: up and over by 45 degrees it comes out.

    Its top by (80 - 10) sin 45 = 49.5, 6.1 past the wall's edge at 43.4. Its inner face is at 100 + R.
    """
    step = walled(60.0)
    assert step.stop.distance_mm == pytest.approx(DEEP + ALLOWANCE / 2)
    assert step.stop.past == ()
    (ear,) = step.swings_by
    assert (ear.flange, ear.at) == ("ear", "beside")
    assert ear.past_mm == pytest.approx((HIGH - 10) / math.sqrt(2) - step.stop.distance_mm, abs=0.01)
    assert ear.beside_mm == pytest.approx(43.0, abs=0.01)
    assert step.swings_out is None


def test_what_swings_past_beside_the_fingers_is_nearest_where_it_begins_to() -> None:
    """A lip 60 before the bend, 40 wide at its foot and a point 140 up: w up its inner face, R further before, comes
    (w - 60 - R) sin 45 out, which is the stop where it is 40 w / 140 beside the wall's edge. A millimetre past it, it
    is 0.40 more.
    """
    plan = plan_of(
        {"base": (60.0, 100.0), "wall": (60.0, DEEP), "lip": (40.0, 140.0)},
        [
            bend("w", "base", "wall", (60.0, 0.0), (60.0, 60.0)),
            bend("e", "base", "lip", (0.0, 100.0), (0.0, 60.0)),
        ],
    )
    lip = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in ((0.0, 0.0), (40.0, 0.0), (40.0, 140.0))))
    plan = replace(plan, flanges=(*plan.flanges[:2], Flange(name="lip", contour=lip)), name="lipped")
    setting = Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)
    step = setting.tried(PartShape(plan=plan), plan.bends[0], frozenset({"e"}), True)
    assert isinstance(step, Step)
    (swung,) = step.swings_by
    assert (swung.flange, swung.at) == ("lip", "beside")
    stop = step.stop.distance_mm
    assert swung.past_mm == pytest.approx((140 - 60 - R) / math.sqrt(2) - stop, abs=0.01)
    edge = 60.0 - step.stop.fingers_x[1]
    assert swung.beside_mm == pytest.approx(edge + (60 + R + stop * math.sqrt(2)) * 40 / 140, abs=0.02)


def test_what_swings_over_the_fingers_clears_them_or_drives_them_back() -> None:
    """On a wall 130 wide fingers stand under the ear. What of it is a millimetre past them is lowest at the end.

    There it is w up the ear, (w - 10) sin 45 = 44.37, so (w + 10) sin 45 over the bend's axis.
    """
    step = walled(130.0)
    die = TWO.die[0]
    slope = math.pi / 4 - die.angle_rad / 4
    centre = die.opening_mm / 2 + die.shoulder_radius_mm * math.tan(slope)
    axis = (die.shoulder_radius_mm + R + T) * math.sqrt(2) - die.shoulder_radius_mm - centre
    low = DEEP + ALLOWANCE / 2 + 1.0 + 20.0 / math.sqrt(2) + axis
    (ear,) = step.swings_by
    assert (ear.at, step.swings_out) == ("over", None)
    assert ear.low_mm == pytest.approx(low, abs=0.02)
    # a millimetre of air is wanted: a finger too high for that meets it
    for high, clear in ((low - 1.1, True), (low - 0.9, False)):
        other = walled(130.0, high)
        assert (other.swings_out is None) == clear
        # drawn back or not, it is told how far the ear comes over them in the end
        (over,) = other.swings_by
        assert (over.at, over.past_mm) == ("over", pytest.approx(ear.past_mm))
    assert other.swings_out is not None
    assert other.swings_out.flange == "ear"
