"""How thick a sheet may be for the outside lengths of a bent part: by hand, on drawing and inspection sheet."""

from __future__ import annotations

import math
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
sys.path.insert(0, str(Path(__file__).parents[1]))
from bent_parts import channel
from drawing.part_cases import make

from generators.drawing.inspection import items
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.welds import sheet_lines
from generators.model.plan import PartPlan
from generators.sheetmetal.seams import thickness_limits
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.rebuild.weld_gaps import sheet_off_mm
from generators.verify.pdf.welds import sheet_problems, thickness_problems

SAID = "the outside lengths"


def bent(thickness: float, k: float, *, angle_deg: float = 90.0) -> PartPlan:
    """A channel whose bends have that K."""
    plain = channel(80.0, 40.0)
    bends = tuple(replace(b, k_factor=k, angle_rad=math.radians(angle_deg)) for b in plain.bends)
    return replace(plain, thickness_mm=thickness, bends=bends)


# over both walls: twice 1 - K pi / 4 a mm of sheet, and 0.5 may be, of which blank, stop and bends have their share: half
# of the blank's 0.2, at each end 0.1 and a degree times R / 2 + T (1 - K / 2), added as squares, R 3. 6 mm, K 0.42:
# 0.0174533 x 6.24 = 0.1089, twice with 0.1 makes 0.2091, with 0.1 more 0.2318, (0.5 - 0.2318) / 1.3403 = 0.2001; half
# way to the next sheets it would be 5.5 and 7. 3 mm, K 0.43: 0.0174533 x 3.855 = 0.0673, 0.1705, with 0.1 more 0.1977,
# (0.5 - 0.1977) / 1.3246 = 0.2283, and 2.75 is half way to 2.5
@pytest.mark.parametrize(
    ("thickness", "k", "within", "limits", "held"),
    [
        (6.0, 0.42, 0.5, (-0.2, 0.2), True),
        (6.0, 0.42, 1.0, (-0.5, 0.57), True),
        (6.0, 0.42, 1.57, (-0.5, 0.99), True),
        (6.0, 0.42, 1.58, (-0.5, 1.0), False),
        (3.0, 0.43, 0.5, (-0.22, 0.22), True),
        # 0.2 is under twice 0.2318: blank, stop and bends have half, 0.1 / 1.3403 = 0.0746
        (6.0, 0.42, 0.2, (-0.07, 0.07), True),
        # no nearer than a hundredth of it, as for the gaps of welds
        (6.0, 0.42, 0.05, (-0.06, 0.06), True),
    ],
)
def test_the_sheet_leaves_an_outside_length_its_limits(
    thickness: float, k: float, within: float, limits: tuple[float, float], held: bool
) -> None:
    plan = replace(bent(thickness, k), bent_mm=within)
    assert thickness_limits(plan) == pytest.approx(limits)
    assert sheet_off_mm(plan) == pytest.approx(limits)
    said = " ".join(sheet_lines(plan))
    low, high = (f"{thickness + by:.2f}" for by in limits)
    # what is left of it: no more than half is taken by the sheet, unless it is held no nearer
    left = within - max(map(abs, limits)) * 2 * (1 - k * math.pi / 4)
    left_to = f", which leaves ±{math.floor(left * 100) / 100:.2f} mm to blank, stop and bends"
    wanted = (
        f"For {SAID} the sheet is {low} to {high} mm thick{left_to}: measure before cutting, and cut this"
    )
    assert (wanted in said) == held
    assert bool(said) == held
    assert list(sheet_problems(said, plan)) == []


def test_one_bend_takes_half_as_much_and_none_nothing() -> None:
    """(0.5 - hypot(0.1, 0.1089, 0.1)) / 0.6702 = 0.4797; 5.5 is half way to the next sheet."""
    plan = bent(6.0, 0.42)
    one = replace(plan, flanges=plan.flanges[:2], bends=plan.bends[:1])
    assert thickness_limits(one) == pytest.approx((-0.47, 0.47))
    assert thickness_limits(replace(plan, flanges=plan.flanges[:1], bends=())) == pytest.approx((-0.5, 1.0))


def test_an_oblique_bend_holds_the_sheet_too() -> None:
    """60 deg, K 0.42: tan 30 - 0.42 x 0.5236 = 0.3574 a mm of sheet at each end; a degree there 0.0174533 x (9 / 0.75 -
    3 - 2.52) / 2 = 0.0565, with 0.1 and twice 0.1625, with the blank's 0.1 then 0.1908; (0.5 - 0.1908) / 0.7149 = 0.4325."""
    plan = bent(6.0, 0.42, angle_deg=60.0)
    assert thickness_limits(plan) == pytest.approx((-0.43, 0.43))
    assert sheet_off_mm(plan) == pytest.approx((-0.43, 0.43))


def test_up_then_down_with_stops_at_the_corner_before() -> None:
    """Base 64, riser 52 UP 90 deg, face 116 DOWN 78 deg, 3 mm, R 5, K 0.41. Bent with the base's stop at its free edge
    and the riser's at the corner bent before, a 3.50 sheet gives 64.34, 52.26 and 116.60, a 2.75 one 63.83, 51.87 and
    115.70: 0.678 and 0.5307 a mm, and their sum for the face. Blank, stop and bends have hypot(0.1, 0.141, 0.1054) of 0.5."""
    plan = make("throttle_pedal_bracket", r=5.0, base_height_mm=64.0, offset_mm=52.0, face_length_mm=116.0)
    turned = zip(plan.bends, (90.0, 78.0), strict=True)
    plan = replace(plan, bends=tuple(replace(b, k_factor=0.41, angle_rad=math.radians(a)) for b, a in turned))
    corners = [math.tan(b.angle_rad / 2) - b.angle_rad / 2 * b.k_factor for b in plan.bends]
    for sheet, lengths in ((2.75, (63.83, 51.87, 115.70)), (3.50, (64.34, 52.26, 116.60))):
        grown = [by * (sheet - 3.0) for by in (corners[0], corners[1], sum(corners))]
        assert [long + by for long, by in zip((64.0, 52.0, 116.0), grown, strict=True)] == pytest.approx(
            lengths, abs=0.006
        )
    low, high = thickness_limits(plan)
    # (0.5 - 0.2025) / 1.2087 = 0.2461; half way to 2.5 is 0.25
    assert (low, high) == pytest.approx((-0.24, 0.24))
    assert sheet_off_mm(plan) == pytest.approx((low, high))
    assert max(-low, high) * sum(corners) < plan.bent_mm


def test_drawing_and_inspection_sheet_are_read_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    plan = replace(bent(6.0, 0.42), material="S235 steel")
    row = next(i for i in inspected(plan) if i.key == "T")
    assert (row.least, row.most) == pytest.approx((5.8, 6.2))
    left = ", which leaves ±0.23 mm to blank, stop and bends"
    sold = "EN 10051 (5.72 to 6.28 mm)"
    assert row.what == (
        f"thickness, before it is cut; limits that hold {SAID}; do not cut this part of a sheet outside them: ask, be "
        f"it within {sold}"
    )
    text = " ".join(sheet_lines(plan))
    for was, now, problem in (
        ("6.20", "7.00", "a sheet 7.00 mm thick"),
        ("5.80", "5.50", "a sheet 5.50 mm thick"),
        (left, "", "of blank, stop and bends the drawing says 'nothing'"),
        ("±0.23", "±0.33", "of blank, stop and bends the drawing says"),
        ("6.28", "6.80", "of a sheet as sold the drawing says"),
        (f" A sheet within {sold} may", " It may", "of a sheet as sold the drawing says nothing"),
        (text, "", "the thickness is said for nothing; it is for the outside lengths"),
        (SAID, "the gap of WELD 1", "is said for the gap of WELD 1"),
    ):
        assert any(problem in p for p in sheet_problems(text.replace(was, now), plan)), now
    path = tmp_path / "i.pdf"

    def problems() -> str:
        write_inspection_sheet(plan, path, job_title="x", revision="abc1234")
        return " ".join(
            read_inspection_sheet(path, plan, job_title="x", revision="abc1234", rel="x").problems
        )

    assert problems() == ""
    for name, lie, problem in (
        ("thickness_limits", lambda _: (-0.5, 1.0), "item T: least 5.50"),
        ("held_by_sheet", lambda _: "", "item T: 'thickness, before it is cut; limits half way"),
        ("rolled_text", lambda _: "", "item T: 'thickness"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(items, name, lie)
            assert problem in problems()


@pytest.mark.parametrize(
    ("material", "thickness", "said"),
    # 3 mm may be 0.22 off and is sold within that, 4 mm 0.22 and within 0.24, 5 mm 0.21 and within 0.26; EN 10051 is not for another norm's sheet
    [
        ("S235 steel", 3.0, False),
        ("S235 steel", 4.0, True),
        ("S235 steel", 5.0, True),
        ("304 stainless", 5.0, False),
        ("S235 steel", 30.0, False),
    ],
)
def test_a_sheet_as_sold_is_spoken_of_where_it_may_lie_outside(
    material: str, thickness: float, said: bool
) -> None:
    """EN 10051 to 1500 wide: 0.24 to 4 mm, 0.26 to 5 mm, nothing over 25 (from memory)."""
    plan = replace(bent(thickness, 0.43), material=material)
    low, high = thickness_limits(plan)
    text = " ".join(sheet_lines(plan))
    assert ("EN 10051" in text) == said
    if said:
        off = {4.0: 0.24, 5.0: 0.26}[thickness]
        assert f"EN 10051 ({thickness - off:.2f} to {thickness + off:.2f} mm)" in text
        assert max(-low, high) < off
    assert list(sheet_problems(text, plan)) == []


THICKNESS = re.compile(
    r"thickness (\S+) mm \([^)]*\); (\S+) to (\S+) mm(, half way to the next stock sheet)?"
)


# 2.5 mm: the next stock sheets are 2 and 3, half way 2.25 and 2.75; a channel's lengths hold 3 mm to 2.78 and 3.22
@pytest.mark.parametrize(
    ("plan", "limits"),
    [
        (replace(bent(2.5, 0.43), flanges=bent(2.5, 0.43).flanges[:1], bends=()), ("2.25", "2.75")),
        (replace(bent(3.0, 0.43), bent_mm=0.5), ("2.78", "3.22")),
    ],
)
def test_drawing_and_inspection_sheet_limit_the_sheet_alike(
    plan: PartPlan, limits: tuple[str, str], tmp_path: Path
) -> None:
    drawn, inspected_at = tmp_path / "d.pdf", tmp_path / "i.pdf"
    made: dict[str, Any] = {"job_title": "x", "revision": "abc1234"}
    write_part_drawing(plan, drawn, **made)
    write_inspection_sheet(plan, inspected_at, **made)
    for page in read_pdf(drawn).pages:
        said = THICKNESS.search(" ".join(page.text.split()))
        assert said is not None
        assert said.groups()[1:3] == limits
    (row,) = [i for i in inspected(plan) if i.key == "T"]
    assert f"{row.nominal:.2f} {limits[0]} {limits[1]}" in " ".join(
        w for page in read_pdf(inspected_at).pages for w in page.text.split()
    )
    assert list(thickness_problems(read_pdf(drawn).pages, plan)) == []
    other = replace(plan, thickness_mm=plan.thickness_mm + 0.1)
    assert any("wants a sheet" in p for p in thickness_problems(read_pdf(drawn).pages, other))
    assert read_part_drawing(drawn, plan, rel="d", **made).problems == ()
