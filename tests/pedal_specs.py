"""Invented pedals as TOML, for tests of sheets and commands: no vehicle, no panel, just the pedal."""

from __future__ import annotations

from pathlib import Path

from spec_pieces import clutch

HEAD = '[job]\nname = "toy"\ntitle = "Toy job, invented"\n'

_PLACE = """pivot = ["103 mm", "0 mm", "62 mm"]
seat_at = ["0 mm", "0 mm", "0 mm"]
axis_to = ["-80 mm", "0 mm", "0 mm"]
pin = ["14 mm", "-60 mm"]
pad = ["60 mm", "-330 mm"]
"""

_WORKS = clutch('rating = "10 MPa"\n', '[pedal.fluid]\nair = "0.2 cc"\n')
CLUTCH = f"""
[[pedal]]
name = "clutch"
kind = "clutch"
{_PLACE}travel = "170 mm"
bracket_flex = "0.3 mm/kN"
{_WORKS}"""

_FLUID = 'wear = "14 cc", reservoir = "40 cc"'
_REAR = f'rear = {{ bore = "13/16 in", stroke = "28 mm", volume = "2.5 cc", {_FLUID} }}\n'
BRAKE = f"""
[[pedal]]
name = "brake"
title = "Brake pedal"
kind = "brake"
{_PLACE}travel = "150 mm"
[pedal.brake]
front_share = 0.55
front = {{ bore = "3/4 in", stroke = "28 mm", volume = "3 cc", pressure = "5 MPa", rating = "12 MPa", {_FLUID} }}
{_REAR}"""

SINGLE = BRAKE.replace("front_share = 0.55\n", 'axles = "one"\n').replace(_REAR, "")

STOP = 'travel = "170 mm"\nstop = "{} mm"'
VARIANTS = {
    "right": CLUTCH,
    "stop of the spec kept": CLUTCH.replace('travel = "170 mm"', STOP.format(145)),
    "stop too early": CLUTCH.replace('travel = "170 mm"', STOP.format(110)),
    "stop short of the margin": CLUTCH.replace('travel = "170 mm"', STOP.format(131)),
    "stop too late": CLUTCH.replace('travel = "170 mm"', STOP.format(168)),
    "floor too near": CLUTCH.replace('travel = "170 mm"', 'travel = "115 mm"'),
    "bore too small": CLUTCH.replace('bore = "3/4 in"', 'bore = "5/8 in"'),
    "rod too long": CLUTCH.replace('travel = "170 mm"', 'travel = "170 mm"\nrod_length = "119 mm"'),
    "brake": BRAKE,
    "brake of one circuit": SINGLE,
    "brake that meets the floor": BRAKE.replace('volume = "3 cc"', 'volume = "9 cc"'),
    "clutch and brake": CLUTCH + BRAKE,
}


def write_spec(folder: Path, text: str, name: str = "toy.toml") -> Path:
    """The pedal as a spec file."""
    path = folder / name
    path.write_text(HEAD + text, encoding="utf-8")
    return path
