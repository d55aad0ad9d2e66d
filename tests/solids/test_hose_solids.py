"""Hoses as solids, and the STEP assembly written, read back and spoiled."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh

from generators.model.hose_path import Arc, HosePath, Straight, Support
from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule
from generators.sheetmetal.volume import folded_volume
from generators.solids import kernel
from generators.solids.extents import folded_box
from generators.solids.files.assembly import Rod
from generators.solids.files.step_assembly import write_step_assembly
from generators.solids.tubes import tube_mesh, tube_shape
from generators.verify.assembled import Expected, Extent
from generators.verify.step.assembly import read_step_assembly

RADIUS, OUTSIDE = 60.0, 12.0


@cache
def angle_plan() -> PartPlan:
    """A bracket with one bend, as its kind makes it."""
    kind = kind_named("reservoir_bracket")
    spec = PartSpec(
        name="bracket",
        kind=kind.name,
        material="1008 steel",
        thickness_mm=3.0,
        parameters=kind.parameters(),
    )
    return kind.plan(spec, bend_rule(Shop(), "1008 steel", 3.0, None))


def two_planes() -> HosePath:
    """100 mm along x, a quarter turn up, 80 mm along z, a quarter turn to the right, 50 mm along y."""
    segments = (
        Straight(start=(0.0, 0.0, 0.0), end=(100.0, 0.0, 0.0)),
        Arc(
            centre=(100.0, 0.0, RADIUS), axis=(0.0, -1.0, 0.0), start=(100.0, 0.0, 0.0), sweep_rad=math.pi / 2
        ),
        Straight(start=(160.0, 0.0, 60.0), end=(160.0, 0.0, 140.0)),
        Arc(
            centre=(160.0, RADIUS, 140.0),
            axis=(-1.0, 0.0, 0.0),
            start=(160.0, 0.0, 140.0),
            sweep_rad=math.pi / 2,
        ),
        Straight(start=(160.0, 60.0, 200.0), end=(160.0, 110.0, 200.0)),
    )
    ends = (Support(name="a", kind="port", station_mm=0.0), Support(name="b", kind="port", station_mm=0.0))
    return HosePath(
        name="hose", segments=segments, supports=ends, outside_dia_mm=OUTSIDE, bend_radius_mm=RADIUS
    )


def test_a_rod_has_the_volume_of_pappus_and_ends_where_the_path_does() -> None:
    path = two_planes()
    length = 100 + 80 + 50 + math.pi * RADIUS
    assert path.length_mm == pytest.approx(length)
    solid = tube_shape(path)
    assert kernel.is_valid(solid)
    # Pappus: section times the way of its middle
    assert kernel.volume(solid) == pytest.approx(math.pi / 4 * OUTSIDE**2 * length, rel=1e-9)
    mesh = trimesh.Trimesh(*tube_mesh(path))
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(kernel.volume(solid), rel=0.02)
    low, high = mesh.bounds
    assert low == pytest.approx([0, -6, -6], abs=0.1)
    assert high == pytest.approx([166, 110, 206], abs=0.1)


def expected(path: HosePath, plan_matrix: np.ndarray) -> list[Expected]:
    plan = angle_plan()
    low, high = folded_box(plan)
    rod = math.pi / 4 * OUTSIDE**2 * path.length_mm
    whole = Extent(low=low, high=high, volume_mm3=folded_volume(plan))
    hose = Extent(low=np.array([0.0, -6.0, -6.0]), high=np.array([166.0, 110.0, 206.0]), volume_mm3=rod)
    return [
        Expected(name=plan.name, matrix=plan_matrix, solids=(whole,)),
        Expected(name="hose", matrix=np.eye(4), solids=(hose,)),
    ]


def turned(x: float) -> np.ndarray:
    out = np.array([[0.0, 0, 1, x], [1, 0, 0, 20], [0, 1, 0, 30], [0, 0, 0, 1]])
    return out


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("assembly") / "assembly.step"
    rods = [Rod(path=two_planes(), kind="feed")]
    names = write_step_assembly(path, [], [(angle_plan(), turned(300.0))], rods, revision="abc1234", job="t")
    assert names == (angle_plan().name, "hose")
    return path


def test_an_assembly_reads_back_named_coloured_and_in_place(written: Path) -> None:
    reading = read_step_assembly(written, expected(two_planes(), turned(300.0)), rel="a", revision="abc1234")
    assert reading.problems == ()
    assert len(reading.facts) == 2


def test_the_same_assembly_is_the_same_bytes(written: Path, tmp_path: Path) -> None:
    again = tmp_path / "elsewhere.step"  # the header names the assembly, not the path
    rods = [Rod(path=two_planes(), kind="feed")]
    write_step_assembly(again, [], [(angle_plan(), turned(300.0))], rods, revision="abc1234", job="t")
    assert again.read_bytes() == written.read_bytes()
    assert b"FILE_NAME('assembly.step','2000-01-01T00:00:00'," in written.read_bytes()


def test_what_is_moved_renamed_or_missing_is_named(written: Path, tmp_path: Path) -> None:
    moved = read_step_assembly(written, expected(two_planes(), turned(301.0)), rel="a", revision="abc1234")
    assert any("1.000 mm away from its place" in problem for problem in moved.problems)
    one = expected(two_planes(), turned(300.0))[:1]
    extra = read_step_assembly(written, one, rel="a", revision="abc1234")
    assert extra.problems == ("holds a body called hose, which the plan does not have",)
    renamed = tmp_path / "assembly.step"
    renamed.write_bytes(written.read_bytes().replace(b"'hose'", b"'pipe'"))
    both = expected(two_planes(), turned(300.0))
    reading = read_step_assembly(renamed, both, rel="a", revision="0000000")
    assert "does not carry revision 0000000" in reading.problems
    assert "holds 0 bodies called hose, plan 1" in reading.problems
