"""A small invented hanger with a clutch pedal, as TOML: quick to solve."""

from __future__ import annotations

from pathlib import Path

from spec_pieces import clutch

HANGER = """
[job]
name = "toy"
title = "Toy hanger, invented"

[[part]]
name = "hanger"
kind = "pedal_hanger"
material = "S235 steel"
thickness = "4 mm"
[part.parameters]
inside_width = "84 mm"
tab_length = "0 mm"

[[pedal]]
name = "clutch"
kind = "clutch"
hanger = "hanger"
seat = "8 mm"
pin = ["14 mm", "-60 mm"]
pad = ["60 mm", "-330 mm"]
travel = "170 mm"
""" + clutch('rating = "10 MPa"\n')

ANGLE = """
[[part]]
name = "shelf"
kind = "reservoir_bracket"
material = "5052-H32"
thickness = "2.5 mm"
"""

SHOP = """
[[stock]]
material = "S235 steel"
thickness = "2 mm"
inside_radius = "2 mm"
[[stock]]
material = "S235 steel"
thickness = "3 mm"
inside_radius = "3 mm"
[[stock]]
material = "S235 steel"
thickness = "5 mm"
inside_radius = "5 mm"
"""


def load(**keys: object) -> str:
    """A ``[[load]]`` table."""
    lines = [f'{key} = "{value}"' for key, value in keys.items()]
    return "\n[[load]]\n" + "\n".join(lines) + "\n"


def write(folder: Path, text: str = HANGER, shop: str = "") -> Path:
    """The spec as a file, with a shop file beside it when given."""
    path = folder / "toy.toml"
    path.write_text(text, encoding="utf-8")
    if shop:
        (folder / "shop.toml").write_text(shop, encoding="utf-8")
    return path
