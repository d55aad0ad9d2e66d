"""Sheet gauges against the charts, the statute and their closed forms."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest

from generators.errors import LookupFault
from generators.standards import gauge_rows, sheet_gauge

# Inch. msg: six charts agree. us_standard: 15 U.S.C. 206. aluminium: Brown & Sharpe, several tables
# agree. stainless, galvanised: public charts.
SYSTEMS = ("msg", "us_standard", "stainless", "galvanised", "aluminium")
INCHES: dict[int, tuple[float | None, ...]] = {
    7: (0.1793, 0.1875, 0.1875, None, 0.1443),
    10: (0.1345, 0.140625, 0.1406, 0.1382, 0.1019),
    11: (0.1196, 0.125, 0.1250, 0.1233, 0.0907),
    12: (0.1046, 0.109375, 0.1094, 0.1084, 0.0808),
    14: (0.0747, 0.078125, 0.0781, 0.0785, 0.0641),
    16: (0.0598, 0.0625, 0.0625, 0.0635, 0.0508),
    18: (0.0478, 0.05, 0.0500, 0.0516, 0.0403),
    20: (0.0359, 0.0375, 0.0375, 0.0396, 0.0320),
}


def inches(system: str, gauge: int) -> float:
    return sheet_gauge(system, gauge).thickness_mm / 25.4


def test_row_count() -> None:
    counted = dict.fromkeys(SYSTEMS, 8) | {"galvanised": 7, "swg": 31}
    assert Counter(row.system for row in gauge_rows()) == counted


@pytest.mark.parametrize("gauge", INCHES)
def test_every_row(gauge: int) -> None:
    for system, thickness in zip(SYSTEMS, INCHES[gauge], strict=True):
        if thickness is not None:
            assert inches(system, gauge) == pytest.approx(thickness, abs=1e-12)


@pytest.mark.parametrize("gauge", INCHES)
def test_msg_closed_form(gauge: int) -> None:
    # The statute's weight, at its 40 lb/ft2 for an inch, over the trade's 41.82 lb/ft2 for an inch.
    pounds_per_square_foot = inches("us_standard", gauge) * 40
    assert inches("msg", gauge) == pytest.approx(pounds_per_square_foot / 41.82, abs=0.00006)


@pytest.mark.parametrize("gauge", INCHES)
def test_brown_and_sharpe_closed_form(gauge: int) -> None:
    assert inches("aluminium", gauge) == pytest.approx(0.005 * 92 ** ((36 - gauge) / 39), abs=0.00006)


@pytest.mark.parametrize("gauge", [gauge for gauge in INCHES if gauge != 7])
def test_galvanised_is_coated_msg(gauge: int) -> None:
    # The chart allows the same 0.0037 in of zinc, both faces, on each gauge of steel.
    assert inches("galvanised", gauge) - inches("msg", gauge) == pytest.approx(0.0037, abs=0.00015)


def test_statute_is_not_the_trade_gauge() -> None:
    # At least one public page says 15 U.S.C. 206 is the MSG: 16 gauge is 0.0625 by law, 0.0598 in trade.
    assert inches("us_standard", 16) - inches("msg", 16) == pytest.approx(0.0027)


def test_unknown_keys() -> None:
    with pytest.raises(LookupFault, match="known: msg, us_standard, stainless, galvanised, aluminium"):
        sheet_gauge("birmingham", 16)
    with pytest.raises(LookupFault, match="no galvanised gauge '7'"):
        sheet_gauge("galvanised", 7)


# Imperial Standard Wire Gauge, mm to two places, as one public conversion table prints it (SWG 0 to 30); its
# first five agree with a second transcription in inches: .324 .300 .276 .252 .232.
SWG_MM = [
    *(8.23, 7.62, 7.01, 6.40, 5.89, 5.38, 4.88, 4.47, 4.06, 3.66, 3.25, 2.95, 2.64, 2.34, 2.03, 1.83, 1.63),
    *(1.42, 1.22, 1.02, 0.91, 0.81, 0.71, 0.61, 0.56, 0.51, 0.46, 0.42, 0.38, 0.35, 0.31),
]  # fmt: skip


def test_imperial_standard_wire_gauge() -> None:
    assert len(SWG_MM) == 31
    for gauge, millimetres in enumerate(SWG_MM):
        assert sheet_gauge("swg", gauge).thickness_mm == pytest.approx(millimetres, abs=0.006)
    assert [inches("swg", g) for g in range(5)] == pytest.approx([0.324, 0.300, 0.276, 0.252, 0.232])


def test_wire_gauge_steps_as_its_history_says() -> None:
    # The diameter falls by about 10.6 % a number, piece by piece in constant steps (public history of the gauge).
    sizes = [inches("swg", gauge) for gauge in range(31)]
    steps = [round(a - b, 4) for a, b in pairwise(sizes)]
    assert steps[10:14] == [0.012] * 4
    assert steps[14:19] == [0.008] * 5
    assert steps[23:26] == [0.002] * 3
    assert steps == sorted(steps, reverse=True)
    assert (sizes[30] / sizes[0]) ** (1 / 30) == pytest.approx(1 - 0.106, abs=0.006)
