"""Which parameter of a part mends a finding on its plan, and by how much: looked for on the plan alone.

Rules on a part see its plan, not the parameters it was made from. Each length of the kind is moved a
little; where the finding's value moves with it, the step that reaches the limit follows by proportion and
is tried on the plan. What holds there is proposed; the whole job is solved later.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from generators.checks.joint.part_room import check_room
from generators.checks.part.part import check_part
from generators.errors import PedalplateError
from generators.layout.mounting import PlacedPart
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding
from generators.model.spec.fields import spec_fields
from generators.solve.job import Prepared
from generators.solve.mends.judge import brought, left, serious
from generators.solve.parts import plan_part

STEP_MM = 0.5
LONGEST_SHARE = 2.0
"""A parameter moves by no more than this many times itself or the shortfall: past that, draw anew."""

MOST = 6
_PART = re.compile(r"part:([a-z0-9_]+)\b")


def parameter_proposals(prepared: Prepared, finding: Finding) -> list[Proposal]:
    """Changes of one length of the part a finding is on, the smallest first. Raises nothing."""
    match = _PART.match(finding.where)
    part = next((p for p in prepared.parts if match and p.spec.name == match[1]), None)
    if part is None or finding.value is None or finding.limit is None or finding.unit != "mm":
        return []
    short = max(abs(finding.limit - finding.value), STEP_MM)
    before = _findings(prepared, part, part.spec.parameters)
    if before is None or not any(_same(f, finding) for f in before):
        return []
    found: list[tuple[float, Proposal]] = []
    for key in spec_fields(type(part.spec.parameters)):
        there = getattr(part.spec.parameters, key.attribute)
        if key.spec.kind != "length" or not isinstance(there, float):
            continue
        by = _enough(prepared, part, finding, before, key.attribute, short)
        if by:
            words = f"make {key.key} of {part.spec.name} {{by}} {'larger' if by > 0 else 'smaller'}"
            path = f"part[{part.spec.name}].parameters.{key.key}"
            change = Change(path=path, by=by, start=there)
            found.append((abs(by), Proposal(words=words, steps=(change,))))
    found.sort(key=lambda pair: pair[0])
    return [proposal for _, proposal in found[:MOST]]


def _same(one: Finding, two: Finding) -> bool:
    return (one.code, one.where) == (two.code, two.where)


def _enough(
    prepared: Prepared,
    part: PlacedPart,
    finding: Finding,
    before: list[Finding],
    attribute: str,
    short: float,
) -> float:
    """The step of one parameter that clears the finding on the plan, with nothing new; 0 for none."""
    most = LONGEST_SHARE * max(short, abs(getattr(part.spec.parameters, attribute)))
    for by in _steps(prepared, part, finding, attribute, short):
        if abs(by) > most:
            continue
        after = _moved(prepared, part, attribute, by)
        if after is not None and left(finding, before, after) is None and not brought(before, after):
            return by
    return 0.0


def _steps(
    prepared: Prepared, part: PlacedPart, finding: Finding, attribute: str, short: float
) -> Iterator[float]:
    """Steps worth a try: the shortfall either way, then what its effect says by proportion."""
    for sign in (1.0, -1.0):
        probe = sign * _rounded(short)
        after = _moved(prepared, part, attribute, probe)
        if after is None:
            continue
        again = next((f for f in after if _same(f, finding)), None)
        if again is None:
            yield probe
            continue
        if again.value is None or finding.value is None or finding.limit is None:
            continue
        gained = (again.value - finding.value) * math.copysign(1.0, finding.limit - finding.value)
        if gained > STEP_MM / 100:
            yield sign * _rounded(short * short / gained)


def _rounded(by: float) -> float:
    return STEP_MM * math.ceil(by / STEP_MM - 1e-6)


def _moved(prepared: Prepared, part: PlacedPart, attribute: str, by: float) -> list[Finding] | None:
    value = getattr(part.spec.parameters, attribute) + by
    if value < 0:
        return None
    try:
        return _findings(prepared, part, replace(part.spec.parameters, **{attribute: value}))
    except PedalplateError:
        return None


def _findings(prepared: Prepared, part: PlacedPart, parameters: Any) -> list[Finding] | None:
    """What the rules on a part alone say of it with other parameters."""
    others = [p for p in prepared.parts if p.spec.name != part.spec.name]
    plan = plan_part(prepared.file, replace(part.spec, parameters=parameters), others)
    found = check_part(plan, prepared.file.job.limits, prepared.file.shop)
    if not plan.printed:
        found = [*found, *check_room(plan, part.mount is not None)]
    return serious(found)
