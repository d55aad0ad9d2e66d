"""When a flared line can be moved onto two cones at once: against the cones' own surfaces, by linear programming.

Flare and seat 37 degrees from the axis: SAE J514.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from generators.model.hose_path import Point3
from generators.model.spec.fittings import PortSpec
from generators.model.spec.lines import Component, Hose, Spot
from generators.routing.seating import apart_rad, goes_on_both
from generators.sheets.bolting import loose
from generators.verify.pdf.loose_ends import loose_words

POINTS = 720


def surface_normals(axis: np.ndarray) -> np.ndarray:
    """Outward normals all round a cone whose tip points along the axis."""
    half = math.radians(37.0)
    side = np.cross(axis, [0.3, 0.5, 0.8])
    side /= np.linalg.norm(side)
    turn = np.linspace(0.0, 2 * math.pi, POINTS, endpoint=False)[:, None]
    radial = np.cos(turn) * side + np.sin(turn) * np.cross(axis, side)
    return math.sin(half) * axis + math.cos(half) * radial


def clear_way(first: np.ndarray, last: np.ndarray) -> bool:
    """True where some direction leaves every point of both surfaces."""
    normals = np.vstack([surface_normals(first), surface_normals(last)])
    # the largest m with n . t >= m for all normals n and |t| <= 1 in each component
    table = np.hstack([-normals, np.ones((len(normals), 1))])
    found = linprog(
        [0, 0, 0, -1], A_ub=table, b_ub=np.zeros(len(normals)), bounds=[(-1, 1)] * 3 + [(None, 1)]
    )
    return bool(found.x[3] > 1e-6)


@pytest.mark.parametrize("degrees", [0.0, 20.0, 60.0, 73.9, 74.1, 80.0, 90.0, 135.0, 180.0])
def test_a_way_onto_both_cones_is_there_up_to_the_whole_angle_of_one(degrees: float) -> None:
    turn = math.radians(degrees)
    first, last = np.array([1.0, 0.0, 0.0]), np.array([math.cos(turn), math.sin(turn), 0.0])
    wanted = degrees < 2 * 37.0
    assert clear_way(first, last) == wanted
    assert goes_on_both(tuple(first), tuple(last)) == wanted


@pytest.mark.parametrize("lean", [0.0, 22.5, 67.5])
@pytest.mark.parametrize("degrees", [74.0, 75.5, 97.5, 112.5, 150.5, 179.5])
def test_an_angle_of_half_a_degree_is_read_back_as_it_was_written(
    degrees: float, lean: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    def way(turn: float) -> Point3:
        up, side = math.radians(turn), math.radians(lean)
        return math.cos(up), math.sin(up) * math.cos(side), math.sin(up) * math.sin(side)

    first, last = way(lean), way(lean + degrees)
    port = PortSpec(name="line", at=(0.0, 0.0, 0.0), dash=3)
    slave = Component(name="slave", kind="slave", on=Spot(at=(0.0, 0.0, 0.0)), port=(port,))
    none: Any = None
    made = loose.Loose(hose=none, component=slave, port="line", apart_rad=apart_rad(first, last), joined="")
    monkeypatch.setattr(loose, "loose_end", lambda *_: None if goes_on_both(first, last) else made)
    line = Hose(name="tube", kind="rigid", service="pressure", from_="a.b", to="c.d", dash=3, radius_mm=20.0)
    said = loose.goes_in_words(none, none) + loose.last_words(none, none)
    for wanted in loose_words([line], {"a.b": first, "c.d": last}):
        assert wanted in said
