"""What a rule is, and how a finding is made from one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from generators.figures import fixed
from generators.model.changes import Later, Proposal
from generators.model.findings import Finding, Severity

SAME_MM = 1e-6
"""Lengths nearer than this are equal: keeps a value on its limit there under any rigid move."""

MEASURE_AGAIN = "measure"
"""Advice that begins so says that the spec itself is wrong: until that is mended the rest means little."""

OFF_PANEL = "hole-off-panel"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule in words. ``limit_key`` names the ``Limits`` field that overrides it, or is empty.

    ``trust`` is one of ``R1``, ``R2+``, ``C``, ``R2``, ``M-high``, ``M-med``, ``M-low`` or ``CP``
    (``generators.standards.Trust``).
    """

    code: str
    title: str
    meaning: str
    formula: str
    source: str
    trust: str
    mend: str
    limit_key: str = ""


def finding(
    rule: Rule,
    severity: Severity,
    where: str,
    *,
    advice: str,
    value: float | None = None,
    limit: float | None = None,
    floor: float = -math.inf,
    unit: str = "mm",
    found: str = "",
    wanted: str = "",
    source: str = "",
    about: str = "",
    proposals: Iterable[Proposal] = (),
) -> Finding:
    """A finding of this rule; ``source`` stands in for the rule's own where a table row has one.

    ``value`` and ``limit`` are in ``unit``; what is not finite is no number. Lengths say themselves:
    ``found`` and ``wanted`` are needed where the words are more than the value and its limit, with the
    fail limit ``floor``. ``proposals`` are changes of the spec to be tried, best first. What is short by less
    than is printed gets more decimals, so that it never reads as enough.
    """
    found, wanted = found or mm(_given(value)), wanted or limit_text(_given(limit), floor)
    if unit == "mm" and value is not None and limit is not None:
        found, wanted = _told_apart(found, wanted, value, limit)
    return Finding(
        code=rule.code,
        severity=severity,
        where=where,
        found=found,
        wanted=wanted,
        source=source or f"{rule.source} ({rule.trust})",
        advice=advice,
        value=_number(value),
        limit=_number(limit),
        unit="" if _number(value) is None and _number(limit) is None else unit,
        about=about,
        proposals=proposals if isinstance(proposals, Later) else tuple(proposals),
    )


def _told_apart(found: str, wanted: str, value: float, limit: float) -> tuple[str, str]:
    """Both texts with as many decimals as it takes to tell a value from its limit, up to 0.000001 mm."""
    if not (math.isfinite(value) and math.isfinite(limit)) or abs(value - limit) <= SAME_MM:
        return found, wanted
    was, least = mm(value), next((text for text in (mm_up(limit), mm(limit)) if text in wanted), "")
    if was != least or was not in found:
        return found, wanted
    places = next((p for p in range(3, 7) if fixed(value, p) != fixed(limit, p)), 2)
    return (
        found.replace(was, f"{fixed(value, places)} mm", 1),
        wanted.replace(least, f"{fixed(limit, places)} mm", 1),
    )


def _given(length: float | None) -> float:
    if length is None:
        raise ValueError("a finding needs a length or words")
    return length


def _number(value: float | None) -> float | None:
    # numpy scalars are no JSON
    return float(value) if value is not None and math.isfinite(value) else None


def short_of(value: float, limit: float, floor: float) -> Severity | None:
    """None at or above ``limit``; below it a warning, and a fail where it is below ``floor`` too."""
    if value >= limit - SAME_MM:
        return None
    return Severity.FAIL if value < floor - SAME_MM else Severity.WARN


def mm(value: float) -> str:
    """A length to the nearest 0.01 mm, as every table has it."""
    return f"{fixed(value, 2)} mm"


def mm_up(value: float) -> str:
    """A limit, rounded up to 0.01 mm."""
    return f"{fixed(math.ceil(value * 100 - 50 * SAME_MM) / 100 + 0.0, 2)} mm"


def more(value: float) -> str:
    """How much to move, rounded up to 0.1 mm."""
    return f"{fixed(math.ceil(value * 10 - 5 * SAME_MM) / 10 + 0.0, 1)} mm"


def limit_text(limit: float, floor: float = -math.inf) -> str:
    """``27.00 mm``, with the fail limit where there is a lower one."""
    if floor == -math.inf or floor >= limit:
        return mm_up(limit)
    return f"{mm_up(limit)} (fail below {mm_up(floor)})"


def listed(names: Iterable[str]) -> str:
    """``A``, ``A and B``, ``A, B and C``."""
    all_names = list(names)
    if len(all_names) < 2:
        return "".join(all_names)
    return f"{', '.join(all_names[:-1])} and {all_names[-1]}"


def _natural(text: str) -> tuple[tuple[int, str], ...]:
    """Digits compared as numbers, so that hole 3 comes before hole 10."""
    return tuple(
        (int(piece), "") if piece.isdecimal() else (-1, piece)
        for piece in re.split(r"([0-9]+)", text)
        if piece
    )


def ordered(findings: Iterable[Finding]) -> list[Finding]:
    """Each finding once, gravest first, then what was measured wrong, then by code and place."""
    return sorted(
        dict.fromkeys(findings),
        key=lambda f: (
            -f.severity.rank,
            not (f.code == OFF_PANEL and f.advice.startswith(MEASURE_AGAIN)),
            f.code,
            _natural(f.where),
            f.found,
            f.advice,
        ),
    )
