"""What a kind offers by name makes a sound part: its defaults, and each word it may be given instead of one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from parts.plans_in_space import plan_of

from generators.checks.joint.part_room import check_room
from generators.checks.part.part import check_part
from generators.model.findings import Severity
from generators.model.limits import Limits
from generators.model.spec.fields import spec_fields
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.parts.kind import Kind


def options(kind: Kind) -> Iterator[dict[str, Any]]:
    """The defaults, and every other word or flag one at a time."""
    yield {}
    for field in spec_fields(kind.parameters):
        words: tuple[Any, ...] = field.spec.choices
        if field.spec.kind == "flag":
            words = (True, False)
        for word in words:
            if word != field.default:
                yield {field.attribute: word}


CASES = [(kind.name, given) for kind in KINDS if not kind.printed for given in options(kind)]


def test_there_is_something_to_try() -> None:
    """Every fit of every bolt, the three ways to hold a carried hanger, gussets on either side."""
    tried = {(name, key) for name, given in CASES for key in given}
    assert {("carried_hanger", "mounting"), ("slave_bracket", "gussets"), ("pedal_box", "mount_fit")} <= tried


@pytest.mark.parametrize(("name", "given"), CASES, ids=str)
@pytest.mark.parametrize("thickness", [2.0, 3.0])
def test_each_word_makes_a_part_no_rule_complains_of(
    name: str, given: dict[str, Any], thickness: float
) -> None:
    plan = plan_of(name, thickness, **given)
    found = [*check_part(plan, Limits(), Shop()), *check_room(plan, mounted=True)]
    assert [(f.code, f.where, f.found) for f in found if f.severity is not Severity.NOTE] == []
