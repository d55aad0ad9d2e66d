"""Pedals through the reader and the pipeline: units, faults at their line, the demo and its spoiled variants."""

from __future__ import annotations

import math
import re
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from generators.errors import Fault, SpecError
from generators.geometry.frames import apply, panel_frame
from generators.hydraulics.result import ClutchResult
from generators.layout.mounting import part_matrix
from generators.model.findings import Finding, Severity
from generators.sheetmetal.folding import folded_frames
from generators.solve.job import Prepared, prepare

HEAD = '[job]\nname = "toy"\ntitle = "Toy job, invented"\n'
PEDAL = """
[[pedal]]
name = "clutch"
kind = "clutch"
pivot = ["103 mm", "0 mm", "62 mm"]
seat_at = ["0 mm", "0 mm", "0 mm"]
axis_to = ["-80 mm", "0 mm", "0 mm"]
pin = ["14 mm", "-60 mm"]
pad = ["60 mm", "-330 mm"]
travel = "170 mm"
bracket_flex = "0.3 mm/kN"
[pedal.master]
bore = "19.05 mm"
stroke = "35.56 mm"
barrel = "60 mm"
[[pedal.line]]
kind = "hose"
length = "457.2 mm"
bore = "3.175 mm"
swell = "1.1 cc/m"
swell_at = "7 MPa"
[pedal.slave]
bore = "22.225 mm"
stroke = "31.75 mm"
[pedal.fluid]
bulk_modulus = "1400 MPa"
air = "0.2 cc"
[pedal.clutch]
fork_ratio = 1.6
free_play = "1.524 mm"
release_travel = "7.62 mm"
over_travel = "10.668 mm"
load = "1500 N"
"""

MM_PER_IN, N_PER_LBF = 25.4, 4.4482216152605


def inches(text: str) -> str:
    """The same spec in inches, pounds and psi: every quantity divided by the exact factor, 17 digits."""

    def other(match: re.Match[str]) -> str:
        value, unit = float(match[1]), match[2]
        factor, to = {
            "mm": (MM_PER_IN, "in"),
            "N": (N_PER_LBF, "lbf"),
            "MPa": (N_PER_LBF / MM_PER_IN**2, "psi"),
            "cc": (MM_PER_IN**3 / 1000, "in3"),
            "cc/m": (1000 / 304.8, "cc/ft"),
            "mm/kN": (MM_PER_IN / N_PER_LBF * 1000, "in/lbf"),
        }[unit]
        return f'"{value / factor:.20f} {to}"'

    return re.sub(r'"(-?[0-9.]+) (mm/kN|mm|N|MPa|cc/m|cc)"', other, text)


def prepared(tmp_path: Path, text: str) -> Prepared:
    spec = tmp_path / "spec.toml"
    spec.write_text(HEAD + text, encoding="utf-8")
    return prepare(spec)


def only_fault(tmp_path: Path, text: str) -> Fault:
    with pytest.raises(SpecError) as caught:
        prepared(tmp_path, text)
    assert len(caught.value.faults) == 1, str(caught.value)
    return caught.value.faults[0]


def clutch(job: Prepared) -> ClutchResult:
    result = job.pedals[0].clutch
    assert result is not None
    return result


def changed(text: str, key: str, value: str, nth: int = 0) -> str:
    """The spec with the nth ``key`` set to ``value``."""
    places = list(re.finditer(rf"^( *){key} = .*$", text, re.MULTILINE))
    at = places[nth]
    return text[: at.start()] + f"{at[1]}{key} = {value}" + text[at.end() :]


# ------------------------------------------------------------------------------------------ units
def test_inches_and_metric_give_the_same_pedal(tmp_path: Path) -> None:
    imperial = inches(PEDAL)
    assert "mm" not in imperial.replace("mm/", "")
    one, two = clutch(prepared(tmp_path, PEDAL)), clutch(prepared(tmp_path, imperial))
    for field in fields(one.curves):
        a, b = getattr(one.curves, field.name), getattr(two.curves, field.name)
        assert a.shape == b.shape
        assert b == pytest.approx(a, rel=1e-9, abs=1e-9), field.name
    for field in fields(one.window):
        a, b = getattr(one.window, field.name), getattr(two.window, field.name)
        if isinstance(a, float):
            assert b == pytest.approx(a, rel=1e-9), field.name
    assert [s.mm for s in two.budget] == pytest.approx([s.mm for s in one.budget], rel=1e-9, abs=1e-9)
    assert two.peak_effort_n == pytest.approx(one.peak_effort_n, rel=1e-9)
    assert two.reservoir_needed_mm3 == pytest.approx(one.reservoir_needed_mm3, rel=1e-9)


def test_the_ranking_of_a_read_pedal(tmp_path: Path) -> None:
    ranking = prepared(tmp_path, PEDAL).pedals[0].ranking()
    assert ranking is not None
    assert ranking.best is not None


# ------------------------------------------------------------------------------- impossible inputs
@pytest.mark.parametrize(
    ("text", "path", "says"),
    [
        (
            changed(PEDAL, "travel", '"170 mm"\nrod_length = "70 mm"'),
            "pedal[0].rod_length",
            "shorter than the gap",
        ),
        (changed(PEDAL, "pin", '["-40 mm", "-20 mm"]'), "pedal[0].pin", "crosses its dead point"),
        (changed(PEDAL, "pin", '["62 mm", "0 mm"]'), "pedal[0].pin", "dead point"),
        (changed(PEDAL, "stroke", '"70 mm"'), "pedal[0].master.stroke", "over the barrel of 60 mm"),
        (changed(PEDAL, "bore", '"0 mm"'), "pedal[0].master.bore", "0 mm"),
        (changed(PEDAL, "bore", '"0 mm"', 2), "pedal[0].slave.bore", "0 mm"),
        (
            changed(PEDAL, "stroke", '"35 mm"\ndead_stroke = "35 mm"'),
            "pedal[0].master.dead_stroke",
            "dead stroke",
        ),
        (changed(PEDAL, "travel", '"170 mm"\nstop = "180 mm"'), "pedal[0].stop", "beyond the floor"),
        (
            changed(PEDAL, "load", '"1500 N"\ncurve = [["0 mm", "1 N"], ["2 mm", "5 N"]]'),
            "pedal[0].clutch.load",
            "one",
        ),
        (changed(PEDAL, "load", '"1500"'), "pedal[0].clutch.load", "without a unit"),
        (changed(PEDAL, "swell", '"1.1 cc"'), "pedal[0].line[0].swell", "a volume"),
        (changed(PEDAL, "swell_at", '"7 MPa"\ncircuit = "left"'), "pedal[0].line[0].circuit", "left"),
        (changed(PEDAL, "pivot", '["1 mm"]'), "pedal[0].pivot", "a list of 1"),
        (changed(PEDAL, "axis_to", '["0 mm", "0 mm", "0 mm"]'), "pedal[0].axis_to", "no axis"),
        (PEDAL.replace('seat_at = ["0 mm", "0 mm", "0 mm"]\n', ""), "pedal[0].seat_at", "no seat_at"),
        (changed(PEDAL, "kind", '"clutch"\nhanger = "h"'), "pedal[0].pivot", "beside a hanger"),
        (changed(PEDAL, "kind", '"brake"'), "pedal[0].master", "a master table in a brake pedal"),
        (PEDAL.partition("[pedal.slave]")[0], "pedal[0].slave", "no slave table"),
        (
            PEDAL.replace('stroke = "31.75 mm"', 'stroke = "31.75 mm"\nkind = "concentric"'),
            "pedal[0].slave.inner",
            "inner",
        ),
        (
            changed(PEDAL, "load", "0").replace("load = 0", 'curve = [["2 mm", "9 N"], ["1 mm", "5 N"]]'),
            "pedal[0].clutch.curve",
            "do not rise",
        ),
        (
            changed(PEDAL, "load", "0").replace("load = 0", 'curve = [["2 mm", "9 N"], ["3 mm", "5 mm"]]'),
            "pedal[0].clutch.curve[1][1]",
            "a length",
        ),
        (
            changed(PEDAL, "load", "0").replace("load = 0", 'curve = [["2 mm", "9 N"], ["3 mm"]]'),
            "pedal[0].clutch.curve[1]",
            "a list of 1",
        ),
        (
            changed(PEDAL.replace("swell_at", "#"), "swell", '"1 cc/m"'),
            "pedal[0].line[0].swell_at",
            "without",
        ),
        (
            changed(PEDAL.replace("swell", "#"), "bore", '"25.5 mm"', 1),
            "pedal[0].line[0].bore",
            "25.5 mm",
        ),
        (PEDAL + PEDAL, "pedal[1].name", "again"),
        (
            changed(PEDAL, "load", "0").replace("load = 0", 'curve = [["0 mm", "0 N"], ["3 mm", "0 N"]]'),
            "pedal[0].clutch.curve",
            "without load",
        ),
    ],
)
def test_impossible_inputs_have_one_fault_at_their_key(
    tmp_path: Path, text: str, path: str, says: str
) -> None:
    fault = only_fault(tmp_path, text)
    assert fault.path == path
    assert says in f"{fault.found} | {fault.expected}"
    assert fault.line > 3


def test_impossible_inputs_end_with_exit_3(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from generators.cli.app import run

    spec = tmp_path / "spec.toml"
    spec.write_text(HEAD + changed(PEDAL, "pin", '["-40 mm", "-20 mm"]'), encoding="utf-8")
    monkeypatch.setattr("sys.argv", ["pedalplate", "check", str(spec)])
    assert run() == 3
    assert "pedal[0].pin: found a pin that crosses its dead point" in capsys.readouterr().err


# ------------------------------------------------------------------------------------------ demo
def spoiled(tmp_path: Path, demo: Path, *changes: tuple[str, str, int]) -> Prepared:
    text = demo.read_text(encoding="utf-8")
    start = text.index("[[pedal]]")
    pedal = text[start:]
    for key, value, nth in changes:
        pedal = changed(pedal, key, value, nth)
    spec = tmp_path / "spec.toml"
    spec.write_text(text[:start] + pedal, encoding="utf-8")
    (tmp_path / "shop.toml").write_bytes((demo.parent / "shop.toml").read_bytes())
    return prepare(spec)


def pedal_findings(job: Prepared) -> list[Finding]:
    # which keys were left out is told of every spec here
    return [f for f in job.findings if f.where.startswith("pedal:") and f.code != "pedal-default"]


def one_sentence(text: str) -> bool:
    return bool(text) and "\n" not in text and ". " not in text and not text.endswith(".")


def test_the_demo_has_a_window_with_margins(demo_spec: Path) -> None:
    job = prepare(demo_spec)
    result = clutch(job)
    window = result.window
    assert pedal_findings(job) == []
    assert not job.blocked
    # the floor is its stop: it releases on the carpet, and without it nothing runs past its end
    assert window.stop_mm - window.earliest_mm > 5
    assert all(limit.pad_mm - window.gone_mm > 5 for limit in window.limits if limit.key != "floor")
    assert 90 <= result.peak_effort_n <= 180
    assert 100 <= window.stop_mm <= 150
    assert result.peak_rod_angle_rad < np.radians(3)


def test_the_demo_with_a_bore_too_small(tmp_path: Path, demo_spec: Path) -> None:
    (found,) = pedal_findings(spoiled(tmp_path, demo_spec, ("bore", '"5/8 in"', 0)))
    assert (found.code, found.severity) == ("stop-window-empty", Severity.FAIL)
    assert re.match(r"take a [0-9 ]+/[0-9]+ in master: ", found.advice)
    assert one_sentence(found.advice)


def test_the_demo_with_a_stop_too_late(tmp_path: Path, demo_spec: Path) -> None:
    # farther from the toe board, so that the floor comes later still
    pad = ("pad", '["170 mm", "-300 mm"]', 0)
    late = ("stop", '"169 mm"\ntargets = { travel = "175 mm" }', 0)
    findings = pedal_findings(spoiled(tmp_path, demo_spec, pad, late))
    # the arm, so much longer, is another rule's
    (found,) = (f for f in findings if f.code != "pedal-arm-yield")
    assert (found.code, found.severity) == ("pedal-over-travel", Severity.FAIL)
    assert found.found == "stop at 169.0 mm of pad travel"
    assert re.fullmatch(r"set the stop at 1[0-9]{2}\.[0-9] mm of pad travel", found.advice)


def test_the_demo_with_a_rod_too_long(tmp_path: Path, demo_spec: Path) -> None:
    right = clutch(prepare(demo_spec)).rod_length_mm
    change = ("stop", f'"floor"\nrod_length = "{right + 3:.6f} mm"', 0)
    # a piston already pressed meets its ends sooner, too
    (found,) = (f for f in pedal_findings(spoiled(tmp_path, demo_spec, change)) if f.code == "rod-length")
    assert found.severity is Severity.FAIL
    assert found.found == "the rod holds the piston 2.50 mm off its rest"
    assert found.advice == f"shorten the rod by 3.00 mm to {right:.2f} mm"


@pytest.mark.parametrize(
    "moved",
    [
        (),
        (("pivot_up", '"55 mm"'),),
        (("pivot_out", '"101 mm"'),),
        (("pivot_out", '"101 mm"\n  wedge = "-7 deg"\n  master_nose = "28 mm"'),),
        (("at", '{ from = "column_bore", u = "-150 mm", v = "120 mm" }'), ("rotate", '"9 deg"')),
    ],
)
def test_the_hangers_holes_and_the_linkage_read_the_same_numbers(
    tmp_path: Path, demo_spec: Path, moved: tuple[tuple[str, str], ...]
) -> None:
    text = demo_spec.read_text(encoding="utf-8")
    start = text.index('name = "clutch_hanger"')
    hanger_text = text[start:].replace('face = "cab"', 'face = "cab"\n  rotate = "0 deg"', 1)
    for key, value in moved:
        hanger_text = changed(hanger_text, key, value)
    spec = tmp_path / "spec.toml"
    spec.write_text(text[:start] + hanger_text, encoding="utf-8")
    job = prepare(spec)
    frame = job.pedals[0].frame
    hanger = next(p for p in job.parts if p.spec.name == "clutch_hanger")
    firewall = job.file.job.panel[0]
    assert hanger.mount is not None
    pose = part_matrix(firewall, hanger.mount)
    across = np.cross(np.array(frame.up), np.array(frame.out))
    # the pivot bores of the folded plan lie on the linkage's pivot axis, one on each side
    offsets = []
    for cheek in ("right_cheek", "left_cheek"):
        (hole,) = hanger.plan.flange(cheek).holes
        local = apply(folded_frames(hanger.plan)[cheek], np.array([[hole.u_mm, hole.v_mm, 0.0]]))
        centre = apply(pose, local)[0] - np.array(frame.pivot)
        assert centre - (centre @ across) * across == pytest.approx(np.zeros(3), abs=1e-9)
        offsets.append(float(centre @ across))
    assert offsets[0] == pytest.approx(-offsets[1])
    # and the hole drilled in the panel for the master lies on the cylinder's axis
    master = next(h for h in job.layouts[0].holes if h.name.endswith("master_bore"))
    panel = panel_frame(firewall.origin, firewall.tilt_rad, firewall.turn_rad)
    drilled = apply(panel, np.array([[master.u_mm, master.v_mm, 0.0]]))[0] - np.array(frame.seat)
    assert np.cross(drilled, np.array(frame.axis)) == pytest.approx(np.zeros(3), abs=1e-9)
    assert float(drilled @ np.array(frame.axis)) == pytest.approx(-8.0)


def test_a_loose_hanger_hangs_as_on_an_upright_panel(tmp_path: Path) -> None:
    part = """
[[part]]
name = "hanger"
kind = "pedal_hanger"
material = "1008 steel"
thickness = "3 mm"
[part.parameters]
pivot_up = "62 mm"
pivot_out = "95 mm"
"""
    places = re.compile(r"^(pivot|seat_at|axis_to) = .*\n", re.MULTILINE)
    hung = places.sub("", changed(PEDAL, "kind", '"clutch"\nhanger = "hanger"\nseat = "8 mm"'))
    frame = prepared(tmp_path, part + hung).pedals[0].frame
    assert frame.pivot == (95.0, 0.0, 62.0)
    assert frame.seat == (-8.0, 0.0, 0.0)
    assert (frame.out, frame.up, frame.axis) == ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0))
    # on a wedge of 30 degrees the nose rises by half of what it goes in: closed form
    leans = part + 'wedge = "30 deg"\nmaster_nose = "20 mm"\n'
    frame = prepared(tmp_path, leans + hung).pedals[0].frame
    assert frame.axis == pytest.approx((-math.sqrt(3) / 2, 0.0, 0.5))
    assert frame.seat == pytest.approx((-8 * math.sqrt(3) / 2, 0.0, 4.0))
    assert (frame.pivot, frame.out, frame.up) == ((95.0, 0.0, 62.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    wrong = part.replace("pedal_hanger", "reservoir_bracket").partition("[part.parameters]")[0]
    fault = only_fault(tmp_path, wrong + hung)
    assert fault.path == "pedal[0].hanger"
    assert "pedal_hanger" in fault.expected
    lost = only_fault(tmp_path, part + hung.replace('hanger = "hanger"', 'hanger = "hangar"'))
    assert lost.path == "pedal[0].hanger"
    assert lost.hint == 'did you mean "hanger"?'


BRAKE = """
[[pedal]]
name = "brake"
kind = "brake"
pivot = ["103 mm", "0 mm", "62 mm"]
seat_at = ["0 mm", "0 mm", "0 mm"]
axis_to = ["-80 mm", "0 mm", "0 mm"]
pin = ["14 mm", "-60 mm"]
pad = ["60 mm", "-330 mm"]
travel = "150 mm"
[pedal.brake]
front_share = 0.55
front = { bore = "3/4 in", stroke = "28 mm", volume = "3 cc", pressure = "5 MPa", rating = "20 MPa", wear = "9 cc", reservoir = "40 cc" }
rear = { bore = "13/16 in", stroke = "28 mm", volume = "2.5 cc", rating = "20 MPa", wear = "9 cc", reservoir = "40 cc" }
"""


def test_a_brake_pedal_is_read_and_computed(tmp_path: Path) -> None:
    job = prepared(tmp_path, BRAKE)
    assert pedal_findings(job) == []
    answer = job.pedals[0]
    assert answer.brake is not None
    assert answer.ranking() is None
    assert answer.linkage is answer.brake.linkage
    assert answer.brake.circuits[1].bore_mm == pytest.approx(20.6375)
