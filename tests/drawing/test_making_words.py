"""What the drawing says once: the file the part is cut from with or without kerf, and what a finish does."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_once import solved

from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.coating import coating_lines
from generators.model.pedal_place import PressedBearing, PressedBush, Spacer
from generators.model.plan import PartPlan
from generators.solve.parts import sample_plan
from generators.standards import press_tolerance
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspecting.making import coat_problems, cut_file_problems

HANGER: PartPlan = sample_plan("pedal_hanger")[0]
# that of the master's nose, and the two of the pivot
BORES = "1, 8 and 9"
BARE = "bare or up to 25 µm of primer where pressed on (paint creeps)"
AS_FAR = "as far as bolted over at the trial fit"
FACES = f"{BARE}: lower side of web, upper side round 2 to 9, both sides round 10, {AS_FAR}"


@pytest.mark.parametrize(
    ("kerf_mm", "said"),
    [
        (
            None,
            "No kerf in these sizes nor in hanger_flat.dxf, the finished edge.",
        ),
        (
            0.2,
            "No kerf in these sizes; hanger_flat.dxf is offset for a cut 0.20 mm wide.",
        ),
    ],
)
def test_the_drawing_names_the_file_that_is_cut_and_its_kerf(
    kerf_mm: float | None, said: str, tmp_path: Path
) -> None:
    path = tmp_path / "d.pdf"
    cut: dict[str, Any] = {"cut_file": "hanger_flat.dxf", "kerf_mm": kerf_mm}
    write_part_drawing(HANGER, path, job_title="x", revision="abc1234", **cut)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert said in text
    made: dict[str, Any] = {"job_title": "x", "revision": "abc1234", "rel": "a"}
    assert read_part_drawing(path, HANGER, **made, **cut).problems == ()
    other = 0.3 if kerf_mm else 0.2
    for found, problem in (
        (read_part_drawing(path, HANGER, **made, **{**cut, "kerf_mm": other}).problems, "kerf, the shop 0."),
        (read_part_drawing(path, HANGER, **made, **{**cut, "cut_file": "b.dxf"}).problems, "that is b.dxf"),
        (tuple(cut_file_problems(text.replace("kerf", "burr"), HANGER, **cut)), "no kerf is in its sizes"),
    ):
        assert any(problem in p for p in found), found


@pytest.mark.parametrize(
    ("finish", "said"),
    [
        (
            "deburr all edges; paint after trial fit",
            f"mask bores {{}}; {FACES}.",
        ),
        ("deburr; zinc phosphate primer", f"mask bores {{}}; {FACES}."),
        ("deburr; zinc plate, sealant against the panel", "gauge bores {} again after it."),
        ("deburr all edges", ""),
        ("deburr, no paint", ""),
        ("deburr, unpainted", ""),
        ("", ""),
    ],
)
def test_what_is_put_on_is_not_in_the_sizes(finish: str, said: str) -> None:
    plan = replace(HANGER, finish=finish)
    words = " ".join(coating_lines(plan))
    if said:
        assert f"FINISH: sizes are before it; {said.format(BORES)}" in words
    else:
        assert words == ""
    assert list(coat_problems(words, plan)) == []
    # the words of another finish show
    for other in ("deburr", "zinc plate", "powder coat"):
        wrong = " ".join(coating_lines(replace(plan, finish=other)))
        assert (list(coat_problems(wrong, plan)) == []) == (wrong == words)


def test_a_bore_that_is_not_masked_shows() -> None:
    plan = replace(HANGER, finish="paint")
    (words,) = coating_lines(plan)
    found = list(coat_problems(words.replace(f"; mask bores {BORES}", ""), plan))
    assert found == ["of the finish the drawing has bores none, the part 1, 8, 9"]


def test_a_part_without_bores_is_masked_where_it_is_clamped() -> None:
    plan = replace(sample_plan("reservoir_bracket")[0], finish="paint after trial fit")
    (words,) = coating_lines(plan)
    faces = f"{BARE}: lower side of base, upper side round 1 and 2, both sides round 3 and 4, {AS_FAR}"
    assert words == f"FINISH: sizes are before it; {faces}."
    assert list(coat_problems(words, plan)) == []
    assert list(coat_problems(words.replace(f"; {faces}", ""), plan)) == [
        "the drawing does not keep paint off the faces that a bolt clamps"
    ]


@pytest.mark.parametrize(
    ("said", "other", "problem"),
    [
        (
            "lower side of web, ",
            "",
            "bare on all of the lower side the drawing has none; web lies on the panel",
        ),
        (
            "round 2 to 9",
            "round 2 to 8",
            "round 9 the drawing has its no side bare, what is bolted presses on its upper",
        ),
        (
            "both sides round 10",
            "lower side round 10",
            "round 10 the drawing has its lower side bare, what is bolted presses on its lower and upper",
        ),
        (f", {AS_FAR}", "", "the drawing does not say how far round holes it stays bare, or says so of none"),
    ],
)
def test_a_side_that_is_not_kept_bare_shows(said: str, other: str, problem: str) -> None:
    plan = replace(HANGER, finish="paint")
    (words,) = coating_lines(plan)
    assert said in words
    assert list(coat_problems(words.replace(said, other), plan)) == [problem]


def test_where_nothing_presses_no_side_is_kept_bare() -> None:
    plain = replace(HANGER.flanges[0].holes[0].fitting, kind="plain")
    flanges = tuple(
        replace(f, holes=tuple(replace(h, fitting=plain, mates=False) for h in f.holes), slots=())
        for f in HANGER.flanges
    )
    plan = replace(HANGER, flanges=flanges, finish="paint")
    assert list(coating_lines(plan)) == ["FINISH: sizes are before it."]
    assert list(coat_problems("FINISH: sizes are before it.", plan)) == []


FLANGED = PressedBush(
    inside_mm=16.0,
    bore_mm=15.99,
    least_mm=18.03,
    most_mm=18.065,
    length_mm=17.0,
    fit=press_tolerance(18.0),
    source="a maker's table",
    flange_mm=24.0,
    flange_thick_mm=1.0,
)
BALLS = PressedBearing(
    number="6003",
    width_mm=10.0,
    chamfer_mm=0.3,
    kept="press",
    shaft=press_tolerance(18.0),
)
TUBE = Spacer(outside_mm=24.0, inside_mm=16.5, length_mm=88.0)


@pytest.mark.parametrize(
    ("built", "said"),
    # the cheeks are bent up from the web: their upper sides face each other
    [
        ({"bush": FLANGED}, "upper side round 2 to 9, both sides round 10, "),
        ({"bush": FLANGED, "spacer": TUBE}, "upper side round 2 to 7, both sides round 8 to 10, "),
        ({"bush": replace(FLANGED, flange_mm=0.0, flange_thick_mm=0.0)}, "upper side round 2 to 9, "),
        # a hub on ball bearings stands between their inner rings and touches no cheek
        ({"bush": replace(FLANGED, flange_mm=0.0, flange_thick_mm=0.0, bearing=BALLS)}, "round 2 to 7, "),
    ],
)
def test_what_is_clamped_or_seated_at_a_pivot_stays_bare(built: dict[str, Any], said: str) -> None:
    plan = replace(HANGER, finish="paint", **built)
    (words,) = coating_lines(plan)
    assert said in words
    assert list(coat_problems(words, plan)) == []
    # what the words say of another build shows
    plain = replace(HANGER, finish="paint")
    assert (list(coat_problems(words, plain)) == []) == (words == next(coating_lines(plain)))


@pytest.mark.parametrize("demo", ["dray_tractor", "ferrow_bus", "tarn_special", "wrenfield_van"])
def test_what_is_faced_to_stand_between_cheeks_meets_no_thick_paint(demo: str, tmp_path: Path) -> None:
    met = 0
    for part in solved(demo).parts:
        plan = replace(part.plan, finish="two-pack epoxy primer, 60 to 80 µm, after trial fit")
        path = tmp_path / f"{plan.name}.pdf"
        write_part_drawing(plan, path, job_title="x", revision="abc1234")
        text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
        paired = re.findall(r"free between them once [a-z ]+, all round pivot bores (\d+) and (\d+)", text)
        bare = re.search(r"bare or up to 25 µm of primer where pressed on \(paint creeps\): ([^.]+)\.", text)
        counted: set[int] = set()
        for low, high in re.findall(r"(\d+)(?: to (\d+))?", bare[1] if bare else ""):
            counted.update(range(int(low), int(high or low) + 1))
        met += len(paired)
        assert {int(n) for pair in paired for n in pair} <= counted, plan.name
        left = text.replace("upper side round", "upper side about")
        if paired and left != text:
            assert list(coat_problems(left, plan)), plan.name
    assert met


@pytest.mark.parametrize(("bores", "said"), [(1, "mask bore 1; bare"), (2, "mask bores 1 and 8; bare")])
def test_one_bore_is_said_as_one(bores: int, said: str, tmp_path: Path) -> None:
    left = bores
    flanges = []
    for flange in HANGER.flanges:
        holes = []
        for hole in flange.holes:
            if hole.fitting.kind in {"bore", "pivot"}:
                left -= 1
                if left < 0:
                    hole = replace(hole, fitting=replace(hole.fitting, kind="plain"))  # noqa: PLW2901
            holes.append(hole)
        flanges.append(replace(flange, holes=tuple(holes)))
    plan = replace(HANGER, flanges=tuple(flanges), finish="two-pack epoxy primer, 60 to 80 µm")
    write_part_drawing(plan, tmp_path / "d.pdf", job_title="x", revision="abc1234")
    text = " ".join(" ".join(page.text for page in read_pdf(tmp_path / "d.pdf").pages).split())
    assert said in text
    # each of the two said of the other number shows
    other = text.replace("bore 1;", "bores 1;") if bores == 1 else text.replace("bores 1 and 8", "bore 1")
    assert list(coat_problems(text, plan)) == []
    assert any("the part 1" in p for p in coat_problems(other, plan))


def test_the_drawing_says_which_paint_and_what_the_letters_are(tmp_path: Path) -> None:
    prepared = solved("dray_tractor")
    for part in prepared.parts:
        path = tmp_path / f"{part.spec.name}.pdf"
        write_part_drawing(part.plan, path, job_title="x", revision="abc1234")
        for page in read_pdf(path).pages:
            text = " ".join(page.text.split())
            assert "paint after" not in text
            if part.spec.etch:
                assert f"etched part number and issue {part.spec.etch}: " in text
                assert "mm high, upper side of" in text
            assert re.search(r"finish .*(primer|plate|none).* \d+ (to \d+ )?µm", text)


@pytest.mark.parametrize("demo", ["dray_tractor", "ferrow_bus", "tarn_special", "wrenfield_van"])
def test_a_demo_says_of_each_finish_what_is_put_on_and_how_thick(demo: str) -> None:
    for part in solved(demo).parts:
        if not part.plan.printed and any(
            w in part.plan.finish for w in ("paint", "primer", "enamel", "plate")
        ):
            assert re.search(r"\d µm", part.plan.finish), part.spec.name
