"""Letters etched on a blank: their shape, where they are put, the file, its read-back, the drawing."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from drawing.part_cases import cases, make
from shapely.geometry import LineString
from shapely.ops import polygonize, unary_union

from generators.drawing.dxf.flat import write_flat_dxf
from generators.drawing.part import drawing
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.datums import Datums
from generators.errors import GeometryFault
from generators.model.joints.hole_finish import HoleFinish, Ring
from generators.model.limits import Limits
from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Cutting
from generators.parts.building.dressing import dress
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.marking.etching import Etching, etching
from generators.sheetmetal.marking.letters import GLYPHS, glyph, strokes, width_mm
from generators.sheetmetal.marking.welded import welded_on
from generators.verify.dxf.flat import read_flat_dxf
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.drawing import read_part_drawing

TEXT = "WH-101 A"


def lettered(text: str = TEXT) -> PartPlan:
    return replace(make("pedal_hanger"), etch=text)


@pytest.mark.parametrize("letter", [c for c in GLYPHS if c != " "])
def test_a_letter_cut_through_by_mistake_drops_nothing(letter: str) -> None:
    """No lines of a letter enclose an area; all lie on a grid of 4 by 6."""
    lines = [LineString(s) for s in glyph(letter)]
    assert list(polygonize(unary_union(lines))) == []
    for stroke in glyph(letter):
        assert len(stroke) > 1
        assert all(0 <= x <= 4 and 0 <= y <= 6 for x, y in stroke)
        assert all(a != b for a, b in itertools.pairwise(stroke))


def test_letters_differ() -> None:
    drawn = {c: frozenset(itertools.chain(*map(itertools.pairwise, glyph(c)))) for c in GLYPHS}
    assert len(set(drawn.values())) == len(GLYPHS)


def test_size_of_a_line_by_hand() -> None:
    """L is 4 wide and 6 high on its grid, the next begins at 6: LL 6 mm high is 10 wide."""
    assert width_mm("LL", 6.0) == 10.0
    assert strokes("LL", 6.0)[1] == ((6.0, 6.0), (6.0, 0.0), (10.0, 0.0))


@pytest.mark.parametrize("profile", ["polylines", "exploded", "r12"])
def test_the_file_has_them_on_their_own_layer(tmp_path: Path, profile: str) -> None:
    plan, shop = lettered(), Cutting(profile=profile)  # type: ignore[arg-type]
    path = tmp_path / ("f_mm.dxf" if profile == "r12" else "f.dxf")
    write_flat_dxf(plan, path, revision="abc1234", cutting=shop)
    assert read_flat_dxf(path, plan, rel="x", cutting=shop).problems == ()
    doc = ezdxf.readfile(path)
    kinds = {e.dxftype() for e in doc.modelspace() if e.dxf.layer == "ETCH"}
    assert kinds == ({"LWPOLYLINE"} if profile == "polylines" else {"LINE"})
    assert not any(e.closed for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "ETCH")
    said = [e.dxf.text for e in doc.modelspace().query("TEXT")]
    assert f"Layer ETCH: {TEXT} etched on the upper side. MARK ONLY, NEVER CUT THROUGH." in said
    assert any("burrs come on the lower side" in s for s in said)


def test_without_letters_there_is_no_such_layer(tmp_path: Path) -> None:
    write_flat_dxf(make("pedal_hanger"), tmp_path / "f.dxf", revision="abc1234")
    assert "ETCH" not in ezdxf.readfile(tmp_path / "f.dxf").layers
    read = read_flat_dxf(tmp_path / "f.dxf", lettered(), rel="x")
    assert any("lines are etched" in p for p in read.problems)


def moved(path: Path, du: float, dv: float) -> None:
    doc = ezdxf.readfile(path)
    for e in doc.modelspace():
        if e.dxf.layer == "ETCH":
            e.translate(du, dv, 0)
    doc.saveas(path)


@pytest.mark.parametrize(
    ("du", "dv", "said"), [(0.0, -60.0, "than they may"), (48.0, 0.0, "bend"), (0.0, 400.0, "edge")]
)
def test_letters_where_they_may_not_be_are_seen(tmp_path: Path, du: float, dv: float, said: str) -> None:
    path = tmp_path / "f.dxf"
    write_flat_dxf(lettered(), path, revision="abc1234")
    moved(path, du, dv)
    problems = read_flat_dxf(path, lettered(), rel="x").problems
    assert any(said in p for p in problems), problems


def test_another_text_and_a_changed_stroke_are_seen(tmp_path: Path) -> None:
    path = tmp_path / "f.dxf"
    write_flat_dxf(lettered(), path, revision="abc1234")
    other = read_flat_dxf(path, lettered(text="WH-101 B"), rel="x").problems
    assert any("etched" in p for p in other)
    doc = ezdxf.readfile(path)
    line = next(e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == "ETCH")
    line.set_points(
        [(x + (0.1 if i else 0.0), y) for i, (x, y) in enumerate(line.get_points("xy"))], format="xy"
    )
    doc.saveas(path)
    assert any("does not spell" in p for p in read_flat_dxf(path, lettered(), rel="x").problems)


@pytest.mark.parametrize("name", sorted(cases()))
def test_every_part_has_room_or_none_and_the_file_reads(tmp_path: Path, name: str) -> None:
    plan = replace(cases()[name], etch="X-1")
    if plan.printed:
        return
    path = tmp_path / "f.dxf"
    write_flat_dxf(plan, path, revision="abc1234")
    problems = read_flat_dxf(path, plan, rel="x").problems
    assert not [p for p in problems if "etch" in p or "letters" in p]


def test_the_drawing_shows_them(tmp_path: Path) -> None:
    path = tmp_path / "d.pdf"
    write_part_drawing(lettered(), path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, lettered(), job_title="Toy", revision="abc1234", rel="x").problems == ()
    found = etching(lettered(), flat_pattern(lettered()))
    assert found is not None
    assert found.height_mm == 6.0


@pytest.mark.parametrize("text", ["wh-101", "WH+1", "A ", "É"])
def test_letters_there_are_none_of_are_refused(text: str) -> None:
    plan = make("pedal_hanger")
    spec = PartSpec(
        name="p", kind="pedal_hanger", material="1008 steel", thickness_mm=3.0, parameters=None, etch=text
    )
    with pytest.raises(GeometryFault) as caught:
        dress(plan, spec, Limits())
    assert caught.value.parameter == ".etch"


def test_letters_keep_off_a_gusset_and_its_fillet() -> None:
    """By hand: 110 mm inside the gussets, 3 mm sheet, least leg 3 mm (AWS D1.1): 52 to 61 mm off the middle."""
    plan = replace(make("slave_bracket"), etch="DT-210 A")
    flat = flat_pattern(plan)
    spans = sorted(shape.bounds[::2] for shape in welded_on(plan, flat, "base"))
    assert spans == [pytest.approx((-61.0, -52.0)), pytest.approx((52.0, 61.0))]
    room = next(iter(welded_on(plan, flat, "left_gusset")))
    assert room.bounds[3] - room.bounds[1] == pytest.approx(2 * 3.0), "its own edge, a leg to each side"
    found = etching(plan, flat)
    assert found is not None
    u0, _, u1, _ = found.box
    assert max(abs(u0), abs(u1)) <= 52.0 - 6.0, "two thicknesses off the fillet"


@pytest.mark.parametrize(("off_mm", "seen"), [(0.2, False), (-0.2, True)])
def test_letters_beside_a_gussets_fillet_are_seen(tmp_path: Path, off_mm: float, seen: bool) -> None:
    """The fillet begins 52 mm from the middle, and letters two thicknesses before it: 46 mm by hand."""
    plan = replace(make("slave_bracket", base_depth_mm=120.0), etch="D-2")
    path = tmp_path / "f.dxf"
    write_flat_dxf(plan, path, revision="abc1234")
    found = etching(plan, flat_pattern(plan))
    assert found is not None
    moved(path, 46.0 - off_mm - found.box[2], 0.0)
    problems = read_flat_dxf(path, plan, rel="x").problems
    assert any("the weld of right_gusset to base" in p for p in problems) == seen, problems


def test_letters_keep_off_a_welded_boss() -> None:
    """By hand: a tube 30 mm across with a 3 mm throat covers 15 + 3 x 1.414 = 19.24 mm round its middle."""
    plan = lettered()
    flange = plan.flanges[0]
    hole = max(flange.holes, key=lambda h: -h.diameter_mm)
    ring = Ring(outside_mm=30.0, height_mm=10.0, welded=True, weld_mm=3.0)
    finish = HoleFinish(kind="reamed", cut_mm=hole.diameter_mm, words="boss", ring=ring)
    holes = tuple(replace(h, finish=finish) if h is hole else h for h in flange.holes)
    bossed = replace(plan, flanges=(replace(flange, holes=holes), *plan.flanges[1:]))
    found = etching(bossed, flat_pattern(bossed))
    assert found is not None
    for stroke in found.strokes if found.flange == flange.name else ():
        far = LineString(stroke).distance(LineString([(hole.u_mm, hole.v_mm)] * 2))
        assert far >= 19.24 + 6.0


def test_the_drawing_gives_the_letters_their_place(tmp_path: Path) -> None:
    """The blank's left and lower edges are its least coordinates; what the row says is counted from there."""
    plan, path = replace(make("slave_bracket"), etch="DT-210 A"), tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    flat = flat_pattern(plan)
    found = etching(plan, flat)
    assert found is not None
    left = min(p.u for p in flat.contour.vertices)
    low = min(p.v for p in flat.contour.vertices)
    text = " ".join(page.text for page in read_pdf(path).pages)
    assert f"X {found.box[0] - left:.1f} to" in text
    assert (
        f"Y {found.box[1] - low:.1f} to {found.box[3] - low:.1f}; a mark only, 0.1 to 0.2 deep or stamped by hand, never through;"
        in " ".join(text.split())
    )
    assert "…" not in text, "the row is not cut off"


@pytest.mark.parametrize("text", ["1", "I", "II", "-", "A", "1/1"])
def test_a_single_letter_is_read_back(tmp_path: Path, text: str) -> None:
    """A 1 or an I is a third as wide as it is high, a dash has no height."""
    plan, path = replace(make("slave_bracket"), etch=text), tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()


def test_a_row_whose_letters_have_other_sizes_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, path = replace(make("slave_bracket"), etch="D-2"), tmp_path / "d.pdf"
    honest = drawing._etched

    def larger(letters: Etching, datums: Datums) -> str:
        return honest(replace(letters, height_mm=letters.height_mm + 1), datums)

    monkeypatch.setattr(drawing, "_etched", larger)
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    problems = read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems
    assert any("mm of room, wanted" in p for p in problems), problems


@pytest.mark.parametrize("by", [0.0, 3.0])
def test_a_row_that_gives_another_place_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, by: float
) -> None:
    plan, path = replace(make("slave_bracket"), etch="DT-210 A"), tmp_path / "d.pdf"
    honest = drawing._etched

    def elsewhere(letters: Etching, datums: Datums) -> str:
        return honest(letters, replace(datums, u_mm=datums.u_mm + by))

    monkeypatch.setattr(drawing, "_etched", elsewhere)
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    problems = read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems
    assert any("are not where the row on them says" in p for p in problems) == bool(by), problems


def test_a_drawing_that_leaves_issue_and_revision_unrelated_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, path = replace(make("slave_bracket"), etch="DT-210 A"), tmp_path / "d.pdf"
    monkeypatch.setattr(drawing, "ISSUE", "")
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    problems = read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems
    assert "sheet 1 does not say how an issue and a revision belong together" in problems


def test_a_title_block_of_another_scale_than_its_views_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, path = make("slave_bracket"), tmp_path / "d.pdf"
    monkeypatch.setattr(drawing._Content, "scale_of", lambda *_: "1:7")
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    problems = read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems
    assert any("title block says scale '1:7'" in p for p in problems)
