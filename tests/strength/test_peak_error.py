"""The stated error of the largest stress: by hand, against a published peak, and what the rule makes of it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from checks.solved_cases import CASE, said

from generators.model.findings import Severity
from generators.strength.problem import MeshStep, peak_error


def step(unknowns: int, peak: float) -> MeshStep:
    return MeshStep(elements=1, unknowns=unknowns, work_nmm=(1.0,), error=(0.0,), peak_mpa=(peak,))


def test_what_is_missing_of_a_peak_that_goes_as_h_is_covered() -> None:
    """p = 100 − 40 h, h halved each time: 60, 80, 90, and 10 is missing; Roache's 1.25 on top."""
    assert peak_error([step(1, 60.0), step(2, 80.0), step(3, 90.0)], 0) == pytest.approx(1.25 * 10 / 90)


def test_a_last_step_that_moves_little_by_chance_does_not_hide_the_one_before() -> None:
    assert peak_error([step(1, 60.0), step(2, 90.0), step(3, 90.0)], 0) == pytest.approx(1.25 * 15 / 90)


def test_of_one_mesh_nothing_is_known() -> None:
    assert peak_error([step(1000, 60.0)], 0) is None


@pytest.mark.parametrize(("factor", "severity"), [(1.11, None), (1.09, Severity.WARN), (0.99, Severity.FAIL)])
def test_what_holds_by_less_than_its_mesh_error_warns(factor: float, severity: Severity | None) -> None:
    """1.1 is just what a peak 10 % higher leaves of nothing."""
    case = replace(CASE, kind="limit", moved_mm=0.1, factor=factor, peak_mpa=200 / factor, peak_error=0.1)
    found = said(**{k: getattr(case, k) for k in ("kind", "factor", "peak_mpa", "peak_error")})
    assert found == ([] if severity is None else [("bracket-yield", severity)])


@pytest.mark.parametrize(("factor", "severity"), [(99.0, Severity.WARN), (0.99, Severity.FAIL)])
def test_a_peak_of_which_nothing_is_known_is_no_proof(factor: float, severity: Severity) -> None:
    assert said(kind="limit", moved_mm=0.1, factor=factor, peak_mpa=200 / factor, peak_error=None) == [
        ("bracket-yield", severity)
    ]


@pytest.mark.parametrize("share", [0.2, 0.5])
def test_petersons_strip_with_a_hole_lies_within_the_stated_error(share: float) -> None:
    """Kt net of Howland's strip as in Peterson: 3.00 − 3.13 x + 3.66 x² − 1.53 x³, the fit good to 0.5 %."""
    pytest.importorskip("ngsolve")
    from strength.strip_with_hole import strip_meshes

    exact = 3.00 - 3.13 * share + 3.66 * share**2 - 1.53 * share**3
    found = [*strip_meshes(share, 0.5 * share, 2)]
    steps = [step(unknowns, peak) for unknowns, peak in found]
    for many in (2, 3):
        error = peak_error(steps[:many], 0)
        assert error is not None
        assert abs(exact - steps[many - 1].peak_mpa[0]) / exact <= error + 0.005
