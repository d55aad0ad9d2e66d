"""`measure` from readings to a finished folder, as a person meets it."""

from __future__ import annotations

import itertools
import json
import math
import shutil
import subprocess
import sys
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from calling import call

from generators.drawing.template.pdf import write_template
from generators.errors import ExportError
from generators.jobs.measure.files import overlay_layout, write_measured
from generators.jobs.measure.survey import Measured, measure
from generators.jobs.verify import verify
from generators.measure.block import existing_block
from generators.model.plan import PanelLayout
from generators.parts import KINDS
from generators.reading import read_job
from generators.verify.pdf.template.pages import read_template_pdf

SPECS = Path(__file__).parents[2] / "specs"
READINGS, DRILLED = SPECS / "wrenfield_readings.toml", SPECS / "wrenfield_hanger_readings.toml"
SPEC = SPECS / "wrenfield_van.toml"


def silent(what: str, done: int, total: int) -> None:
    """No progress bar."""


@pytest.fixture(scope="module")
def measured() -> Measured:
    return measure(READINGS)


@pytest.fixture(scope="module")
def folder(measured: Measured, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_measured(measured, tmp_path_factory.mktemp("out"), paper="A4", progress=silent).folder


def test_demo_readings_find_the_demo_holes(measured: Measured) -> None:
    """The demo's readings were made from the demo's own holes: each must lie in its 99.9 % ellipse."""
    job = read_job(SPEC, {f.name: f.parameters for f in KINDS}).job
    true = {h.name: h.at for h in job.panel[0].existing}
    assert not measured.blocked
    for hole, place, e in zip(
        measured.file.readings.hole, measured.survey.points(), measured.survey.ellipses, strict=True
    ):
        off = ((place[0] - true[hole.name][0]) ** 2 + (place[1] - true[hole.name][1]) ** 2) ** 0.5
        assert off <= 1.52 * e.major_mm, hole.name  # sqrt(13.8 / 5.99), chi-square with 2 degrees of freedom


def test_block_goes_back_through_the_spec_reader(measured: Measured, tmp_path: Path) -> None:
    text = SPEC.read_text(encoding="utf-8")
    first, last = text.index("  [[panel.existing]]"), text.index("  [[panel.obstacle]]")
    pasted = text[:first] + existing_block(measured.survey) + "\n" + text[last:]
    (tmp_path / "van.toml").write_text(pasted, encoding="utf-8")
    shutil.copy(SPECS / "shop.toml", tmp_path)
    job = read_job(tmp_path / "van.toml", {f.name: f.parameters for f in KINDS}).job
    read = {h.name: h for h in job.panel[0].existing}
    for i, hole in enumerate(measured.file.readings.hole):
        assert read[hole.name].at == pytest.approx(tuple(measured.survey.points()[i]), abs=0.0051)
        assert read[hole.name].diameter_mm == pytest.approx(measured.survey.diameters()[i], abs=0.0051)
        assert read[hole.name].action == hole.action
        assert read[hole.name].what == hole.what


def test_folder_is_proven_and_the_same_each_time(folder: Path, measured: Measured, tmp_path: Path) -> None:
    assert all(r.good for r in verify(folder, progress=lambda *_: None))
    again = write_measured(measured, tmp_path, paper="A4", progress=silent).folder
    for path in sorted(folder.iterdir()):
        assert path.read_bytes() == (again / path.name).read_bytes(), path.name


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("existing.toml", b"640.2", b"641.2"),
        ("measured.json", b'"freedom": 9', b'"freedom": 8'),
        ("overlay_cab.pdf", b"%PDF", b"%PDE"),
    ],
)
def test_a_changed_file_is_noticed(folder: Path, tmp_path: Path, name: str, old: bytes, new: bytes) -> None:
    spoiled = tmp_path / "spoiled"
    shutil.copytree(folder, spoiled)
    data = (spoiled / name).read_bytes()
    if old not in data:
        old, new = data[-12:-4], b"XXXXXXXX"
    (spoiled / name).write_bytes(data.replace(old, new, 1))
    bad = {r.path: r.problems for r in verify(spoiled, progress=lambda *_: None) if not r.good}
    assert name in bad


def _overlay_problems(drawn: PanelLayout, wanted: PanelLayout, tmp_path: Path) -> str:
    path = tmp_path / "overlay.pdf"
    write_template(drawn, path, face="cab", paper="A4", job="Job", revision="0000000")
    back = read_template_pdf(path, wanted, face="cab", job="Job", revision="0000000", rel="overlay.pdf")
    return "; ".join(back.problems)


def test_ellipses_of_the_overlay_are_measured(measured: Measured, tmp_path: Path) -> None:
    whole = overlay_layout(measured)
    one = whole.holes[0]
    layout = replace(whole, holes=(one,), ellipses=whole.ellipses[:1], datums=())
    assert _overlay_problems(layout, layout, tmp_path) == ""
    first, *rest = layout.ellipses
    for other in (
        replace(first, major_mm=first.major_mm + 0.1),
        replace(first, minor_mm=first.minor_mm - 0.1),
        replace(first, u_mm=first.u_mm + 0.1),
        replace(first, angle_rad=first.angle_rad + 0.3),
    ):
        drawn = replace(layout, ellipses=(other, *rest))
        assert "has no ellipse" in _overlay_problems(drawn, layout, tmp_path)
    assert "has no ellipse" in _overlay_problems(replace(layout, ellipses=tuple(rest)), layout, tmp_path)


SQUARE = {"a": (0.0, 0.0), "b": (100.0, 0.0), "c": (100.0, 100.0), "d": (0.0, 100.0)}


def no_edges(more: str = "") -> str:
    """A square measured across its holes alone, with one handedness: its frame is its own."""
    lines = ['[measure]\nname = "loose"\ntitle = "No edges"\npanel = "firewall"', more]
    lines += [f'[[hole]]\nname = "{n}"\ndiameter = "10 mm"' for n in SQUARE]
    for (a, pa), (b, pb) in itertools.combinations(SQUARE.items(), 2):
        lines.append(f'[[reading]]\nfrom = "{a}"\nto = "{b}"\nis = "{math.dist(pa, pb):.1f} mm"')
    lines.append('[[handed]]\nhole = "c"\nside = "left"\nfrom = "a"\nto = "b"')
    return "\n".join(lines) + "\n"


def test_holes_no_edge_ties_down_get_their_overlay(tmp_path: Path) -> None:
    """The hole that gives the direction is held across it: its ellipse is a line, and is read back as one."""
    (tmp_path / "r.toml").write_text(no_edges(), encoding="utf-8")
    loose = measure(tmp_path / "r.toml")
    flat = loose.survey.ellipses[1]
    assert flat.major_mm > 0.5
    assert flat.minor_mm < 1e-6
    made = write_measured(loose, tmp_path / "out", paper="A4", progress=silent)
    assert all(r.good for r in made.readings)
    whole = overlay_layout(loose)
    one = next(h for h in whole.holes if h.name == "b")
    line = next(e for e in whole.ellipses if e.hole == one.number)
    layout = replace(whole, holes=(one,), ellipses=(line,), datums=())
    for other in (
        replace(line, major_mm=line.major_mm + 0.1),
        replace(line, minor_mm=0.1),
        replace(line, angle_rad=0.3),
        replace(line, v_mm=line.v_mm + 0.1),
    ):
        drawn = replace(layout, ellipses=(other,))
        assert "has no ellipse" in _overlay_problems(drawn, layout, tmp_path)


def test_no_hole_is_placed_outside_the_panel_it_is_of(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Nothing ties these holes to the sheet: the first would lie on its corner, half of it in the air."""
    sheet = 'outline = [["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "200 mm"], ["0 mm", "200 mm"]]'
    (tmp_path / "r.toml").write_text(no_edges(sheet), encoding="utf-8")
    assert call("measure", tmp_path / "r.toml", "--out", tmp_path / "out") == 1
    out = capsys.readouterr().out
    assert "readings-outside  panel:firewall hole a" in out
    assert "two edges of the panel" in out
    assert not (tmp_path / "out").exists()
    placed = no_edges(sheet) + '[frame]\norigin = "a"\nat = ["40 mm", "40 mm"]\n'
    (tmp_path / "r.toml").write_text(placed, encoding="utf-8")
    assert not measure(tmp_path / "r.toml").blocked


def test_measure_says_it_on_one_screen(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("measure", READINGS) == 0
    out = capsys.readouterr().out
    assert "column_bore" in out
    assert "95 % within" in out
    assert "next: " in out
    assert "[[panel.existing]]" in out


def test_measure_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("measure", READINGS, "--json") == 0
    said = json.loads(capsys.readouterr().out)
    assert said["ok"] is True
    assert {"name", "u_mm", "v_mm", "major_mm", "minor_mm", "angle_deg"} <= set(said["holes"][0])
    assert tomllib.loads("[[panel]]\n" + said["existing"])["panel"][0]["existing"]
    assert said["worst"] in {r["label"] for r in said["readings"]}


def test_places_not_to_be_used_are_not_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = READINGS.read_text(encoding="utf-8").replace('is = "400.5 mm"', 'is = "425.5 mm"')
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    assert call("measure", tmp_path / "r.toml", "--out", tmp_path / "out") == 1
    out = capsys.readouterr().out
    assert "reading-gross-error" in out
    assert "heater_pipe to speedo_hole" in out
    assert not (tmp_path / "out").exists()


def test_measure_takes_no_place_of_a_strange_folder(measured: Measured, tmp_path: Path) -> None:
    strange = tmp_path / measured.file.readings.measure.name
    strange.mkdir()
    (strange / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ExportError):
        write_measured(measured, tmp_path, paper="A4", progress=silent)
    assert (strange / "mine.txt").read_text(encoding="utf-8") == "mine"


def test_measuring_loads_neither_kernel_nor_writers() -> None:
    """An answer in the terminal needs numpy alone; what draws is loaded when something is drawn."""
    code = (
        "import sys; sys.argv=['pedalplate','measure',sys.argv[1]]; from generators.cli.app import run; run();"
        "heavy={'cadquery','OCP','ezdxf','reportlab','trimesh'} & set(sys.modules);"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(READINGS)], capture_output=True, text=True, timeout=300, check=False
    )
    assert done.returncode == 0, done.stderr
