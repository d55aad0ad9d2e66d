"""A setup sheet says who scribes a bend line and where, what two near fingers do to a bend, and a punch's throat."""

from __future__ import annotations

import math
import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, order

from generators.bending.folder.trial import FolderSetting
from generators.bending.gauging import square
from generators.bending.search import Search
from generators.bending.steps import Sequence, Stop
from generators.bending.trial import Setting
from generators.drawing.bending import machine_words, scribe, words
from generators.drawing.bending.scribe import skew_mm
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.part.tables.corners import corners_of
from generators.drawing.part.tables.datums import find_datums
from generators.drawing.part.tables.scribing import scribed, sides_of
from generators.model.contour import Contour, Vertex
from generators.model.plan import Flange, PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder
from generators.model.spec.tools.press import Brake, Punch
from generators.sheetmetal.folding import flat_pattern
from generators.solve.parts import sample_plan
from generators.units import UnitSystem
from generators.verify.pdf.bending.machine import THROAT
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.rebuild.lines import bend_line
from generators.verify.pdf.rebuild.outline import NotDeterminedError, Row
from generators.verify.pdf.rebuild.printed import BendLine

LONG = replace(channel(80.0, 40.0, 240.0), name="long", title="Channel, invented")
BENDS = order(LONG, TWO)
FOLDER = Folder(name="demo", capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),))


def sheet(
    path: Path,
    bends: Sequence,
    plan: PartPlan = LONG,
    units: UnitSystem = "metric",
    brake: Brake = TWO,
    instead: Sequence | None = None,
) -> tuple[str, tuple[str, ...]]:
    machines = replace(MACHINES, brake=brake, folder=FOLDER)
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    write_setup_sheet(plan, path, bends=bends, machines=machines, units=units, instead=instead, **named)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=24.0, folder=FOLDER)
    return text, read_setup_sheet(path, plan, tools=tools, rel="x", **named).problems


def near(apart_mm: float) -> Sequence:
    """The same order with the fingers of its first step so far apart."""
    first = BENDS.on_brake[0]
    stop = replace(first.stop, apart_mm=apart_mm)
    return replace(BENDS, steps=(replace(first, stop=stop), *BENDS.steps[1:]))


# 0.1 mm between the fingers over 240 mm of bend: 0.5 of it at 48 apart
@pytest.mark.parametrize(("apart", "said"), [(48.2, False), (47.8, True), (25.0, True)])
def test_fingers_too_near_for_the_bend_are_said_not_to_square_it(
    apart: float, said: bool, tmp_path: Path
) -> None:
    text, problems = sheet(tmp_path / "s.pdf", near(apart))
    assert skew_mm(LONG, near(apart).on_brake[0].stop.apart_mm, BENDS.steps[0].bend) == pytest.approx(
        24.0 / apart
    )
    assert ("NOT SQUARE BY ITS FINGERS" in text) == said
    assert problems == ()


def test_what_squares_it_by_figures(tmp_path: Path) -> None:
    """24 / 25 = 0.96 mm. Middle of the flat bend: 40 + half of (3 + 0.43 x 3) pi / 2 = 6.74 from the flange's edge."""
    text, _ = sheet(tmp_path / "s.pdf", near(25.0))
    assert "0.10 mm between them is 0.96 mm from end to end of the bend, 0.50 mm may be." in text
    match = re.search(
        r"SCRIBE the bend line first, on the side that lies up, never on the other: ([\d.]+) from", text
    )
    assert match is not None
    assert float(match[1]) == pytest.approx(40 + 6.739 / 2, abs=0.01)
    assert "one no more than 0.50 mm off against the other." in text
    assert sheet(tmp_path / "i.pdf", near(25.0), units="inch")[1] == ()


def test_what_is_wrong_of_it_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "s.pdf"
    lies = (
        (words, "skew_lines", lambda *_: (), "does not say rightly what squares it: 0.96 mm"),
        (scribe, "scribed", lambda *_: ("41.00 from a–b", "X 0 to 240"), "no side is so far off"),
        (square, "FINGER_MM", 0.3, "out of square; by its fingers 0.96 mm"),
    )
    for room, name, lie, said in lies:
        with monkeypatch.context() as patch:
            patch.setattr(room, name, lie)
            assert any(said in p for p in sheet(path, near(25.0))[1]), name


def test_a_bend_on_the_folder_is_scribed_and_its_leaf_set_down(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """R + t = 3 + 3: so far the leaf's face lies below its axis."""
    plan = replace(channel(80.0, 20.0), name="low", title="Channel, invented")
    setting = FolderSetting(folder=FOLDER, tensile_mpa=370.0, springback_rad=0.0)
    bends = Search(plan=plan, setting=setting).run()
    assert bends.found
    on_brake = Search(plan=plan, setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)).run()
    text, problems = sheet(tmp_path / "s.pdf", bends, plan, instead=on_brake)
    assert problems == ()
    assert text.count("SET DOWN the leaf 6.00 mm: so far its face lies below the axis it turns about.") == 2
    assert (
        text.count("SCRIBE the bend line first, on the side that lies up, never on the other: 23.37 from")
        == 2
    )
    assert text.count("LEAF to 90.0°, springback not measured.") == 2
    monkeypatch.setattr(scribe, "scribed", lambda *_: ("24.00 from a–b", "X 0 to 100"))
    assert any(
        "no side is so far off" in p for p in sheet(tmp_path / "t.pdf", bends, plan, instead=on_brake)[1]
    )


NECK = Punch(
    name="gooseneck",
    height_mm=260.0,
    angle_rad=1.4,
    tip_radius_mm=1.0,
    neck_depth_mm=50.0,
    neck_from_mm=60.0,
)


def test_the_throat_of_a_gooseneck_has_figures_and_a_side() -> None:
    """45 mm below its top it is over its tip again: 215."""
    said = machine_words.throat(NECK, "metric")
    match = THROAT.search(f"260 mm high{said};")
    assert match is not None
    assert [float(match[i]) for i in (1, 3, 5)] == [50.0, 60.0, 215.0]
    assert "open toward you (the other way round: toward the gauge)" in said
    assert machine_words.throat(replace(NECK, neck_depth_mm=0.0), "metric") == ""


def test_a_throat_that_is_wrong_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    named = BENDS.on_brake[0].punch
    brake = replace(TWO, punch=tuple(replace(NECK, name=p.name) if p.name == named else p for p in TWO.punch))
    assert not any("throat" in p for p in sheet(tmp_path / "a.pdf", BENDS, brake=brake)[1])
    for lie, said in (
        (lambda *_: "", "no figures of its throat"),
        (lambda p, _: machine_words_throat(replace(p, neck_depth_mm=70.0)), "throat's depth 70"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(machine_words, "throat", lie)
            assert any(said in p for p in sheet(tmp_path / "b.pdf", BENDS, brake=brake)[1])


machine_words_throat_of = machine_words.throat


def machine_words_throat(punch: Punch) -> str:
    return machine_words_throat_of(punch, "metric")


# a web 80 by 100 with a slope off its cheek's free end: no side lies along the bend that a rule could be set from
SLOPED = replace(
    channel(80.0, 40.0, 100.0),
    name="slope",
    title="Channel, sloped, invented",
    flanges=(
        channel(80.0, 40.0, 100.0).flanges[0],
        Flange(
            name="right",
            contour=Contour(
                vertices=tuple(Vertex(u=u, v=v) for u, v in ((0, 0), (100, 0), (100, 40), (0, 20)))
            ),
        ),
        Flange(
            name="left",
            contour=Contour(
                vertices=tuple(Vertex(u=u, v=v) for u, v in ((0, 0), (100, 0), (100, 20), (0, 40)))
            ),
        ),
    ),
)


def test_a_line_no_side_lies_along_is_found_by_two_points(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half the strip, 3.37, inside the end of a cheek: 20 + 3.37 off its one corner, 40 + 3.37 off its other."""
    bends = order(SLOPED, TWO)
    first = bends.on_brake[0]
    eye = replace(first, stop=Stop(on="line", flange=first.bend, distance_mm=0.0, low_x=0.0, high_x=100.0))
    bends = replace(bends, steps=(eye, *bends.steps[1:]))
    text, problems = sheet(tmp_path / "s.pdf", bends, SLOPED)
    assert problems == ()
    step = text.split("1 Bend ")[1].split("2 Bend ")[0]
    said = re.search(
        r"never on the other: ([\d.]+) along ([a-z])–([a-z]), ([\d.]+) along ([a-z])–([a-z]), Y", step
    )
    assert said is not None
    half = math.pi / 4 * (3 + 0.43 * 3)
    assert sorted((float(said[1]), float(said[4]))) == pytest.approx([20 + half, 40 + half], abs=0.006)
    assert len({said[2], said[3], said[5], said[6]}) == 4
    for lie, wrong in (
        ("23.37 along a–b, 43.50 along c–d", "scribed 43.50 along a side, where no side meets it"),
        ("23.37 along a–b, 23.37 along a–b", "both points of its line lie at one end of it"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(scribe, "scribed", lambda *_, lie=lie: (lie, "Y 0 to 100"))
            assert any(wrong in p for p in sheet(tmp_path / "t.pdf", bends, SLOPED)[1]), wrong


def test_the_drawing_has_both_points_and_they_lie_on_one_line() -> None:
    flat = flat_pattern(SLOPED)
    corners = corners_of(flat.contour)
    rows = [Row(letter=c.letter, x=c.place[0], y=c.place[1], radius=c.radius_mm, turn=0) for c in corners]
    for strip in flat.bends:
        at, runs = scribed(strip, find_datums(flat), corners)
        one, two = bend_line(BendLine(name="x", place=at, runs=runs), rows)
        assert {round(one[0], 1), round(two[0], 1)} == {round(strip.middle[0][0], 1)}
        far = re.search(r", ([\d.]+) along", at)
        assert far is not None
        off = at.replace(f", {far[1]}", f", {float(far[1]) + 0.1:.2f}")
        with pytest.raises(NotDeterminedError, match="second point lies off it"):
            bend_line(BendLine(name="x", place=off, runs=runs), rows)


def test_a_line_is_not_counted_from_a_corner_that_hardly_turns() -> None:
    """A cheek's edge bent by 3 degrees at its middle: nobody finds that corner on the metal to half a millimetre."""
    kinked = (
        (0.0, 0.0), (120.0, 0.0), (120.0, 50.0), (60.0, 50.0), (0.0, 50.0 - 60.0 * math.tan(math.radians(3)))
    )  # fmt: skip
    outline = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in kinked))
    sides = {side.name: side for side in sides_of(corners_of(outline))}
    assert {letter for side in sides.values() for letter in side.blunt} == {"d"}
    for degrees, blunt in ((14.9, {"d"}), (15.1, set())):
        bent = (*kinked[:4], (0.0, 50.0 - 60.0 * math.tan(math.radians(degrees))))
        corners = corners_of(Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in bent)))
        assert {x for side in sides_of(corners) for x in side.blunt} == blunt


def test_the_twin_hanger_s_lines_start_at_corners_that_are_seen() -> None:
    plan = sample_plan("twin_pedal_hanger")[0]
    flat = flat_pattern(plan)
    corners = corners_of(flat.contour)
    places = {c.letter: np.array(c.place) for c in corners}
    letters = [c.letter for c in corners]
    found = 0
    for strip in flat.bends:
        at, _ = scribed(strip, find_datums(flat), corners)
        for letter in re.findall(r"along ([a-z])–", at):
            k = letters.index(letter)
            before, here, after = (places[letters[(k + step) % len(letters)]] for step in (-1, 0, 1))
            into, out = here - before, after - here
            turn = math.degrees(math.acos(into @ out / np.linalg.norm(into) / np.linalg.norm(out)))
            assert turn > 15, (at, letter, turn)
            found += 1
    assert found >= 2
