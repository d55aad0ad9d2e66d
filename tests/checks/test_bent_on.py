"""What a part is bent on: which machine makes it, what is said of the other, and mends that were tried."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_jobs import SHOP, STRAIGHT_ONLY, channel, codes, only, part, pointed

from generators.bending.setting import asked, sequence_of
from generators.geometry.contours import rectangle
from generators.model.findings import Severity
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder

FOLDER = Folder(capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),))
BOTH = replace(STRAIGHT_ONLY, folder=FOLDER)
STOCKED = replace(BOTH, stock=(replace(SHOP.stock[0], die_opening_mm=24.0),))
DEEP = channel(24.0)  # 30 wide and 43 deep inside: for neither machine
SHALLOW = replace(
    channel(100.0),
    flanges=tuple(
        replace(f, contour=rectangle(0, 0, 100, 9)) if f.name != "web" else f for f in channel(100.0).flanges
    ),
)
"""Legs of 9 mm: they lie on no shoulder of a V 24 (16.97 - 6 are wanted), but on the leaf."""


def machines(plan: PartPlan) -> set[str]:
    return {step.machine for step in sequence_of(plan, STOCKED)[0].steps}


def test_without_a_word_the_brake_goes_first_and_the_folder_after() -> None:
    assert asked(DEEP, SHOP) == "brake"
    assert asked(DEEP, BOTH) == "either"
    assert machines(channel(100.0)) == {"brake"}
    assert machines(replace(channel(100.0), bent_on="folder")) == {"folder"}
    assert machines(SHALLOW) == {"folder"}


def test_what_is_said_of_the_die_is_not_said_of_the_folder() -> None:
    on_brake = part(replace(SHALLOW, bent_on="brake"), shop=STOCKED)
    assert "flange-length" in codes(on_brake)
    on_either = part(SHALLOW, shop=STOCKED)
    assert "flange-length" not in codes(on_either)
    assert "bend-sequence" not in codes(on_either)
    # its hole row and all else stays as it was
    assert codes(on_either) - {"folder-flat"} == codes(on_brake) - {"flange-length", "bend-sequence"}


def test_no_machine_makes_it_and_both_are_named() -> None:
    found = only(part(DEEP, shop=BOTH), "bend-sequence")
    assert found.severity is Severity.FAIL
    assert "meets the punch straight" in found.found
    assert "on the folder bend" in found.found


def test_the_other_machine_is_a_mend_that_was_tried() -> None:
    # without a folder in the shop a plain one: it bends 3 mm of 1008 steel over 600 mm
    deep = replace(
        channel(75.0),
        flanges=tuple(
            replace(f, contour=rectangle(0, 0, 100, 70)) if f.name != "web" else f
            for f in channel(75.0).flanges
        ),
    )
    found = only(part(deep, shop=STRAIGHT_ONLY), "bend-sequence")
    assert 'bend it on a folder like a plain one (ours): bent_on = "folder"' in found.advice
    assert [p.steps[0].path for p in found.proposals] == ["part[p].bent_on"]
    folded = part(replace(deep, bent_on="folder"), shop=STRAIGHT_ONLY)
    assert "bend-sequence" not in codes(folded)
    assert "folder-missing" in codes(folded)
    assert "folder-missing" not in codes(part(replace(deep, bent_on="folder"), shop=BOTH))


def test_a_narrow_channel_goes_from_the_folder_to_the_brake() -> None:
    narrow = replace(channel(54.0), bent_on="folder")  # as test_bending works out, 53.24 does for the brake
    found = only(part(narrow, shop=BOTH), "bend-sequence")
    assert found.severity is Severity.FAIL
    assert 'bend it on the brake: bent_on = "brake"' in found.advice
    assert only(part(narrow, shop=STRAIGHT_ONLY), "bend-sequence").severity is Severity.WARN


@pytest.mark.parametrize(("opening", "said"), [(24.0, True), (None, False)])
def test_a_k_of_a_die_is_noted_where_the_folder_bends(opening: float | None, said: bool) -> None:
    shop = replace(BOTH, stock=(replace(SHOP.stock[0], die_opening_mm=opening),))
    assert ("folder-flat" in codes(part(replace(channel(100.0), bent_on="folder"), shop=shop))) is said


def test_a_leg_that_ends_in_a_point_is_held_by_no_machine() -> None:
    found = only(part(replace(pointed(60.0), bent_on="folder"), shop=BOTH), "bend-sequence")
    assert "does not lie 10 mm under the fingers" in found.found
