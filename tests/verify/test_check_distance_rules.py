"""What stands over the check distances, and that its reader works out the same figures, in steps of a steel rule."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from generators.model.hole_work import HoleWork, table_rules
from generators.units import UnitSystem
from generators.verify.pdf.content import plain
from generators.verify.pdf.template.words import _rules


# whole steps of half a millimetre or 1/64 in (0.397 mm), and least bits short of one
@pytest.mark.parametrize(
    ("off_mm", "units", "one", "two"),
    [
        (0.3, "metric", "0.5 mm", "1 mm"),
        (0.9965, "metric", "0.5 mm", "1 mm"),
        (0.9999, "metric", "1 mm", "2 mm"),
        (1.6, "metric", "1.5 mm", "3 mm"),
        (0.3, "inch", "1/64 in", "1/32 in"),
        (0.8, "inch", "1/32 in", "1/16 in"),
        (1.2, "inch", "3/64 in", "3/32 in"),
    ],
)
def test_allowances_in_steps_of_a_rule_are_read_back(
    off_mm: float, units: UnitSystem, one: str, two: str
) -> None:
    work = HoleWork(off_mm=off_mm)
    said = table_rules([work], units)
    assert f"Rim to mark {one}," in said
    assert f"Mark to mark {two}." in said
    layout: Any = SimpleNamespace(holes=[SimpleNamespace(work=work)], units=units)

    def page(text: str) -> Any:
        return SimpleNamespace(text=text, bare=plain(text))

    assert list(_rules([page(said)], layout)) == []
    wrong = said.replace(f"Mark to mark {two}", f"Mark to mark {one}")
    assert list(_rules([page(wrong)], layout)) == [f"the check distances do not say 'Mark to mark {two}'"]
