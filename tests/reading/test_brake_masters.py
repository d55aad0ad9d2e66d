"""A balance bar wants two brake masters, and one circuit a hanger with one: both are words of one spec."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.parts import KINDS
from generators.reading.reader import read_job

SPEC = Path(__file__).parents[2] / "specs" / "tarn_special.toml"
BAR = 'balance_spacing = "64 mm"'


def faults(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        read_job(SPEC, {kind.name: kind.parameters for kind in KINDS}, text.encode())
    return [f"{fault.path}: {fault.found}, {fault.expected} ({fault.hint})" for fault in caught.value.faults]


def test_a_balance_bar_on_a_hanger_with_one_master() -> None:
    text = SPEC.read_text()
    assert BAR in text
    (said,) = [x for x in faults(text.replace(BAR, 'balance_spacing = "0 mm"')) if ".brake" in x]
    assert said.startswith("pedal[1].brake.rear: ")
    assert "tandem = true" in said


def test_one_circuit_on_a_hanger_with_two_masters() -> None:
    text = SPEC.read_text()
    at = text.index("    [pedal.brake.rear]")
    end = text.index("  [[pedal.line]]", at)
    alone = text[:at] + text[end:].replace('circuit = "rear"', 'circuit = "front"')
    (said,) = [x for x in faults(alone) if "brake master" in x]
    assert said.startswith("pedal[1].brake: ")
    assert 'balance_spacing = "0 mm"' in said
