"""Projection, general tolerance and hand on part drawings, and whether verify sees them changed."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing.part_cases import JOB, REVISION, make, tree

from generators.drawing.part.drawing import write_part_drawing
from generators.model.plan import PartPlan
from generators.parts.building.mirror import mirrored
from generators.standards import general_tolerance_rows, general_tolerance_words, projection_of
from generators.verify.pdf.content import Content, read_pdf
from generators.verify.pdf.drawing import read_part_drawing


def draw(plan: PartPlan, path: Path, **more: Any) -> list[Content]:
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION, **more)
    return list(read_pdf(path).pages)


def problems(plan: PartPlan, path: Path, **more: Any) -> str:
    back = read_part_drawing(path, plan, job_title=JOB, revision=REVISION, rel=path.name, **more)
    return "; ".join(back.problems)


def middle(pages: list[Content], caption: str) -> tuple[float, float]:
    for page in pages:
        for word in page.words:
            if word.text.strip() == caption:
                return (word.box[0] + word.box[2]) / 2, (word.box[1] + word.box[3]) / 2
    raise AssertionError(caption)


def test_iso_sheets_are_first_angle_and_asme_sheets_third() -> None:
    assert {p: projection_of(p) for p in ("A4", "A3", "letter", "tabloid")} == {
        "A4": "first",
        "A3": "first",
        "letter": "third",
        "tabloid": "third",
    }


@pytest.mark.parametrize(("paper", "right_is_right"), [("A4", False), ("letter", True)])
def test_views_stand_where_the_sign_says(tmp_path: Path, paper: str, right_is_right: bool) -> None:
    """First-angle: what is seen from the right stands left, what is seen from below stands above."""
    path = tmp_path / "d.pdf"
    plan = make("pedal_hanger")
    pages = draw(plan, path, paper=paper)
    front, side, below = (middle(pages, c) for c in ("FRONT", "RIGHT SIDE", "FROM BELOW"))
    assert (side[0] > front[0]) == right_is_right
    assert (below[1] < front[1]) == right_is_right
    assert problems(plan, path) == ""


@pytest.mark.parametrize(
    "title", ["FRONT", "RIGHT SIDE", "LEFT SIDE", "FROM ABOVE", "FROM BELOW", "PLATE 1:7", "scale 1:7"]
)
@pytest.mark.parametrize("paper", ["A4", "letter", "A3"])
@pytest.mark.parametrize("kind", ["pedal_hanger", "fitting_plate"])
def test_a_title_that_is_worded_as_a_view_is_no_view(
    tmp_path: Path, kind: str, paper: str, title: str
) -> None:
    """A plate titled FROM ABOVE was refused: its title was taken for a view on another side than it stands."""
    path, plan = tmp_path / "d.pdf", replace(make(kind), title=title)
    draw(plan, path, paper=paper)
    assert problems(plan, path) == ""


def test_verify_wants_the_projection_the_shop_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "d.pdf"
    plan = tree()
    draw(plan, path, paper="A4", projection="third")
    assert problems(plan, path, projection="third") == ""
    found = problems(plan, path)
    assert "does not say 'First-angle projection'" in found
    assert "third-angle sign" in found
    assert "stands on the wrong side for first-angle projection" in found


def test_general_tolerance_is_the_parts(tmp_path: Path) -> None:
    path = tmp_path / "d.pdf"
    plan = replace(make("fitting_plate"), tolerance="DIN 6930-2 m")
    (page,) = draw(plan, path)
    assert "all else DIN 6930-2 m." in page.text
    assert problems(plan, path) == ""
    assert "general tolerance" in problems(replace(plan, tolerance="ISO 2768-1 f"), path)


def test_general_tolerance_figures() -> None:
    """ISO 2768-1:1989 table 1, class m, as several transcriptions give it."""
    words = general_tolerance_words("ISO 2768-1 m", 313.5)
    assert words == "ISO 2768-1 m (lengths in mm: ±0.1 to 6, ±0.2 to 30, ±0.3 to 120, ±0.5 to 400)"
    assert general_tolerance_words("ISO 2768-1 m", 120.0).endswith("±0.3 to 120)")
    assert general_tolerance_words("as agreed", 120.0) == "as agreed"


def test_general_tolerance_table() -> None:
    rows = general_tolerance_rows()
    assert len(rows) == 21
    for grade in "fmc":
        own = [r for r in rows if r.grade == grade]
        # ranges follow each other, and a longer length may be off by no less
        assert all(a.up_to_mm == b.over_mm for a, b in itertools.pairwise(own))
        assert all(a.deviation_mm <= b.deviation_mm for a, b in itertools.pairwise(own))
    by_range = [[r.deviation_mm for r in rows if r.up_to_mm == top] for top in (3, 6, 30, 120, 400, 1000)]
    assert all(f <= m <= c for f, m, c in by_range)


def test_the_other_hand_says_so_and_only_it(tmp_path: Path) -> None:
    path = tmp_path / "d.pdf"
    plan = tree()
    pages = draw(mirrored(plan), path)
    assert all("MIRRORED (opposite hand)" in page.text for page in pages)
    assert problems(mirrored(plan), path) == ""
    draw(plan, path)
    assert "the hand 'MIRRORED" in problems(replace(plan, mirrored=True), path)
    draw(replace(plan, mirrored=True), path)
    assert "which the part is not" in problems(plan, path)


def test_a_mirrored_drawing_does_not_pass_for_the_plain_one(tmp_path: Path) -> None:
    path = tmp_path / "d.pdf"
    plan = make("slave_bracket", gussets="left")
    draw(replace(mirrored(plan), mirrored=False), path)
    assert "left gusset" in problems(plan, path)
