"""Where fingers stand on a stop, what reaches past it, and a beam behind them, on a part worked out by hand."""

from __future__ import annotations

import pytest
from bent_parts import ALLOWANCE, TWO, channel, last
from stepped import PAST_MM, bent, with_gauge

from generators.bending.gauging.past import stands
from generators.bending.steps import Step
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


def test_a_finger_as_wide_as_the_edge_beside_it_has_room() -> None:
    assert bent(with_gauge(BackGauge(finger_width_mm=49.0))).stop.distance_mm == pytest.approx(NEAR)
    # off the free end of its edge a wider one stands too
    wide = bent(with_gauge(BackGauge(finger_width_mm=100.0))).stop
    assert wide.distance_mm == pytest.approx(NEAR)
    assert [p.beside_mm for p in wide.past] == [pytest.approx(1.0)]
