"""A part made with an inch rule: 1/8 in is 3.175 mm and 5/16 in is 0.3125 in, halves on every paper."""

from __future__ import annotations

from pathlib import Path

import ezdxf
from drawing.drawn_parts import draw
from drawing.part_cases import REVISION, tree
from jobs.printed_figures import Figure, halves_down, misprints, occurrences, pdf_lines

from generators.drawing.dxf.flat import write_flat_dxf
from generators.geometry.contours import rectangle
from generators.model.plan import Fitting, Flange, Hole, PartPlan, Slot
from generators.model.spec.shop import Cutting
from generators.verify.dxf.flat import read_flat_dxf

EIGHTH = 25.4 / 8
PLAIN = Fitting(kind="plain", label="hole")
# 5/16 in and 3/8 in holes; places in eighths of an inch
HOLES = (
    Hole(name="1", u_mm=9 * EIGHTH, v_mm=5 * EIGHTH, diameter_mm=2.5 * EIGHTH, purpose="a", fitting=PLAIN),
    Hole(name="2", u_mm=19 * EIGHTH, v_mm=7 * EIGHTH, diameter_mm=3 * EIGHTH, purpose="b", fitting=PLAIN),
)
SLOT = Slot(
    name="3",
    u_mm=15 * EIGHTH,
    v_mm=13 * EIGHTH,
    width_mm=2.5 * EIGHTH,
    travel_mm=5 * EIGHTH,
    angle_rad=0.0,
    purpose="c",
    fitting=PLAIN,
)
WIDE, TALL = 27 * EIGHTH, 21 * EIGHTH
PLATE = PartPlan(
    name="plate",
    kind="by_hand",
    title="Plate in eighths",
    material="1008 steel",
    thickness_mm=EIGHTH,
    flanges=(Flange(name="plate", contour=rectangle(0, 0, WIDE, TALL), holes=HOLES, slots=(SLOT,)),),
)
EXACT = {x for h in HOLES for x in (h.u_mm, h.v_mm, h.diameter_mm)} | {
    SLOT.u_mm,
    SLOT.v_mm,
    SLOT.width_mm,
    WIDE,
    TALL,
    EIGHTH,
}


def test_the_drawing_rounds_halves_as_every_table_and_reads_back(tmp_path: Path) -> None:
    path = tmp_path / "plate.pdf"
    assert draw(PLATE, path) == ()
    lines = pdf_lines(path)
    figures = [Figure("", x) for x in EXACT]
    assert len(list(occurrences(lines, figures))) >= 10
    assert misprints(lines, figures) == []
    assert halves_down(lines, EXACT) == []
    # in inches as well, a half away from zero (ISO 80000-1 annex B, rule B)
    assert any("0.313" in line for line in lines)
    assert not any("0.312" in line for line in lines)


def test_what_is_drilled_after_cutting_is_noted_with_the_drawings_figures(tmp_path: Path) -> None:
    path = tmp_path / "plate_flat.dxf"
    write_flat_dxf(PLATE, path, revision=REVISION, cutting=Cutting(), smallest_hole_mm=12.0)
    back = read_flat_dxf(path, PLATE, rel=path.name, cutting=Cutting(), smallest_hole_mm=12.0)
    assert back.problems == ()
    notes = [e.dxf.text for e in ezdxf.readfile(path).modelspace().query("TEXT")]
    figures = [Figure("", x) for x in EXACT]
    assert len(list(occurrences(notes, figures))) >= 5
    assert misprints(notes, figures) == []


def test_a_bend_at_half_a_hundredth_of_a_degree_reads_back(tmp_path: Path) -> None:
    """35.125 deg is exact in binary: rounded to even it would read 35.12."""
    path = tmp_path / "folded.pdf"
    assert draw(tree(degrees=(35.125, 120, 35)), path) == ()
    assert any("35.13" in line for line in pdf_lines(path))
