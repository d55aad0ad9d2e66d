"""The shop's form of flat file through make and verify, and what a shop file may not ask for."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest
from calling import call

from generators.errors import SpecError
from generators.issue.manifest import file_hash
from generators.solve.job import prepare

SPEC = """
[job]
name = "one_plate"
title = "One plate, invented"

[[part]]
name = "lid"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
"""
SHOP = """
[cutting]
profile = "r12"
layers = "cut_and_mark"
cut_layer = "THROUGH"
kerf = "0.2 mm"
smallest_hole = "2 mm"
"""


def written(folder: Path, shop: str) -> Path:
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    spec = folder / "one_plate.toml"
    spec.write_text(SPEC, encoding="utf-8")
    return spec


def resealed(folder: Path, path: Path) -> None:
    """The manifest's hash of a changed file set right, so that only its content can give it away."""
    manifest = folder / "manifest.json"
    content = json.loads(manifest.read_text(encoding="utf-8"))
    entry = next(e for e in content["files"] if e["path"].endswith(path.name))
    entry["sha256"] = file_hash(path)
    manifest.write_text(json.dumps(content), encoding="utf-8")


def test_make_honours_the_shop_and_verify_certifies_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = written(tmp_path, SHOP)
    assert call("make", str(spec), "--out", str(tmp_path / "out")) == 0
    folder = tmp_path / "out" / "one_plate"
    flat = folder / "parts/lid/lid_flat_mm.dxf"
    doc = ezdxf.readfile(flat)
    assert doc.dxfversion == "AC1009"
    assert {e.dxf.layer for e in doc.modelspace()} == {"THROUGH", "NOTES"}
    capsys.readouterr()

    assert call("verify", str(folder)) == 0
    lines = {x.split(": ")[0]: x for x in capsys.readouterr().out.splitlines() if x.startswith("ok")}
    assert lines["ok  parts/lid/lid_flat_mm.dxf"].startswith(
        "ok  parts/lid/lid_flat_mm.dxf: closed, no duplicates, no crossings, mm by name and note, R12 r12, "
    )
    assert "smallest hole 4.50 mm (limit 2.00)" in lines["ok  parts/lid/lid_flat_mm.dxf"]
    assert "kerf 0.20 mm offset and declared" in lines["ok  parts/lid/lid_flat_mm.dxf"]
    assert "watertight, mm, bodies: 1, " in lines["ok  parts/lid/lid.stl"]
    assert "one valid solid, mm, " in lines["ok  parts/lid/lid.step"]

    assert call("verify", str(folder), "--json") == 0
    files = {f["path"]: f["certificate"] for f in json.loads(capsys.readouterr().out)["files"]}
    certificate = files["parts/lid/lid_flat_mm.dxf"]
    assert (certificate["closed"], certificate["duplicates"], certificate["kerf_mm"]) == (True, 0, 0.2)
    assert files["parts/lid/lid.stl"]["watertight"] is True
    assert files["parts/lid/lid.step"]["valid_solid"] is True

    # a hole moved by a hundredth, and the manifest made to agree with the file
    circle = doc.modelspace().query("CIRCLE").first
    circle.translate(0.01, 0, 0)
    doc.saveas(flat)
    resealed(folder, flat)
    assert call("verify", str(folder)) == 4
    out = capsys.readouterr().out
    assert "BAD parts/lid/lid_flat_mm.dxf\n    closed, no duplicates" in out
    assert "is 0.010000 mm off its place" in out


@pytest.mark.parametrize(
    ("shop", "path", "found"),
    [
        ('cut_layer = "MARK"', "cutting.cut_layer", "the name of mark_layer as well"),
        ('cut_layer = "A"\nbend_up_layer = "a"', "cutting.bend_up_layer", "the name of cut_layer as well"),
        (
            'bend_up_layer = "B"\nbend_down_layer = "b"',
            "cutting.bend_down_layer",
            "the name of bend_up_layer",
        ),
        ('mark_layer = "0"', "cutting.mark_layer", "kept for cuts"),
        ('notes_layer = "DefPoints"', "cutting.notes_layer", "never printed"),
        ('layers = "cut_and_mark"\nbend_up_layer = "B"', "cutting.bend_up_layer", "cut_and_mark"),
        ('cut_layer = "my layer"', "cutting.cut_layer", "my layer"),
        ('mark_layer = "notes"', "cutting.mark_layer", "the name of notes_layer as well"),
        ('kerf = "1 mm"', "cutting.kerf", "a cut 1 mm"),
        ('kerf = "0.2 mm"\nnotes = false', "cutting.notes", "without notes"),
        ('profile = "spline"', "cutting.profile", "spline"),
        ("bend_lines = 1", "cutting.bend_lines", "1"),
    ],
)
def test_what_a_shop_may_not_ask_for(shop: str, path: str, found: str, tmp_path: Path) -> None:
    spec = written(tmp_path, f"[cutting]\n{shop}\n")
    with pytest.raises(SpecError) as error:
        prepare(spec)
    (fault,) = error.value.faults
    assert fault.path == path
    assert found in fault.found


@pytest.mark.parametrize(
    ("layers", "path", "found"),
    [
        ('drill = "PILOT"', "template_layers.drill", "the name of pilot as well"),
        ('drill = "X"\nnotes = "x"', "template_layers.notes", "the name of drill as well"),
        ('fold = "0"', "template_layers.fold", "which every DXF has"),
        ('datum = "a b"', "template_layers.datum", "a b"),
    ],
)
def test_what_a_plotter_may_not_be_asked_for(layers: str, path: str, found: str, tmp_path: Path) -> None:
    spec = written(tmp_path, f"[template_layers]\n{layers}\n")
    with pytest.raises(SpecError) as error:
        prepare(spec)
    (fault,) = error.value.faults
    assert fault.path == path
    assert found in fault.found


SHEET = '[[sheet]]\nmaterial = "1008 steel"\nthickness = "2 mm"\nlength = "500 mm"\nwidth = "400 mm"\n'


@pytest.mark.parametrize(
    ("shop", "path", "found"),
    [
        (SHEET.replace("500", "60") + '[nest]\nmargin = "30 mm"\n', "sheet[0].length", "60 mm"),
        (SHEET.replace("1008", "1009"), "sheet[0].material", "1009 steel"),
        ('[nest]\nsheet_layer = "cut"\n', "nest.sheet_layer", "the name of cutting.cut_layer as well"),
        ('[nest]\nremnant_layer = "SHEET"\n', "nest.remnant_layer", "the name of nest.sheet_layer as well"),
        ('[nest]\nremnant_layer = "0"\n', "nest.remnant_layer", "which every DXF has"),
        ("[rates]\ncutter_hour = 90\n", "rates.cutter_hour", "a price without a currency"),
        (SHEET + "per_kg = 2\n", "sheet[0].per_kg", "a price without a currency"),
        ('[rates]\nbend = "40"\n', "rates.bend", "40"),
        ('[rates]\nbend = "40 mm"\n', "rates.bend", "40 mm"),
        (
            '[[rates.cut]]\nmaterial = "1008 steel"\nthickness = "2 mm"\nspeed = "0 m/min"\npierce = "1 s"\n',
            "rates.cut[0].speed",
            "0 m/min",
        ),
        (
            2
            * '[[rates.cut]]\nmaterial = "1008 steel"\nthickness = "2 mm"\nspeed = "4 m/min"\npierce = "1 s"\n',
            "rates.cut[1]",
            "again",
        ),
    ],
)
def test_what_rack_and_rates_may_not_say(shop: str, path: str, found: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError) as error:
        prepare(written(tmp_path, shop))
    (fault,) = error.value.faults
    assert fault.path == path
    assert found in fault.found


def test_a_nest_is_made_proven_and_a_changed_one_shows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec, out = written(tmp_path, SHOP + SHEET), tmp_path / "out"
    assert call("nest", str(spec), "--sets", "3", "--out", str(out), "--json") == 0
    said = json.loads(capsys.readouterr().out)
    assert said["stocks"] == [{"stock": "1008 steel, 2 mm", "sheets": 1, "fewest_by_area": 1}]
    folder, rel = out / "one_plate_nest", "sheet_1_1008_steel_2_mm_mm.dxf"
    assert {"nest.pdf", rel} <= set(said["files"])
    assert call("verify", str(folder)) == 0
    assert f"{rel}: 3 of 3 blanks recognised" in capsys.readouterr().out
    # a hole moved by a hundredth, and the manifest made to agree with the file
    doc = ezdxf.readfile(folder / rel)
    doc.modelspace().query("CIRCLE").first.translate(0.01, 0, 0)
    doc.saveas(folder / rel)
    resealed(folder, folder / rel)
    assert call("verify", str(folder)) == 4
    assert "are not those of lid" in capsys.readouterr().out


def test_a_nest_without_a_sheet_is_one_fault_of_the_shop_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = written(tmp_path, SHOP)
    assert call("nest", str(spec), "--out", str(tmp_path / "out")) == 3
    error = capsys.readouterr().err
    assert "shop.toml" in error
    assert "no sheet of 1008 steel, 2 mm" in error
    assert not (tmp_path / "out").exists()
