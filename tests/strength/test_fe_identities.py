"""What must hold of any linear structure, whatever the mesh: energy and reciprocity."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("ngsolve")

from netgen.occ import Box, Cylinder, Pnt, X, Z

from generators.strength.elastic import (
    Bed,
    Elastic,
    bearing,
    displaced,
    energy,
    even,
    face_points,
    faces_where,
    loaded,
    mesh_of,
    named,
    on_cylinder,
    support,
    total_of,
    work,
)

SHEET = 3.0
BORES = {
    "held": ((8.0, 8.0, 0.0), (0.0, 0.0, 1.0), 2.5),
    "bolt": ((8.0, 32.0, 0.0), (0.0, 0.0, 1.0), 2.5),
    "near": ((30.0, 20.0, 0.0), (0.0, 0.0, 1.0), 4.0),
    "far": ((57.0, 20.0, 20.0), (1.0, 0.0, 0.0), 3.0),
}
COMPONENT = st.floats(-500, 500)
FORCE = st.tuples(COMPONENT, COMPONENT, COMPONENT).filter(lambda f: np.linalg.norm(f) > 1.0)
LOADED = st.tuples(st.sampled_from(["near", "far"]), FORCE)


@pytest.fixture(scope="module")
def angle():
    """A small angle on one rigid bore and one springy bolt, with its walls."""
    shape = Box((0, 0, 0), (60, 40, SHEET)) + Box((60 - SHEET, 0, 0), (60, 40, 35))
    for centre, axis, radius in BORES.values():
        start = Pnt(*(c - 5 * a for c, a in zip(centre, axis, strict=True)))
        shape = shape - Cylinder(start, Z if axis[2] else X, radius, SHEET + 10)
    mesh = mesh_of(named(shape), 12.0)
    faces = face_points(mesh)
    walls = {n: faces_where(faces, on_cylinder(c, a, r, (0.0, SHEET))) for n, (c, a, r) in BORES.items()}
    assert all(walls.values())
    beds = [
        Bed(faces=walls["held"], axis=(0, 0, 1), along=1e6, across=1e6),
        Bed(faces=walls["bolt"], axis=(0, 0, 1), along=200.0, across=1e5),
    ]
    system = support(mesh, Elastic(e_mpa=200e3, poisson=0.29), [], beds)
    return system, walls


def pushed(angle, place):
    system, walls = angle
    name, force = place
    centre, axis, _ = BORES[name]
    return loaded(system, [bearing(system.mesh, walls[name], centre, axis, force)])


def require_energy(angle, place):
    system, _ = angle
    load = pushed(angle, place)
    field = displaced(system, load)
    assert work(load, field) > 0
    assert work(load, field) == pytest.approx(2 * energy(system, field), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(place=LOADED)
def test_work_of_a_load_is_twice_the_strain_energy(angle, place):
    require_energy(angle, place)


@pytest.mark.nightly
@settings(max_examples=500, deadline=None)
@given(place=LOADED)
def test_work_of_many_loads_is_twice_the_strain_energy(angle, place):
    require_energy(angle, place)


def require_reciprocity(angle, one, two):
    system, _ = angle
    first, second = pushed(angle, one), pushed(angle, two)
    here, there = displaced(system, first), displaced(system, second)
    scale = np.sqrt(work(first, here) * work(second, there))
    assert work(first, there) == pytest.approx(work(second, here), rel=1e-8, abs=1e-8 * scale)


@settings(max_examples=40, deadline=None)
@given(one=LOADED, two=LOADED)
def test_maxwell_the_first_load_works_on_the_second_movement_as_the_second_on_the_first(angle, one, two):
    require_reciprocity(angle, one, two)


@pytest.mark.nightly
@settings(max_examples=500, deadline=None)
@given(one=LOADED, two=LOADED)
def test_maxwell_for_many_pairs(angle, one, two):
    require_reciprocity(angle, one, two)


@settings(max_examples=30, deadline=None)
@given(place=LOADED)
def test_a_bearing_load_sums_to_the_force_it_stands_for(angle, place):
    system, walls = angle
    name, force = place
    centre, axis, _ = BORES[name]
    push = bearing(system.mesh, walls[name], centre, axis, force)
    total = total_of(system.mesh, walls[name], push.traction)
    along = np.array(axis, dtype=bool)
    assert total == pytest.approx(np.array(force), abs=0.03 * float(np.linalg.norm(force)))
    assert total[along] == pytest.approx(np.array(force)[along], abs=1e-6 * float(np.linalg.norm(force)))


def test_twice_the_force_moves_twice_as_far_with_an_even_load(angle):
    system, walls = angle
    one = displaced(system, loaded(system, [even(system.mesh, walls["far"], (3.0, -4.0, 5.0))]))
    two = displaced(system, loaded(system, [even(system.mesh, walls["far"], (6.0, -8.0, 10.0))]))
    assert np.array(two.vec) == pytest.approx(2 * np.array(one.vec), rel=1e-9, abs=1e-12)


def test_cosine_bearing_peaks_at_four_over_pi_of_the_mean(angle):
    # F = p0 R t π/2, so p0 = 4/π · F/(2 R t), the peak over the mean on the projected area
    system, walls = angle
    centre, axis, radius = BORES["near"]
    push = bearing(system.mesh, walls["near"], centre, axis, (300.0, 0.0, 0.0))
    vertices = face_points(system.mesh)[walls["near"].split("|")[0]]
    ahead = vertices[np.argmax(vertices[:, 0])]
    assert ahead[0] == pytest.approx(centre[0] + radius, abs=0.2)
    traction = push.traction(system.mesh(*ahead, VOL_or_BND=_boundary()))
    assert np.linalg.norm(traction) == pytest.approx(4 / np.pi * 300 / (2 * radius * SHEET), rel=0.03)


def _boundary():
    from ngsolve import BND

    return BND
