"""Tables that small invented jobs have in common, as TOML: a test's own text says what is special about its job."""

from __future__ import annotations

COVER = """\
# An invented job: one plate.
[job]
name = "plate_job"
title = "A plate"

[[part]]
name = "cover"
title = "Cover"
kind = "blanking_plate"
material = "S235 steel"
thickness = "2 mm"
  [part.parameters]
"""
"""A plate without a panel, cheap to make; its parameters follow."""


def panel(
    name: str,
    width_mm: int,
    height_mm: int,
    *,
    material: str = "mild steel",
    thickness: str = "1.2 mm",
    at: tuple[int, int, int] = (0, 0, 0),
    title: str = "",
    witness: str = "",
) -> str:
    """An upright rectangular panel with its lower left corner ``at`` a place in the vehicle, mm; its holes follow."""
    u, v = f'"{width_mm} mm"', f'"{height_mm} mm"'
    rows = [
        "[[panel]]",
        f'name = "{name}"',
        f'title = "{title or name.capitalize()}"',
        f'material = "{material}"',
        f'thickness = "{thickness}"',
        "origin = [{}]".format(", ".join(f'"{x} mm"' for x in at)),
        f'outline = [["0 mm", "0 mm"], [{u}, "0 mm"], [{u}, {v}], ["0 mm", {v}]]',
    ]
    if witness:
        rows.append(f'witness_hole = "{witness}"')
    return "\n".join(rows) + "\n"


def existing(name: str, u_mm: int, v_mm: int, diameter_mm: int, what: str) -> str:
    """A hole that a panel has already."""
    return f"""\
  [[panel.existing]]
  name = "{name}"
  at = ["{u_mm} mm", "{v_mm} mm"]
  diameter = "{diameter_mm} mm"
  what = "{what}"
"""


def wire_hole(name: str, u_mm: int, v_mm: int, diameter_mm: int = 10) -> str:
    """A plain hole for a wire."""
    return f"""\
  [[panel.hole]]
  name = "{name}"
  kind = "plain"
  diameter = "{diameter_mm} mm"
  purpose = "wire"
  at = {{ u = "{u_mm} mm", v = "{v_mm} mm" }}
"""
