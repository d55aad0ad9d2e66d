"""Every way of spoiling a flat DXF is caught and named."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from drawing.part_cases import REVISION, cases, make
from ezdxf.document import Drawing
from ezdxf.lldxf.types import DXFTag
from ezdxf.math import Vec3

from generators.drawing.dxf.flat import write_flat_dxf
from generators.model.spec.shop import Cutting
from generators.model.words import Profile
from generators.verify.dxf.flat import read_flat_dxf

PLAN = make("pedal_hanger", web_below_mm=45.0, master_bore_mm=32.0, inside_width_mm=80.0)
SLOTTED = cases()["shelf_30"]


def spoiled(
    tmp_path: Path, change: Callable[[Drawing], object], *, profile: Profile = "polylines", plan=PLAN
) -> str:
    """Problems found in a file after a change, in one text."""
    path = tmp_path / "part.dxf"
    shop = Cutting(profile=profile)
    write_flat_dxf(plan, path, revision=REVISION, cutting=shop)
    doc = ezdxf.readfile(path)
    change(doc)
    doc.saveas(path)
    back = read_flat_dxf(path, plan, rel="part.dxf", cutting=shop)
    assert not back.good
    return "\n".join(back.problems)


def circle(doc: Drawing, diameter: float):
    return next(c for c in doc.modelspace().query("CIRCLE") if abs(2 * c.dxf.radius - diameter) < 1e-9)


def test_opening_and_saving_alone_is_no_problem(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    for profile in ("polylines", "exploded", "r12"):
        shop = Cutting(profile=profile)
        write_flat_dxf(PLAN, path, revision=REVISION, cutting=shop)
        doc = ezdxf.readfile(path)
        doc.saveas(path)
        assert read_flat_dxf(path, PLAN, rel="part.dxf", cutting=shop).problems == ()


def test_a_hole_moved_by_a_hundredth(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        c = circle(doc, 32.0)
        c.translate(0.01, 0, 0)

    assert "hole 'master_bore' is 0.010000 mm off its place" in spoiled(tmp_path, change)


def test_a_hole_a_thousandth_too_wide(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        circle(doc, 32.0).dxf.radius += 0.0005

    text = spoiled(tmp_path, change)
    assert "hole 'master_bore' is 32.001000 mm wide, the plan says 32.000000" in text
    assert "the cuts enclose" in text


def test_a_hole_gone_and_a_hole_too_many(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        circle(doc, 32.0).destroy()
        doc.modelspace().add_circle((10, -30), 2.0, dxfattribs={"layer": "CUT"})

    text = spoiled(tmp_path, change)
    assert "hole 'master_bore' is not there" in text
    assert "a circle of 4.000 mm at (10.000, -30.000) is not in the plan" in text


def test_a_duplicate_circle(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        c = circle(doc, 32.0)
        doc.modelspace().add_circle(c.dxf.center, c.dxf.radius, dxfattribs={"layer": "CUT"})

    assert "duplicate or overlapping cuts" in spoiled(tmp_path, change)


@pytest.mark.parametrize("profile", ["exploded", "r12"])
def test_a_line_deleted_leaves_an_open_contour(tmp_path: Path, profile: Profile) -> None:
    def change(doc: Drawing) -> None:
        doc.modelspace().query("LINE[layer=='CUT']").first.destroy()

    text = spoiled(tmp_path, change, profile=profile)
    assert text.count("open contour: a cut ends at") == 2
    assert "no closed outline" in text


def test_a_line_moved_by_a_hundredth_leaves_gaps(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        line = doc.modelspace().query("LINE[layer=='CUT']").first
        line.dxf.start += Vec3(0.01, 0, 0)

    assert "open contour" in spoiled(tmp_path, change, profile="exploded")


def test_a_line_doubled_backwards(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        line = doc.modelspace().query("LINE[layer=='CUT']").first
        doc.modelspace().add_line(line.dxf.end, line.dxf.start, dxfattribs={"layer": "CUT"})

    assert "duplicate line from" in spoiled(tmp_path, change, profile="exploded")


def test_a_shorter_copy_over_a_side(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        # the web's lower edge runs level at v = -45
        points = [(-20, -45), (20, -45), (20, -40), (-20, -40)]
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "CUT"})

    assert "duplicate or overlapping cuts" in spoiled(tmp_path, change)


def test_an_outline_left_open(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        doc.modelspace().query("LWPOLYLINE").first.closed = False

    assert "open contour: a polyline" in spoiled(tmp_path, change)


def test_a_second_outline(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        points = [(500, 0), (520, 0), (520, 20), (500, 20)]
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "CUT"})

    assert "2 outlines" in spoiled(tmp_path, change)


def test_cuts_that_cross(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        doc.modelspace().add_circle((16.0, 0.0), 3.0, dxfattribs={"layer": "CUT"})

    assert "two cuts cross at" in spoiled(tmp_path, change)


def test_an_outline_that_crosses_itself(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        line = doc.modelspace().query("LWPOLYLINE").first
        points = line.get_points("xyb")
        points[0], points[1] = (points[1][0], points[1][1], 0.0), (points[0][0], points[0][1], points[1][2])
        line.set_points(points, format="xyb")

    assert "crosses itself" in spoiled(tmp_path, change)


def test_wrong_units(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        doc.header["$INSUNITS"] = 1

    assert "$INSUNITS is 1 (inches), expected 4 (mm)" in spoiled(tmp_path, change)


def test_imperial_measurement(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        doc.header["$MEASUREMENT"] = 0

    assert "$MEASUREMENT does not say metric" in spoiled(tmp_path, change)


def test_r12_must_say_mm_in_words(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        for text in doc.modelspace().query("TEXT"):
            text.dxf.text = text.dxf.text.replace("UNITS: mm", "")

    assert "no note says that the units are mm" in spoiled(tmp_path, change, profile="r12")


def test_splines_and_ellipses(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        msp = doc.modelspace()
        msp.add_spline([(0, -40, 0), (5, -42, 0), (9, -40, 0)], dxfattribs={"layer": "CUT"})
        msp.add_ellipse((0, -40), (3, 0), 0.5, dxfattribs={"layer": "CUT"})

    text = spoiled(tmp_path, change)
    assert "SPLINE on the cut layer: only lines, arcs and circles can be cut" in text
    assert "ELLIPSE on the cut layer" in text


def test_a_circle_made_a_polygon(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        c = circle(doc, 32.0)
        points = [(16 * math.cos(i * math.pi / 18), 16 * math.sin(i * math.pi / 18)) for i in range(36)]
        c.destroy()
        doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "CUT"})

    text = spoiled(tmp_path, change)
    assert "a circle of 36 straight sides" in text
    assert "hole 'master_bore' is not there" in text


def test_an_arc_flattened_into_its_chord(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        line = doc.modelspace().query("LWPOLYLINE").first
        line.set_points([(x, y, 0.0) for x, y, _ in line.get_points("xyb")], format="xyb")

    assert "outline area is" in spoiled(tmp_path, change)


def test_a_slot_turned(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        slot = next(p for p in doc.modelspace().query("LWPOLYLINE") if len(p) == 4)
        slot.translate(0.0, 0.002, 0.0)

    assert "is not there, or not as planned" in spoiled(tmp_path, change, plan=SLOTTED)


def test_things_on_layers_they_do_not_belong_to(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        msp = doc.modelspace()
        msp.add_text("cut me", dxfattribs={"layer": "CUT"})
        msp.add_line((0, 0), (9, 9), dxfattribs={"layer": "0"})
        msp.add_circle((0, 0), 3, dxfattribs={"layer": "BEND_UP"})
        doc.layout().add_line((0, 0), (9, 9))

    text = spoiled(tmp_path, change)
    assert "TEXT does not belong on the layer CUT" in text
    assert "LINE on the unknown layer '0'" in text
    assert "CIRCLE does not belong on the layer BEND_UP" in text
    assert "on the paper layout" in text


def test_an_entity_off_the_plane_or_mirrored(tmp_path: Path) -> None:
    def change(doc: Drawing) -> None:
        circle(doc, 32.0).dxf.center = (0, 0, 5)
        doc.modelspace().query("CIRCLE")[1].dxf.extrusion = (0, 0, -1)

    assert spoiled(tmp_path, change).count("CIRCLE on CUT does not lie in the plane of the sheet") == 1


def test_colours_and_lines_that_are_not_the_operations(tmp_path: Path) -> None:
    def paint(doc: Drawing) -> None:
        doc.layers.get("CUT").color = 1

    assert "the layer CUT has colour 1, not 7" in spoiled(tmp_path, paint)

    def dash(doc: Drawing) -> None:
        doc.layers.get("CUT").dxf.linetype = doc.layers.get("BEND_UP").dxf.linetype

    assert "the layer CUT has line type ISO128_04, not the continuous line" in spoiled(tmp_path, dash)
    assert "the layer CUT has line type ISO128_04" in spoiled(tmp_path, dash, profile="r12")

    def thin(doc: Drawing) -> None:
        doc.layers.get("CUT").dxf.lineweight = 35

    assert "the layer CUT has line weight 0.35 mm, not 0.5 mm" in spoiled(tmp_path, thin)

    def stretch(doc: Drawing) -> None:
        doc.linetypes.get("ISO128_04").pattern_tags.tags[4] = DXFTag(49, 6.1)

    assert "the layer BEND_UP has line type ISO128_04, not the chain line" in spoiled(tmp_path, stretch)

    def own(doc: Drawing) -> None:
        doc.modelspace().query("CIRCLE").first.dxf.color = 5

    assert "a CIRCLE on CUT has a colour or line of its own" in spoiled(tmp_path, own)


def test_bend_lines_and_their_notes(tmp_path: Path) -> None:
    def move(doc: Drawing) -> None:
        line = doc.modelspace().query("LINE[layer=='BEND_UP']").first
        line.translate(0.5, 0, 0)

    text = spoiled(tmp_path, move)
    assert "bend 'right': no bend line at" in text
    assert "is no bend of the plan" in text

    def turn(doc: Drawing) -> None:
        doc.modelspace().query("LINE[layer=='BEND_UP']").first.dxf.layer = "BEND_DOWN"

    assert "bend 'right' is on BEND_DOWN, the plan bends it up" in spoiled(tmp_path, turn)

    def lie(doc: Drawing) -> None:
        for text in doc.modelspace().query("TEXT"):
            if text.dxf.text.startswith("bend tab:"):
                text.dxf.text = text.dxf.text.replace("inside R 3.00", "inside R 2.00")

    assert "bend 'tab': the note gives radius 2.00, the plan 3.0000" in spoiled(tmp_path, lie)

    def mute(doc: Drawing) -> None:
        for text in doc.modelspace().query("TEXT"):
            if text.dxf.text.startswith(("bend left:", "left UP")):
                text.destroy()

    text = spoiled(tmp_path, mute)
    assert "bend 'left' has no text beside its line" in text
    assert "bend 'left' has no note" in text


def test_centre_marks_are_checked_too(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    write_flat_dxf(PLAN, path, revision=REVISION, smallest_hole_mm=10.0)
    doc = ezdxf.readfile(path)
    doc.modelspace().query("LINE[layer=='MARK']").first.translate(0.2, 0, 0)
    doc.saveas(path)
    text = "\n".join(read_flat_dxf(path, PLAN, rel="part.dxf", smallest_hole_mm=10.0).problems)
    assert "opening 'master_1': no centre mark of two lines" in text
    assert "is not in the plan" in text


def test_another_release(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    write_flat_dxf(PLAN, path, revision=REVISION)
    doc = ezdxf.readfile(path)
    doc.dxfversion = "R2000"
    doc.saveas(path)
    assert any("AC1015" in p for p in read_flat_dxf(path, PLAN, rel="part.dxf").problems)


def test_files_that_are_no_dxf(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    assert "cannot be read" in read_flat_dxf(path, PLAN, rel="part.dxf").problems[0]
    for data, words in (
        (b"", "empty"),
        (b"  \n", "empty"),
        (b"solid cube\nendsolid\n", "not a readable DXF"),
        (bytes(range(256)) * 9, "not a readable DXF"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n0\nENDSEC\n0\nEOF\n", ""),
    ):
        path.write_bytes(data)
        back = read_flat_dxf(path, PLAN, rel="part.dxf")
        assert not back.good
        assert words in back.problems[0]


@pytest.mark.parametrize("profile", ["polylines", "r12"])
def test_cut_short_anywhere(tmp_path: Path, profile: Profile) -> None:
    path = tmp_path / "part.dxf"
    write_flat_dxf(PLAN, path, revision=REVISION, cutting=Cutting(profile=profile))
    whole = path.read_bytes()
    for i in range(1, 20):
        path.write_bytes(whole[: len(whole) * i // 20])
        back = read_flat_dxf(path, PLAN, rel="part.dxf", cutting=Cutting(profile=profile))
        assert not back.good


def test_a_byte_changed_anywhere_never_ends_in_a_traceback(tmp_path: Path) -> None:
    path = tmp_path / "part.dxf"
    write_flat_dxf(PLAN, path, revision=REVISION, cutting=Cutting(profile="r12"))
    whole = path.read_bytes()
    for i in range(0, len(whole), 307):
        for byte in (b"\x00", b"9", b"\n"):
            path.write_bytes(whole[:i] + byte + whole[i + 1 :])
            assert read_flat_dxf(path, PLAN, rel="part.dxf").path == "part.dxf"
