"""Pictures of kinds: a name stands only where the parameter truly sets the dimension."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any

import pytest

from generators.drawing.paper.svg_pen import SvgPen
from generators.drawing.part.kind_picture import Row, write_kind_picture
from generators.drawing.part.named_sizes import Label, NamedSizes, Span, find_named_sizes
from generators.geometry.contours import polygon, rectangle
from generators.model.plan import Fitting, Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.parts import KINDS, kind_named
from generators.solve.parts import sample_plan
from generators.verify.pdf.content import read_pdf

NAMES = [f.name for f in KINDS]


def planned(name: str, parameters: Any) -> PartPlan:
    return sample_plan(name, parameters)[0]


@cache
def found_of(name: str) -> NamedSizes:
    return find_named_sizes(kind_named(name).parameters, partial(planned, name))


def spans(name: str) -> dict[str, Span]:
    return {s.key: s for s in found_of(name).spans}


def labels(name: str) -> dict[str, Label]:
    return {s.key: s for s in found_of(name).labels}


# ------------------------------------------------------------------- a kind made for the test
@dataclass(frozen=True, slots=True, kw_only=True)
class Toy:
    wide_mm: float = key.length("Width of the plate", lo=10, hi=200, default=80.0)
    half_mm: float = key.length("Half of its height: sets nothing one for one", lo=5, hi=100, default=17.0)
    hole_mm: float = key.length("Hole", lo=1, hi=30, default=12.0)
    along_mm: float = key.length("Hole from the left edge", lo=5, hi=100, default=23.0)
    same_mm: float = key.length("As large as the width by chance, sets nothing", lo=10, hi=200, default=80.0)


def toy(p: Toy) -> PartPlan:
    fitting = Fitting(kind="plain", label="-")
    hole = Hole(name="a", u_mm=p.along_mm, v_mm=5.0, diameter_mm=p.hole_mm, purpose="x", fitting=fitting)
    tall = 3 * p.half_mm
    return PartPlan(
        name="toy",
        kind="toy",
        title="toy",
        material="1008 steel",
        thickness_mm=2.0,
        flanges=(Flange(name="plate", contour=rectangle(0, 0, p.wide_mm, tall), holes=(hole,)),),
    )


def test_only_what_follows_one_for_one_is_named() -> None:
    found = find_named_sizes(Toy, toy)
    assert {s.text for s in found.spans} == {"wide 80", "along 23"}
    assert [x.text for x in found.labels] == ["hole Ø12"]
    assert set(found.unseen) == {"half", "same"}
    along = next(s for s in found.spans if s.key == "along")
    assert {along.start.rank, along.end.rank} == {0, 1}  # from the origin to the hole's centre
    assert along.axis == "x"


@pytest.mark.parametrize("name", NAMES)
def test_every_parameter_is_in_one_place(name: str) -> None:
    found = found_of(name)
    kind = next(f for f in KINDS if f.name == name)
    keys = [*(s.key for s in found.spans), *(x.key for x in found.labels), *found.unseen]
    assert sorted(keys) == sorted(f.key for f in key.spec_fields(kind.parameters))


def test_names_stand_at_the_dimensions_the_kind_says() -> None:
    """By what each parameter's own description says of it."""
    hanger = spans("pedal_hanger")
    assert (hanger["pivot_out"].axis, hanger["pivot_up"].axis, hanger["inside_width"].axis) == ("z", "y", "x")
    assert {hanger["mount_top"].start.rank, hanger["mount_top"].end.rank} == {0, 1}
    assert labels("pedal_hanger")["pivot_boss"].text == "pivot_boss R24"
    assert labels("pedal_hanger")["tab_angle"].bend == "tab"
    assert labels("throttle_pedal_bracket")["tilt"].text == "tilt 15° (bent 75°)"
    assert spans("throttle_pedal_bracket")["face_length"].axis == "leg"
    face = spans("throttle_pedal_bracket")["face_length"]
    assert math.dist(face.start.place, face.end.place) == pytest.approx(110)


def rows(parameters: Any) -> list[Row]:
    return [
        Row(key=f.key, default=str(f.default), limits="", meaning=f.spec.doc)
        for f in key.spec_fields(parameters)
    ]


@pytest.mark.parametrize("name", NAMES)
def test_the_picture_says_every_name(tmp_path: Path, name: str) -> None:
    kind = next(f for f in KINDS if f.name == name)
    plan, _ = sample_plan(name)
    found = found_of(name)
    path = tmp_path / "p.pdf"
    write_kind_picture(plan, found, rows(kind.parameters), path, summary=kind.summary, origin=kind.origin)
    (page,) = read_pdf(path).pages
    said = [w.text.strip() for w in page.words]
    for text in [s.text for s in found.spans] + [x.text for x in found.labels]:
        assert said.count(text) == 1, text
    for field in key.spec_fields(kind.parameters):
        assert field.key in said
    # nothing runs off the page
    for word in page.words:
        x0, y0, x1, y1 = word.box
        assert min(x0, y0, page.width - x1, page.height - y1) > 2, word.text


def test_a_kind_that_carries_a_pedal_shows_where_its_places_are_measured(tmp_path: Path) -> None:
    """The pivot of the default hanger is 60 mm over the cylinder's axis and 90 mm out (`kinds pedal_hanger`)."""
    kind = next(f for f in KINDS if f.name == "pedal_hanger")
    plan, _ = sample_plan(kind.name)
    path = tmp_path / "p.svg"
    write_kind_picture(plan, found_of(kind.name), [], path, summary="s", origin="o", pivot=(60.0, 90.0))
    text = "{http://www.w3.org/2000/svg}text"
    said = {}
    for element in ET.parse(path).iter(text):
        x, y = re.findall(r"[-.0-9]+", element.get("transform", ""))[:2]
        said[element.text] = float(x), float(y)
    assert {"pivot", "out", "up", "seat", "panel", "pin = [out, up]", "pad = [out, up]"} <= set(said)
    # seen from the right the driver is on the left; y counts down the page
    assert said["pad = [out, up]"][0] < said["pin = [out, up]"][0] < said["seat"][0]
    assert said["up"][1] < said["out"][1] < said["pin = [out, up]"][1] < said["pad = [out, up]"][1]
    write_kind_picture(plan, found_of(kind.name), [], path, summary="s", origin="o")
    assert "pad = [out, up]" not in {e.text for e in ET.parse(path).iter(text)}


@pytest.mark.parametrize(("name", "pivot"), [("carried_hanger", (60.0, 74.0)), ("pedal_box", (-55.0, 74.0))])
def test_a_part_that_carries_its_master_shows_its_pedal_upright(
    tmp_path: Path, name: str, pivot: tuple[float, float]
) -> None:
    """Whichever flange is the root: the driver on the left, up upward, a floor pedal's pad over its pivot."""
    plan, _ = sample_plan(name)
    assert plan.pedal is not None
    path = tmp_path / "p.svg"
    write_kind_picture(plan, found_of(name), [], path, summary="s", origin="o", pivot=pivot)
    said = {}
    for element in ET.parse(path).iter("{http://www.w3.org/2000/svg}text"):
        x, y = re.findall(r"[-.0-9]+", element.get("transform", ""))[:2]
        said[element.text] = float(x), float(y)
    assert "panel" not in said
    assert said["out"][0] < said["up"][0] < said["seat"][0]
    assert said["up"][1] < said["out"][1]
    above = pivot[0] < 0
    assert (said["pad = [out, up]"][1] < said["out"][1]) is above
    assert (said["seat"][1] < said["out"][1]) is above


def test_svg_carries_the_same_words_and_is_the_same_every_time(tmp_path: Path) -> None:
    kind = next(f for f in KINDS if f.name == "pedal_hanger")
    plan, _ = sample_plan(kind.name)
    found = found_of(kind.name)
    paths = [tmp_path / n for n in ("a.svg", "b.svg")]
    for path in paths:
        write_kind_picture(plan, found, rows(kind.parameters), path, summary="s", origin="o")
    assert paths[0].read_bytes() == paths[1].read_bytes()
    root = ET.parse(paths[0]).getroot()
    said = {e.text for e in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {s.text for s in found.spans} | {x.text for x in found.labels} <= said
    with pytest.raises(ValueError, match=r"\.gif"):
        write_kind_picture(plan, found, [], tmp_path / "c.gif", summary="s", origin="o")


def test_svg_pen_draws_upward_and_its_arcs_bulge_the_right_way(tmp_path: Path) -> None:
    """A square of 20 mm with corners of 5 mm: the arc from (15, 0) ends at (20, 5), outside the chord."""
    path = tmp_path / "s.svg"
    pen = SvgPen(path, 50, 40, title="t & t", subject="<s>")
    pen.contour(polygon([(0, 0), (20, 0), (20, 20), (0, 20)], 5.0))
    pen.text(1, 2, "a < b", 3.0, angle_deg=90)
    pen.close()
    root = ET.parse(path).getroot()
    assert root.attrib["viewBox"] == "0 0 50 40"
    drawn, said = (root.find(f"{{http://www.w3.org/2000/svg}}{tag}") for tag in ("path", "text"))
    assert drawn is not None
    assert said is not None
    data = drawn.attrib["d"]
    # y runs down: (15, 0) is (15, 40), (20, 5) is (20, 35); counter-clockwise on paper is sweep-flag 0
    assert "L15,40 A5,5 0 0 0 20,35" in data or "M15,40 A5,5 0 0 0 20,35" in data
    assert said.text == "a < b"
