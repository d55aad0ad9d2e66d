"""Jobs that were refused although nothing was wrong with them."""

from __future__ import annotations

import shutil
from pathlib import Path

from jobs.paper_jobs import SHOP, drawn_job, refusals, released

from generators.issue.work import Order, carry_out
from generators.jobs.make.panel_files import fold_files, folds
from generators.layout.wrap import wrapped_name
from generators.solve.job import Prepared, prepare
from generators.solve.wrapping import sheet_layout
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.template.pair import measured_holes

HEAD = '[job]\nname = "toy"\ntitle = "Toy job, invented"\n'


def _panel(name: str, low: int, high: int, tilt: int) -> str:
    return (
        f'[[panel]]\nname = "{name}"\ntitle = "{name}"\nmaterial = "mild steel"\nthickness = "2 mm"\n'
        f'origin = ["0 mm", "0 mm", "600 mm"]\ntilt = "{tilt} deg"\noutline = [["0 mm", "{low} mm"], '
        f'["800 mm", "{low} mm"], ["800 mm", "{high} mm"], ["0 mm", "{high} mm"]]\n'
    )


def _old(name: str, u: float, v: float, diameter: float) -> str:
    return (
        f'[[panel.existing]]\nname = "{name}"\nat = ["{u} mm", "{v} mm"]\ndiameter = "{diameter} mm"\n'
        f'what = "old hole"\n'
    )


def _bolt(name: str, u: float, v: float) -> str:
    return (
        f'[[panel.hole]]\nname = "{name}"\nkind = "bolt"\nthread = "M8"\npurpose = "test"\n'
        f'at = {{ u = "{u} mm", v = "{v} mm" }}\n'
    )


def _job(folder: Path, text: str) -> Prepared:
    shutil.copyfile(SHOP, folder / "shop.toml")
    spec = folder / "toy.toml"
    spec.write_text(HEAD + text, encoding="utf-8")
    return prepare(spec)


def test_a_small_hole_at_the_edge_of_a_fold_sheet_is_on_both_faces_or_on_neither(tmp_path: Path) -> None:
    """On letter the engine face's sheets end 1 mm further left: the hole at u 349.5 was on one face only."""
    text = _panel("firewall", 0, 400, 0)
    text += (
        _old("a", 100, 200, 25)
        + _old("b", 300, 150, 25)
        + _old("small", 349.5, 30, 6)
        + _bolt("one", 250, 120)
    )
    text += _panel("toe_board", -300, 0, 45) + _bolt("two", 300, -150)
    text += '[[fold]]\npanels = ["firewall", "toe_board"]\ninside_radius = "6 mm"\n'
    prepared = _job(tmp_path, text)
    assert not prepared.blocked
    assert list(refusals(prepared, "letter", tmp_path)) == []
    pair = wrapped_name("firewall", "toe_board")
    found = []
    for face in ("cab", "engine"):
        layout = sheet_layout(prepared, pair, face)
        assert layout is not None
        found.append(set(measured_holes(tmp_path / f"panels/{pair}/template_{face}.pdf", layout, face, None)))
    assert found[0] == found[1]
    assert "C" in found[0]


def test_the_words_beside_a_mark_do_not_cover_the_rim_of_a_hole(tmp_path: Path) -> None:
    """A twin hanger at u 400, v 600: on letter a mark's words lay on the rim of one of its holes."""
    text = _panel("firewall", 0, 1000, 0) + _old("a", 60, 60, 25)
    text += (
        '[[part]]\nname = "hanger"\nkind = "twin_pedal_hanger"\nmaterial = "S235 steel"\nthickness = "4 mm"\n'
        '[part.mount]\npanel = "firewall"\nface = "cab"\nat = { u = "400 mm", v = "600 mm" }\n'
    )
    assert list(refusals(_job(tmp_path, text), "letter", tmp_path)) == []


def test_a_label_of_another_hole_does_not_lie_where_the_paper_is_cut_away(tmp_path: Path) -> None:
    """Round holes that are there the paper goes: words in one were taken for its own."""
    text = _panel("firewall", 0, 400, 0) + _old("wide", 300, 200, 140) + _old("a", 100, 200, 25)
    text += "".join(_bolt(f"b{k}", 215 + 10 * k, 285 - 4 * (k % 3)) for k in range(0, 18, 3))
    prepared = _job(tmp_path, text)
    failed = {f.code: "a test of labels" for f in prepared.findings if f.blocks}
    prepared = prepare(tmp_path / "toy.toml", failed)
    assert list(refusals(prepared, "A4", tmp_path)) == []


def test_a_check_across_a_fold_between_marks_says_at_least_its_length(tmp_path: Path) -> None:
    """Two marks and the fold left 40 mm of its line free: its words found no room, and not even the figure stood there."""
    job = drawn_job(9400116)
    prepared = released(job, tmp_path)
    assert prepared is not None
    ((one, other),) = folds(prepared)
    cab, engine = fold_files(prepared, (one, other), job.paper)
    for index, sheet in enumerate((cab, engine)):
        order = Order(index=index, folder=tmp_path, revision=prepared.file.revision, found=tmp_path)
        assert carry_out(sheet, order).reading.problems == ()
    page = read_pdf(tmp_path / cab.entry.path).pages[8]
    assert "check 83.1 mm" in page.text
    assert "check 83.1 mm from" not in page.text
