"""Every shipped spec: no rule warns, its files are listed, what it says of itself is consistent."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

import pytest
from made_once import solved

from generators.cli.app import run
from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.layout.mounting import placement
from generators.model.findings import Severity
from generators.parts.throttle_pedal_bracket import pattern_along
from generators.sheets.manual.folder import file_of
from generators.solve.job import Prepared

FOLDER = Path(__file__).parents[2] / "specs"
SPECS = sorted(p.stem for p in FOLDER.glob("*.toml") if not p.stem.endswith(("shop", "readings", "shelf")))


def prepared(name: str) -> Prepared:
    return solved(name)


def test_the_four_jobs_are_shipped() -> None:
    assert {"wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus"} <= set(SPECS)


@pytest.mark.parametrize("name", SPECS)
def test_no_rule_fails_or_warns(name: str) -> None:
    """But where the quick answer, which is not sure by a factor of 1.8, leaves a part's yield to the solver."""
    job = prepared(name)
    grave = [f for f in job.findings if f.severity is not Severity.NOTE]
    assert all(f.code == "bracket-yield" and f.severity is Severity.WARN for f in grave)
    assert all(f.value is not None and f.value >= 1 and "pedalplate stiffness" in f.advice for f in grave)
    assert job.layouts
    assert job.pedals
    assert job.file.job.job.name == name


@pytest.mark.parametrize("name", SPECS)
def test_it_says_it_is_invented(name: str) -> None:
    comments = [
        line for line in (FOLDER / f"{name}.toml").read_text("utf-8").splitlines() if line.startswith("#")
    ]
    assert any("INVENTED" in line for line in comments)
    assert "nvented" in prepared(name).file.job.job.note


@pytest.mark.parametrize("name", SPECS)
def test_panels_have_what_an_installer_needs(name: str) -> None:
    for panel in prepared(name).file.job.panel:
        assert panel.existing
        assert panel.witness_hole
        assert panel.obstacle


@pytest.mark.parametrize("name", SPECS)
def test_dry_run_lists_its_files(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = str(FOLDER / f"{name}.toml")
    monkeypatch.setattr(
        sys, "argv", ["pedalplate", "make", spec, "--out", str(tmp_path), "--dry-run", "--json"]
    )
    assert run() == 0
    answer = json.loads(capsys.readouterr().out)
    job = prepared(name)
    wanted = {
        f"parts/{p.spec.name}/{p.spec.name}{tail}"
        for p in job.parts
        for tail in (".step", ".stl", ".3mf", "_drawing.pdf", *(() if p.plan.printed else ("_flat.dxf",)))
    }
    wanted |= {
        f"panels/{layout.panel}/template{tail}"
        for layout in job.layouts
        for tail in ("_cab.pdf", "_engine.pdf", ".dxf")
    }
    wanted |= {"print_me.pdf", "report.pdf", "install_sheet.pdf", "install.html", "holes.csv", "assembly.glb"}
    assert wanted <= set(answer["files"])
    cut = {path.split("/")[1] for path in answer["files"] if path.endswith("_flat.dxf")}
    assert cut == {p.spec.name for p in job.parts if not p.plan.printed}
    # the manual says of every file what it is
    assert [path for path in answer["files"] if file_of(path) is None] == []
    assert list(tmp_path.iterdir()) == []


def test_the_special_has_two_pedals_on_one_hanger_and_three_masters() -> None:
    job = prepared("tarn_special")
    assert {(p.spec.kind, p.spec.hanger) for p in job.pedals} == {
        ("clutch", "pedal_box"),
        ("brake", "pedal_box"),
    }
    firewall = next(layout for layout in job.layouts if layout.panel == "firewall")
    noses = [h for h in firewall.holes if "nose" in h.purpose]
    # column bore at (215, 376); hanger 20 right of it and 176 below; masters at -72, 42 - 32, 42 + 32
    assert sorted(h.u_mm for h in noses) == pytest.approx([163.0, 245.0, 309.0])
    assert [h.v_mm for h in noses] == pytest.approx([200.0] * 3)
    clutch, brake = (next(p for p in job.pedals if p.spec.kind == kind) for kind in ("clutch", "brake"))
    assert clutch.clutch is not None
    window = clutch.clutch.window
    assert window.earliest_mm < window.stop_mm < window.latest_mm
    assert brake.brake is not None
    for circuit in brake.brake.circuits:
        assert circuit.wanted_mpa is not None
        assert circuit.pressure_mpa >= circuit.wanted_mpa


def test_the_throttle_pad_is_where_its_bracket_was_told_the_brake_pad_is() -> None:
    """The bracket's keys repeat what hanger and brake pedal say: brake pad over the bracket's bolts."""
    job = prepared("tarn_special")
    panel = next(p for p in job.file.job.panel if p.name == "firewall")
    parts = {p.spec.name: p for p in job.parts}
    hanger, bracket = parts["pedal_box"], parts["throttle_bracket"]
    assert hanger.mount is not None
    assert bracket.mount is not None
    brake = next(p.spec for p in job.pedals if p.spec.kind == "brake")
    pad = placement(panel, hanger.mount).dv + hanger.spec.parameters.pivot_up_mm + brake.pad[1]
    p = bracket.spec.parameters
    bolts = placement(panel, bracket.mount).dv
    assert pad - bolts == pytest.approx(p.brake_pad_mm)
    along = pattern_along(p, bracket.spec.thickness_mm)
    lower_edge = p.base_height_mm - p.mount_height_mm - bracket.spec.thickness_mm
    throttle = lower_edge + (along + p.module_pad_mm) * math.cos(p.tilt_rad)
    throttle -= p.module_reach_mm * math.sin(p.tilt_rad)
    assert throttle == pytest.approx(p.brake_pad_mm + p.pad_height_mm)


def test_the_specials_guide_leads_the_drill_over_two_holes_and_stays_nowhere() -> None:
    job = prepared("tarn_special")
    guide = next(p for p in job.parts if p.spec.kind == "drill_guide")
    holes = {h.number: h for h in job.layouts[0].holes}
    root = guide.plan.flanges[0]
    # the part lies unturned on the cab face with its origin on hole B: lengths between holes are the panel's
    (first, second), (one, other) = (h for h in root.holes if h.bush), root.pegs
    for a, b, numbers in ((first, second, "18 22"), (one, other, "B C")):
        p, q = (holes[n] for n in numbers.split())
        assert b.u_mm - a.u_mm == pytest.approx(q.u_mm - p.u_mm)
        assert b.v_mm - a.v_mm == pytest.approx(q.v_mm - p.v_mm)
    assert {holes[n].name for n in ("18", "22")} == {"clamp", "throttle_loom"}
    assert guide.mount is None
    assert guide.spec.name not in {f.part for f in job.layouts[0].footprints}


def test_the_tractor_is_thick_and_has_a_hose_at_either_end() -> None:
    job = prepared("dray_tractor")
    assert {p.spec.thickness_mm for p in job.parts} >= {6.0, 8.0}
    (pedal,) = job.pedals
    kinds = [line.kind for line in pedal.spec.line]
    assert kinds == ["hose", "rigid", "hose"]
    assert pedal.spec.line[1].length_mm > 4000


@pytest.mark.nightly
@pytest.mark.parametrize("name", SPECS)
def test_made_and_proven(name: str, tmp_path: Path) -> None:
    met: list[str] = []
    folder = make(
        prepared(name), tmp_path, paper="A4", progress=lambda what, done, total: met.append(what)
    ).folder
    readings = verify(folder, progress=lambda *_: None)
    assert met
    assert readings
    assert [r.path for r in readings if not r.good] == []
