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


OF_TWO = ("front_share", "bar_span", "bar_swing", "front_side")
OUTLET = """
  [[component.port]]
  name = "second_outlet"
  at = ["80 mm", "0 mm", "-20 mm"]
  facing = "down"
  dash = 3
"""


def tandem(more: str = "", hole: str = "brake_bore") -> list[str]:
    """What is said of a tandem in place of the two masters; ``more`` is put behind its ports."""
    text = SPEC.read_text().replace(BAR, 'balance_spacing = "0 mm"').replace("brake_left_bore", hole)
    at = text.index("    [pedal.brake.rear]")
    text = text[:at] + text[text.index("  [[pedal.line]]", at) :]
    rear = text.index('[[component]]\nname = "rear_master"')
    text = text[:rear] + more + text[text.index("[[component]]", rear + 1) :]
    kept = [line for line in text.splitlines() if not line.strip().startswith(OF_TWO)]
    whole = "\n".join(kept).replace("  [pedal.brake]\n", "  [pedal.brake]\n  tandem = true\n")
    return [said for said in faults(whole) if "tandem" in said]


def test_a_tandem_whose_master_has_one_outlet_has_one_circuit() -> None:
    # an inlet with its feed hose, and one outlet: fluid of one circuit comes out (common sense, no source)
    (said,) = tandem()
    assert said.startswith('pedal[1].brake.tandem: true, and the master "front_master" has one outlet')
    assert "single_circuit" in said
    assert "[[component.port]]" in said


def test_a_tandem_with_an_outlet_for_each_circuit() -> None:
    assert tandem(OUTLET) == []


def test_the_clutch_masters_outlet_says_nothing_of_the_brake() -> None:
    assert tandem(hole="clutch_bore") == []
