"""What the report says of cutting, mass and sheets, by hand calculation."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from checks.small_jobs import part_hole, plate

from generators.model.plan import PartPlan
from generators.sheetmetal.volume import mass_kg
from generators.sheets.report import write_report
from generators.sheets.stock_words import cutting_words, expected_stock_words, stock_needs
from generators.verify.pdf.sheet import read_sheet_pdf

STEEL_KG_M3 = 7850.0  # EN 1993-1-1 3.2.6 gives 7850 for structural steel


def one(**more: Any) -> PartPlan:
    """200 x 200 x 3 with one hole of 50 and one of 2."""
    return replace(plate(part_hole("a", 0, 0, 50.0), part_hole("b", 60, 0, 2.0)), **more)


def test_one_part_by_hand() -> None:
    volume = (200 * 200 - math.pi * (25**2 + 1)) * 3
    assert mass_kg(one()) == pytest.approx(volume * STEEL_KG_M3 * 1e-9, rel=5e-3)
    # 4 x 200 + pi 50 = 957.1; with the hole of 2 mm + 6.3
    assert cutting_words(one(), 3.0) == "957 mm cut, 2 pierces, 0 bends, 1 hole marked to drill"
    assert cutting_words(one(), 0.0) == "963 mm cut, 3 pierces, 0 bends"


def test_sheets_add_up_by_quantity_and_are_kept_apart_by_thickness() -> None:
    plans = [one(quantity=2), one(name="q", quantity=3), one(name="r", thickness_mm=1.5)]
    thin, thick = stock_needs(plans, {"p": 3.0})
    assert (thin.thickness_mm, thin.pieces) == (1.5, 1)
    assert (thick.pieces, thick.bends) == (5, 0)
    assert thick.blank_mm2 == 5 * 200 * 200
    # two pieces with 2 pierces, three with 3
    assert thick.pierces == 2 * 2 + 3 * 3
    assert thick.cut_mm == pytest.approx(5 * (800 + math.pi * 50) + 3 * math.pi * 2)
    assert thick.mass_kg == pytest.approx(5 * mass_kg(one()))
    assert thick.row()[2] == "0.2000 m²"


def test_verify_misses_a_part_that_weighs_something_else(tmp_path: Path) -> None:
    path = tmp_path / "report.pdf"
    plans = [one(quantity=2, tolerance="ISO 2768-1 c")]
    write_report(
        path, title="T", note="", revision="a1b2c3d", findings=[], plans=plans, layouts=[], paper="A4"
    )

    def told(wanted: list[PartPlan]) -> str:
        words = expected_stock_words(wanted, {})
        return "; ".join(
            read_sheet_pdf(path, title="T", revision="a1b2c3d", rel="report.pdf", words=words).problems
        )

    assert told(plans) == ""
    assert "m²" in told([replace(plans[0], quantity=3)])
    assert "kg each" in told([replace(plans[0], thickness_mm=2.0)])
    assert "ISO 2768-1 f" in told([replace(plans[0], tolerance="ISO 2768-1 f")])
