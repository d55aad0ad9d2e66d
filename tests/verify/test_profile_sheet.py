"""The bent profile at full size: by hand, measured again, and spoiled ones are named."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from drawing.part_cases import JOB, REVISION, cases, make

from generators.drawing.bending import profile_sheet
from generators.drawing.bending.chains import chains
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.geometry.contours import area
from generators.model.plan import PartPlan
from generators.verify.pdf.rebuild.profile import read_profile_sheet
from generators.verify.readback import ReadBack

CASES = cases()
BENT = [name for name, plan in CASES.items() if plan.bends]


def drawn(plan: PartPlan, path: Path, paper: str = "A4") -> ReadBack:
    write_profile_sheet(plan, path, job_title=JOB, revision=REVISION, paper=paper)
    return read(plan, path)


def read(plan: PartPlan, path: Path, **more: bool) -> ReadBack:
    return read_profile_sheet(path, plan, job_title=JOB, revision=REVISION, rel="p.pdf", **more)


@pytest.mark.parametrize("name", BENT)
def test_every_profile_measures_as_planned(name: str, tmp_path: Path) -> None:
    assert drawn(CASES[name], tmp_path / "p.pdf", "letter" if len(name) % 2 else "A4").problems == ()


def test_a_shelf_by_hand() -> None:
    """Legs of 60 and 80 outside in 3 mm over R3: flats of 54 and 74, and a quarter ring of 3 and 6."""
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    ((chain, count),) = chains(plan)
    assert count == 1
    assert sorted(leg.flat_mm for leg in chain.legs) == pytest.approx([54.0, 74.0])
    assert sorted(leg.outside_mm for leg in chain.legs) == pytest.approx([60.0, 80.0])
    assert area(chain.outline()) == pytest.approx((54 + 74) * 3 + math.pi / 4 * (36 - 9))


def test_a_joggle_turns_both_ways() -> None:
    """Up, then down by the same angle: the last leg runs on as the first."""
    plan = CASES["throttle_back"]
    ((chain, _),) = chains(plan)
    signs = [math.copysign(1, t) for t in chain.turns]
    assert signs == [1 if b.direction == "up" else -1 for b in chain.bends]
    assert area(chain.outline()) > 0


def test_like_profiles_are_drawn_once() -> None:
    """Both gussets of a slave bracket and their upright are one chain; the base and it another."""
    found = chains(CASES["slave"])
    assert sorted(len(chain.bends) for chain, _ in found) == [1, 2]
    assert [count for _, count in chains(make("carried_hanger"))].count(2) <= 1


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({"inside_radius_mm": 3.1}, "the outline turns by"),
        ({"angle_rad": math.radians(89.0)}, "is in no profile"),
    ],
    ids=["radius", "angle"],
)
def test_another_bend_is_found_out(tmp_path: Path, change: dict[str, float], wanted: str) -> None:
    plan = make("reservoir_bracket")
    path = tmp_path / "p.pdf"
    assert drawn(plan, path).problems == ()
    (bend,) = plan.bends
    other = replace(plan, bends=(replace(bend, **change),))  # type: ignore[arg-type]
    assert any(wanted in p for p in read(other, path).problems)


def test_another_length_thickness_and_side_are_found_out(tmp_path: Path) -> None:
    path = tmp_path / "p.pdf"
    plan = CASES["throttle"]
    assert drawn(plan, path).problems == ()
    longer = read(make("throttle_pedal_bracket", offset_mm=58.2), path).problems
    assert any("mm long on both sides" in p for p in longer)
    assert any("mm thick" in p for p in read(replace(plan, thickness_mm=3.2), path).problems)
    first, *rest = plan.bends
    turned = replace(first, direction="down" if first.direction == "up" else "up")
    said = read(replace(plan, bends=(turned, *rest)), path).problems
    assert "page 1: bends turn to another side than planned" in said


@pytest.mark.parametrize("shelf", [80.0, 400.0], ids=["whole", "drawn short"])
def test_another_length_is_found_out_where_legs_are_drawn_short(tmp_path: Path, shelf: float) -> None:
    """On A4, 210 wide, a shelf of 400 is cut off: its length stands in its label alone, the base is whole."""
    path = tmp_path / "p.pdf"
    assert drawn(make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=shelf), path).problems == ()
    deeper = read(make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=shelf + 0.02), path).problems
    assert any("shelf is said to be" in p for p in deeper)
    higher = read(make("reservoir_bracket", base_height_mm=75.0, shelf_depth_mm=shelf), path).problems
    assert any("base is said to be 60 outside, by the plan 75.00" in p for p in higher)
    assert any("base is not 69.00 mm long" in p for p in higher)


@pytest.mark.parametrize(
    ("lie", "said"),
    [
        (lambda text: text.replace("80 outside", "90 outside"), "said to be 90 outside, by the plan 80.00"),
        (lambda text: text.replace("80 outside", "80 over all"), "gives 0 lengths of shelf"),
        (lambda text: text.replace("80 outside", "80 outside, drawn short"), "does not say why"),
        (lambda text: text.replace("shelf: 80", "self: 80"), "names a leg self"),
    ],
    ids=["wrong", "none", "short", "name"],
)
def test_a_label_that_lies_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lie: Callable[[str], str], said: str
) -> None:
    honest = profile_sheet.place_label

    def lying(pen: Any, clutter: Any, anchor: Any, radius: float, text: str, **more: Any) -> None:
        honest(pen, clutter, anchor, radius, lie(text), **more)

    monkeypatch.setattr(profile_sheet, "place_label", lying)
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    assert any(said in p for p in drawn(plan, tmp_path / "p.pdf").problems)


def test_words_and_waivers(tmp_path: Path) -> None:
    path = tmp_path / "p.pdf"
    plan = make("reservoir_bracket")
    drawn(plan, path)
    assert any("WAIVED" in p for p in read(plan, path, waived=True).problems)
    path.write_bytes(b"")
    assert not read(plan, path).good
