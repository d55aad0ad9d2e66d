"""Zones in whole jobs: read, measured, and in nobody's way."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from space_jobs import job, others
from spec_pieces import line_ends

from generators.errors import SpecError
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.model.words import ZoneKind

# the wall's cab face is x = 0, its engine face x = -2, u is y, v is z; hoses are on the engine side
EVERYWHERE = 'corner = ["-900 mm", "-900 mm", "-900 mm"]\nsize = ["1800 mm", "1800 mm", "1800 mm"]'
STRAIGHT = others(
    line_ends((-300, 100, 100), (-300, 500, 100))
    + """
[[hose]]
name = "straight"
title = "Straight line"
kind = "rigid"
service = "pressure"
from = "near.out"
to = "far.out"
dash = 3
radius = "30 mm"
"""
)


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


FLEXIBLE = ('kind = "rigid"\nservice = "pressure"', 'kind = "hose"\nservice = "pressure"')
BETWEEN = 'corner = ["-320 mm", "280 mm", "60 mm"]\nsize = ["40 mm", "40 mm", "80 mm"]'


@pytest.mark.parametrize("kind", ["heat", "stones", "covering", "spray"])
def test_a_hose_is_led_round_a_zone_that_harms_it(kind: ZoneKind, tmp_path: Path) -> None:
    """A box of 40 × 40 × 80 mm about the middle of a straight hose: it goes round, in spray straight on."""
    prepared = job(tmp_path, STRAIGHT, FLEXIBLE, room(kind, BETWEEN))
    (hose,) = [h for h in prepared.lines.hoses if h.spec.name == "straight"]
    assert hose.path is not None
    assert zoned(prepared.findings) == []
    if kind == "spray":
        assert hose.path.length_mm == pytest.approx(400.0)
    else:
        assert hose.avoids == ("room",)
        # round the nearest side, 20 mm off, and half the hose: no less than two hypotenuses
        half = hose.path.outside_dia_mm / 2
        assert hose.path.length_mm > 2 * math.hypot(180.0, 20.0 + half) + 40.0
        assert any(f.code == "hose-detour" and "room" in f.found for f in prepared.findings)


def test_what_holds_a_hose_in_a_zone_leaves_it_there(tmp_path: Path) -> None:
    """The zone takes in the hose's far end, or the hose is in a sleeve, or it is a tube: it goes straight."""
    at_end = 'corner = ["-320 mm", "280 mm", "60 mm"]\nsize = ["40 mm", "240 mm", "80 mm"]'
    guarded = ('title = "Straight line"', 'title = "Straight line"\nguarded = true')
    for changes in (
        (STRAIGHT, FLEXIBLE, room("heat", at_end)),
        (STRAIGHT, FLEXIBLE, guarded, room("stones", BETWEEN)),
        (STRAIGHT, room("heat", BETWEEN)),
    ):
        prepared = job(tmp_path, *changes)
        (hose,) = [h for h in prepared.lines.hoses if h.spec.name == "straight"]
        assert hose.path is not None
        assert hose.path.length_mm == pytest.approx(400.0)


def test_a_hose_beside_a_pipe_in_its_hot_air_is_one_finding(tmp_path: Path) -> None:
    """A pipe of 30 mm, its middle 60 mm under the hose's, and hot air round both of the hose's ends."""
    pipe = others(
        '[[obstacle]]\nname = "pipe"\nwhat = "Exhaust"\nis = "hot"\n'
        'start = ["-300 mm", "0 mm", "40 mm"]\nend = ["-300 mm", "600 mm", "40 mm"]\ndiameter = "30 mm"\n'
    )
    air = 'corner = ["-400 mm", "50 mm", "-100 mm"]\nsize = ["200 mm", "500 mm", "300 mm"]'
    alone = job(tmp_path, STRAIGHT, FLEXIBLE, pipe)
    assert any(f.code == "hose-near-hot" and "straight" in f.where for f in alone.findings)
    both = job(tmp_path, STRAIGHT, FLEXIBLE, pipe, room("heat", air))
    assert not any(f.code == "hose-near-hot" and "straight" in f.where for f in both.findings)
    (found,) = [f for f in zoned(both.findings) if "straight" in f.where]
    assert found.severity is Severity.FAIL
    half = next(h.path for h in both.lines.hoses if h.spec.name == "straight")
    assert half is not None
    assert f"{fixed(60 - 15 - half.outside_dia_mm / 2, 2)} mm from pipe" in found.found
    # of a tube the hot air only warns, so the pipe keeps its own word
    tube = job(tmp_path, STRAIGHT, pipe, room("heat", air))
    assert any(f.code == "hose-near-hot" and "straight" in f.where for f in tube.findings)
