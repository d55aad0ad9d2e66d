"""Sheet thickness written as a gauge. Inches: the tables' sources, as in ``tests/standards``."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import UnitError
from generators.model.spec.shop import Shop, Stock
from generators.reading.toml.gauges import gauge_system, read_gauge
from generators.reading.toml.source import parse_bytes
from generators.reading.toml.tables import read_table


@pytest.mark.parametrize(
    ("text", "material", "inches"),
    [
        ("16 ga", "1008 steel", 0.0598),  # Manufacturers' Standard Gauge
        ("16ga", "mild steel", 0.0598),
        (" 16 gauge ", "304 stainless", 0.0625),
        ("16 gage", "6061-T6", 0.0508),  # Brown & Sharpe
        ("16 ga", "aluminum sheet", 0.0508),
        ("16 ga", "galvanised steel", 0.0635),
        ("16 swg", "1008 steel", 0.064),
        ("16 SWG", "whatever it is", 0.064),
    ],
)
def test_the_material_chooses_the_table(text: str, material: str, inches: float) -> None:
    gauge = read_gauge(text, material)
    assert gauge is not None
    assert gauge.thickness_mm / 25.4 == pytest.approx(inches)


@pytest.mark.parametrize("text", ["1.6 mm", "1/16 in", "16", "16 awg", "-16 ga", "1.6 ga"])
def test_anything_else_is_no_gauge(text: str) -> None:
    assert read_gauge(text, "1008 steel") is None


@pytest.mark.parametrize(
    ("text", "material", "says"),
    [
        ("16 ga", "PETG", "without a gauge table"),
        ("16 ga", "copper", "without a gauge table"),
        ("99 ga", "1008 steel", "Manufacturers' Standard"),
        ("60 swg", "1008 steel", "Imperial Standard Wire Gauge"),
        ("7 ga", "galvanised steel", "galvanised"),
    ],
)
def test_a_gauge_no_table_has_is_refused(text: str, material: str, says: str) -> None:
    with pytest.raises(UnitError, match=says):
        read_gauge(text, material)


def test_zinc_is_told_before_steel() -> None:
    assert gauge_system("galvanised steel") == "galvanised"
    assert gauge_system("stainless steel") == "stainless"


def shop_of(tmp_path: Path, thickness: str) -> tuple[Shop | None, tuple[str, ...]]:
    text = f'[[stock]]\nmaterial = "5052-H32"\nthickness = "{thickness}"\ninside_radius = "3 mm"\n'
    shop, faults = read_table(parse_bytes("shop.toml", text.encode()), Shop)
    return shop, tuple(f"{f.line}:{f.path}: {f.found} | {f.expected}" for f in faults)


def test_a_stock_sheet_by_gauge(tmp_path: Path) -> None:
    shop, faults = shop_of(tmp_path, "12 ga")
    assert faults == ()
    assert shop is not None
    (sheet,) = shop.stock
    assert isinstance(sheet, Stock)
    assert sheet.thickness_mm == pytest.approx(0.0808 * 25.4)


def test_the_fault_names_line_value_and_what_there_is(tmp_path: Path) -> None:
    _, faults = shop_of(tmp_path, "13 ga")
    assert len(faults) == 1
    assert faults[0].startswith('3:stock[0].thickness: "13 ga"')
    assert "7, 10, 11, 12, 14, 16, 18, 20" in faults[0]


def test_a_gauge_out_of_bounds_is_still_out_of_bounds(tmp_path: Path) -> None:
    assert shop_of(tmp_path, "30 swg")[1] == ()
    assert "from 0.3 mm to 25 mm" in shop_of(tmp_path, "0.2 mm")[1][0]
