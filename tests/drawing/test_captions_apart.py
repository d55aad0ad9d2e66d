"""Words of a drawing that stand apart: captions of bends, figures of dimensions, symbols; and no sheet for one table."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
import shapely
from drawing.drawn_parts import overlaps
from drawing.part_cases import JOB, REVISION, make
from made_once import solved
from parts.finished_plates import with_finished
from shapely.geometry import LineString

from generators.drawing.part.drawing import write_part_drawing
from generators.model.plan import PartPlan
from generators.verify.pdf.content import Box, Content, read_pdf
from generators.verify.pdf.weld_signs import signs

CAPTION = re.compile(r"\d+(?:\.\d+)?° R\d+(?:\.\d+)?")
FIGURE = re.compile(r"\(?\d+(?:\.\d+)?\)?")
APART_MM = 3.0
"""About a letter's height and a half: nearer, two words in a row are one."""

DEMOS = ["dray_tractor", "ferrow_bus", "tarn_special", "wrenfield_van"]


def pages(plan: PartPlan, path: Path, paper: str = "A4") -> list[Content]:
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION, paper=paper)
    return list(read_pdf(path).pages)


def gap(a: Box, b: Box) -> float:
    """Between two boxes, mm."""
    wide = max(a[0] - b[2], b[0] - a[2], 0.0)
    high = max(a[1] - b[3], b[1] - a[3], 0.0)
    return math.hypot(wide, high)


def crowded(page: Content) -> Iterator[tuple[str, str]]:
    """Captions of bends with what figure or caption stands at them."""
    words = [(w.text.strip(), w.box) for w in page.words]
    captions = [(t, b) for t, b in words if CAPTION.fullmatch(t)]
    for k, (text, box) in enumerate(captions):
        others = [*captions[k + 1 :], *((t, b) for t, b in words if FIGURE.fullmatch(t))]
        yield from ((text, other) for other, b in others if gap(box, b) < APART_MM)


@pytest.mark.parametrize("demo", DEMOS)
def test_a_bend_and_a_dimension_of_a_demo_are_not_read_as_one(demo: str, tmp_path: Path) -> None:
    seen = 0
    for part in solved(demo).parts:
        for page in pages(part.plan, tmp_path / "d.pdf"):
            assert list(crowded(page)) == [], part.spec.name
            assert overlaps(page) == [], part.spec.name
            seen += sum(1 for w in page.words if CAPTION.fullmatch(w.text.strip()))
    assert seen


def on_outlines(page: Content, least_mm: float) -> Iterator[str]:
    """Captions of bends that lie on a line as heavy as an outline's, or nearer to it than so much."""
    heavy = [s for s in page.shapes if s.stroked and s.width > 0.3 and len(s.points) > 1]
    for word in page.words:
        if CAPTION.fullmatch(word.text.strip()):
            x0, y0, x1, y1 = word.box
            # a capital is 0.72 of the height a line of text is given
            seen = shapely.box(x0, y0 + 0.1, x1, y0 + 0.72 * (y1 - y0)).buffer(least_mm)
            if any(LineString(s.points).intersects(seen) for s in heavy):
                yield word.text


@pytest.mark.parametrize("demo", DEMOS)
def test_captions_of_a_demos_bends_keep_off_outlines(demo: str, tmp_path: Path) -> None:
    for part in solved(demo).parts:
        for page in pages(part.plan, tmp_path / "d.pdf"):
            assert list(on_outlines(page, 0.3)) == [], part.spec.name


def test_a_bends_name_along_its_line_keeps_off_the_number_of_a_hole(tmp_path: Path) -> None:
    """The slave bracket's right gusset is bent 4 mm on paper beside hole 7: its name stands on the other side."""
    (plan,) = (p.plan for p in solved("dray_tractor").parts if p.spec.name == "slave_bracket")
    page = pages(plan, tmp_path / "d.pdf")[0]
    (caption,) = (w.box for w in page.words if w.text.strip() == "right gusset UP 90°")
    numbers = [w.box for w in page.words if w.text.strip() in ("5", "6", "7")]
    assert min(gap(caption, box) for box in numbers) > APART_MM + 2.0


def test_words_that_stand_in_a_row_are_told() -> None:
    words = ("90° R10", "136", "90° R10")
    boxes: list[Box] = [(0.0, 0.0, 10.0, 2.0), (12.0, -0.5, 17.0, 1.5), (19.0, 0.0, 29.0, 2.0)]

    class Page:
        def __init__(self, shift: float) -> None:
            self.words = [
                type("W", (), {"text": t, "box": (b[0] + k * shift, b[1], b[2] + k * shift, b[3])})()
                for k, (t, b) in enumerate(zip(words, boxes, strict=True))
            ]

    assert len(list(crowded(Page(0.0)))) == 2  # type: ignore[arg-type]
    assert list(crowded(Page(1.1))) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("demo", DEMOS)
def test_no_sheet_of_a_bent_demo_part_is_there_for_one_table(demo: str, tmp_path: Path) -> None:
    for part in solved(demo).parts:
        if part.plan.bends:
            for page in pages(part.plan, tmp_path / "d.pdf"):
                text = page.text
                assert re.search(r"FLAT BLANK \d|FRONT|RIGHT SIDE|LEFT SIDE", text), part.spec.name


@pytest.mark.parametrize(
    ("kind", "most"),
    [
        ("carried_hanger", 2),
        ("pedal_box", 2),
        ("pedal_hanger", 2),
        ("slave_bracket", 2),
        ("stop_bracket", 1),
        ("throttle_pedal_bracket", 1),
        ("twin_pedal_hanger", 2),
    ],
)
def test_a_part_as_its_kind_has_it_is_on_few_sheets(kind: str, most: int, tmp_path: Path) -> None:
    drawn = pages(make(kind), tmp_path / "d.pdf")
    assert len(drawn) <= most
    for page in drawn:
        # no sheet is there for one table alone
        tables = sum(1 for w in page.words if w.text.strip() in {"HOLES", "CORNERS", "BENDS"})
        assert tables > 1 or re.search(r"FLAT BLANK \d|FRONT", page.text)
        assert overlaps(page) == []


def test_the_overall_size_of_a_view_stands_a_row_beyond_the_leg_on_its_side(tmp_path: Path) -> None:
    # a collar stands out past the leg: both lengths are asked for, one beside the other
    for seed, t in ((1049, 1.95), (1068, 1.83), (1103, 3.74)):
        plan = with_finished(make("stop_bracket", t=t, r=t), Random(seed))
        for page in pages(plan, tmp_path / "d.pdf"):
            assert overlaps(page) == [], seed


@pytest.mark.parametrize(("seed", "t"), [(1012, 1.58), (1063, 4.94), (1073, 2.46), (1112, 2.02)])
def test_symbols_of_a_small_part_use_the_room_the_sheet_has(seed: int, t: float, tmp_path: Path) -> None:
    plan = with_finished(make("stop_bracket", t=t, r=t), Random(seed))
    drawn = pages(plan, tmp_path / "d.pdf")
    assert [found for page in drawn for found in overlaps(page)] == []
    spots = [s for s in signs(read_pdf(tmp_path / "d.pdf")) if s.spot]
    assert spots
    for sign in spots:
        assert re.fullmatch(r"holes? \d+(, \d+)*: ISO 4063-23", sign.tail)


def test_a_tail_on_two_lines_reads_as_one(tmp_path: Path) -> None:
    broken = 0
    for seed, t in ((1012, 1.58), (1049, 1.95), (1063, 4.94), (1073, 2.46), (1112, 2.02)):
        plan = with_finished(make("stop_bracket", t=t, r=t), Random(seed))
        for page in pages(plan, tmp_path / "d.pdf"):
            words = [w for w in page.words if re.fullmatch(r"holes? \d+(, \d+)*:", w.text.strip())]
            for word in words:
                broken += 1
                under = [
                    w
                    for w in page.words
                    if w.text.strip() == "ISO 4063-23"
                    and 0 < word.box[1] - w.box[3] < 2.0
                    and min(abs(w.box[0] - word.box[0]), abs(w.box[2] - word.box[2])) < 0.3
                ]
                assert len(under) == 1
    assert broken


def test_a_dimension_too_short_for_its_figure_has_it_past_the_arrow(tmp_path: Path) -> None:
    plan = replace(make("blanking_plate"), thickness_mm=2.0)
    (page,) = pages(plan, tmp_path / "d.pdf")
    (figure,) = [w.box for w in page.words if w.text.strip() == "(2)"]
    heads = [s.box for s in page.shapes if s.filled and len(s.points) >= 3]
    near = [b for b in heads if abs((b[1] + b[3]) / 2 - figure[1]) < 3.0 and abs(b[0] - figure[0]) < 8.0]
    assert near
    assert all(gap(figure, b) > 0.3 for b in near)
