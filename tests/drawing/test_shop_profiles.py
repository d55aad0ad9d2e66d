"""The forms of flat file a shop may ask for, read with ezdxf alone and back against the plan."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from drawing.part_cases import REVISION, cases, make
from ezdxf.math import bulge_to_arc
from ezdxf.tools.pattern import ISO_PATTERN
from shapely.geometry import Polygon

from generators.drawing.dxf.flat import write_flat_dxf
from generators.errors import GeometryFault
from generators.geometry.contours import polyline
from generators.model.spec.shop import Cutting
from generators.model.words import Grain, Layers, Profile
from generators.parts import KINDS
from generators.sheetmetal.cut_file import flat_tail
from generators.sheetmetal.folding import flat_pattern
from generators.verify.dxf.flat import read_flat_dxf

PROFILES: tuple[Profile, ...] = ("polylines", "exploded", "r12")
LAYERS: tuple[Layers, ...] = ("by_operation", "cut_and_mark")
SHOPS = {
    f"{profile}-{layers}{'' if lines else '-no_bends'}{'' if notes else '-no_text'}": Cutting(
        profile=profile, layers=layers, bend_lines=lines, notes=notes
    )
    for profile, layers, lines, notes in itertools.product(PROFILES, LAYERS, (True, False), (True, False))
}
KERFED = Cutting(kerf_mm=0.3)
TREE = cases()["tree"]


def written(plan, shop: Cutting, folder: Path, smallest: float = 0.0) -> Path:
    path = folder / f"part{flat_tail(shop)}"
    write_flat_dxf(plan, path, revision=REVISION, cutting=shop, smallest_hole_mm=smallest)
    return path


def read(path: Path, plan, shop: Cutting, smallest: float = 0.0):
    return read_flat_dxf(path, plan, rel=path.name, cutting=shop, smallest_hole_mm=smallest)


# every kind in every profile, with the other wishes spread over them; every form for one part
PICKED = (
    "polylines-by_operation",
    "exploded-cut_and_mark-no_bends",
    "r12-cut_and_mark-no_text",
)
PLANS = {
    **{f"{name} {kind.name}": (SHOPS[name], make(kind.name)) for name in PICKED for kind in KINDS},
    **{f"{name} tree": (shop, TREE) for name, shop in SHOPS.items()},
}


@pytest.mark.parametrize("name", PLANS)
def test_every_form_reopens_clean_and_is_the_plan(name: str, tmp_path: Path) -> None:
    shop, plan = PLANS[name]
    flat = flat_pattern(plan)
    smallest = 7.0 if plan is TREE else 0.0
    path = written(plan, shop, tmp_path, smallest)
    doc = ezdxf.readfile(path)
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    back = read(path, plan, shop, smallest)
    assert back.problems == ()
    measured = {m.key: m.value for m in back.certificate}
    assert (measured["closed"], measured["duplicates"], measured["units"]) == (True, 0, "mm")
    assert measured["holes"] == sum(1 for h in flat.holes if h.diameter_mm >= smallest)
    kinds = Counter(e.dxf.layer for e in doc.modelspace())
    assert ("NOTES" in kinds) == shop.notes
    if shop.layers == "cut_and_mark":
        assert set(kinds) <= {"CUT", "MARK", "NOTES", "CORNERS"}
    elif not shop.bend_lines:
        assert not {"BEND_UP", "BEND_DOWN"} & set(kinds)
    # text never stands on a layer that is cut; what names corners has a layer of its own
    assert {e.dxf.layer for e in doc.modelspace().query("TEXT")} <= {"NOTES", "CORNERS"}
    assert ("CORNERS" in kinds) == (shop.notes and bool(plan.bends))
    # every file says mm and its revision in its first lines, whatever else it holds
    assert path.read_bytes().startswith(f"999\n{plan.name}, revision {REVISION}, units mm\n".encode())


def test_r12_has_mm_in_its_name_and_says_so_in_words(tmp_path: Path) -> None:
    path = written(TREE, Cutting(profile="r12"), tmp_path)
    assert path.name == "part_flat_mm.dxf"
    doc = ezdxf.readfile(path)
    assert doc.dxfversion == "AC1009"
    assert any("UNITS: mm" in t.dxf.text for t in doc.modelspace().query("TEXT"))
    quiet = Cutting(profile="r12", notes=False)
    other = tmp_path / "part.dxf"
    write_flat_dxf(TREE, other, revision=REVISION, cutting=quiet)
    assert any("must end in mm" in p for p in read(other, TREE, quiet).problems)


def test_layers_by_the_shop_s_own_names(tmp_path: Path) -> None:
    shop = Cutting(layers="cut_and_mark", cut_layer="1-THROUGH", mark_layer="2-ETCH")
    path = written(TREE, shop, tmp_path)
    doc = ezdxf.readfile(path)
    kinds = Counter(e.dxf.layer for e in doc.modelspace())
    assert set(kinds) == {"1-THROUGH", "2-ETCH", "NOTES", "CORNERS"}
    assert kinds["2-ETCH"] == len(TREE.bends)
    assert read(path, TREE, shop).problems == ()
    # the same file judged by a shop that asks for the usual names
    assert any("unknown layer '1-THROUGH'" in p for p in read(path, TREE, Cutting()).problems)


@pytest.mark.parametrize("profile", ["polylines", "exploded", "r12"])
def test_every_layer_has_the_name_the_shop_gives_it_and_cuts_may_be_on_layer_0(
    profile: Profile, tmp_path: Path
) -> None:
    shop = Cutting(
        profile=profile,
        cut_layer="0",
        mark_layer="CENTRES",
        bend_up_layer="FOLD-U",
        bend_down_layer="FOLD-D",
        notes_layer="WORDS",
        corners_layer="LETTERS",
    )
    path = written(TREE, shop, tmp_path, 7.0)
    doc = ezdxf.readfile(path)
    assert {e.dxf.layer for e in doc.modelspace()} == {
        *("0", "CENTRES", "FOLD-U", "FOLD-D", "WORDS", "LETTERS")
    }
    assert {layer.dxf.name for layer in doc.layers} - {"Defpoints"} == {
        *("0", "CENTRES", "FOLD-U", "FOLD-D", "WORDS", "LETTERS")
    }
    assert read(path, TREE, shop, 7.0).problems == ()


def test_bends_both_ways_may_share_a_layer(tmp_path: Path) -> None:
    shop = Cutting(bend_up_layer="BEND", bend_down_layer="BEND")
    path = written(TREE, shop, tmp_path)
    doc = ezdxf.readfile(path)
    assert len(doc.modelspace().query("LINE[layer=='BEND']")) == len(TREE.bends)
    assert doc.layers.get("BEND").dxf.linetype == "Continuous"
    assert read(path, TREE, shop).problems == ()


def test_layers_are_told_apart_by_the_lines_of_iso_128_not_by_colour(tmp_path: Path) -> None:
    doc = ezdxf.readfile(written(TREE, Cutting(), tmp_path))
    layers = {layer.dxf.name: layer for layer in doc.layers}
    assert {layer.color for layer in layers.values()} == {7}
    # dashes and gaps in line weights, as ezdxf has them for its ISO lines of 1 mm
    reference = {name: ISO_PATTERN[f"ISO{name}W100"][0][3] for name in ("02", "04")}
    for layer, iso in (("BEND_UP", "04"), ("BEND_DOWN", "02")):
        line = doc.linetypes.get(layers[layer].dxf.linetype)
        dashes = [tag.value for tag in line.pattern_tags.tags if tag.code == 49]
        assert dashes == pytest.approx([x * layers[layer].dxf.lineweight / 100 for x in reference[iso]])
    assert layers["CUT"].dxf.linetype == layers["MARK"].dxf.linetype == "Continuous"
    # ISO 128-2: wide to narrow 2 : 1, of the series 0.13 0.18 0.25 0.35 0.5 0.7 1 (from memory)
    assert (layers["CUT"].dxf.lineweight, layers["MARK"].dxf.lineweight) == (50, 25)


def corners(line) -> list[tuple[float, float]]:
    """A polyline as ezdxf has it, arcs as chords of a degree."""
    points = list(line.get_points("xyb"))
    out: list[tuple[float, float]] = []
    for (x, y, b), (x1, y1, _) in zip(points, points[1:] + points[:1], strict=True):
        out.append((x, y))
        if b:
            centre, start, end, radius = bulge_to_arc((x, y), (x1, y1), b)
            sweep = (end - start) % (2 * math.pi)
            for i in range(1, 180):
                part = i / 180 if b > 0 else 1 - i / 180
                t = start + sweep * part
                out.append((centre.x + radius * math.cos(t), centre.y + radius * math.sin(t)))
    return out


@pytest.mark.parametrize("kind", [f.name for f in KINDS])
def test_a_kerf_is_offset_and_declared(kind: str, tmp_path: Path) -> None:
    plan = make(kind)
    flat = flat_pattern(plan)
    path = written(plan, KERFED, tmp_path)
    msp = ezdxf.readfile(path).modelspace()
    assert any("KERF OFFSET APPLIED for a cut 0.30 mm wide" in t.dxf.text for t in msp.query("TEXT"))
    # what falls out of the machine: the path less half a kerf on its inside, by shapely
    outline = max((Polygon(corners(line)) for line in msp.query("LWPOLYLINE")), key=lambda p: p.area)
    left = outline.buffer(-0.15, quad_segs=90)
    wanted = Polygon(polyline(flat.contour, 1e-3))
    assert left.symmetric_difference(wanted).area < 4e-3 * wanted.length
    widths = sorted(2 * c.dxf.radius + 0.3 for c in msp.query("CIRCLE"))
    assert widths == pytest.approx(sorted(h.diameter_mm for h in flat.holes))
    back = read(path, plan, KERFED)
    assert back.problems == ()
    assert "kerf 0.30 mm offset and declared" in back.line
    # to a shop that asked for none every cut is off its place
    assert read(path, plan, Cutting()).problems != ()


def test_a_hole_at_the_limit_is_cut_whatever_the_kerf(tmp_path: Path) -> None:
    plan = make("fitting_plate")  # four bolt holes of 5.5 mm
    back = read(written(plan, KERFED, tmp_path, 5.5), plan, KERFED, 5.5)
    assert back.problems == ()
    assert "smallest hole 5.50 mm (limit 5.50)" in back.line


def test_an_opening_narrower_than_the_kerf_is_refused(tmp_path: Path) -> None:
    with pytest.raises(GeometryFault, match="cannot cut opening"):
        written(make("fitting_plate"), Cutting(kerf_mm=5.5), tmp_path)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda line: line.set_points([(x + 0.01, y, b) for x, y, b in line.get_points("xyb")]),
            "half a kerf",
        ),
        (lambda line: setattr(line, "closed", False), "open contour"),
    ],
)
def test_a_path_off_its_place_is_named(change, sentence: str, tmp_path: Path) -> None:
    plan = make("fitting_plate")
    path = written(plan, KERFED, tmp_path)
    doc = ezdxf.readfile(path)
    change(doc.modelspace().query("LWPOLYLINE").first)
    doc.saveas(path)
    assert sentence in "\n".join(read(path, plan, KERFED).problems)


def test_a_kerf_left_undeclared_is_named(tmp_path: Path) -> None:
    plan = make("fitting_plate")
    path = written(plan, KERFED, tmp_path)
    doc = ezdxf.readfile(path)
    for text in doc.modelspace().query("TEXT"):
        if text.dxf.text.startswith("KERF"):
            text.destroy()
    doc.saveas(path)
    assert "no note declares the kerf offset of 0.3 mm" in read(path, plan, KERFED).problems


def test_polylines_where_the_shop_wants_loose_pieces(tmp_path: Path) -> None:
    path = written(TREE, Cutting(), tmp_path)
    wrong = read(path, TREE, Cutting(profile="exploded")).problems
    assert "LWPOLYLINE on the cut layer: the shop's profile is exploded" in wrong
    assert any(
        "DXF release R2010, the shop's profile is r12" in p
        for p in read(path, TREE, Cutting(profile="r12")).problems
    )


def test_a_certificate_in_numbers(tmp_path: Path) -> None:
    # 110 x 60 plate, corners R8, two 11.51 and four 5.5 mm holes (see test_cut_length_by_hand)
    plan = make("fitting_plate")
    back = read(written(plan, Cutting(), tmp_path, 3.0), plan, Cutting(), 3.0)
    assert {m.key: m.value for m in back.certificate} == {
        "closed": True,
        "duplicates": 0,
        "crossings": 0,
        "units": "mm",
        "release": "R2010",
        "contours": 1,
        "holes": 6,
        "smallest_hole_mm": 5.5,
        "smallest_hole_limit_mm": 3.0,
        "arcs_kept": 4,
        "width_mm": 110.0,
        "height_mm": 60.0,
    }
    assert back.line == (
        "closed, no duplicates, no crossings, mm declared, R2010 polylines, 1 contour, 6 holes, "
        "smallest hole 5.50 mm (limit 3.00), 4 of 4 arcs kept, 110.00 x 60.00 mm"
    )


def test_a_bad_file_s_certificate_says_what_is_wrong(tmp_path: Path) -> None:
    plan = make("fitting_plate")
    path = written(plan, Cutting(), tmp_path)
    doc = ezdxf.readfile(path)
    doc.header["$INSUNITS"] = 1
    doc.modelspace().query("LWPOLYLINE").first.closed = False
    doc.modelspace().add_circle((0, 0), 0.5, dxfattribs={"layer": "CUT"})
    doc.saveas(path)
    line = read(path, plan, Cutting(), 3.0).line
    assert line.startswith("NOT closed (2 open ends), no duplicates")
    assert "inches declared" in line
    assert "smallest hole 1.00 mm (BELOW the limit of 3.00)" in line


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize(("grain", "axis"), [("along_u", 0), ("along_v", 1)])
def test_the_grain_is_an_arrow_on_a_layer_of_its_own(
    profile: Profile, grain: Grain, axis: int, tmp_path: Path
) -> None:
    plan, shop = replace(TREE, grain=grain), Cutting(profile=profile, grain_layer="ROLLED")
    path = written(plan, shop, tmp_path)
    lines = [e for e in ezdxf.readfile(path).modelspace() if e.dxf.layer == "ROLLED"]
    runs = [(e.dxf.end.x - e.dxf.start.x, e.dxf.end.y - e.dxf.start.y) for e in lines]
    shaft = max(runs, key=lambda d: math.hypot(*d))
    assert len(runs) == 5
    assert abs(shaft[1 - axis]) < 1e-9 < abs(shaft[axis])
    assert f"along {'XY'[axis]} of the blank".encode() in path.read_bytes()
    assert read(path, plan, shop).problems == ()
    # read by who wants the other way, or none
    other = replace(plan, grain="along_v" if grain == "along_u" else "along_u")
    assert any("does not run along" in p for p in read(path, other, shop).problems)
    assert read(path, TREE, shop).problems


def test_a_grain_left_open_draws_nothing(tmp_path: Path) -> None:
    doc = ezdxf.readfile(written(TREE, Cutting(), tmp_path))
    assert "GRAIN" not in doc.layers


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("title", ["Öl & Bremse", "žluťoučký vůz, Ω", "100 %%c, 45^ \\P", "ペダル"])
def test_a_file_says_which_job_it_is_of(title: str, profile: Profile, tmp_path: Path) -> None:
    """Two jobs may have a part and a file of one name."""
    path, shop = tmp_path / "f.dxf", Cutting(profile=profile)
    write_flat_dxf(TREE, path, revision=REVISION, job=title, cutting=shop)
    assert read_flat_dxf(path, TREE, rel="f.dxf", job=title, cutting=shop).problems == ()
    other = read_flat_dxf(path, TREE, rel="f.dxf", job="another", cutting=shop)
    assert other.problems == ("no note says that it is of the job 'another'",)
