"""The drawing of a printed guide: pegs drawn, dimensioned and read back; what a sheet part has is not there."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pdfplumber
import pypdfium2
import pytest

from generators.drawing.part.body import folded_body
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.views import AS_PRINTED, FRONT, view
from generators.model.plan import PartPlan
from generators.parts.drill_guide import DrillGuide
from generators.solve.parts import sample_plan
from generators.verify.pdf.drawing import read_part_drawing

PLAN, _ = sample_plan("drill_guide", DrillGuide(ribbed=False))


def read(path, plan: PartPlan):
    return read_part_drawing(path, plan, job_title="Toy", revision="7f3a", rel="a")


@pytest.fixture(scope="module", params=["A4", "letter"])
def drawing(request, tmp_path_factory):
    """On A4 in first-angle, on letter in third-angle projection."""
    path = tmp_path_factory.mktemp("drawing") / "guide.pdf"
    write_part_drawing(PLAN, path, job_title="Toy", revision="7f3a", paper=request.param)
    return path


def test_it_reads_back(drawing):
    back = read(drawing, PLAN)
    assert back.problems == ()
    assert any(f.startswith("5 of 5 holes and pegs in place") for f in back.facts)


def test_a_ribbed_one_reads_back(tmp_path):
    plan, _ = sample_plan("drill_guide")
    write_part_drawing(plan, tmp_path / "g.pdf", job_title="Toy", revision="7f3a")
    assert read(tmp_path / "g.pdf", plan).problems == ()
    assert read(tmp_path / "g.pdf", PLAN).problems


def test_what_it_says_and_does_not_say(drawing):
    with pypdfium2.PdfDocument(drawing) as pdf:
        text = " ".join(page.get_textpage().get_text_range() for page in pdf)
    for words in ("BLOCK", "PEGS, on the far side", "this side to the metal", "AS PRINTED", "PLA, printed"):
        assert words in text
    for words in ("kerf", "cut length", "pierce", "BENDS", "blank"):
        assert words not in text
    assert "Lies on the cab face of panel sample, pegs into the metal" in " ".join(text.split())


# by hand, in the sample: X and Y from the left and lower edges, which lie at -56.85 and -26.1
def test_the_table_of_pegs(drawing):
    with pdfplumber.open(drawing) as pdf:
        text = "\n".join(page.extract_text() for page in pdf.pages)
    assert "P1 11.70 0.461 11.85 26.10 3.20 1.00 × 45° 12.00" in text
    assert "P2 19.70 0.776 111.85 18.10 3.20 1.00 × 45° 20.00" in text


CHANGES = {
    "moved": (lambda p: replace(p, u_mm=p.u_mm + 0.1), ("puts P1 at X 11.85", "peg 'peg_A' is not drawn")),
    "thinner": (
        lambda p: replace(p, diameter_mm=11.5),
        ("P1 a diameter of 11.70, the plan 11.50", "peg 'peg_A'"),
    ),
    "higher": (lambda p: replace(p, height_mm=3.3), ("P1 a height of 3.20, the plan 3.30",)),
    "blunter": (lambda p: replace(p, chamfer_mm=0.8), ("P1 a chamfer of 1.00, the plan 0.80",)),
    "in another hole": (lambda p: replace(p, hole_mm=12.2), ("P1 a hole of 12.00, the plan 12.20",)),
}


@pytest.mark.parametrize("how", CHANGES)
def test_a_peg_that_is_not_the_plans(drawing, how):
    change, wanted = CHANGES[how]
    block = PLAN.flanges[0]
    other = replace(PLAN, flanges=(replace(block, pegs=(change(block.pegs[0]), *block.pegs[1:])),))
    problems = "\n".join(read(drawing, other).problems)
    for words in wanted:
        assert words in problems


def test_a_peg_that_is_not_in_the_drawing(drawing):
    block = PLAN.flanges[0]
    third = replace(block.pegs[0], name="peg_C", u_mm=-20.0, v_mm=-10.0)
    other = replace(PLAN, flanges=(replace(block, pegs=(*block.pegs, third)),))
    assert "the peg table has no row P3" in read(drawing, other).problems


def test_pegs_as_a_body_in_space():
    # the body is closed: the area vectors of its faces cancel, but for the bores' walls, which are upright
    body = folded_body(PLAN)
    total = np.zeros(3)
    for face in body.faces:
        for k, ring in enumerate(face.rings):
            turned = np.roll(ring, -1, axis=0)
            area = np.cross(ring, turned).sum(axis=0) / 2
            area *= math.copysign(1.0, float(area @ face.normal)) * (1 if k == 0 else -1)
            total += area
    # what is left is the pegs' feet, which are drawn on the block's lower side as if it were whole
    feet = sum(math.pi * p.diameter_mm**2 / 4 for p in PLAN.flanges[0].pegs)
    assert total == pytest.approx([0.0, 0.0, -feet], rel=5e-3, abs=1e-6)


def test_pegs_are_seen_as_printed_and_hidden_from_the_drill():
    body = folded_body(PLAN)
    circles = {FRONT.name: 0.0, AS_PRINTED.name: 0.0}
    for camera in (FRONT, AS_PRINTED):
        for stroke in view(body, camera, 0.5).strokes:
            if stroke.kind == "sharp" and not stroke.hidden and len(stroke.points) > 8:
                circles[camera.name] += float(np.linalg.norm(np.diff(stroke.points, axis=0), axis=1).sum())
    # from the front only the three roundings are curved; as printed the rims of two pegs are there too
    assert circles[FRONT.name] < 3 * math.pi / 2 * 3.0 * 2.1
    assert circles[AS_PRINTED.name] > math.pi * (11.7 + 19.7)
