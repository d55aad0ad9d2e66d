"""The rules of hoses and lines on their computed paths."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.hose.cases import ChainCase, HoseCase
from generators.checks.hose.clearances import detour, kept_clear, plane_change, told_once
from generators.checks.hose.fittings import clamp_size, port_sizes, run_sizes
from generators.checks.hose.lengths import bend_radius, made_up, no_path, straight_run, supports, unreleased
from generators.checks.hose.rise import reservoir_level, residual_valve, traps
from generators.checks.hose.sag import hanging
from generators.checks.hose.tubes import nut_room
from generators.checks.rule import ordered
from generators.model.findings import Finding
from generators.model.limits import Limits


def check_hose(case: HoseCase, limits: Limits) -> list[Finding]:
    """Findings on one hose, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        where = f"hose:{case.spec.name}"
        yield from straight_run(case, limits, where)
        yield from port_sizes(case, where)
        for clamp in case.clamps:
            yield from clamp_size(case, clamp, where)
        if case.path is None:
            yield no_path(case, where)
            return
        yield from bend_radius(case, case.path, where)
        yield from nut_room(case, case.path, where)
        if case.length is not None:
            yield from made_up(case, case.path, case.length, limits, where)
        yield from supports(case, case.path, limits, where)
        for gap in told_once(case.clearances, case.outside_mm):
            yield from kept_clear(case, case.path, gap, where)
        for gap, aside in case.passed:
            yield from kept_clear(case, case.path, gap, where, aside)
        for change in case.planes:
            yield from plane_change(case, case.path, change, where)
        yield from hanging(case, case.path, limits, where)
        # what is not led clear is not led round: the gap that is missed is what is said
        if case.avoids and all(gap.met or gap.what == "hose" for gap in case.clearances):
            yield from detour(case, case.path, where)
        if case.measure_why:
            yield unreleased(case.path, case.measure_why, where)

    return ordered(found())


def check_chain(case: ChainCase, limits: Limits) -> list[Finding]:
    """Findings on one run from slave to reservoir, gravest first. Raises nothing."""

    def found() -> Iterator[Finding]:
        names = ", ".join(hose.spec.name for hose in case.hoses)
        where = f"line:{case.hoses[0].spec.name}" if case.hoses else "line"
        pressure = [h for h in case.hoses if h.spec.service != "feed"]
        yield from run_sizes(pressure, names, where)
        if case.profile is not None:
            yield from traps(case, case.profile, where)
        yield from reservoir_level(case, limits, where)
        yield from residual_valve(pressure, case, where)

    return ordered(found())
