"""A panel that only lends holes it has already: no step of it speaks of drilling."""

from __future__ import annotations

from pathlib import Path

from made_once import solved
from sheet_pages import page_texts
from spec_pieces import existing, panel, wire_hole

from generators.jobs.make.job_files import job_files
from generators.jobs.make.run import artefacts
from generators.solve.job import prepare


def test_the_cross_member_is_looked_at_and_not_drilled(tmp_path: Path) -> None:
    path = tmp_path / "install_sheet.pdf"
    task = next(t for t in job_files(solved("ferrow_bus"), "A4") if t.entry.path == "install_sheet.pdf")
    task.body(path=path)
    sheet = " ".join(page_texts(path))
    assert "Engine bulkhead: mark and drill" in sheet
    start = sheet.index("Cross member under the dash: nothing to drill")
    steps = sheet[start : sheet.index("Fit the parts", start)]
    # what shows that it is the right one comes before any panel is drilled
    checks = sheet[sheet.index("Every panel, before anything is drilled") : sheet.index("mark and drill")]
    assert "Check that your cross member under the dash is the one these sheets were made for" in checks
    assert "demister duct" in steps
    for word in ("Centre-punch", "Pilot drill", "engine template", "Tape the"):
        assert word not in steps
    # what one prints holds no sheet to check from behind with
    assert "engine template" not in sheet


def test_where_no_panel_is_drilled_page_one_and_the_overview_tell_of_no_sheets(tmp_path: Path) -> None:
    for drilled in (False, True):
        spec = tmp_path / "plain.toml"
        hole = wire_hole("wire", 300, 150) if drilled else ""
        whole = panel("wall", 500, 300) + existing("bore", 100, 150, 30, "old bore") + hole
        spec.write_text(
            f'job = {{ name = "plain", title = "One wall, invented" }}\n{whole}', encoding="utf-8"
        )
        (task,) = (t for t in artefacts(prepare(spec), "A4") if t.entry.kind == "print_me_pdf")
        path = tmp_path / "print_me.pdf"
        task.body(path=path)
        first, overview = page_texts(path)[:2]
        assert "One side." in first
        assert [words in first for words in ("Why these.", "No others.")] == [drilled, drilled]
        assert [words in overview for words in ("Dashed grey frames", "line the sheet up")] == [
            drilled,
            drilled,
        ]
