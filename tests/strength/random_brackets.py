"""Small brackets drawn at random, as specs: stops, slaves, reservoirs, clamps; for the quick answer against the solver.

A stop and a slave are pushed as their cylinder or pedal would, by a ``[[load]]``; reservoirs and clamps have the cases
nobody asks for. What cannot be planned or has no case is drawn anew.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from spec_pieces import panel
from strength.hanger_specs import load

from generators.errors import GeometryFault, SpecError
from generators.solve.brackets.cases import Bracket, brackets
from generators.solve.job import prepare

METALS = ("S235 steel", "1008 steel", "5052-H32", "6061-T6")

JOB = """
[job]
name = "drawn"
title = "Bracket drawn at random, invented"

""" + panel("wall", 800, 600, material="steel", thickness="2 mm", at=(500, -600, 500))

PART = """
[[part]]
name = "bracket"
kind = "{kind}"
material = "{metal}"
thickness = "{thickness} mm"
[part.hold]
by = "{by}"
[part.parameters]
{parameters}
[part.mount]
panel = "wall"
face = "cab"
at = {{ u = "400 mm", v = "300 mm" }}
{more}
"""

RESERVOIR = """
[[component]]
name = "reservoir_{index}"
title = "Reservoir {index}"
kind = "reservoir"
on = {{ part = "bracket", holes = [{holes}], side = "{side}" }}
diameter = "{wide:.0f} mm"
length = "{high:.0f} mm"
[[component.port]]
name = "outlet"
at = ["0 mm", "20 mm", "0 mm"]
facing = "right"
"""

Sizes = dict[str, float | str | int]


def _load(name: str, hole: str, force_n: float, toward: str) -> str:
    return load(name=name, part="bracket", hole=hole, force=f"{force_n:.0f} N", toward=toward)


def _stop(draw: random.Random) -> tuple[Sizes, str]:
    width, foot, upright = draw.uniform(50, 110), draw.uniform(50, 100), draw.uniform(45, 120)
    gusset = draw.choice([0.0, 1.0]) * draw.uniform(0.6, 0.8) * foot
    sizes: Sizes = {
        "width": width,
        "foot_depth": foot,
        "upright_height": upright,
        "stop_height": draw.uniform(0.5, 0.8) * upright,
        "stop_offset": draw.uniform(-0.15, 0.15) * width,
        "mount_spacing": draw.uniform(0.4, 0.6) * width,
        "mount_inset": draw.uniform(0.25, 0.5) * foot,
        "mount_slot": draw.choice([0, 10]),
        "gusset_depth": gusset,
        "gusset_top": draw.uniform(15, 25),
    }
    toward = draw.choice(["up", "down"])
    return sizes, _load("stop", "stop", draw.uniform(300, 1500), toward)


def _slave(draw: random.Random) -> tuple[Sizes, str]:
    inside, base, upright = draw.uniform(90, 160), draw.uniform(80, 150), draw.uniform(70, 130)
    mounts = draw.choice([2, 3, 4])
    sizes: Sizes = {
        "inside_width": inside,
        "gussets": draw.choice(["both", "left", "right"]),
        "base_width": inside + draw.uniform(20, 50),
        "base_depth": base,
        "mounts": mounts,
        "mount_spacing": draw.uniform(0.4, 0.7) * inside,
        "mount_rows": draw.uniform(0.25, 0.4) * base,
        "mount_inset": draw.uniform(0.15, 0.25) * base,
        "upright_height": upright,
        "slave_height": draw.uniform(0.55, 0.7) * upright,
        "nose_bore": draw.uniform(20, 34),
        "flange_spacing": draw.uniform(56, 72),
        "flange_angle": draw.choice([0, 0, 90]),
        "gusset_depth": draw.uniform(0.5, 0.75) * base,
        "gusset_top": draw.uniform(15, 40),
    }
    if sizes["flange_angle"] == 90:
        sizes["flange_spacing"] = 45.0
        sizes["nose_bore"] = 20.0
    toward, force = draw.choice(["up", "down"]), draw.uniform(500, 3000)
    return sizes, "".join(_load(f"push_{n}", f"flange_{n}", force / 2, toward) for n in (1, 2))


def _reservoir(draw: random.Random) -> tuple[Sizes, str]:
    width, base, shelf = draw.uniform(70, 130), draw.uniform(45, 90), draw.uniform(60, 120)
    deep = draw.choice([0.0, 1.0]) * draw.uniform(25, 40)
    sizes: Sizes = {
        "width": width,
        "base_height": base,
        "shelf_depth": shelf,
        "angle": draw.choice([90, 90, 60, 110]),
        "pattern_width": draw.uniform(0.4, 0.65) * width,
        "pattern_depth": deep,
        "pattern_back": draw.uniform(0.5, 0.65) * shelf,
        "pattern_slot": draw.choice([0, 0, 8]),
        "outlet_bore": draw.choice([0, 18]),
        "mount_spacing": draw.uniform(0.5, 0.7) * width,
        "mount_rows": draw.choice([0.0, 18.0]),
        "mount_height": draw.uniform(0.3, 0.45) * base,
        "mount_slot": draw.choice([0, 0, 8]),
    }
    return sizes, _full(draw, [[f"reservoir_{n}" for n in range(1, 5 if deep else 3)]], "up")


def _plate(draw: random.Random) -> tuple[Sizes, str]:
    count, pitch, rows = draw.choice([1, 2, 3]), draw.uniform(80, 110), draw.choice([0.0, 1.0])
    sizes: Sizes = {
        "count": count,
        "pitch": pitch,
        "end_margin": draw.uniform(50, 70),
        "height": draw.uniform(70, 120),
        "pattern_width": draw.uniform(36, 56),
        "pattern_height": rows * draw.uniform(25, 40),
        "outlet_bore": draw.choice([0, 18]),
        "through": "plate",
    }
    many = 4 if rows else 2
    holes = [[f"reservoir_{i}_{n}" for n in range(1, many + 1)] for i in range(1, count + 1)]
    return sizes, _full(draw, holes, draw.choice(["cab"]))


def _clamp(draw: random.Random) -> tuple[Sizes, str]:
    width = draw.uniform(20, 50)
    sizes: Sizes = {
        "width": width,
        "standoff": draw.uniform(20, 80),
        "angle": draw.choice([90, 90, 60, 45]),
        "foot_length": draw.uniform(28, 45),
        "head_length": draw.uniform(28, 45),
        "mounts": 2 if width > 42 else 1,
        "mount_inset": draw.uniform(11, 15),
        "clamp_inset": draw.uniform(11, 15),
        "clamp_thread": draw.choice(["M5", "M6"]),
    }
    return sizes, ""


def _full(draw: random.Random, holes: list[list[str]], side: str) -> str:
    wide, high = draw.uniform(45, 75), draw.uniform(60, 140)
    return "".join(
        RESERVOIR.format(index=i, holes=", ".join(f'"{h}"' for h in names), side=side, wide=wide, high=high)
        for i, names in enumerate(holes, 1)
    )


KINDS: dict[str, Callable[[random.Random], tuple[Sizes, str]]] = {
    "stop_bracket": _stop,
    "slave_bracket": _slave,
    "reservoir_bracket": _reservoir,
    "reservoir_plate": _plate,
    "clamp_standoff": _clamp,
}
THICK = {
    "clamp_standoff": (1, 1.5, 2, 3),
    "reservoir_bracket": (1.5, 2, 2.5, 3),
    "reservoir_plate": (1.5, 2, 2.5, 3),
}


def _line(key: str, value: float | str) -> str:
    if isinstance(value, str):
        return f'{key} = "{value}"'
    if key in ("count", "mounts"):
        return f"{key} = {value}"
    return f'{key} = "{value:.1f} {"deg" if key.endswith("angle") else "mm"}"'


def _text(kind: str, draw: random.Random) -> str:
    sizes, more = KINDS[kind](draw)
    return JOB + PART.format(
        kind=kind,
        metal=draw.choice(METALS),
        thickness=draw.choice(THICK.get(kind, (2.5, 3, 4, 5, 6))),
        by=draw.choice(["bore", "washer"]),
        parameters="\n".join(_line(key, value) for key, value in sizes.items()),
        more=more,
    )


def drawn(kind: str, seed: int, folder: Path, tries: int = 200) -> Bracket:
    """The first bracket of a kind, drawn from that seed, that can be planned and has its cases."""
    draw = random.Random(f"{kind} {seed}")
    path = folder / "drawn.toml"
    last: Exception | None = None
    for _ in range(tries):
        path.write_text(_text(kind, draw), encoding="utf-8")
        try:
            job = prepare(path)
        except (SpecError, GeometryFault) as fault:
            last = fault
            continue
        found = brackets(job.file, job.parts, job.pedals)
        if found:
            return found[0]
    raise AssertionError(f"no {kind} in {tries} draws, at last: {last}")
