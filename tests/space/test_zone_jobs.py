"""Zones in whole jobs: read, measured, and in nobody's way."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from space_jobs import job, others

from generators.errors import SpecError
from generators.model.findings import Finding, Severity
from generators.model.words import ZoneKind

# the wall's cab face is x = 0, its engine face x = -2, u is y, v is z; hoses are on the engine side
EVERYWHERE = 'corner = ["-900 mm", "-900 mm", "-900 mm"]\nsize = ["1800 mm", "1800 mm", "1800 mm"]'
STRAIGHT = others("""
[[component]]
name = "near"
title = "Near end"
kind = "line_end"
on = { at = ["-300 mm", "100 mm", "100 mm"], facing = "right" }

  [[component.port]]
  name = "out"
  at = ["0 mm", "0 mm", "0 mm"]

[[component]]
name = "far"
title = "Far end"
kind = "line_end"
on = { at = ["-300 mm", "500 mm", "100 mm"], facing = "left" }

  [[component.port]]
  name = "out"
  at = ["0 mm", "0 mm", "0 mm"]

[[hose]]
name = "straight"
title = "Straight line"
kind = "rigid"
service = "pressure"
from = "near.out"
to = "far.out"
dash = 3
radius = "30 mm"
""")


def room(kind: ZoneKind, shape: str = EVERYWHERE) -> tuple[str, str]:
    return others(f'[[obstacle]]\nname = "room"\nwhat = "Room"\nis = "{kind}"\n{shape}\n')


def on_wall(kind: ZoneKind, gap: str, more: str = "") -> tuple[str, str]:
    """Room on the wall's engine face from u 200 to 330, v 0 to 400, 700 mm deep."""
    return (
        "# HOLES",
        f'[[panel.obstacle]]\n  name = "room"\n  what = "Room"\n  is = "{kind}"\n  face = "engine"\n'
        f'  corner = ["200 mm", "0 mm"]\n  size = ["130 mm", "400 mm"]\n  gap = "{gap}"\n  depth = "700 mm"\n'
        f"  {more}\n  # HOLES",
    )


def zoned(findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.code in ("in-stones", "in-spray", "in-heat", "under-covering")]


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("stones", {"feed hose": Severity.WARN, "reservoir": Severity.WARN}),
        ("spray", {"cap of the reservoir": Severity.WARN}),
        (
            "heat",
            {
                "feed hose": Severity.FAIL,
                "reservoir": Severity.FAIL,
                "master cylinder": Severity.WARN,
            },
        ),
        ("covering", {"feed hose": Severity.WARN}),
    ],
)
def test_everything_in_one_zone(kind: ZoneKind, said: dict[str, Severity], tmp_path: Path) -> None:
    plain = job(tmp_path)
    found = job(tmp_path, room(kind))
    assert {f.where: f.severity for f in zoned(found.findings)} == {
        f"space: {name}, in room": severity for name, severity in said.items()
    }
    # nothing else is said, and the hose goes where it went
    assert tuple(f for f in found.findings if f not in zoned(found.findings)) == plain.findings
    assert [h.path for h in found.lines.hoses] == [h.path for h in plain.lines.hoses]
    assert [b.name for b in found.scene.bodies] == [b.name for b in plain.scene.bodies]
    assert [z.title for z in found.scene.zones] == ["room"]


def test_a_straight_line_through_room_on_a_panel(tmp_path: Path) -> None:
    # u 200 to 330 of it: 130 mm; 298 mm off the engine face, 100 mm up, so 100 mm and its radius of 3/32 in
    # down to the way out (it is 65 mm and more to the sides along it)
    prepared = job(tmp_path, STRAIGHT, on_wall("heat", "0 mm"))
    (found,) = [f for f in zoned(prepared.findings) if "straight line" in f.where]
    assert found.severity is Severity.WARN
    assert "130.00 mm of its middle line" in found.found
    assert found.value == pytest.approx(100 + 25.4 * 3 / 32, abs=1e-3)


# the line's skin is 298 mm and 3/32 in off the engine face: 300.38 mm
@pytest.mark.parametrize(("gap", "fires"), [("300.27 mm", True), ("300.29 mm", False)])
def test_the_limit_on_a_panel(gap: str, fires: bool, tmp_path: Path) -> None:
    prepared = job(tmp_path, STRAIGHT, on_wall("heat", gap))
    assert any("straight line" in f.where for f in zoned(prepared.findings)) is fires


def test_what_the_spec_says_against_it(tmp_path: Path) -> None:
    bare = job(tmp_path, STRAIGHT, room("spray"))
    assert "space: straight line, in room" in {f.where for f in zoned(bare.findings)}
    finish = ('kind = "rigid"', 'kind = "rigid"\nfinish = "zinc, then polyamide"')
    painted = job(tmp_path, STRAIGHT, finish, room("spray"))
    assert "space: straight line, in room" not in {f.where for f in zoned(painted.findings)}
    guards = [
        ('title = "Feed hose"', 'title = "Feed hose"\nguarded = true'),
        ('title = "Reservoir"', 'title = "Reservoir"\nguarded = true'),
    ]
    assert zoned(job(tmp_path, *guards, room("stones")).findings) == []


def test_components_without_a_body_by_their_seats(tmp_path: Path) -> None:
    prepared = job(tmp_path, STRAIGHT, room("covering"))
    told = {f.where for f in zoned(prepared.findings)}
    assert {
        f"space: {name}, in room" for name in ("near end", "far end", "joint of the straight line")
    } <= told


def pot(z: int, facing: str) -> tuple[str, str]:
    """A reservoir of 60 mm, 70 mm long, free in the vehicle from x -300, y 450."""
    return others(
        f"""
[[component]]
name = "pot"
title = "Brake reservoir"
kind = "reservoir"
on = {{ at = ["-300 mm", "450 mm", "{z} mm"], facing = "{facing}" }}
diameter = "60 mm"
length = "70 mm"

  [[component.port]]
  name = "outlet"
  at = ["0 mm", "0 mm", "0 mm"]
"""
    )


# the spray reaches up to z 150; upright from 80 the cap is from 149 to 150, from 82 it is from 151 up, whichever
# end it sits on; lying it is 60 mm wide about its axis
@pytest.mark.parametrize(
    ("z", "facing", "fires"),
    [(80, "up", True), (82, "up", False), (150, "down", True), (152, "down", False), (179, "left", True)],
)
def test_the_cap_is_the_upper_end(z: int, facing: str, fires: bool, tmp_path: Path) -> None:
    low = 'corner = ["-900 mm", "-900 mm", "-900 mm"]\nsize = ["1800 mm", "1800 mm", "1050 mm"]'
    prepared = job(tmp_path, pot(z, facing), room("spray", low))
    assert any("cap of the brake reservoir" in f.where for f in zoned(prepared.findings)) is fires


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ([on_wall("heat", "0 mm", "movable = true")], "room that can be moved aside"),
        ([('kind = "master"', 'kind = "master"\nguarded = true')], "a guard of a component"),
        ([('title = "Feed hose"', 'title = "Feed hose"\nfinish = "zinc"')], "a finish of a hose"),
        ([others('[[obstacle]]\nname = "r"\nwhat = "Room"\nis = "stone"\n' + EVERYWHERE)], '"stone"'),
    ],
)
def test_impossible_tables_are_refused(change, said: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError, match=re.escape(said)):
        job(tmp_path, *change)
