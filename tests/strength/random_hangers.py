"""Hangers, carried hangers and floor boxes drawn at random, as specs: for the quick answer against the solver.

``pedal_hanger on bearings`` has wide bores, with bosses or without; a ``twin_pedal_hanger`` is pushed at its clutch, far
off its middle. Sizes are drawn over what a bench makes of such parts; what cannot be planned or has no load case is drawn anew.
"""

from __future__ import annotations

import random
from pathlib import Path

from spec_pieces import clutch

from generators.errors import GeometryFault, SpecError
from generators.solve.brackets.cases import Bracket, brackets
from generators.solve.job import prepare
from generators.standards import ball_bearing

BORNE = "pedal_hanger on bearings"
METALS = ("S235 steel", "1008 steel", "5052-H32", "6061-T6")

SPEC = """
[job]
name = "drawn"
title = "Hanger drawn at random, invented"

[[part]]
name = "hanger"
kind = "{kind}"
material = "{metal}"
thickness = "{thickness} mm"
[part.hold]
by = "{by}"
flex = "{flex} mm/kN"
[part.parameters]
{parameters}

[[pedal]]
name = "clutch"
kind = "clutch"
hanger = "hanger"
seat = "8 mm"
pin = ["{pin_out} mm", "{pin_up} mm"]
pad = ["{pad_out} mm", "{pad_up} mm"]
travel = "150 mm"
""" + clutch()


def _panel_hanger(draw: random.Random) -> dict[str, float]:
    inside, above, below = draw.uniform(64, 130), draw.uniform(70, 130), draw.uniform(40, 80)
    sizes = {
        "inside_width": inside,
        "web_above": above,
        "web_below": below,
        "pivot_up": draw.uniform(45, min(95, above)),
        "pivot_out": draw.uniform(55, 130),
        "pivot_boss": draw.uniform(16, 28),
        "mount_spacing": draw.uniform(30, inside - 30),
        "mount_top": draw.uniform(34, above - 18),
        "mount_bottom": draw.uniform(26, below - 12),
        "master_angle": draw.choice([0, 90]),
        "tab_length": draw.choice([0, 45]),
    }
    sizes["tab_width"] = draw.uniform(26, 50)
    return sizes


def _carried(draw: random.Random) -> dict[str, float]:
    inside, out = draw.uniform(90, 140), draw.uniform(60, 100)
    return {
        "inside_width": inside,
        "web_above": draw.uniform(50, 90),
        "web_below": draw.uniform(35, 60),
        "pivot_up": draw.uniform(45, 70),
        "pivot_out": out,
        "pivot_boss": draw.uniform(16, 24),
        "ear_width": draw.uniform(40, 55),
        "ear_end": draw.uniform(out + 10, out + 40),
        "mount_spacing": inside + draw.uniform(40, 56),
    }


def _box(draw: random.Random) -> dict[str, float]:
    sizes = _carried(draw)
    sizes["pivot_up"] = -draw.uniform(45, 60)
    sizes["web_above"], sizes["web_below"] = draw.uniform(35, 60), draw.uniform(50, 90)
    sizes["axis_height"] = draw.uniform(85, 130)
    return sizes


def _twin(draw: random.Random) -> dict[str, float]:
    inside, below = draw.uniform(210, 270), draw.uniform(76, 95)
    return {
        "inside_width": inside,
        "web_above": draw.uniform(85, 120),
        "web_below": below,
        "pivot_up": draw.uniform(45, 80),
        "pivot_out": draw.uniform(80, 130),
        "pivot_boss": draw.uniform(18, 28),
        "mount_spacing": inside - draw.uniform(44, 60),
        "mount_bottom": below - draw.uniform(16, 24),
        "clutch_u": -draw.uniform(60, 75),
        "tab_length": draw.choice([0, 45]),
    }


def _borne(draw: random.Random) -> tuple[dict[str, float], list[str]]:
    """A panel hanger on bearings, and what its pivots are."""
    sizes, row = _panel_hanger(draw), ball_bearing(draw.choice(["6001", "6003", "6004", "6202", "61903"]))
    sizes["pivot_bore"] = row.outside_mm
    sizes["pivot_boss"] = row.outside_mm / 2 + draw.uniform(9, 15)
    build = draw.choice(["reamed", "welded_boss"])
    return sizes, [f'pivot_bearing = "{row.number}"', f'pivot_build = "{build}"']


def _text(kind: str, draw: random.Random) -> str:
    more: list[str] = []
    if kind == "pedal_hanger":
        sizes = _panel_hanger(draw)
    elif kind == BORNE:
        sizes, more = _borne(draw)
    elif kind == "twin_pedal_hanger":
        sizes = _twin(draw)
    elif kind == "pedal_box":
        sizes = _box(draw)
    else:
        sizes = _carried(draw)
        sizes["top_up"] = draw.uniform(95, 135)
        sizes["rear_out"] = sizes["ear_end"] + draw.uniform(8, 30)
    lines = [f'{k} = "{v:.1f} {"deg" if k.endswith("angle") else "mm"}"' for k, v in sizes.items()]
    if kind == "carried_hanger":
        lines.append(f'mounting = "{draw.choice(["top", "rear", "both"])}"')
    lines += more
    up = -sizes["pivot_up"] + draw.uniform(-6, 6)
    return SPEC.format(
        kind=kind.partition(" ")[0],
        metal=draw.choice(METALS),
        thickness=draw.choice([2, 2.5, 3, 4, 5, 6]),
        by=draw.choice(["bore", "washer"]),
        flex=draw.choice([0, 0, 0.2, 1]),
        parameters="\n".join(lines),
        pin_out=round(draw.uniform(6, 24), 1),
        pin_up=round(up, 1),
        pad_out=round(draw.uniform(40, 80), 1),
        pad_up=round(draw.uniform(260, 360) * (1 if kind == "pedal_box" else -1), 1),
    )


def drawn(kind: str, seed: int, folder: Path) -> Bracket:
    """The first hanger of a kind, drawn from that seed, that can be planned and has its cases."""
    draw = random.Random(f"{kind} {seed}")
    while True:
        path = folder / "drawn.toml"
        path.write_text(_text(kind, draw), encoding="utf-8")
        try:
            job = prepare(path)
        except (SpecError, GeometryFault):
            continue
        found = brackets(job.file, job.parts, job.pedals)
        if found:
            return found[0]
