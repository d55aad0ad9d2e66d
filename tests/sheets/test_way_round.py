"""Which way round a made part goes: the printed distances fit the part as it lies, and in no other way."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from finished_words import Sheet

from generators.model.contour import Contour
from generators.model.plan import Hole, PanelLayout, PartPlan
from generators.model.spec.titles import within
from generators.sheets.bolting.way_round import way_round_words
from generators.solve.job import prepare

TARN = Path(__file__).parents[2] / "specs" / "tarn_special.toml"
NUMBER = r"([0-9.]+) mm"
ROUND = re.compile(
    rf"Which way round, as you stand on the (cab|engine) side: its \w+ for hole (\w+) \({NUMBER} wide\) is {NUMBER} "
    rf"from its left-hand edge and {NUMBER} from its right-hand one, {NUMBER} from its upper edge and {NUMBER} "
    "from its lower one"
)
UP = re.compile(
    rf"Which way up, as you stand on the (cab|engine) side: its \w+ for hole (\w+) \({NUMBER} wide\) is {NUMBER} "
    rf"from the upper edge and {NUMBER} from its lower one"
)
READ_MM = 0.06
"""A printed tenth."""


def corners(contour: Contour) -> tuple[float, float, float, float]:
    """Left, low, right, top of a plan's outline, by its vertices (its arcs are corners cut off, or round ends)."""
    u, v = zip(*raw(contour), strict=True)
    return min(u), min(v), max(u), max(v)


def edges(plan: PartPlan, hole: Hole) -> tuple[float, float, float, float]:
    """From left, right, upper and lower edge of the root flange as its own frame has them, mm."""
    u0, v0, u1, v1 = corners(plan.flanges[0].contour)
    return hole.u_mm - u0, u1 - hole.u_mm, v1 - hole.v_mm, hole.v_mm - v0


def near(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(a - b) < READ_MM for a, b in zip(one, other, strict=True))


def test_distances_on_the_sheet_are_those_of_one_way_only(sheet: Sheet) -> None:
    """A part's own frame is seen from the face away from the metal, so its u runs to the right there."""
    checked = 0
    for part in sheet.job.parts:
        mount = part.spec.mount
        on = [x for x in sheet.job.layouts if mount is not None and x.panel == mount.panel]
        for layout in on:
            step = way_round_words(part.plan, layout, mount.face) if mount is not None else ""
            if (found := ROUND.search(step)) is None:
                continue
            checked += 1
            assert mount is not None
            assert mount.rotate_rad == 0
            assert found[1] == mount.face
            wide, *said = (float(text) for text in found.groups()[2:])
            like = [h for h in part.plan.flanges[0].holes if abs(h.diameter_mm - wide) < READ_MM]
            ways = [edges(part.plan, h) for h in like]
            assert any(near(tuple(said), way) for way in ways)
            turned = [(r, left, up, down) for left, r, up, down in ways]
            turned += [(left, r, down, up) for left, r, up, down in ways]
            turned += [(r, left, down, up) for left, r, up, down in ways]
            assert not any(near(tuple(said), way) for way in turned)
    assert checked or sheet.job.file.job.job.name != "tarn_special"


def test_a_part_with_legs_says_which_edge_is_up(sheet: Sheet) -> None:
    for part in sheet.job.parts:
        if part.spec.mount is None or part.plan.printed or len(part.plan.flanges) == 1:
            continue
        layout = next(x for x in sheet.job.layouts if x.panel == part.spec.mount.panel)
        said = [UP.search(way_round_words(part.plan, layout, part.spec.mount.face))]
        for found in said:
            assert found, part.spec.name
            up, down = float(found[4]), float(found[5])
            every = part.plan.flanges[0].openings
            _u0, v0, _u1, v1 = corners(part.plan.flanges[0].contour)
            assert any(near((up, down), (v1 - o.v_mm, o.v_mm - v0)) for o in every)
            assert abs(up - down) > READ_MM


def test_what_may_go_on_any_way_round_is_the_same_turned_over(sheet: Sheet) -> None:
    for part in sheet.job.parts:
        title = within(part.plan.title)
        if any(f"the {title} " in s and "It may go on any way round." in s for s in sheet.steps):
            holes = part.plan.flanges[0].holes
            ways = {tuple(round(mm, 1) for mm in (h.diameter_mm, *edges(part.plan, h))) for h in holes}
            assert ways == {(d, r, left, up, down) for d, left, r, up, down in ways}
            assert ways == {(d, left, r, down, up) for d, left, r, up, down in ways}


@pytest.fixture(scope="module")
def plate() -> tuple[PartPlan, PanelLayout]:
    """The reservoirs' plate, the same however it is turned."""
    job = prepare(TARN)
    part = next(p for p in job.parts if p.spec.name == "reservoirs")
    layout = next(x for x in job.layouts if any(f.part == "reservoirs" for f in x.footprints))
    return part.plan, layout


def moved(layout: PanelLayout, by_mm: float) -> PanelLayout:
    """The layout with one opening of the plate, and the panel's hole under it, that much higher."""
    prints = []
    number = ""
    for lies in layout.footprints:
        if lies.part != "reservoirs":
            prints.append(lies)
            continue
        first = lies.openings[0]
        middle = [sum(x) / len(first.vertices) for x in zip(*raw(first), strict=True)]
        number = min(layout.holes, key=lambda h: abs(h.u_mm - middle[0]) + abs(h.v_mm - middle[1])).number
        prints.append(replace(lies, openings=(lifted(first, by_mm), *lies.openings[1:])))
    holes = tuple(replace(h, v_mm=h.v_mm + by_mm) if h.number == number else h for h in layout.holes)
    return replace(layout, footprints=tuple(prints), holes=holes)


def raw(contour: Contour) -> list[tuple[float, float]]:
    return [(v.u, v.v) for v in contour.vertices]


def lifted(contour: Contour, by_mm: float) -> Contour:
    return replace(contour, vertices=tuple(replace(v, v=v.v + by_mm) for v in contour.vertices))


def test_a_third_of_a_millimetre_makes_it_one_way_only(plate: tuple[PartPlan, PanelLayout]) -> None:
    plan, layout = plate
    assert way_round_words(plan, layout, "engine") == " It may go on any way round."
    # the opening lies on the middle line: turned upside down, it is twice as far from where it was
    assert way_round_words(plan, moved(layout, 0.145), "engine") == " It may go on any way round."
    for off, looks in ((0.155, True), (2.95, True), (3.05, False)):
        words = way_round_words(plan, moved(layout, off), "engine")
        assert "Which way round" in words
        assert ("looks the same: measure to half a millimetre" in words) is looks


def test_etched_letters_look_away_from_the_metal(sheet: Sheet) -> None:
    etched = [p for p in sheet.job.parts if p.plan.etch and p.spec.mount is not None]
    for part in etched:
        layout = next(x for x in sheet.job.layouts if part.spec.mount and x.panel == part.spec.mount.panel)
        words = way_round_words(part.plan, layout, "engine")
        assert f"Its etched letters {part.plan.etch} look away from the metal, upright to read." in words
    assert etched or sheet.job.file.job.job.name != "tarn_special"
