"""What punch and die may take on a metre, and the angle under load, on finished setup sheets; the demo's shop."""

from __future__ import annotations

import math
import re
import sys
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, order

from generators.bending.steps import Sequence
from generators.drawing.bending import figures
from generators.drawing.bending.sheet import write_setup_sheet
from generators.model.spec.tools.press import Brake
from generators.units import UnitSystem
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf

SPECS = Path(__file__).parents[2] / "specs"
PLAN = replace(channel(80.0, 40.0), name="ch", title="Channel, invented")


def marked(punch: float | None, die: float | None) -> Brake:
    return replace(
        TWO,
        punch=tuple(replace(p, force_per_m_n=punch) for p in TWO.punch),
        die=tuple(replace(d, force_per_m_n=die) for d in TWO.die),
    )


def sheet(
    path: Path, brake: Brake, bends: Sequence | None = None, units: UnitSystem = "metric", **more: Any
) -> tuple[str, tuple[str, ...]]:
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234"}
    made = bends or order(PLAN, brake, springback_rad=more.get("springback_rad") or 0.0)
    write_setup_sheet(PLAN, path, bends=made, machines=replace(MACHINES, brake=brake), units=units, **named)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    tools = Tools(brake=brake, dies=brake.die, tensile_mpa=370.0, opening_mm=24.0, **more)
    return text, read_setup_sheet(path, PLAN, tools=tools, rel="x", **named).problems


@pytest.mark.parametrize(
    ("punch", "die", "said"),
    [
        (250_900.0, 300_000.0, "On a metre the punch may take 250 kN and the die may take 300 kN: ok."),
        (
            250_000.0,
            None,
            "On a metre the punch may take 250 kN: ok. What the die may take nobody has told: look for the "
            "mark on it first.",
        ),
        (
            None,
            300_000.0,
            "On a metre the die may take 300 kN: ok. What the punch may take nobody has told: look for the "
            "mark on it first.",
        ),
        (None, None, "What the punch and the die may take nobody has told: look for the mark on it first."),
    ],
)
def test_what_tools_may_take_stands_beside_what_a_step_asks(
    punch: float | None, die: float | None, said: str, tmp_path: Path
) -> None:
    text, problems = sheet(tmp_path / "s.pdf", marked(punch, die))
    assert problems == ()
    assert text.count(f"197 kN on a metre. {said}") == 2


def test_with_inches_marks_stand_in_us_tons_on_a_foot_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """250 kN on a metre are 76.2 kN on a foot, 8.565 tons of 2000 lbf; 300 are 10.278. Rounded down."""
    said = (
        "On a metre the punch may take 250 kN (8.5 US tons on a foot) and the die may take 300 kN (10.2 US "
        "tons on a foot): ok."
    )
    brake = marked(250_000.0, 300_000.0)
    text, problems = sheet(tmp_path / "s.pdf", brake, units="inch")
    assert problems == ()
    assert text.count(said) == 2
    monkeypatch.setattr(figures, "US_TON_N", 9_500.0)
    wrong = sheet(tmp_path / "w.pdf", brake, units="inch")[1]
    assert any("may take 8.0 US tons on a foot, the shop has 8.57" in p for p in wrong)


def test_a_mark_that_is_not_the_shops_or_not_enough_shows(tmp_path: Path) -> None:
    brake = marked(250_000.0, 300_000.0)
    bends = order(PLAN, brake)

    def said(**more: Any) -> str:
        steps = tuple(replace(s, **more) for s in bends.on_brake)
        return " ".join(sheet(tmp_path / "s.pdf", brake, replace(bends, steps=steps))[1])

    assert "the punch may take 260 kN on a metre, the shop has 250" in said(punch_most_n=260_000.0)
    assert "wrong about whether anybody has told what the die may take" in said(die_most_n=None)
    assert "150 for metre; by the formula it is 197.0" in said(metre_n=150_000.0)
    # the same steps on tools marked for less
    weak = sheet(tmp_path / "w.pdf", marked(196_900.0, 300_000.0), bends)[1]
    assert any("asks 197 kN on a metre, the punch may take" in p for p in weak)
    assert not any("asks" in p for p in sheet(tmp_path / "w.pdf", marked(197_100.0, 300_000.0), bends)[1])


def test_the_angle_under_load_is_by_the_shops_own_test_bend(tmp_path: Path) -> None:
    brake = marked(None, None)
    for degrees, said in ((2.0, "to 92° under load, it springs back to 90° by the shop's test bend"),):
        text, problems = sheet(tmp_path / "s.pdf", brake, springback_rad=math.radians(degrees))
        assert problems == ()
        assert text.count(said) == 2
    bends = order(PLAN, brake, springback_rad=math.radians(2.0))
    for measured in (0.0, math.radians(1.8), math.radians(2.2)):
        problems = sheet(tmp_path / "w.pdf", brake, bends, springback_rad=measured)[1]
        assert any("92° under load; by the shop's test bend it is" in p for p in problems)
    # 0 is not measured, and said so
    text, problems = sheet(tmp_path / "n.pdf", brake, springback_rad=0.0)
    assert problems == ()
    assert "to 90° under load, springback not measured" in text


def test_the_demos_shop_has_told_of_every_sheet_and_tool() -> None:
    """Read from the file alone: springback of 1 to 3 degrees, and marks on every punch and die."""
    shop = tomllib.loads((SPECS / "shop.toml").read_text(encoding="utf-8"))
    for stock in shop["stock"]:
        assert stock.get("die_opening")
        match = re.fullmatch(r"([\d.]+) deg", stock["springback"])
        assert match is not None
        assert 1.0 <= float(match[1]) <= 3.0
    for tool in (*shop["brake"]["punch"], *shop["brake"]["die"]):
        assert re.fullmatch(r"[\d.]+ kN", tool["force_per_m"])
