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


def tandem(more: str = "", hole: str = "brake_bore", **said: str) -> list[str]:
    """What is said of a tandem in place of the two masters; ``more`` is put behind its ports.

    ``said`` are words of the spec with those to put in their place.
    """
    text = SPEC.read_text()
    for old, new in said.items():
        assert old in text
        text = text.replace(old, new)
    text = text.replace(BAR, 'balance_spacing = "0 mm"').replace("brake_left_bore", hole)
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


def test_a_tandem_with_a_line_drawn_from_one_of_its_outlets() -> None:
    # what the rod moves is the fluid of both circuits, so the other's line must count (equilibrium, no source)
    alone = {'circuit = "rear"': 'circuit = "front"'}
    (said,) = tandem(OUTLET, **alone)
    assert said.startswith("pedal[1].brake.tandem: true, and no line comes from second_outlet of the master")
    assert "front_master.second_outlet" in said
    # the demo's line to the rear is one of the vehicle: not drawn, but counted
    assert tandem(OUTLET) == []
    # a third port is that of a reservoir put straight onto it: both circuits have their lines
    both = {'to = "rear_master.outlet"': 'to = "front_master.second_outlet"'}
    third = OUTLET.replace("second_outlet", "reservoir_port")
    assert tandem(OUTLET + third, **alone, **both) == []
    # drawn from the other outlet, whatever circuit is said
    assert tandem(OUTLET, **alone, **both) == []


def test_a_line_of_a_second_circuit_where_there_is_one() -> None:
    text = SPEC.read_text().replace(BAR, 'balance_spacing = "0 mm"')
    at = text.index("    [pedal.brake.rear]")
    end = text.index("  [[pedal.line]]", at)
    said = [x for x in faults(text[:at] + text[end:]) if "one circuit" in x]
    # the demo has a rigid line and a hose to its rear brakes
    assert [x.split(":")[0] for x in said] == ["pedal[1].line[2].circuit", "pedal[1].line[3].circuit"]
    assert all("tandem = true" in x and "brake.rear" in x for x in said)


def drawn(front_hose: str, circuit: str = "front", side: str = "left") -> list[str]:
    """What is said of circuits once the brake's first line is that hose, of that circuit."""
    text = SPEC.read_text()
    at = text.index("  [[pedal.line]]", text.index("    [pedal.brake.rear]"))
    line = f'  [[pedal.line]]\n  hose = "{front_hose}"\n  bore = "3 mm"\n  circuit = "{circuit}"\n\n'
    text = text[:at] + line + text[at:]
    whole = text.replace("  [pedal.brake]\n", f'  [pedal.brake]\n  front_side = "{side}"\n')
    assert whole != text
    try:
        read_job(SPEC, {kind.name: kind.parameters for kind in KINDS}, whole.encode())
    except SpecError as error:
        return [f"{fault.path}: {fault.found}, {fault.expected} ({fault.hint})" for fault in error.faults]
    return []


def test_a_line_of_a_circuit_comes_from_the_master_in_that_circuits_hole() -> None:
    """The balance bar gives each its share by hole and hand, the fluid goes where the line leads."""
    # the demo's front master sits in brake_left_bore, and front_side is left
    assert drawn("front_hose", "front") == drawn("rear_hose", "rear") == []
    assert drawn("front_hose", "rear", "right") == drawn("rear_hose", "front", "right") == []
    for hose, circuit, side in (
        ("front_hose", "rear", "left"),
        ("rear_hose", "front", "left"),
        ("front_hose", "front", "right"),
    ):
        (said,) = drawn(hose, circuit, side)
        assert said.startswith(f'pedal[1].line[0].circuit: "{circuit}", and the master "{hose[:-5]}_master"')
        assert "front_side" in said


def test_a_clutch_has_one_circuit() -> None:
    lines = '  [[pedal.line]]\n  kind = "hose"'
    text = SPEC.read_text()
    assert lines in text[: text.index("  [pedal.brake]")]
    (said,) = faults(text.replace(lines, f'{lines}\n  circuit = "rear"', 1))
    assert said.startswith('pedal[0].line[0].circuit: "rear"')
    assert "tandem" not in said


def test_the_clutch_masters_outlet_says_nothing_of_the_brake() -> None:
    assert tandem(hole="clutch_bore") == []
