"""Tools of the brake that are none: one fault each, with its place."""

from __future__ import annotations

import pytest

from generators.reading.reader import shop_faults

PUNCH = """[[brake.punch]]
name = "p"
height = "100 mm"
angle = "90 deg"
tip_radius = "1 mm"
"""
DIE = """[[brake.die]]
name = "d"
opening = "24 mm"
angle = "80 deg"
width = "36 mm"
height = "80 mm"
"""


@pytest.mark.parametrize(
    ("text", "path", "expected"),
    [
        (PUNCH + PUNCH, "brake.punch[1].name", "each name once"),
        (DIE + DIE, "brake.die[1].name", "each name once"),
        (PUNCH + 'neck_depth = "20 mm"', "brake.punch[0].neck_depth", "neck_from"),
        (PUNCH + 'neck_from = "20 mm"', "brake.punch[0].neck_from", "neck_depth"),
        # 20 back and 14 wide under a flank of 45 degrees: from 34 on
        (PUNCH + 'neck_depth = "20 mm"\nneck_from = "33 mm"', "brake.punch[0].neck_from", "at least 34 mm"),
        (
            PUNCH + 'neck_depth = "20 mm"\nneck_from = "100 mm"',
            "brake.punch[0].neck_from",
            "less than 55 mm",
        ),
        (
            PUNCH + 'neck_depth = "20 mm"\nneck_from = "40 mm"\nneck_to = "100 mm"',
            "brake.punch[0].neck_to",
            "less than height",
        ),
        (PUNCH + 'neck_to = "90 mm"', "brake.punch[0].neck_to", "neck_depth"),
        (
            PUNCH + 'profile = [["0 mm", "0 mm"], ["35 mm", "100 mm"], ["20 mm", "100 mm"]]',
            "brake.punch[0].profile",
            "over the tip",
        ),
        (PUNCH + 'segments = ["0 mm"]', "brake.punch[0].segments[0]", "1 mm"),
        (
            '[brake]\nlength = "500 mm"\n' + PUNCH + 'segments = ["600 mm"]',
            "brake.punch[0].segments[0]",
            "500 mm",
        ),
        (
            PUNCH + 'profile = [["0 mm", "1 mm"], ["5 mm", "100 mm"], ["-5 mm", "100 mm"]]',
            "brake.punch[0].profile",
            "tip",
        ),
        (
            PUNCH + 'profile = [["0 mm", "0 mm"], ["5 mm", "90 mm"], ["-5 mm", "90 mm"]]',
            "brake.punch[0].profile",
            "height",
        ),
        (
            PUNCH + 'profile = [["0 mm", "0 mm"], ["5 mm", "100 mm"], ["5 mm", "0 mm"], ["-5 mm", "100 mm"]]',
            "brake.punch[0].profile[0]",
            "cross",
        ),
        (DIE.replace("36 mm", "24 mm"), "brake.die[0].width", "more than its opening"),
        (DIE.replace('"80 mm"', '"14 mm"'), "brake.die[0].height", "more than its V is deep"),
        (
            '[brake]\nopen = "400 mm"\n' + PUNCH.replace('"100 mm"', '"330 mm"') + DIE,
            "brake.punch[0].height",
            "opens",
        ),
        (
            '[brake]\nram = [["400 mm", "0 mm"], ["480 mm", "0 mm"], ["480 mm", "90 mm"]]',
            "brake.ram",
            "over the tip",
        ),
        (
            '[brake]\ntable = [["-45 mm", "500 mm"], ["45 mm", "500 mm"], ["45 mm", "-90 mm"], ["-45 mm", "-90 mm"]]',
            "brake.table",
            "foot",
        ),
        # a V 24 of 80 deg 36 wide: (36 - 24)/2 / tan 25 = 12.87
        (DIE + 'shoulder_radius = "12.9 mm"', "brake.die[0].shoulder_radius", "36 mm wide"),
        ('[brake]\npunch_height = "150 mm"', "brake.punch_height", "[[brake.punch]]"),
        ('[brake]\nneck_depth = "50 mm"', "brake.neck_depth", "[[brake.punch]]"),
        ('[brake]\nneck_from = "90 mm"', "brake.neck_from", "[[brake.punch]]"),
        ('[brake.gauge]\nnearest = "50 mm"\nreach = "40 mm"', "brake.gauge.nearest", "less than reach"),
        ('[brake]\nstroke = "200 mm"\nopen = "150 mm"', "brake.stroke", "at most open"),
        (
            DIE
            + '[[stock]]\nmaterial = "1008 steel"\nthickness = "3 mm"\ninside_radius = "3 mm"\ndie_opening = "20 mm"',
            "stock[0].die_opening",
            "24 mm",
        ),
    ],
)
def test_each_slip_is_one_fault(text: str, path: str, expected: str) -> None:
    faults = shop_faults("shop.toml", text.encode())
    assert [f.path for f in faults] == [path], faults
    assert expected in f"{faults[0].expected} {faults[0].found} {faults[0].hint}"
    assert faults[0].line > 0


def test_a_sound_brake_has_none() -> None:
    text = PUNCH + 'neck_depth = "20 mm"\nneck_from = "34 mm"\nsegments = ["100 mm", "20 mm"]\n' + DIE
    text += 'shoulder_radius = "12.8 mm"\n'
    assert shop_faults("shop.toml", text.encode()) == ()
