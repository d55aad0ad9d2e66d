"""The flat DXF by a plain second reading with ezdxf, and the same bytes every time."""

from __future__ import annotations

import itertools
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from bending.bent_parts import bend, plan_of
from drawing.part_cases import REVISION, any_part, cases, make
from hypothesis import HealthCheck, given, settings

from generators.drawing.dxf.flat import RELEASES, marked_openings, write_flat_dxf
from generators.errors import ExportError, GeometryFault, LookupFault
from generators.model.plan import PartPlan
from generators.model.spec.shop import Cutting
from generators.model.words import Profile
from generators.parts import KINDS, kind_named
from generators.sheetmetal.folding import flat_pattern
from generators.verify.dxf.flat import read_flat_dxf

CASES = cases()
FORMS: tuple[Profile, ...] = ("polylines", "exploded", "r12")


@pytest.mark.parametrize("profile", RELEASES)
@pytest.mark.parametrize("name", CASES)
def test_every_profile_of_every_case_reads_back_clean(name: str, profile: Profile, tmp_path: Path) -> None:
    plan, path = CASES[name], tmp_path / "part_flat.dxf"
    for smallest in (0.0, 7.0):
        shop = Cutting(profile=profile)
        write_flat_dxf(plan, path, revision=REVISION, cutting=shop, smallest_hole_mm=smallest)
        back = read_flat_dxf(path, plan, rel=path.name, cutting=shop, smallest_hole_mm=smallest)
        assert back.problems == ()
        cut = len(flat_pattern(plan).holes) - sum(
            1 for h in flat_pattern(plan).holes if h.name in marked_openings(flat_pattern(plan), smallest)
        )
        assert f"1 outline, {cut} holes" in back.facts[1]
        assert "0 open ends, 0 duplicates, 0 crossings" in back.facts[1]


@pytest.mark.parametrize("name", [f.name for f in KINDS])
def test_any_parameters_cut_clean_or_are_refused(name: str, tmp_path: Path) -> None:
    """Each part in one of the forms, in turn: the draws are the same for all, so more parts say more."""
    made: list[PartPlan] = []
    forms = itertools.cycle(FORMS)

    @settings(
        max_examples=25,
        deadline=None,
        database=None,
        derandomize=True,
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(any_part(name))
    def run(drawn: tuple) -> None:
        spec, rule = drawn
        try:
            plan = kind_named(name).plan(spec, rule)
        except (GeometryFault, LookupFault) as fault:
            assert str(fault)
            return
        made.append(plan)
        path, shop = tmp_path / "any.dxf", Cutting(profile=next(forms))
        write_flat_dxf(plan, path, revision=REVISION, cutting=shop)
        back = read_flat_dxf(path, plan, rel="any.dxf", cutting=shop)
        assert back.problems == ()

    run()
    assert len(made) >= 5


def test_entities_by_layer_and_type(tmp_path: Path) -> None:
    path = tmp_path / "hanger.dxf"
    write_flat_dxf(CASES["hanger"], path, revision=REVISION)
    doc = ezdxf.readfile(path)
    assert doc.dxfversion == "AC1024"
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (4, 1)
    kinds = {(e.dxftype(), e.dxf.layer) for e in doc.modelspace()}
    cuts = {("LWPOLYLINE", "CUT"), ("CIRCLE", "CUT")}
    assert kinds == {*cuts, ("LINE", "BEND_UP"), ("TEXT", "NOTES"), ("TEXT", "CORNERS")}
    names = {layer.dxf.name for layer in doc.layers}
    assert {"CUT", "BEND_UP", "BEND_DOWN", "MARK", "NOTES"} <= names
    outline = doc.modelspace().query("LWPOLYLINE").first
    assert outline.closed
    # two round cheek ends, two relief fillets, two tab corners: six arcs, kept as bulges
    assert sum(1 for *_, bulge in outline.get_points("xyb") if bulge) == 6


def test_loose_profiles_hold_only_lines_arcs_and_circles(tmp_path: Path) -> None:
    path = tmp_path / "shelf.dxf"
    wanted: tuple[tuple[Profile, str], ...] = (("exploded", "AC1024"), ("r12", "AC1009"))
    for profile, release in wanted:
        write_flat_dxf(CASES["shelf_30"], path, revision=REVISION, cutting=Cutting(profile=profile))
        doc = ezdxf.readfile(path)
        assert doc.dxfversion == release
        assert {e.dxftype() for e in doc.modelspace().query("*[layer=='CUT']")} == {"LINE", "ARC", "CIRCLE"}
        # four corners and four slots of two ends each
        assert len(doc.modelspace().query("ARC")) == 12


def test_bend_directions_have_their_own_layers_and_full_notes(tmp_path: Path) -> None:
    path = tmp_path / "tree.dxf"
    write_flat_dxf(CASES["tree"], path, revision=REVISION)
    msp = ezdxf.readfile(path).modelspace()
    assert len(msp.query("LINE[layer=='BEND_UP']")) == 1
    assert len(msp.query("LINE[layer=='BEND_DOWN']")) == 2
    texts = [t.dxf.text for t in msp.query("TEXT")]
    assert {t.dxf.layer for t in msp.query("TEXT")} == {"NOTES", "CORNERS"}
    # A = 120 deg, R 2, T 2, K 0.42: BA = 2.0944 x 2.84 = 5.948; SB = tan 60 x 4 = 6.928; BD = 7.908
    assert "bend two: DOWN 120 deg, inside R 2.00 mm, K 0.4200, allowance 5.95 mm, deduction 7.91 mm" in texts
    assert any("UNITS: mm" in t for t in texts)
    assert any(f"revision {REVISION}" in t for t in texts)


def test_openings_below_the_process_limit_become_marks_and_notes(tmp_path: Path) -> None:
    path = tmp_path / "shelf.dxf"
    plan = CASES["shelf_30"]  # slots of 6.6 mm and a bore of 20 mm
    write_flat_dxf(plan, path, revision=REVISION, smallest_hole_mm=7.0)
    msp = ezdxf.readfile(path).modelspace()
    assert len(msp.query("CIRCLE")) == 1
    assert len(msp.query("LINE[layer=='MARK']")) == 4 * 2 * 2
    slot = flat_pattern(plan).slots[0]
    middles = {
        (round((m.dxf.start.x + m.dxf.end.x) / 2, 6), round((m.dxf.start.y + m.dxf.end.y) / 2, 6))
        for m in msp.query("LINE[layer=='MARK']")
    }
    for side in (-1, 1):
        end = (
            round(slot.u_mm + side * math.cos(slot.angle_rad) * slot.travel_mm / 2, 6),
            round(slot.v_mm + side * math.sin(slot.angle_rad) * slot.travel_mm / 2, 6),
        )
        assert any(math.dist(end, m) < 1e-6 for m in middles)
    assert any("drill 6.60 mm at both" in t.dxf.text for t in msp.query("TEXT"))


def test_limit_itself_is_still_cut(tmp_path: Path) -> None:
    path = tmp_path / "plate.dxf"
    write_flat_dxf(CASES["plate"], path, revision=REVISION, smallest_hole_mm=5.5)
    assert not ezdxf.readfile(path).modelspace().query("LINE[layer=='MARK']")


@pytest.mark.parametrize("profile", RELEASES)
def test_same_bytes_in_other_processes_with_other_hash_seeds(profile: Profile, tmp_path: Path) -> None:
    here = tmp_path / "here.dxf"
    write_flat_dxf(make("pedal_hanger"), here, revision=REVISION, cutting=Cutting(profile=profile))
    program = (
        "import sys; from pathlib import Path; sys.path.insert(0, sys.argv[1]);"
        "from drawing.part_cases import REVISION, make;"
        "from generators.drawing.dxf.flat import write_flat_dxf;"
        "from generators.model.spec.shop import Cutting;"
        "shop = Cutting(profile=sys.argv[3]);"
        "write_flat_dxf(make('pedal_hanger'), Path(sys.argv[2]), revision=REVISION, cutting=shop)"
    )
    tests = Path(__file__).parents[1]
    there = tmp_path / "there.dxf"
    for seed in ("1", "7"):
        subprocess.run(
            [sys.executable, "-c", program, str(tests), str(there), profile],
            check=True,
            cwd=tests.parent,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(tests.parent)},
        )
        assert here.read_bytes() == there.read_bytes()


def test_writing_leaves_ezdxf_as_it_was(tmp_path: Path) -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_flat_dxf(CASES["plate"], tmp_path / "plate.dxf", revision=REVISION)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_an_unwritable_path_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"a\.dxf"):
        write_flat_dxf(CASES["plate"], tmp_path / "missing" / "a.dxf", revision=REVISION)


def test_the_corners_letters_stand_on_the_blank_beside_their_corners(tmp_path: Path) -> None:
    """Those of drawing and setup sheet, a text each; by hand on an L: 18 letters that read well, from the lower left
    corner counter-clockwise."""
    path = tmp_path / "f.dxf"
    plan = plan_of({"a": (80.0, 60.0), "b": (80.0, 30.0)}, [bend("one", "a", "b", (80.0, 60.0), (0.0, 60.0))])
    write_flat_dxf(plan, path, revision=REVISION)
    doc = ezdxf.readfile(path)
    found = {t.dxf.text: t.dxf.insert for t in doc.modelspace().query("TEXT[layer=='CORNERS']")}
    assert set(found) == set("abcd")
    high = max(flat_pattern(plan).contour.vertices, key=lambda p: p.v).v
    for letter, (u, v) in {"a": (0, 0), "b": (80, 0), "c": (80, high), "d": (0, high)}.items():
        assert math.dist((found[letter].x, found[letter].y), (u, v)) < 8.0
        assert 0 < found[letter].x < 80
        assert 0 < found[letter].y < high
    notes = [t.dxf.text for t in doc.modelspace().query("TEXT[layer=='NOTES']")]
    assert any(n.startswith("Layer CORNERS:") and n.endswith("NEVER CUT.") for n in notes)
    assert read_flat_dxf(path, plan, rel="f.dxf").problems == ()
    moved = doc.modelspace().query("TEXT[layer=='CORNERS']").first
    moved.dxf.insert = (70.0, 4.0)
    doc.saveas(path)
    problems = read_flat_dxf(path, plan, rel="f.dxf").problems
    assert any("stands beside corner b" in p for p in problems)
    moved.dxf.text = "z"
    doc.saveas(path)
    assert any(
        "by the outline ['a', 'b', 'c', 'd']" in p for p in read_flat_dxf(path, plan, rel="f.dxf").problems
    )
    moved.dxf.layer = "CUT"
    doc.saveas(path)
    assert any(
        "TEXT does not belong on the layer CUT" in p for p in read_flat_dxf(path, plan, rel="f.dxf").problems
    )


def test_no_letters_where_the_shop_takes_no_text_or_nothing_is_bent(tmp_path: Path) -> None:
    path = tmp_path / "f.dxf"
    for name, shop in (
        ("shelf", Cutting(notes=False)),
        ("shelf", Cutting(corner_letters=False)),
        ("plate", Cutting()),
    ):
        write_flat_dxf(CASES[name], path, revision=REVISION, cutting=shop)
        assert "CORNERS" not in ezdxf.readfile(path).layers
        assert read_flat_dxf(path, CASES[name], rel="f.dxf", cutting=shop).problems == ()


def test_the_file_says_where_the_drawing_s_zero_lies_and_what_is_never_cut(tmp_path: Path) -> None:
    """The hanger's origin is a bore's centre: its left and lower edges lie left of it and below."""
    path, plan = tmp_path / "f.dxf", make("pedal_hanger", web_below_mm=45.0)
    write_flat_dxf(plan, path, revision=REVISION)
    doc = ezdxf.readfile(path)
    notes = list(doc.modelspace().query("TEXT[layer=='NOTES']"))
    zero = next(n for n in notes if n.dxf.text.startswith("The drawing's X 0"))
    match = re.fullmatch(
        r"The drawing's X 0 \(.*\) is X (\S+) of this file, its Y 0 \(the lower edge\) is Y (\S+)\.",
        zero.dxf.text,
    )
    assert match is not None
    assert float(match[2]) == pytest.approx(-45.0)
    never = next(n for n in notes if n.dxf.text.startswith("NEVER CUT what is on "))
    assert {"BEND_UP", "MARK", "NOTES", "CORNERS"} <= set(
        never.dxf.text.removesuffix(".").split(" on ")[1].split(", ")
    )
    assert read_flat_dxf(path, plan, rel="f.dxf").problems == ()
    was = zero.dxf.text
    zero.dxf.text = was.replace("Y -45.00", "Y -44.98")
    doc.saveas(path)
    assert any("is said to be at Y -44.98" in p for p in read_flat_dxf(path, plan, rel="f.dxf").problems)
    zero.dxf.text, never.dxf.text = was, never.dxf.text.replace("BEND_UP, ", "")
    doc.saveas(path)
    assert "no note says that BEND_UP is never cut" in read_flat_dxf(path, plan, rel="f.dxf").problems
