"""Masters that lean on a wedge: the hole of the nose by brute force, and the component that leans with it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from joint_jobs import leaning
from made_once import solved

from generators.checks.joint.wedges import least_bore_mm
from generators.layout.spots import component_place
from generators.model.install import InstallOrder
from generators.parts.twin_pedal_hanger import TwinPedalHanger
from generators.sheets.bill import bill
from generators.sheets.hose_words import LinesSheet
from generators.solve.bodies.components import component_body
from generators.solve.job import prepare
from generators.solve.parts import sample_plan

DEMO = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


@pytest.mark.parametrize(("nose", "wedge_deg", "deep"), [(30, 6, 3.0), (28, -12, 4.5), (20, 25, 1.2)])
def test_the_hole_is_as_wide_as_points_of_the_leaning_nose_ask(
    nose: float, wedge_deg: float, deep: float
) -> None:
    # points of a cylinder whose axis leans in the plane x, z, taken where they lie within the sheet
    wedge = math.radians(wedge_deg)
    along, turn = np.meshgrid(np.linspace(-80, 80, 3201), np.linspace(0, 2 * math.pi, 721))
    axis, aside = (
        np.array([math.sin(wedge), 0, math.cos(wedge)]),
        np.array([math.cos(wedge), 0, -math.sin(wedge)]),
    )
    rim = nose / 2 * (np.cos(turn)[..., None] * aside + np.sin(turn)[..., None] * np.array([0, 1, 0]))
    points = along[..., None] * axis + rim
    inside = (points[..., 2] >= 0) & (points[..., 2] <= deep)
    widest = float(np.hypot(points[..., 0], points[..., 1])[inside].max())
    assert 2 * widest == pytest.approx(least_bore_mm(nose, wedge, deep), abs=0.05)


def test_a_nose_nobody_gave_is_asked_for() -> None:
    (found,) = leaning(60.0, nose_mm=0.0)
    assert found.found == "a wedge, and no master_nose"


def test_body_and_ports_of_the_master_lean_with_its_axis(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").replace(
        'master_bore = "1 1/4 in"', 'master_bore = "1 1/2 in"\n  wedge = "8 deg"\n  master_nose = "1 1/4 in"'
    )
    spec = tmp_path / "spec.toml"
    spec.write_text(text, encoding="utf-8")
    (tmp_path / "shop.toml").write_bytes((DEMO.parent / "shop.toml").read_bytes())
    before, after = solved("wrenfield_van"), prepare(spec)
    master = next(c for c in after.file.job.component if c.name == "master")
    square, leans = (component_place(master, p.lines.sheets).frame for p in (before, after))
    axis, seat = (np.array(v) for v in (after.pedals[0].frame.axis, after.pedals[0].frame.seat))
    # 8 degrees between them, the leaning one higher at its nose
    assert float(leans[:3, 0] @ square[:3, 0]) == pytest.approx(math.cos(math.radians(8)))
    assert leans[2, 0] > square[2, 0]
    # the pedal's cylinder and the component are one axis, and it leaves the metal in the same plane
    assert leans[:3, 0] == pytest.approx(axis, abs=1e-12)
    assert np.cross(leans[:3, 3] - seat, axis) == pytest.approx(np.zeros(3), abs=1e-9)
    assert float((leans[:3, 3] - square[:3, 3]) @ square[:3, 0]) == pytest.approx(0.0, abs=1e-9)
    # ports keep their places on the cylinder
    for port in master.port:
        seats = [p.lines.ports[f"master.{port.name}"].position for p in (before, after)]
        local = [np.linalg.inv(f) @ np.array([*s, 1.0]) for f, s in zip((square, leans), seats, strict=True)]
        assert local[0] == pytest.approx(local[1], abs=1e-9)
    bored = replace(master, diameter_mm=40.0, length_mm=100.0)
    body = component_body(bored, after.lines.sheets)
    assert body is not None
    assert np.array(body.end) - np.array(body.start) == pytest.approx(100 * axis)


def test_the_wedge_is_bought_and_put_under(tmp_path: Path) -> None:
    plan = sample_plan("twin_pedal_hanger", TwinPedalHanger(wedge_rad=math.radians(-5), master_nose_mm=28.0))[
        0
    ]
    rows = bill([plan], [], LinesSheet(order=InstallOrder(tasks=(), needs=())))
    # clutch, and two brake masters of a balance bar
    (wedge,) = (row for row in rows if "wedge" in row.item)
    assert (wedge.item, wedge.quantity) == ("wedge of 5 degree", 3)
    assert any("thick side the upper one" in note for note in plan.notes)
    assert sample_plan("twin_pedal_hanger")[0].wedge_rad == 0
