"""`fits` far from the plan: what it says of a vehicle, beside the job written as that vehicle is and checked."""

from __future__ import annotations

import math

import numpy as np
import pytest

from generators.measure.chance.kit import Kit, key_of
from generators.measure.chance.run import gauge_room, installs
from generators.model.spec.forms.spread import Spread
from generators.solve.hoses.lines import end_moves
from generators.solve.job import Prepared, prepare
from generators.solve.spread.build import kit_there

CHOKE, WIPER = (80.0, 110.0), (610.0, 270.0)
OFF = {
    ("existing", "bulkhead.choke_cable", "u"): 3.0,
    ("existing", "bulkhead.choke_cable", "v"): -2.0,
    ("existing", "bulkhead.wiper_spindle", "v"): 2.5,
    ("component", "slave", "x"): -60.0,
    ("component", "slave", "z"): -60.0,
    ("panel_angle", "bulkhead", ""): math.radians(1.0),
    ("obstacle", "cross_member.demister_duct", "u"): 150.0,
}
"""The slave 85 mm off, and the demister duct in the hanger's flange: an invented vehicle no kit was made for."""


def there(kit: Kit) -> np.ndarray:
    """One install with nobody's slips on that vehicle."""
    return np.array([[OFF.get(key_of(kit, k), 0.0) for k in range(len(kit.columns))]])


def by_paper(right: float, up: float) -> tuple[float, float]:
    """Where paper laid on both holes of this bulkhead puts what is so far from the choke cable's: by hand.

    It lies over the choke cable's hole and is turned so that the wiper's is as near its own place as it goes,
    which for small turns is the cross product of lever and what it is off, over the lever's square.
    """
    lever = (WIPER[0] - CHOKE[0], WIPER[1] - CHOKE[1])
    off = (0.0 - 3.0, 2.5 + 2.0)
    turn = (lever[0] * off[1] - lever[1] * off[0]) / (lever[0] ** 2 + lever[1] ** 2)
    return CHOKE[0] + 3.0 + right - turn * up, CHOKE[1] - 2.0 + up + turn * right


def mm(*values: float) -> list[str]:
    return [f"{value:.6f} mm" for value in values]


def test_a_vehicle_far_off_its_plan_is_told_of_by_the_solver(
    bus: Prepared, bus_spread: Spread, bus_kit: Kit
) -> None:
    """The same vehicle and what the paper puts on it written into the spec by hand, then checked as any job."""
    kit = kit_there(bus, bus_spread, OFF)
    sold = next(h for h in bus.lines.hoses if h.spec.name == "slave_hose").length
    assert sold is not None
    hole = by_paper(95.0, -32.0)
    values = {
        "panel[bulkhead].existing[choke_cable].at": mm(83.0, 108.0),
        "panel[bulkhead].existing[wiper_spindle].at": mm(610.0, 272.5),
        "panel[bulkhead].hole[line_out].at": {"u": mm(hole[0])[0], "v": mm(hole[1])[0]},
        "panel[bulkhead].tilt": "1 deg",
        "panel[cross_member].obstacle[demister_duct].corner": mm(170.0, 10.0),
        "component[slave].on.at": mm(-180.0, 375.0, 270.0),
        "hose[slave_hose].made_up": f"{sold.made_up_mm:g} mm",
    }
    checked = prepare(bus.file.spec_path, values=values)
    hose = next(h for h in checked.lines.hoses if h.spec.name == "slave_hose")
    assert hose.length is not None
    name = "hose to the slave reaches"
    found = next(g for g in kit.gauges if g.name == name)
    (room,) = gauge_room(found, there(kit))
    missing = hose.length.spare_mm - end_moves(hose.spec, bus.file.job)
    assert missing < -50
    assert room == pytest.approx(missing, abs=0.05)
    # the rule of `check` says so too, of that very hose
    assert [f for f in checked.findings if f.blocks and "slave_hose" in f.where]
    # by slopes of the plan it was millimetres more
    foretold = next(g for g in bus_kit.gauges if g.name == name)
    assert gauge_room(foretold, there(bus_kit))[0] - room > 3
    # things that stand in each other fail, however far apart they are by plan
    clash = [f for f in checked.findings if f.blocks and "demister_duct" in f.where]
    assert clash
    met = {g.name: g for g in kit.gauges if g.kind == "gap" and "demister duct" in g.name}
    done = installs(kit, there(kit))
    left = {name: done.room_mm[0, len(kit.bolted) + kit.gauges.index(g)] for name, g in met.items()}
    assert left.pop("demister duct clears carried clutch hanger (web)") < 0
    # what passes it there without a word of `check` is not counted off twice
    assert left
    assert not [f for f in clash if "pedal" in f.where]
    assert all(0 < mm < 20 for mm in left.values())


def test_a_vehicle_by_plan_is_told_of_as_the_plan_is(bus: Prepared, bus_spread: Spread, bus_kit: Kit) -> None:
    kit = kit_there(bus, bus_spread, {})
    assert [key_of(kit, k) for k in range(len(kit.columns))] == [
        key_of(bus_kit, k) for k in range(len(bus_kit.columns))
    ]
    for one, two in zip(kit.gauges, bus_kit.gauges, strict=True):
        assert one.name == two.name
        assert one.rest_mm == pytest.approx(two.rest_mm, abs=1e-6)
        assert one.rows == pytest.approx(two.rows, abs=1e-6)
