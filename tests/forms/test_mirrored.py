"""The other hand of whole jobs: a reflection in the plane y = 0 of the vehicle, held against plain geometry."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from generators.checks.forms import check_form
from generators.checks.pedal.order import check_order
from generators.geometry.frames import apply
from generators.hydraulics.linkage import motion
from generators.layout.mounting import panel_pose, part_matrix
from generators.model.findings import Severity
from generators.model.spec.fields import spec_fields
from generators.model.spec.job import Job, Mount, Panel, Position
from generators.model.words import other_hand
from generators.parts import KINDS
from generators.reading import read_job
from generators.reading.forms.mirror import mirrored_job
from generators.reading.forms.variants import Form
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
MIRROR = np.diag([1.0, -1.0, 1.0, 1.0])
OTHER = '\n[[variant]]\nname = "other_hand"\nmirror = "vehicle"\n'
TWO = ["ferrow_bus", "tarn_special"]


@cache
def both(name: str) -> tuple[Prepared, Prepared]:
    """A demo and its mirror image; its own variants left out."""
    spec = SPECS / f"{name}.toml"
    text = spec.read_text(encoding="utf-8").partition("[[variant]]")[0]
    return prepare(spec, text=text), prepare(spec, text=text + OTHER, variant="other_hand")


@pytest.mark.parametrize("name", TWO)
def test_every_hole_is_where_the_mirror_shows_it(name: str) -> None:
    ours, other = both(name)
    there = {
        (layout.panel, round(hole.u_mm, 6) + 0.0, round(hole.v_mm, 6) + 0.0): hole
        for layout in other.layouts
        for hole in layout.holes
    }
    holes = [(layout.panel, hole) for layout in ours.layouts for hole in layout.holes]
    assert len(there) == len(holes)
    assert len(holes) > 10
    for panel, hole in holes:
        seen = there[(panel, round(-hole.u_mm, 6) + 0.0, round(hole.v_mm, 6) + 0.0)]
        assert (seen.final_dia_mm, seen.status, seen.purpose) == (
            hole.final_dia_mm,
            hole.status,
            other_hand(hole.purpose),
        )
        # a doubler counts the fasteners of its rim as it meets them
        assert ".rim_" in hole.name or seen.name == other_hand(hole.name)


@pytest.mark.parametrize("name", TWO)
def test_hoses_and_pedals_come_out_the_same(name: str) -> None:
    ours, other = both(name)
    for mine, theirs in zip(ours.lines.hoses, other.lines.hoses, strict=True):
        if mine.length is None:
            assert theirs.length is None
            continue
        assert theirs.length is not None
        assert math.isclose(theirs.length.path_mm, mine.length.path_mm, rel_tol=1e-6), mine.spec.name
        assert theirs.length.made_up_mm == pytest.approx(mine.length.made_up_mm)
    for pedal, twin in zip(ours.pedals, other.pedals, strict=True):
        assert np.allclose(np.array(twin.frame.pivot) * [1, -1, 1], pedal.frame.pivot)
        assert math.isclose(twin.pad_right_mm, -pedal.pad_right_mm)
        turns = np.linspace(0.0, 0.2, 5)
        assert np.allclose(motion(twin.linkage, turns).ratio, motion(pedal.linkage, turns).ratio)


@pytest.mark.parametrize("name", TWO)
def test_every_hole_of_a_part_is_mirrored_in_the_vehicle(name: str) -> None:
    """Root holes through the part's frame into the vehicle, then y turned about: nothing of the code's mirror."""
    ours, other = both(name)
    for mine, theirs in zip(ours.parts, other.parts, strict=True):
        if mine.mount is None:
            continue

        def places(part: Any, job: Job) -> dict[str, Any]:
            panel = next(p for p in job.panel if p.name == part.mount.panel)
            pose = part_matrix(panel, part.mount, part.lift_mm)
            return {
                h.name: apply(pose, np.array([[h.u_mm, h.v_mm, 0.0]]))[0] for h in part.plan.flanges[0].holes
            }

        here, there = places(mine, ours.file.job), places(theirs, other.file.job)
        assert len(here) == len(there)
        for hole, at in here.items():
            found = there.get(other_hand(hole), there.get(hole))
            if found is None or not np.allclose(found * [1, -1, 1], at, atol=1e-6):
                # a part that follows its panel numbers its holes as they come
                nearest = min(float(np.linalg.norm(p * [1, -1, 1] - at)) for p in there.values())
                assert nearest < 1e-6, (mine.spec.name, hole)


@pytest.mark.parametrize("name", TWO)
def test_no_rule_sees_more_than_the_mirror_brings(name: str) -> None:
    ours, other = both(name)
    own = {"mirrored-bought", "mirrored-words", "mirrored-pedals", "pedal-order"}
    assert {(f.code, f.severity) for f in other.findings if f.code not in own} == {
        (f.code, f.severity) for f in ours.findings
    }


def test_panels_of_every_tilt_and_turn_are_reflected() -> None:
    """A panel's points go through its pose: u to -u and y to -y must be one and the same."""
    for tilt in (-0.4, 0.0, 1.1):
        for turn in (-2.0, 0.0, 0.7):
            panel = _panel(tilt, turn)
            other = mirrored_job(_job(panel)).panel[0]
            for u, v, w in ((0.0, 0.0, 0.0), (120.0, 35.0, 0.0), (-40.0, 80.0, 12.0)):
                here = apply(panel_pose(panel), np.array([[u, v, w]]))[0]
                there = apply(panel_pose(other), np.array([[-u, v, w]]))[0]
                assert np.allclose(there, here * [1, -1, 1])


def _panel(tilt: float, turn: float) -> Panel:
    return Panel(
        name="firewall",
        title="Firewall",
        material="mild steel",
        thickness_mm=1.0,
        origin=(10.0, 200.0, 30.0),
        tilt_rad=tilt,
        turn_rad=turn,
        outline=((0.0, 0.0), (300.0, 0.0), (250.0, 200.0)),
    )


def _job(panel: Panel) -> Job:
    file = read_job(SPECS / "ferrow_bus.toml", {k.name: k.parameters for k in KINDS})
    return replace(file.job, panel=(panel,), part=())


def test_the_other_hand_of_the_other_hand_is_the_job_again() -> None:
    for name in ("wrenfield_van", "tarn_special", "ferrow_bus"):
        job = read_job(SPECS / f"{name}.toml", {k.name: k.parameters for k in KINDS}).job
        assert mirrored_job(mirrored_job(job)) == job


def test_a_mount_keeps_its_datum_and_left_edge_becomes_right() -> None:
    mount = Mount(panel="p", face="engine", at=Position(u_mm=30.0, v_mm=5.0, u_from="left", v_from="bottom"))
    part = read_job(SPECS / "ferrow_bus.toml", {k.name: k.parameters for k in KINDS}).job.part[0]
    job = replace(_job(_panel(0.0, 0.0)), part=(replace(part, mount=mount),))
    moved = mirrored_job(job).part[0].mount
    assert moved is not None
    assert (moved.at.u_mm, moved.at.u_from, moved.at.v_from) == (-30.0, "right", "bottom")


_HANDED = {
    ("Brake", "front_side"),
    ("Load", "toward"),
    ("Spot", "side"),
    ("Spot", "facing"),
    ("PortSpec", "facing"),
    ("Elbow", "toward"),
    ("Component", "body_along"),
    ("Clamp", "run"),
    ("Clamp", "aside"),
    ("ClampRow", "facing"),
    ("ClampRow", "aside"),
    ("HoseEnd", "toward"),
}
"""Keys whose words have another hand, each turned about in the mirror. A new one must be, and be listed here."""


def _sided(cls: type, seen: set[type]) -> Iterator[tuple[str, str]]:
    if cls in seen:
        return
    seen.add(cls)
    for field in spec_fields(cls):
        if "left" in field.spec.choices:
            yield cls.__name__, field.key
        if field.spec.item is not None:
            yield from _sided(field.spec.item, seen)


def test_no_key_with_a_left_and_a_right_is_forgotten() -> None:
    assert set(_sided(Job, set())) == _HANDED


def test_words_of_the_vehicle_change_hands_and_given_ones_do_not() -> None:
    spec = SPECS / "tarn_special.toml"
    kinds = {k.name: k.parameters for k in KINDS}
    text = spec.read_text(encoding="utf-8") + OTHER + 'title = "Left hand drive"\n'
    file = read_job(spec, kinds, text.encode(), "other_hand")
    assert file.job.job.title == "Left hand drive"
    datum = next(d for p in file.job.panel for d in p.datum if d.name == "tunnel_edge")
    assert datum.what == "left-hand edge, at the tunnel side"
    assert [was for _, was, _ in file.form.handed] == ["right-hand edge, at the tunnel side"]


def test_what_is_bought_is_told_and_kept_where_asked() -> None:
    kinds = {k.name: k.parameters for k in KINDS}
    spec = SPECS / "ferrow_bus.toml"
    text = spec.read_text(encoding="utf-8").partition("[[variant]]")[0] + OTHER
    mirrored = read_job(spec, kinds, text.encode(), "other_hand").job
    form = Form(name="other_hand", mirrored=True)
    told = {f.where for f in check_form(form, mirrored) if f.code == "mirrored-bought"}
    # the master's outlet is 22 mm to its right, the reservoir's 36 mm; the slave's inlet is in its middle
    assert told == {"component:master", "component:reservoir"}
    kept = read_job(spec, kinds, (text + 'as_bought = ["master"]\n').encode(), "other_hand")
    ports = {c.name: c.port for c in kept.job.component}
    written = {c.name: c.port for c in read_job(spec, kinds).job.component}
    assert ports["master"] == written["master"]
    assert ports["reservoir"][0].at == (12.0, -36.0, 0.0)
    told = {f.where for f in check_form(kept.form, kept.job) if f.code == "mirrored-bought"}
    assert told == {"component:reservoir"}


def test_pedals_stand_in_one_order_in_both_hands() -> None:
    """UN R35, from memory: clutch, brake, accelerator from left to right."""
    ours, other = both("tarn_special")
    assert not [f for f in ours.findings if f.code == "pedal-order"]
    told = [f for f in other.findings if f.code == "pedal-order"]
    assert [(f.severity, f.where) for f in told] == [(Severity.FAIL, "pedal:clutch and brake")]
    clutch, brake = (next(p.spec for p in ours.pedals if p.spec.name == n) for n in ("clutch", "brake"))
    assert not list(check_order({"clutch": (clutch, 99.99), "brake": (brake, 100.0)}))
    assert list(check_order({"clutch": (clutch, 100.0), "brake": (brake, 100.0)}))
