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
from generators.drawing.part.drawing import write_part_drawing
from generators.errors import GeometryFault
from generators.model.limits import Limits
from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Cutting
from generators.parts.building.dressing import dress
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.marking.etching import etching
from generators.sheetmetal.marking.letters import GLYPHS, glyph, strokes, width_mm
from generators.verify.dxf.flat import read_flat_dxf
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
