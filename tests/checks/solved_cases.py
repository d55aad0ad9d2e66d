"""One load case as finite elements give it, nothing wrong with it, and what the rules say when it is changed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from generators.checks.pedal.stiffness import check_results
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.strength.result import BracketResult, CaseResult, GaugeResult

CASE = CaseResult(
    name="press",
    kind="normal",
    what="300 N on the pad",
    pedal="clutch",
    force_n=300.0,
    source="test",
    moved_mm=1.0,
    from_pivot_mm=0.5,
    from_master_mm=0.5,
    master_mm=0.1,
    lost_mm=None,
    flex_mm_per_n=1e-4,
    peak_mpa=100.0,
    peak_at=(0.0, 0.0, 0.0),
    factor=2.0,
    work_nmm=300.0,
    energy_nmm=150.0,
    error=0.0,
    peak_error=0.0,
)


def said(
    limits: Limits | None = None, *, gauges: tuple[GaugeResult, ...] = (), **changes: Any
) -> list[tuple[str, Severity]]:
    result = BracketResult(
        part="p",
        title="P",
        material="steel",
        thickness_mm=3.0,
        e_mpa=210e3,
        poisson=0.3,
        yield_mpa=200.0,
        source="test",
        trust="M",
        held="bolts",
        steps=(),
        change=0.0,
        cases=(replace(CASE, **changes),),
        gauges=gauges,
        limit_mm=3.0,
    )
    return [(f.code, f.severity) for f in check_results([result], limits or Limits())]
