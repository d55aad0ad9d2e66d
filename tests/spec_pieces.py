"""Tables that small invented jobs have in common, as TOML: a test's own text says what is special about its job."""

from __future__ import annotations

Place = tuple[float, float, float]

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


def component(
    name: str,
    kind: str,
    at: Place,
    facing: str,
    *,
    title: str = "",
    size: tuple[int, int] | None = None,
    port: str = "out",
    port_at: Place = (0, 0, 0),
    more: str = "",
) -> str:
    """A thing with one port that stands free at a place in the vehicle, mm; ``size`` is its diameter and length.

    ``port_at`` is in its own directions, and ``more`` are more keys of the port's table.
    """
    rows = ["", "[[component]]", f'name = "{name}"']
    rows += [f'title = "{title}"'] if title else []
    rows += [f'kind = "{kind}"', f'on = {{ at = {_place(at)}, facing = "{facing}" }}']
    rows += [f'diameter = "{size[0]} mm"', f'length = "{size[1]} mm"'] if size else []
    rows += ["", "  [[component.port]]", f'  name = "{port}"', f"  at = {_place(port_at)}"]
    rows += [f"  {more}"] if more else []
    return "\n".join(rows) + "\n"


def line_ends(near: Place, far: Place, facing: tuple[str, str] = ("right", "left")) -> str:
    """Two ends of lines that stand free, with the ports ``near.out`` and ``far.out``."""
    return component("near", "line_end", near, facing[0], title="Near end") + component(
        "far", "line_end", far, facing[1], title="Far end"
    )


def clutch(master: str = "", more: str = "") -> str:
    """What a pedal works: master, hose, slave and a light clutch.

    ``master`` are more keys of the master's table, ``more`` are tables before that of the clutch.
    """
    return f"""\
[pedal.master]
bore = "3/4 in"
stroke = "1.4 in"
{master}[[pedal.line]]
kind = "hose"
length = "18 in"
bore = "1/8 in"
expansion = "low"
[pedal.slave]
bore = "7/8 in"
stroke = "1 1/4 in"
{more}[pedal.clutch]
fork_ratio = 1.6
free_play = "1.5 mm"
release_travel = "7.5 mm"
over_travel = "10.5 mm"
load = "1500 N"
"""


def _place(at: Place) -> str:
    return "[{}]".format(", ".join(f'"{x} mm"' for x in at))
