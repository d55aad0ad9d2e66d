"""A waiver needs a known code and a reason, and touches fails only."""

from __future__ import annotations

import pytest
from small_jobs import hole, panel

from generators.checks.waivers import apply_waivers
from generators.errors import LookupFault

FOUND = panel(hole("1", 200, 10, 9), hole("2", 100, 15, 9), hole("3", 300, 3, 9))


def test_fails_of_the_code_are_waived() -> None:
    after = apply_waivers(FOUND, {"hole-edge-distance": " doubler welded on "})
    assert [(f.code, f.severity, f.where) for f in after] == [(f.code, f.severity, f.where) for f in FOUND]
    assert {f.where: f.waived for f in after} == {
        "panel:firewall hole 1 (hole_1) and the edge": "doubler welded on",
        "panel:firewall hole 2 (hole_2) and the edge": "",  # a warning
        "panel:firewall hole 3 (hole_3)": "",  # another code
    }
    assert [f.where for f in after if f.blocks] == ["panel:firewall hole 3 (hole_3)"]


def test_nothing_is_waived_by_nothing() -> None:
    assert apply_waivers(FOUND, {}) == FOUND


def test_unknown_code() -> None:
    with pytest.raises(LookupFault, match="hole-edge-distance"):
        apply_waivers(FOUND, {"hole-edge": "because"})


def test_a_reason_is_needed() -> None:
    with pytest.raises(ValueError, match="needs a reason"):
        apply_waivers(FOUND, {"hole-off-panel": "  "})
