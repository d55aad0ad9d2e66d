"""Which parameter of a part mends a finding on its plan, and by how much: looked for on the plan alone.

Rules on a part see its plan, not the parameters it was made from. Each length of the kind is moved a
little; where the finding's value moves with it, the step that reaches the limit follows by proportion and
is tried on the plan. What holds there is proposed; the whole job is solved later.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from generators.checks.joint.part_room import BOLT_INSERT, SPANNER_ON_PART, check_room
from generators.checks.part.part import check_part
from generators.errors import PedalplateError
from generators.layout.mounting import PlacedPart
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding
from generators.model.plan import Bend, Flange, PartPlan
from generators.model.spec.fields import spec_fields
from generators.solve.job import Prepared
from generators.solve.mends.judge import brought, left, serious
from generators.solve.parts import plan_part

STEP_MM, FINE_MM = 0.5, 0.1
LONGEST_SHARE = 2.0
"""A parameter moves by no more than this many times itself or the shortfall: past that, draw anew."""

MOST = 6
_PART = re.compile(r"part:([a-z0-9_]+)\b")
_FLANGE = re.compile(r"\bflange ([a-z0-9_]+)")
_BY_OTHERS = frozenset({BOLT_INSERT.code, SPANNER_ON_PART.code})
"""Rules on one flange that others stand in the way of."""


@dataclass(slots=True, kw_only=True)
class PartSearch:
    """Plans of a job's parts with one length moved, and what the rules on a part say of each; made once."""

    prepared: Prepared
    plans: dict[tuple[str, str, float], PartPlan | None] = field(default_factory=dict)
    said: dict[tuple[str, str, float], list[Finding]] = field(default_factory=dict)

    def proposals(self, finding: Finding) -> list[Proposal]:
        """Changes of one length of the part a finding is on, the smallest first. Raises nothing."""
        match = _PART.match(finding.where)
        part = next((p for p in self.prepared.parts if match and p.spec.name == match[1]), None)
        if part is None or finding.value is None or finding.limit is None or finding.unit != "mm":
            return []
        if not any(_same(f, finding) for f in self.findings(part, "", 0.0)):
            return []
        short = max(abs(finding.limit - finding.value), STEP_MM)
        found: list[tuple[float, Proposal]] = []
        for key in spec_fields(type(part.spec.parameters)):
            there = getattr(part.spec.parameters, key.attribute)
            if key.spec.kind != "length" or not isinstance(there, float):
                continue
            by = self._enough(part, finding, key.attribute, short)
            if by:
                words = f"make {key.key} of {part.spec.name} {{by}} {'larger' if by > 0 else 'smaller'}"
                path = f"part[{part.spec.name}].parameters.{key.key}"
                change = Change(path=path, by=by, start=there)
                found.append((abs(by), Proposal(words=words, steps=(change,))))
        found.sort(key=lambda pair: pair[0])
        return [proposal for _, proposal in found[:MOST]]

    def _enough(self, part: PlacedPart, finding: Finding, attribute: str, short: float) -> float:
        """The step of one parameter that clears the finding on the plan, with nothing new; 0 for none."""
        most = LONGEST_SHARE * max(short, abs(getattr(part.spec.parameters, attribute)))
        before = self.findings(part, "", 0.0)
        for by in self._steps(part, finding, attribute, short):
            if abs(by) > most or self._plan(part, attribute, by) is None:
                continue
            after = self.findings(part, attribute, by)
            flat = self._plan(part, attribute, by) is not None
            if flat and left(finding, before, after) is None and not brought(before, after):
                return by
        return 0.0

    def _steps(self, part: PlacedPart, finding: Finding, attribute: str, short: float) -> Iterator[float]:
        """Steps worth a try: the shortfall either way, then what its effect says by proportion."""
        for sign in (1.0, -1.0):
            probe = sign * _rounded(short)
            if not self._touches(part, finding, attribute, probe):
                continue
            again = next((f for f in self.findings(part, attribute, probe) if _same(f, finding)), None)
            if finding.value is None or finding.limit is None:
                continue
            if again is None:
                yield probe
                # where so much brings something else, no more than is wanted
                fine = FINE_MM * math.ceil(abs(finding.limit - finding.value) / FINE_MM - 1e-6)
                if 0 < fine < abs(probe):
                    yield sign * fine
                continue
            if again.value is None:
                continue
            gained = (again.value - finding.value) * math.copysign(1.0, finding.limit - finding.value)
            if gained > STEP_MM / 100:
                yield sign * _rounded(short * short / gained)

    def _touches(self, part: PlacedPart, finding: Finding, attribute: str, by: float) -> bool:
        """True when a step makes another flange of the one the finding is on: else it says the same."""
        plan = self._plan(part, attribute, by)
        if plan is None:
            return False
        match = _FLANGE.search(finding.where)
        if match is None or finding.code in _BY_OTHERS:
            return plan != part.plan
        return _flange(plan, match[1]) != _flange(part.plan, match[1])

    def _plan(self, part: PlacedPart, attribute: str, by: float) -> PartPlan | None:
        key = (part.spec.name, attribute, by)
        if key not in self.plans:
            self.plans[key] = self._planned(part, attribute, by)
        return self.plans[key]

    def _planned(self, part: PlacedPart, attribute: str, by: float) -> PartPlan | None:
        if not attribute:
            return part.plan
        value = getattr(part.spec.parameters, attribute) + by
        others = [p for p in self.prepared.parts if p.spec.name != part.spec.name]
        try:
            if value < 0:
                return None
            parameters = replace(part.spec.parameters, **{attribute: value})
            return plan_part(self.prepared.file, replace(part.spec, parameters=parameters), others)
        except PedalplateError:
            return None

    def findings(self, part: PlacedPart, attribute: str, by: float) -> list[Finding]:
        """What the rules on a part alone say of it with one length moved; the same as they are, unmoved."""
        key = (part.spec.name, attribute, by)
        if key not in self.said:
            plan = self._plan(part, attribute, by)
            found: list[Finding] = []
            if plan is not None:
                try:
                    file = self.prepared.file
                    found = check_part(plan, file.job.limits, file.shop, brief=bool(attribute))
                    if not plan.printed:
                        found = [*found, *check_room(plan, part.mount is not None)]
                except PedalplateError:
                    # what cannot be laid flat is no part
                    self.plans[key] = None
            self.said[key] = serious(found)
        return self.said[key]


def _same(one: Finding, two: Finding) -> bool:
    return (one.code, one.where) == (two.code, two.where)


def _rounded(by: float) -> float:
    return STEP_MM * math.ceil(by / STEP_MM - 1e-6)


def _flange(plan: PartPlan, name: str) -> tuple[list[Flange], list[Bend]]:
    """A flange with the bends on it."""
    return (
        [f for f in plan.flanges if f.name == name],
        [b for b in plan.bends if name in (b.parent, b.child)],
    )
