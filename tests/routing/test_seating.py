"""When a flared line can be moved onto two cones at once: against the cones' own surfaces, by linear programming.

Flare and seat 37 degrees from the axis: SAE J514.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from generators.routing.seating import goes_on_both

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
