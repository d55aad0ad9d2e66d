"""Part drawings: read back, legible, uncluttered, the same every time; spoiled ones are named."""

from __future__ import annotations

import itertools
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from drawing.drawn_parts import draw, overlaps
from drawing.part_cases import JOB, REVISION, cases, make, tree
from waived_cases import WAIVED

from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault, LookupFault
from generators.geometry.contours import rectangle
from generators.model.plan import Flange, PartPlan
from generators.model.words import CAUTIONS
from generators.sheetmetal.folding import flat_pattern
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.rebuild.folded import overall_problems
from generators.verify.pdf.waivers import waiver_problems

CASES = cases()
PAPERS = ("A4", "A3", "letter", "tabloid")
LEAST_TEXT_MM = 2.2
PT = 72 / 25.4


@pytest.mark.parametrize("name", CASES)
def test_every_case_reads_back_with_no_text_on_another(name: str, tmp_path: Path) -> None:
    path = tmp_path / "part_drawing.pdf"
    assert draw(CASES[name], path) == ()
    pages = read_pdf(path).pages
    assert len(pages) <= 3
    for page in pages:
        assert overlaps(page) == []


@pytest.mark.parametrize("name", ["plate", "shelf_30", "hanger_tab_120", "tree"])
def test_one_large_sheet_is_enough(name: str, tmp_path: Path) -> None:
    path = tmp_path / "part_drawing.pdf"
    assert draw(CASES[name], path, paper="A3") == ()
    (page,) = read_pdf(path).pages
    assert overlaps(page) == []


@pytest.mark.parametrize("paper", PAPERS)
def test_every_paper(paper: str, tmp_path: Path) -> None:
    path = tmp_path / "part_drawing.pdf"
    assert draw(CASES["shelf_120"], path, paper=paper, smallest_hole_mm=10.0) == ()
    with pdfplumber.open(path) as pdf:
        size = {"A4": (210, 297), "A3": (297, 420), "letter": (215.9, 279.4), "tabloid": (279.4, 431.8)}[
            paper
        ]
        for page in pdf.pages:
            assert sorted((float(page.width) / PT, float(page.height) / PT)) == pytest.approx(size, abs=0.01)
            # letters in the order they were drawn: columns do not mix
            letters = "".join(char["text"] for char in page.chars if not char["text"].isspace())
            assert "".join(CAUTIONS[0].split()) in letters
            # small print is still print: 2.2 mm
            assert min(char["size"] for char in page.chars if char["upright"]) / PT >= LEAST_TEXT_MM - 1e-6


# 61 + 116 sin 78 + 3 cos 78 high, of a base 64 long and a riser bent off it; 112 between cheeks and two ears of 48
@pytest.mark.parametrize(
    ("kind", "sizes", "aside", "own"),
    [
        (
            "throttle_pedal_bracket",
            {
                "base_height_mm": 64.0,
                "offset_mm": 52.0,
                "face_length_mm": 116.0,
                "tilt_rad": math.radians(12),
                "width_mm": 96.0,
            },
            ("175.09", "96"),
            ("64", "52", "116"),
        ),
        ("reservoir_bracket", {"width_mm": 87.0, "shelf_depth_mm": 80.0}, ("87",), ("80",)),
    ],
)
def test_a_size_that_follows_from_others_stands_in_brackets(
    kind: str, sizes: dict[str, Any], aside: tuple[str, ...], own: tuple[str, ...], tmp_path: Path
) -> None:
    """By the pages' text alone: under bent lengths a shop would measure what only angles and legs make."""
    path, plan = tmp_path / "d.pdf", make(kind, r=5.0 if len(own) > 1 else None, **sizes)
    assert draw(plan, path) == ()
    with pdfplumber.open(path) as pdf:
        # letters in the order they were drawn
        letters = "".join(char["text"] for page in pdf.pages for char in page.chars)
    read = read_pdf(path)
    texts = [w.text.strip() for page in read.pages for w in page.words]
    for size in aside:
        assert f"({size})" in texts
        assert size not in texts
        assert f"({size})" in letters
    for size in own:
        assert size in texts
        assert f"({size})" not in texts
    for size in aside:
        left, pages = 1, []
        for page in read.pages:
            words = []
            for word in page.words:
                bare = left > 0 and word.text.strip() == f"({size})"
                left -= bare
                words.append(replace(word, text=size) if bare else word)
            pages.append(replace(page, words=tuple(words)))
        found = list(overall_problems(replace(read, pages=tuple(pages)), plan))
        assert found == [f"the front view does not give {size} over all in brackets, though it follows"]


def test_a_second_reader_finds_the_holes_at_scale(tmp_path: Path) -> None:
    path = tmp_path / "hanger.pdf"
    plan = CASES["hanger"]
    draw(plan, path, paper="A3")
    with pdfplumber.open(path) as pdf:
        page = pdf.pages[0]
        text = page.extract_text()
        scale = re.search(r"FLAT BLANK (\d+):(\d+)", text)
        assert scale is not None
        ratio = int(scale[1]) / int(scale[2])
        circles = [
            ((c["x0"] + c["x1"]) / 2 / PT, (c["top"] + c["bottom"]) / 2 / PT, (c["x1"] - c["x0"]) / PT)
            for c in page.curves
            if abs((c["x1"] - c["x0"]) - (c["bottom"] - c["top"])) < 0.01
        ]
    holes = {h.name: h for h in flat_pattern(plan).holes}
    for hole in holes.values():
        assert any(abs(d - hole.diameter_mm * ratio) < 0.01 for *_, d in circles)
    # the two pivots are as far apart on paper as they are on the blank
    pivots = [c for c in circles if abs(c[2] - 16 * ratio) < 0.01]
    apart = math.dist(
        (holes["pivot_left"].u_mm, holes["pivot_left"].v_mm),
        (holes["pivot_right"].u_mm, holes["pivot_right"].v_mm),
    )
    assert any(
        abs(math.dist(a[:2], b[:2]) - apart * ratio) < 0.02 for a, b in itertools.combinations(pivots, 2)
    )


def test_what_a_machinist_reads(tmp_path: Path) -> None:
    path = tmp_path / "shelf.pdf"
    plan = make(
        "reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0, width_mm=90.0, corner_radius_mm=8.0
    )
    draw(plan, path)
    texts = [w.text.strip() for page in read_pdf(path).pages for w in page.words]
    together = " ".join(texts)
    # base 60 and shelf 80 outside, 3 mm sheet bent 90 deg over R3 with K 0.445:
    # BA = 1.5708 (3 + 1.335) = 6.81, BD = 2 x 6 - 6.81 = 5.19, blank 60 + 80 - 5.19 = 134.81
    # K and radius of the material table: 0.445, one thickness
    for wanted in (
        "60",
        "80",
        "(90)",
        "134.81",
        "90° R3",
        "shelf UP 90°",
        "6.81",
        "5.19",
        "0.445",
        "57.4 from a–b",
    ):
        assert wanted in texts, wanted
    assert "First-angle projection" in together
    assert "ISO 2768-1" in together
    assert "3.00 mm (0.118 in, ~1/8); 2.75 to 3.50 mm" in texts
    # steel 7850 kg/m3; volume = legs (54 + 74) x 90 x 3 less holes and corners, plus the bend
    legs = (54 + 74) * 90 - 4 * math.pi * 3.3**2 - (4 - math.pi) * 64
    # of the bend what the blank has for it: the fibre at K T, 0.445 of 3
    strip = math.pi / 2 * (3 + 0.445 * 3) * 90
    assert f"{7850e-9 * ((legs + strip) * 3):.3f} kg" in texts
    outline = 2 * (90 + 134.8093) - 8 * 8 + 2 * math.pi * 8
    assert f"{outline + 4 * math.pi * 6.6:.0f} mm, 5 pierces" in texts


@pytest.mark.parametrize(
    ("up", "words"),
    [(72.0, "72 mm above the centre line"), (-60.0, "60 mm below the centre line"), (0.0, "level with the")],
)
def test_a_pivot_lies_above_below_or_level(up: float, words: str) -> None:
    """A height is never negative in words."""
    notes = " ".join(make("pedal_hanger", pivot_up_mm=up).notes)
    assert words in notes
    assert "-" not in notes


def test_a_pivots_place_is_dimensioned_after_bending(tmp_path: Path) -> None:
    """By hand: 110 out of the web's outer face, 60 over the master's centre, which is 82 over the lower edge."""
    plan = make("pedal_hanger", pivot_out_mm=110.0, pivot_up_mm=60.0, web_below_mm=82.0)
    draw(plan, tmp_path / "d.pdf")
    texts = [w.text.strip() for page in read_pdf(tmp_path / "d.pdf").pages for w in page.words]
    assert "110" in texts
    assert "142" in texts


@pytest.mark.parametrize(
    ("material", "bent", "flat"),
    [
        # EN 10025-2: S235JRC is the grade for cold flanging
        ("S235 steel", "S235JRC, EN 10025-2", "S235JR, EN 10025-2"),
        ("5052-H32", "5052-H32, ASTM B209", "5052-H32, ASTM B209"),
    ],
)
def test_material_stands_with_its_norm(tmp_path: Path, material: str, bent: str, flat: str) -> None:
    path = tmp_path / "d.pdf"
    for plan, norm in (
        (make("reservoir_bracket", material=material, r=4.0), bent),
        (make("fitting_plate", material=material), flat),
    ):
        assert draw(plan, path) == ()
        text = read_pdf(path).pages[0].text
        assert f"material {norm} thickness" in " ".join(text.split())
        # the grade once, by the norm's own designation
        assert text.count(material.split(maxsplit=1)[0]) == 1


def test_flat_plates_get_a_plan_view_and_their_thickness(tmp_path: Path) -> None:
    path = tmp_path / "plate.pdf"
    draw(CASES["plate"], path)
    text = " ".join(page.text for page in read_pdf(path).pages)
    assert "PLATE 1:1" in text
    assert "FRONT" not in text
    assert "BENDS" not in text
    assert "Do not scale this drawing" not in text
    assert "true only when printed at 100 %" in text


def test_openings_to_drill_are_marked_in_view_and_table(tmp_path: Path) -> None:
    path = tmp_path / "plate.pdf"
    assert draw(CASES["plate"], path, smallest_hole_mm=6.0) == ()
    texts = [w.text.strip() for w in read_pdf(path).pages[0].words]
    assert texts.count("3*") == 2
    assert any(t.startswith("* Centre mark only") for t in texts)


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("count", [1, 4, 8])
def test_waived_rules_are_marked_on_every_sheet_and_listed_on_one(
    tmp_path: Path, paper: str, count: int
) -> None:
    path = tmp_path / "hanger.pdf"
    waived = WAIVED[:count]
    assert draw(CASES["hanger"], path, paper=paper, waived=waived) == ()
    pages = read_pdf(path).pages
    assert len(pages) > 1
    assert all("WAIVED: see list" in page.text for page in pages)
    assert sum("WAIVED RULES" in page.text for page in pages) == 1
    assert waiver_problems(path, waived) == []
    assert waiver_problems(path, ()) != []


def test_long_and_foreign_words_stay_in_their_cells(tmp_path: Path) -> None:
    plan = make("reservoir_bracket")
    path = tmp_path / "part.pdf"
    for job in ("W" * 60, "Łódź: žluťoučký van", "x"):
        write_part_drawing(plan, path, job_title=job, revision="r" * 12, paper="A4")
        back = read_part_drawing(path, plan, job_title=job, revision="r" * 12, rel="part.pdf")
        assert back.problems == ()


def test_a_part_too_large_for_any_scale_is_refused(tmp_path: Path) -> None:
    huge = PartPlan(
        name="huge",
        kind="by_hand",
        title="Huge",
        material="1008 steel",
        thickness_mm=3.0,
        flanges=(Flange(name="plate", contour=rectangle(0, 0, 50_000, 50_000)),),
    )
    with pytest.raises(GeometryFault, match="too large to draw"):
        draw(huge, tmp_path / "huge.pdf")


def test_unknown_paper_is_looked_up_not_guessed(tmp_path: Path) -> None:
    with pytest.raises(LookupFault, match="tabloid"):
        draw(CASES["plate"], tmp_path / "a.pdf", paper="foolscap")


def test_same_bytes_in_another_process_with_another_hash_seed(tmp_path: Path) -> None:
    here, there = tmp_path / "here.pdf", tmp_path / "there.pdf"
    write_part_drawing(tree(), here, job_title=JOB, revision=REVISION)
    program = (
        "import sys; from pathlib import Path; sys.path.insert(0, sys.argv[1]);"
        "from drawing.part_cases import JOB, REVISION, tree;"
        "from generators.drawing.part.drawing import write_part_drawing;"
        "write_part_drawing(tree(), Path(sys.argv[2]), job_title=JOB, revision=REVISION)"
    )
    tests = Path(__file__).parents[1]
    subprocess.run(
        [sys.executable, "-c", program, str(tests), str(there)],
        check=True,
        cwd=tests.parent,
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(tests.parent)},
    )
    assert here.read_bytes() == there.read_bytes()


def test_a_drawing_of_another_plan_is_found_out(tmp_path: Path) -> None:
    path = tmp_path / "part.pdf"
    plan = make("pedal_hanger")
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)

    def problems(other: PartPlan, job: str = JOB, revision: str = REVISION) -> str:
        return "\n".join(
            read_part_drawing(path, other, job_title=job, revision=revision, rel="part.pdf").problems
        )

    assert problems(plan) == ""
    # half a millimetre at 1:2 is a quarter on paper
    assert "hole 'mount_1' is not drawn in its place" in problems(make("pedal_hanger", mount_spacing_mm=44.5))
    wider = problems(make("pedal_hanger", pivot_bore_mm=16.5))
    assert "the tables give the size 16.50 0 times, the plan 2" in wider
    assert "hole 'pivot_left' is not drawn" in wider
    assert "does not give the material '304 stainless, ASTM A240'" in problems(
        make("pedal_hanger", material="304 stainless")
    )
    assert "does not give the thickness" in problems(make("pedal_hanger", t=2.5))
    assert "no outline of" in problems(make("pedal_hanger", tab_length_mm=40.0))
    assert "does not label the bend 'tab UP 80°'" in problems(
        make("pedal_hanger", tab_angle_rad=math.radians(80))
    )
    assert "does not give the revision 'ffff'" in problems(plan, revision="ffff")
    assert "does not give the job 'Dray 8'" in problems(plan, job="Dray 8")


def test_files_that_are_no_drawing(tmp_path: Path) -> None:
    path = tmp_path / "part.pdf"
    plan = CASES["plate"]
    arguments: dict[str, Any] = {"job_title": JOB, "revision": REVISION, "rel": "part.pdf"}
    assert "cannot be read" in read_part_drawing(path, plan, **arguments).problems[0]
    path.write_bytes(b"")
    assert not read_part_drawing(path, plan, **arguments).good
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    whole = path.read_bytes()
    for i in range(1, 12):
        path.write_bytes(whole[: len(whole) * i // 14])
        assert not read_part_drawing(path, plan, **arguments).good


def test_a_carried_hanger_of_nine_holes_and_twelve_corners_stands_on_two_sheets(tmp_path: Path) -> None:
    """None is left for a table alone: the flat view at 1:2 and its corners, then views, holes and bends."""
    sizes: dict[str, Any] = {
        **{"mounting": "top", "inside_width_mm": 104.0, "top_up_mm": 108.0, "pivot_up_mm": 68.0},
        **{"pivot_out_mm": 74.0, "pivot_bore_mm": 16.2, "master_bore_mm": 32.0, "master_spacing_mm": 60.0},
        **{"mount_spacing_mm": 150.0, "mount_first_mm": 42.0, "mount_pitch_mm": 42.0},
    }
    plan = make("carried_hanger", t=4.0, r=6.0, **sizes)
    path = tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    pdf = read_pdf(path)
    assert len(pdf.pages) == 2
    assert "FLAT BLANK 1:2" in pdf.pages[0].text
    assert all(word in pdf.pages[1].text for word in ("FRONT", "HOLES", "BENDS"))
