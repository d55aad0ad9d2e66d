"""The overview of a pack names the holes: panels whose numbers crowd get larger pictures, on more pages."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest

from generators.drawing.pack.first_page import nowhere
from generators.drawing.paper.sizes import paper_choice
from generators.parts import KINDS
from generators.reading.reader import read_job
from generators.sheets.document import write_document
from generators.sheets.pack.overview import OverviewPage, _views, overview_pages, overview_story
from generators.solve.parts import layouts_of, plan_parts
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.pack.overview import overview_problems

PANEL = """
[[panel]]
name = "p{n}"
title = "Panel {n}"
material = "mild steel, as built"
thickness = "1.2 mm"
origin = ["0 mm", "{y} mm", "0 mm"]
outline = [["0 mm", "0 mm"], ["760 mm", "0 mm"], ["760 mm", "445 mm"], ["0 mm", "445 mm"]]
existing = [{{ name = "old_{n}", at = ["40 mm", "40 mm"], diameter = "20 mm", what = "old hole" }}]
"""
HOLE = """
  [[panel.hole]]
  name = "h_{n}_{k}"
  kind = "bolt"
  thread = "M5"
  fit = "medium"
  purpose = "bolt"
  nut_face = "engine"
  at = {{ from = "old_{n}", u = "{u} mm", v = "{v} mm" }}
"""


def crowded(panels: int) -> str:
    """Panels with six rows of five bolts, 45 mm apart."""
    text = 'job = { name = "crowd", title = "Many bolts" }\n'
    for n in range(panels):
        text += PANEL.format(n=n, y=1000 * n)
        for k in range(30):
            text += HOLE.format(n=n, k=k, u=300 + 45 * (k % 5), v=80 + 45 * (k // 5))
    return text


def test_a_hole_is_found_by_its_number(tmp_path: Path) -> None:
    spec = tmp_path / "crowd.toml"
    spec.write_text(crowded(3))
    file = read_job(spec, {kind.name: kind.parameters for kind in KINDS})
    layouts = layouts_of(file, plan_parts(file))
    paper = paper_choice("letter")
    story = overview_story(overview_pages(layouts, (), paper), (), 1, paper)
    path = tmp_path / "overview.pdf"
    write_document(path, story, title="t", subject="s", revision="abc1234", paper="letter")
    with pdfplumber.open(path) as pdf:
        assert len(pdf.pages) > 1
        assert all("NOT TO DRILL BY" in page.extract_text() for page in pdf.pages)
        for layout in layouts:
            page = next(p for p in pdf.pages if f"{layout.title} as seen" in p.extract_text())
            words = {word["text"] for word in page.extract_words()}
            named = [h for h in layout.holes if h.number in words]
            assert len(named) >= 0.75 * len(layout.holes), (layout.title, len(named))
    pages = read_pdf(path).pages
    assert overview_problems(pages, layouts) == []
    missing = overview_problems(pages[:1], layouts)
    assert any("does not show" in text for text in missing)
    assert any("scales for 3 panels" in text for text in missing)


def test_panels_with_room_share_a_page(tmp_path: Path) -> None:
    spec = tmp_path / "few.toml"
    spec.write_text(crowded(3).split("  [[panel.hole]]")[0])
    file = read_job(spec, {kind.name: kind.parameters for kind in KINDS})
    layouts = layouts_of(file, plan_parts(file))
    assert len(overview_pages(layouts, (), paper_choice("letter"))) == 1


def test_pages_without_the_signs_give_their_room_to_the_pictures(tmp_path: Path) -> None:
    spec = tmp_path / "crowd.toml"
    spec.write_text(crowded(3))
    file = read_job(spec, {kind.name: kind.parameters for kind in KINDS})
    layouts = layouts_of(file, plan_parts(file))
    paper = paper_choice("letter")
    page = OverviewPage(tuple(layouts), 1)
    (last, *_), (before, *_) = (_views(one, (), 1, paper) for one in (page, replace(page, last=False)))
    # three alike one above the other share the 52 mm that the signs and their words would take
    assert before.size[1] - last.size[1] == pytest.approx((86.0 - 34.0) / 3, abs=0.01)
    assert [p.last for p in overview_pages(layouts, (), paper)][-1:] == [True]
    assert not any(p.last for p in overview_pages(layouts, (), paper)[:-1])


def test_a_high_panel_whose_numbers_crowd_takes_the_height_of_the_page(tmp_path: Path) -> None:
    """Kept as low as the pictures of other papers, the page is half empty and half the numbers find no room."""
    high = PANEL.replace(
        '["760 mm", "445 mm"], ["0 mm", "445 mm"]', '["760 mm", "1600 mm"], ["0 mm", "1600 mm"]'
    )
    text = 'job = { name = "crowd", title = "Many bolts" }\n' + high.format(n=0, y=0)
    text += "".join(HOLE.format(n=0, k=k, u=100 + 34 * (k % 6), v=700 + 34 * (k // 6)) for k in range(42))
    spec = tmp_path / "high.toml"
    spec.write_text(text)
    file = read_job(spec, {kind.name: kind.parameters for kind in KINDS})
    layouts, paper = layouts_of(file, plan_parts(file)), paper_choice("A4")
    (page,) = overview_pages(layouts, (), paper)
    (low,), (as_shown,) = (_views(one, (), 1, paper) for one in (replace(page, tallest_mm=95.0), page))
    assert low.lettered(nowhere()) < 0.5 * 43, "the panel must be one that crowds"
    assert as_shown.lettered(nowhere()) > low.lettered(nowhere())
    path = tmp_path / "overview.pdf"
    write_document(
        path, overview_story([page], (), 1, paper), title="t", subject="s", revision="abc1234", paper="A4"
    )
    pages = read_pdf(path).pages
    assert overview_problems(pages, layouts) == []
    with pdfplumber.open(path) as pdf:
        said = " ".join(pdf.pages[0].extract_text().split())
    lost = 43 - as_shown.lettered(nowhere())
    assert f"no room for the numbers of {lost} of its 43 holes: see its sheets" in said
    unsaid = [replace(page, words=tuple(w for w in page.words if "no room" not in w.text)) for page in pages]
    assert any("does not say so" in text for text in overview_problems(unsaid, layouts))
