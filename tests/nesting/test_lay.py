"""Blanks on sheets: what fits by hand, gap, grain and count on the finished file, the same every time."""

from __future__ import annotations

import itertools
import math
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Literal

import ezdxf
import pytest
from shapely.geometry import Polygon

sys.path.insert(0, str(Path(__file__).parent))
from plates import BIG, STEEL, box, drawn, nested, plate, shop, wedge

from generators.drawing.dxf.nest import write_nest_dxf
from generators.geometry.contours import Placement, polyline
from generators.model.contour import Contour, Vertex
from generators.model.spec.shop import Shop
from generators.model.spec.tools.rates import RackSheet
from generators.nesting.nest import Laid, LaidSheet, Nest, box_area, box_of
from generators.nesting.place import NoSheetError
from generators.verify.dxf.nest import NestHead, read_nest_dxf
from generators.verify.dxf.nest_blanks import Wanted
from generators.verify.readback import ReadBack


def small(length: float, width: float, count: int | None = None) -> RackSheet:
    return RackSheet(material=STEEL, thickness_mm=4.0, length_mm=length, width_mm=width, count=count)


# by hand, margin 10, gap 8: four of 240 with three gaps and two margins are 4 x 240 + 3 x 8 + 20 = 1004
@pytest.mark.parametrize(("length", "sheets"), [(1004.0, 1), (1003.9, 2)])
def test_what_fits_is_what_a_rule_gives(length: float, sheets: int) -> None:
    made = nested([box("a", 240, 240, 8)], shop(small(length, 508.0)))
    assert len(made.sheets) == sheets
    assert sum(len(s.laid) for s in made.sheets) == 8


def test_a_blank_that_no_sheet_takes_is_named() -> None:
    assert len(nested([box("a", 480, 380)], shop(small(500.0, 400.0))).sheets) == 1
    for wide, high in ((480.2, 380.0), (480.0, 380.2)):
        with pytest.raises(NoSheetError, match="finds no place") as fault:
            nested([box("a", wide, high)], shop(small(500.0, 400.0)))
        assert fault.value.part == "a"
    with pytest.raises(NoSheetError, match="no sheet of S235 steel, 4 mm"):
        nested([box("a", 50, 50)], shop(replace(BIG, thickness_mm=3.0)))


# 300 x 100 with its grain along u goes on a sheet 320 x 120 only the way the sheet is rolled
def test_the_grain_decides_which_way_a_blank_lies() -> None:
    lying, standing = small(320.0, 120.0), replace(small(320.0, 120.0), grain="width")
    for sheet, grain, fits in (
        (lying, "along_u", True),
        (lying, "along_v", False),
        (standing, "along_v", True),
        (standing, "along_u", False),
        (lying, "any", True),
    ):
        plans = [box("a", 300, 100, grain=grain)]
        if fits:
            assert len(nested(plans, shop(sheet)).sheets) == 1
        else:
            with pytest.raises(NoSheetError):
                nested(plans, shop(sheet))


def test_two_wedges_lie_head_to_tail() -> None:
    # their sides slope by 45 deg: across, 8 mm of gap are 8 x sqrt 2 level, so a pair is 300 + 100 + 11.31
    # long and one sheet with margins of 10 must be 431.4 long to take two; two boxes would need 628
    pair = 300 + 100 + 8 * math.sqrt(2) + 20
    assert len(nested([wedge("w", 2, "along_u")], shop(small(pair + 0.1, 220.0))).sheets) == 1
    assert len(nested([wedge("w", 2, "along_u")], shop(small(pair - 0.1, 220.0))).sheets) == 2


def test_remnants_are_taken_before_whole_sheets_where_that_uses_less() -> None:
    rest = replace(small(560.0, 320.0, 1), name="rest 3")
    made = nested([box("a", 250, 300, 2)], shop(BIG, rest))
    assert [s.rack.name for s in made.sheets] == ["rest 3"]
    assert made.sheets[0].remnant is None
    with pytest.raises(NoSheetError, match="finds no place"):
        nested([box("a", 250, 300, 3)], shop(rest))


def test_the_remnant_is_what_one_straight_cut_leaves() -> None:
    # two of 300 x 500 side by side stand 10 + 500 + 8 high, or 10 + 2 x 308 long: cut along, 2500 x 732 are left,
    # cut across 2500 - 626 = 1874 x 1250, which is more
    made = nested([box("a", 300, 500, 2, "along_u")], shop())
    remnant = made.sheets[0].remnant
    assert remnant is not None
    assert box_area(remnant) == pytest.approx((2500 - 10 - 308) * 1250, abs=1250)


def outlines(path: Path) -> Iterator[Polygon]:
    """Outer polylines of a nest, by shapely, from the entities alone."""
    rings = []
    for e in ezdxf.readfile(path).modelspace().query("LWPOLYLINE"):
        points = [Vertex(x, y, b) for x, y, b in e.get_points("xyb")]
        rings.append(Polygon(polyline(Contour(tuple(points)), 0.001)))
    for ring in rings:
        if not any(o is not ring and o.contains(ring) for o in rings):
            yield ring


def written(made: Nest, sheet: LaidSheet, of: Shop, path: Path) -> Path:
    write_nest_dxf(made, sheet, path, job="toy", revision="abc1234", cutting=of.cutting, rules=of.nest)
    return path


def read(made: Nest, sheet: LaidSheet, of: Shop, path: Path) -> ReadBack:
    counts = Counter(laid.part for laid in sheet.laid)
    wanted = [
        Wanted(plan=b.plan, least_mm=b.least_mm, count=counts[b.plan.name])
        for b in made.blanks
        if counts[b.plan.name]
    ]
    head = NestHead(job="toy", revision="abc1234", number=sheet.number, sheets=len(made.sheets))
    return read_nest_dxf(
        path, wanted, sheet.rack, head=head, cutting=of.cutting, rules=of.nest, rel=path.name
    )


@pytest.mark.parametrize("seed", range(4))
def test_gap_and_margin_are_kept_on_the_finished_file(seed: int, tmp_path: Path) -> None:
    of = shop(gap=[5.0, 8.0, 10.0, 12.5][seed])
    made = nested(drawn(seed, 6, 30), of)
    laid = Counter(one.part for sheet in made.sheets for one in sheet.laid)
    assert laid == {b.plan.name: b.count for b in made.blanks}
    for sheet in made.sheets:
        path = written(made, sheet, of, tmp_path / f"{sheet.number}.dxf")
        shapes = list(outlines(path))
        assert len(shapes) == len(sheet.laid)
        for a, b in itertools.combinations(shapes, 2):
            assert a.distance(b) >= of.nest.gap_mm - 0.002
        for shape in shapes:
            u0, v0, u1, v1 = shape.bounds
            assert min(u0, v0, 2500 - u1, 1250 - v1) >= 10 - 1e-6
        assert read(made, sheet, of, path).problems == ()


def sides(ring: Polygon) -> Iterator[tuple[float, float]]:
    """Every side of an outline, how far across and how far up it goes, mm."""
    for (x0, y0), (x1, y1) in itertools.pairwise(ring.exterior.coords):
        yield abs(x1 - x0), abs(y1 - y0)


def test_grain_is_kept_on_the_finished_file_and_no_sheet_is_wasted(tmp_path: Path) -> None:
    """A blank's lower side, its widest, runs along u; the sheet is rolled along its length. Closed form: no fewer
    sheets than all outlines' area over a sheet's, and at most one more is taken here."""
    plans, of = drawn(5, 8, 40), shop()
    made = nested(plans, of)
    rings = {p.name: Polygon([(c.u, c.v) for c in p.flanges[0].contour.vertices]) for p in plans}
    ordered = {p.name: p.grain for p in plans}
    assert set(ordered.values()) == {"any", "along_u", "along_v"}
    looked = 0
    for sheet in made.sheets:
        for shape in outlines(written(made, sheet, of, tmp_path / f"{sheet.number}.dxf")):
            name = min(rings, key=lambda n: abs(rings[n].area - shape.area))
            assert rings[name].area == pytest.approx(shape.area, abs=1.0)
            wide = rings[name].bounds[2]
            along = any(abs(x - wide) < 0.01 and y < 0.01 for x, y in sides(shape))
            up = any(abs(y - wide) < 0.01 and x < 0.01 for x, y in sides(shape))
            assert along or up
            if ordered[name] != "any":
                looked += 1
                assert along == (ordered[name] == "along_u"), name
    assert looked > 5
    bound = math.ceil(sum(rings[p.name].area * p.quantity for p in plans) / (2500 * 1250))
    assert bound <= len(made.sheets) <= bound + 1
    for sheet in made.sheets:
        assert made.outlines_mm2(sheet) <= sheet.used_mm2 <= 2500 * 1250


@pytest.mark.parametrize(
    "form",
    [
        {"profile": "exploded"},
        {"profile": "r12", "layers": "cut_and_mark"},
        {"bend_lines": False, "notes": False},
        {"kerf_mm": 0.3},
    ],
)
def test_every_form_of_file_reads_back(form: dict[str, object], tmp_path: Path) -> None:
    of = shop(**form)
    # holes below 7 mm are marked only
    made = nested([*drawn(9, 3, 9), wedge("w", 3, "along_v")], of, least=7.0)
    for sheet in made.sheets:
        path = written(made, sheet, of, tmp_path / f"{sheet.number}_mm.dxf")
        assert read(made, sheet, of, path).problems == ()


def test_the_same_parts_lie_in_the_same_places_again() -> None:
    plans = drawn(3, 5, 25)
    assert nested(plans, shop()).sheets == nested(plans, shop()).sheets


def test_a_word_on_the_layer_of_the_sheets_edges_is_no_edge(tmp_path: Path) -> None:
    """Only lines are edges: what a shop writes there itself (the rack's number, say) leaves the file readable."""
    of = shop()
    made = nested([box("a", 200, 150, 2)], of)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    doc = ezdxf.readfile(path)
    doc.modelspace().add_text("rack 7", dxfattribs={"layer": of.nest.sheet_layer})
    doc.saveas(path)
    assert read(made, made.sheets[0], of, path).problems == ()


def moved(one: Laid, du: float = 0.0, turn: float = 0.0) -> Laid:
    return replace(one, place=Placement(one.place.du + du, one.place.dv, one.place.angle + turn))


FLAWS = {
    "overlap": (lambda sheet: (moved(sheet.laid[0], 60.0), *sheet.laid[1:]), "two blanks"),
    "gap": (lambda sheet: (moved(sheet.laid[0], 0.1), *sheet.laid[1:]), "two blanks are 7.9"),
    "margin": (lambda sheet: (moved(sheet.laid[0], -0.1), *sheet.laid[1:]), "of the sheet's edge"),
    "missing": (lambda sheet: sheet.laid[1:], "are wanted"),
    "grain": (lambda sheet: (moved(sheet.laid[0], 900.0, math.pi / 2), *sheet.laid[1:]), "by its grain"),
    "slanted": (lambda sheet: (moved(sheet.laid[0], 900.0, 0.001), *sheet.laid[1:]), "by its grain"),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_each_flaw_shows(flaw: str, tmp_path: Path) -> None:
    of = shop()
    made = nested([box("a", 200, 150, 12, "along_u")], of)
    sheet = made.sheets[0]
    first = min(sheet.laid, key=lambda one: (one.place.du, one.place.dv))
    sheet = replace(sheet, laid=(first, *(x for x in sheet.laid if x is not first)), remnant=None)
    # the row the first one stands in runs along the sheet
    assert box_of(made.blanks[0], first.place)[0] == pytest.approx(10.0)
    change, said = FLAWS[flaw]
    bad = replace(sheet, laid=change(sheet))
    path = written(made, bad, of, tmp_path / "n.dxf")
    problems = read(made, sheet, of, path).problems
    assert any(said in p for p in problems), problems


def test_the_wrong_hand_and_a_wrong_remnant_show(tmp_path: Path) -> None:
    of = shop()
    left = [(0.0, 0.0), (300.0, 0.0), (100.0, 200.0), (0.0, 200.0)]
    right = [(-u, v) for u, v in reversed(left)]
    made = nested([plate("w", left, 2)], of)
    other = nested([plate("w", right, 2)], of)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    assert read(made, made.sheets[0], of, path).problems == ()
    assert any("no blank of the job" in p for p in read(other, made.sheets[0], of, path).problems)
    u0, v0, u1, v1 = made.sheets[0].remnant or (0, 0, 0, 0)
    wide = replace(made.sheets[0], remnant=(u0 - 30, v0 - 30 if v0 else v0, u1, v1))
    path = written(made, wide, of, tmp_path / "w.dxf")
    assert any("remnant comes within" in p for p in read(made, wide, of, path).problems)


def test_two_parts_of_one_blank_are_told_apart_or_counted_together(tmp_path: Path) -> None:
    """Nothing in a file tells two equal blanks apart; what counts is how many there are of both."""
    of = shop()
    made = nested([box("a", 200, 150, 2), box("b", 200, 150, 3)], of)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    assert read(made, made.sheets[0], of, path).problems == ()
    fewer = replace(made.sheets[0], laid=made.sheets[0].laid[1:])
    path = written(made, fewer, of, tmp_path / "f.dxf")
    assert any("1 of a" in p or "2 of b" in p for p in read(made, made.sheets[0], of, path).problems)
    more = nested([box("a", 200, 150, 2), box("b", 200, 150, 4)], of)
    path = written(more, more.sheets[0], of, tmp_path / "m.dxf")
    assert any("one too many" in p for p in read(made, made.sheets[0], of, path).problems)


def test_equal_blanks_of_other_grain_are_counted_each_for_itself(tmp_path: Path) -> None:
    of = shop()
    made = nested([box("a", 200, 150, 2, "along_u"), box("b", 200, 150, 3, "along_v")], of)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    assert read(made, made.sheets[0], of, path).problems == ()
    other = nested([box("a", 200, 150, 3, "along_u"), box("b", 200, 150, 2, "along_v")], of)
    path = written(other, other.sheets[0], of, tmp_path / "o.dxf")
    said = read(made, made.sheets[0], of, path).problems
    assert any(p == "2 of b, 3 are wanted" for p in said), said


@pytest.mark.parametrize("own", ["length", "width"])
def test_a_remnant_rolled_across_lies_beside_sheets_rolled_along(
    own: Literal["length", "width"], tmp_path: Path
) -> None:
    # one of 300 x 100 fills the remnant, two with 10 of margin and 8 of gap a sheet 320 x 228, one way only
    long = (320.0, 120.0) if own == "length" else (120.0, 320.0)
    rest = replace(small(*long, 1), name="rest", grain=own)
    of = shop(small(320.0, 228.0), rest)
    made = nested([box("a", 300, 100, 3, "along_u")], of)
    assert sorted((s.rack.name, len(s.laid)) for s in made.sheets) == [("", 2), ("rest", 1)]
    for sheet in made.sheets:
        path = written(made, sheet, of, tmp_path / f"{sheet.number}.dxf")
        assert read(made, sheet, of, path).problems == ()


def test_parts_that_fit_one_of_two_sizes_each_go_on_that_one() -> None:
    """2500 long fits no sheet of 1000, 800 wide none of 300."""
    strip, square = small(3000.0, 300.0), small(1000.0, 1000.0)
    for racks in ((strip, square), (square, strip), (strip, replace(square, grain="width"))):
        made = nested([box("a", 2500, 200), box("b", 800, 800)], shop(*racks))
        assert {(s.laid[0].part, s.rack.length_mm) for s in made.sheets} == {("a", 3000.0), ("b", 1000.0)}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("S235 steel, 4 mm, 2500", "S235 steel, 3 mm, 2500"), "no note says 'S235 steel, 4 mm, 2500"),
        (("revision abc1234", "revision abc1235"), "revision abc1234'"),
        (("2 x a", "3 x a"), "the notes count"),
        (("drill 9.00 mm", "drill 8.00 mm"), "drill 9.00 mm'"),
        (("burrs come", "burrs go"), "burrs"),
        (("REMNANT toy-1", "REMNANT toy-2"), "is named toy-2"),
    ],
)
def test_wrong_notes_show(change: tuple[str, str], said: str, tmp_path: Path) -> None:
    of = shop()
    made = nested([box("a", 200, 150, 2)], of, least=10.0)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    assert read(made, made.sheets[0], of, path).problems == ()
    text = path.read_text()
    assert change[0] in text
    path.write_text(text.replace(*change))
    problems = read(made, made.sheets[0], of, path).problems
    assert any(said in p for p in problems), problems


def test_centre_marks_left_out_or_moved_show(tmp_path: Path) -> None:
    of = shop()
    made = nested([box("a", 200, 150, 2)], of, least=10.0)
    path = written(made, made.sheets[0], of, tmp_path / "n.dxf")
    doc = ezdxf.readfile(path)
    # a hole and both ends of a slot on each of two
    marks = list(doc.modelspace().query('LINE[layer=="MARK"]'))
    assert len(marks) == 2 * 2 * 3
    marks[0].translate(0.01, 0, 0)
    doc.saveas(path)
    assert any("centre mark" in p for p in read(made, made.sheets[0], of, path).problems)
    for mark in marks:
        doc.modelspace().delete_entity(mark)
    doc.saveas(path)
    assert any("centre mark" in p for p in read(made, made.sheets[0], of, path).problems)


def test_a_remnant_left_out_or_off_the_sheet_shows(tmp_path: Path) -> None:
    of = shop()
    made = nested([box("a", 200, 150, 2)], of)
    sheet = made.sheets[0]
    u0, v0, u1, v1 = sheet.remnant or (0, 0, 0, 0)
    for remnant, said in (
        (None, "no remnant is drawn"),
        ((u0, v0, u1 + 500, v1), "what is left of the sheet is"),
        ((u0 + 0.1, v0, u1, v1), "what is left of the sheet is"),
    ):
        path = written(made, replace(sheet, remnant=remnant), of, tmp_path / "n.dxf")
        problems = read(made, sheet, of, path).problems
        assert any(said in p for p in problems), (remnant, problems)
