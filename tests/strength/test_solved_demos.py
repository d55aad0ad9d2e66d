"""What the quick answer leaves open in a demo, finite elements settle: it is shipped with nothing to warn of."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("ngsolve")

from generators.jobs.stiffness import solve_job
from generators.model.findings import Severity
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"


@pytest.mark.nightly
@pytest.mark.parametrize("demo", ["wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus"])
def test_a_solved_demo_has_nothing_to_warn_of(demo: str) -> None:
    spec = SPECS / f"{demo}.toml"
    results = solve_job(prepare(spec), changes=False)
    grave = [f for f in prepare(spec, results=results).findings if f.severity is not Severity.NOTE]
    assert grave == []
