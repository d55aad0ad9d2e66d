"""Lengths to cut and to hold: slack, rounding to the shop's step, shortening under pressure, supports."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from generators.model.hose_path import Arc, HosePath, HoseRun
from generators.model.hose_results import HoseLength, PlaneChange, Span

LEAST_SLACK = 0.05
MOST_SLACK = 0.08
SHORTENING = 0.04
LENGTHENING = 0.02
_HOLDS = ("port", "clamp", "grommet")
_SMALL_TURN_RAD = math.radians(3.0)
_WHOLE = 1e-9


def hose_length(
    path: HosePath,
    run: HoseRun,
    step_mm: float,
    slack_ratio: float = LEAST_SLACK,
    moves_mm: float | None = None,
) -> HoseLength:
    """What to cut for a path: its length with slack, less the fittings, up to a whole step of ``step_mm``.

    Slack 5 to 8 % of the length: NAVEDTRA 14105 p 5-11. Shortening by 4 % of the hose under pressure:
    AC 43.13-1B fig 9-9, p 9-23; it gives ``spare_mm``. The fittings themselves do not shorten. With
    ``moves_mm``, how far its ends move apart, the shortened hose still reaches then; None for one without
    pressure.
    """
    fittings = run.start.cutoff_mm + run.end.cutoff_mm
    wanted = max(path.length_mm * (1.0 + slack_ratio) - fittings, step_mm)
    if moves_mm is not None:
        wanted = max(wanted, (path.length_mm + moves_mm - fittings) / (1.0 - SHORTENING))
    cut = step_mm * math.ceil(wanted / step_mm - _WHOLE)
    made_up = cut + fittings
    return HoseLength(
        path_mm=path.length_mm,
        made_up_mm=made_up,
        cut_mm=cut,
        slack_ratio=made_up / path.length_mm - 1.0,
        spare_mm=cut * (1.0 - SHORTENING) + fittings - path.length_mm,
    )


def path_limits(made_up_mm: float) -> tuple[float, float]:
    """Shortest and longest path a hose of that made-up length suits, with slack of 8 % and 5 %, mm."""
    return made_up_mm / (1.0 + MOST_SLACK), made_up_mm / (1.0 + LEAST_SLACK)


def spans(path: HosePath) -> tuple[Span, ...]:
    """Hose lengths between what holds it, end to end; a guide holds nothing."""
    held = [support for support in path.supports if support.kind in _HOLDS]
    return tuple(
        Span(start=a.name, end=b.name, length_mm=b.station_mm - a.station_mm) for a, b in pairwise(held)
    )


def plane_changes(path: HosePath, least_rad: float) -> tuple[PlaneChange, ...]:
    """Bends one after the other whose planes are more than ``least_rad`` apart (0 … π/2).

    The torsion of the centre line is all in its straights; a turn to the other side in one plane is no
    change. Bends of less than 3° are passed over. Clamp where a hose bent in two planes changes plane:
    TM 1-1500-204-23-2 p 4-66; a support within one hose diameter of the stretch between counts.
    """
    out = []
    at, last, end = 0.0, None, 0.0
    for segment in path.segments:
        if isinstance(segment, Arc) and segment.sweep_rad >= _SMALL_TURN_RAD:
            if last is not None:
                angle = _between(last.axis, segment.axis)
                if angle > least_rad:
                    out.append(
                        PlaneChange(
                            station_mm=(end + at) / 2.0,
                            angle_rad=angle,
                            between_mm=at - end,
                            held_by=_held(path, end, at),
                        )
                    )
            last, end = segment, at + segment.length_mm
        at += segment.length_mm
    return tuple(out)


def _between(a: Sequence[float], b: Sequence[float]) -> float:
    """Angle between planes of unit normals, 0 … π/2; by sine and cosine, exact near both ends."""
    sine = math.hypot(a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return math.atan2(sine, abs(sum(x * y for x, y in zip(a, b, strict=True))))


def _held(path: HosePath, begin_mm: float, end_mm: float) -> str:
    room = path.outside_dia_mm
    for support in path.supports[1:-1]:
        if support.kind in _HOLDS and begin_mm - room <= support.station_mm <= end_mm + room:
            return support.name
    return ""
