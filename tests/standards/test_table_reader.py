"""Paper sizes, the table reader, and what holds for every table."""

from __future__ import annotations

import subprocess
import sys
from importlib import resources

import pytest

from generators import standards
from generators.errors import LookupFault
from generators.standards import Trust, paper, paper_rows
from generators.standards._table import TableRow, find, index, read_table

ALL_ROWS = (
    standards.cylinder_bore_rows,
    standards.hose_expansion_rows,
    standards.hose_size_rows,
    standards.line_support_rows,
    standards.bend_radius_rows,
    standards.bulkhead_rows,
    standards.clearance_rows,
    standards.cold_flanging_rows,
    standards.fillet_leg_rows,
    standards.drill_bush_rows,
    standards.drills,
    standards.fastener_rows,
    standards.property_class_rows,
    standards.stress_area_rows,
    standards.bolt_range_rows,
    standards.stock_length_rows,
    standards.locking_nut_rows,
    standards.washer_rows,
    standards.gauge_rows,
    standards.general_tolerance_rows,
    standards.material_rows,
    standards.paper_rows,
    standards.foot_force_rows,
    standards.pedal_load_rows,
    standards.sheet_tool_rows,
    standards.stock_thickness_rows,
    standards.rolled_thickness_rows,
    standards.tap_drill_rows,
    standards.strength_rows,
    standards.union37_rows,
    standards.wrapped_bush_rows,
    standards.tolerance_grade_rows,
    standards.sunk_head_rows,
    standards.sheet_insert_rows,
    standards.ball_bearing_rows,
    standards.circlip_rows,
    standards.ring_tolerance_rows,
    standards.housing_field_rows,
)
# A4 and A3: ISO 216, mm. Letter and tabloid: ASME Y14.1 A and B, 8.5 x 11 and 11 x 17 in.
PAPER = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "letter": (215.9, 279.4),
    "tabloid": (279.4, 431.8),
}
# The same in PDF units of 1/72 in; ISO 32000-1 8.3.2.3.
POINTS = {
    "A4": (595.276, 841.890),
    "A3": (841.890, 1190.551),
    "letter": (612.0, 792.0),
    "tabloid": (792.0, 1224.0),
}


def row(**cells: str) -> TableRow:
    return TableRow(table="t.csv", line=2, cells=cells)


def test_paper_row_count() -> None:
    assert [sheet.name for sheet in paper_rows()] == list(PAPER)


@pytest.mark.parametrize("name", PAPER)
def test_paper(name: str) -> None:
    sheet = paper(name)
    assert (sheet.width_mm, sheet.height_mm) == PAPER[name]
    points = (sheet.width_mm * 72 / 25.4, sheet.height_mm * 72 / 25.4)
    assert points == pytest.approx(POINTS[name], abs=0.0005)


def test_unknown_paper() -> None:
    with pytest.raises(LookupFault, match="known: A4, A3, letter, tabloid"):
        paper("A2")


@pytest.mark.parametrize("rows", ALL_ROWS)
def test_every_row_has_edition_source_and_trust(rows) -> None:
    for each in rows():
        assert each.edition
        assert each.source
        assert isinstance(each.trust, Trust)
        with pytest.raises(AttributeError):  # frozen
            each.trust = Trust.PUBLISHED


@pytest.mark.parametrize("rows", ALL_ROWS)
def test_read_once(rows) -> None:
    assert rows() is rows()


def test_one_loader_for_each_file() -> None:
    folder = resources.files("generators.standards").joinpath("data")
    assert len([file for file in folder.iterdir() if file.name.endswith(".csv")]) == len(ALL_ROWS)


def test_trust_says_whether_it_is_sourced() -> None:
    assert {trust.value for trust in Trust if trust.sourced} == {"R1", "R2+", "C", "R2"}


def test_lengths_by_heading_and_by_unit_column() -> None:
    assert row(od_mm="12.5").length_mm("od") == 12.5
    assert row(od_in="1/2").length_mm("od") == 12.7
    assert row(od="17/64", unit="in").length_mm("od") == 6.746875
    with pytest.raises(ValueError, match="not a length unit"):
        row(od="1", unit="kg").length_mm("od")


def test_bad_cells_name_the_line() -> None:
    with pytest.raises(ValueError, match=r"t\.csv:2: a = '1/0' is not a number"):
        row(a="1/0").number("a")
    with pytest.raises(ValueError, match="is not a number"):
        row(a="nan").number("a")
    with pytest.raises(ValueError, match="not whole"):
        row(a="1.5").integer("a")
    with pytest.raises(ValueError, match="empty"):
        row(a="").text("a")
    with pytest.raises(ValueError, match="no column 'b'"):
        row(a="").optional_text("b")
    with pytest.raises(ValueError, match="guess"):
        row(trust="guess").trust()
    assert row(a="").optional_number("a") is None


def test_a_key_may_not_be_there_twice() -> None:
    with pytest.raises(ValueError, match="twice"):
        index("t.csv", [("a", 1), ("a", 2)])
    with pytest.raises(LookupFault, match="known: a"):
        find(index("t.csv", [("a", 1)]), "b", "thing")


def test_a_ragged_table_is_refused(tmp_path, monkeypatch) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "ragged.csv").write_text("a,b\n1,2\n3\n", encoding="utf-8")
    monkeypatch.setattr(resources, "files", lambda _package: tmp_path)
    with pytest.raises(ValueError, match=r"ragged\.csv:3: 1 cells, not 2"):
        read_table("ragged")


def test_import_reads_no_table() -> None:
    script = (
        "import generators.standards as s, sys\n"
        "assert s.drills.cache_info().currsize == 0\n"
        "s.drills(); assert 'pint' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
