"""Sheet gauges against the charts, the statute and their closed forms."""

from __future__ import annotations

from collections import Counter

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
    assert Counter(row.system for row in gauge_rows()) == dict.fromkeys(SYSTEMS, 8) | {"galvanised": 7}


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
        sheet_gauge("swg", 16)
    with pytest.raises(LookupFault, match="no galvanised gauge '7'"):
        sheet_gauge("galvanised", 7)
