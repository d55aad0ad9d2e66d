"""The numbers a job is made by, as plain data: what an issue letter and a sold kit stand for.

Whoever reads them later may have another version of the program: they say what was printed then.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from generators.geometry.contours import bounds
from generators.model.spec.fittings import HoseEnd
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.volume import cutting
from generators.solve.comparing.bought import bolts_of, cylinders_of, fittings_of
from generators.solve.hoses.made_up import made_up_hoses
from generators.solve.job import Prepared

PLACES = 2
"""Decimals of mm and degrees: as sheets print them."""

Numbers = Mapping[str, Mapping[str, Mapping[str, Any]]]
"""Kind (of ``KINDS``), its name, what is said of it."""

_UNITS = {
    **dict.fromkeys(("right", "up", "diameter", "thickness", "blank", "cuts", "made_up", "cut"), "mm"),
    **dict.fromkeys(("bore", "stroke", "body"), "mm"),
    "between elbows": "deg",
}
"""Of the numbers that are kept bare."""

_IN_MM = {"ends": "ends, drop in mm,", "ports": "ports, in mm,", "legs": "legs, in mm,"}
"""Of what is kept in words with bare lengths in them."""

_BOLT_LONG = re.compile(r" x (\d+ \d+/\d+|\d+/\d+|[\d.]+)")
_METRIC = re.compile(r"\bM\d")

KINDS = ("hole", "part", "hose", "cylinder", "fitting", "bolt")


def _round(value: float) -> float:
    return round(value, PLACES) + 0.0


def numbers_of(prepared: Prepared) -> dict[str, dict[str, dict[str, Any]]]:
    """Holes, parts, hoses and what is bought, with their numbers, mm and degrees."""
    holes = {
        f"{layout.panel}/{hole.name}": {
            "right": _round(hole.u_mm),
            "up": _round(hole.v_mm),
            "diameter": _round(hole.final_dia_mm),
            "done": hole.status,
        }
        for layout in prepared.layouts
        for hole in layout.holes
    }
    parts: dict[str, dict[str, Any]] = {}
    for part in prepared.parts:
        plan = part.plan
        said: dict[str, Any] = {
            "material": plan.material,
            "thickness": _round(plan.thickness_mm),
            "quantity": plan.quantity,
            "openings": sorted(
                [flange.name, _round(o.u_mm), _round(o.v_mm), _round(o.diameter_mm)]
                for flange in plan.flanges
                for o in flange.holes
            ),
            "bends": [[_round(math.degrees(b.angle_rad)), _round(b.inside_radius_mm)] for b in plan.bends],
            "ways": [b.direction for b in plan.bends],
        }
        if not plan.printed:
            u0, v0, u1, v1 = bounds(flat_pattern(plan).contour)
            work = cutting(plan)
            said |= {"blank": [_round(u1 - u0), _round(v1 - v0)], "cuts": _round(work.length_mm)}
        parts[part.spec.name] = said
    turned = {
        made.spec.name: round(math.degrees(made.between_rad)) % 360
        for made in made_up_hoses(prepared.lines, {h.spec.name: 0.0 for h in prepared.lines.hoses}, {})
        if made.between_rad is not None
    }
    hoses = {
        hose.spec.name: {
            "size": f"-{hose.spec.dash} {hose.spec.kind}",
            "made_up": None if hose.length is None else _round(hose.length.made_up_mm),
            "cut": None if hose.length is None else _round(hose.length.cut_mm),
            "ends": [_end(hose.spec.from_end), _end(hose.spec.to_end)],
            "between elbows": turned.get(hose.spec.name),
        }
        for hose in prepared.lines.hoses
    }
    job = prepared.file.job
    return {
        "hole": holes,
        "part": parts,
        "hose": hoses,
        "cylinder": cylinders_of(job, PLACES),
        "fitting": fittings_of(job, PLACES),
        "bolt": bolts_of(prepared),
    }


def _end(end: HoseEnd | None) -> str:
    """``90 deg, drop 25``: what is on the end of a hose."""
    if end is None or end.angle_rad == 0:
        return "straight"
    drop = "" if end.drop_mm is None else f", drop {end.drop_mm:g}"
    return f"{math.degrees(end.angle_rad):.0f} deg{drop}"


def not_kept(numbers: Numbers) -> tuple[str, ...]:
    """Kinds of things of which an older version of the program wrote down nothing."""
    return tuple(kind for kind in KINDS if kind not in numbers)


def number_changes(before: Numbers, after: Numbers) -> Iterator[tuple[str, str, str]]:
    """Every thing whose numbers differ: kind, name, and what in words.

    What an older version of the program did not write down of a thing is not compared, nor a kind of which it
    wrote down nothing (``not_kept``).
    """
    for kind in KINDS:
        if kind in not_kept(before):
            continue
        was, now = before.get(kind, {}), after.get(kind, {})
        for name in dict.fromkeys([*was, *now]):
            if name not in now:
                yield kind, name, "is not there any more"
            elif name not in was:
                yield kind, name, "is new"
            else:
                keys = [key for key in was[name] if key in now[name]]
                said = [
                    f"{_IN_MM.get(key, key)} was {_said(kind, key, was[name][key])}, "
                    f"is {_said(kind, key, now[name][key])}"
                    for key in keys
                    if was[name][key] != now[name][key]
                ]
                if said:
                    yield kind, name, "; ".join(said)


def _said(kind: str, key: str, value: Any) -> str:
    """A kept value with its unit. A bolt's length is of its thread's own system: ``M8 x 25 mm``."""
    words = _words(value)
    if kind == "bolt":
        lone = value if isinstance(value, list) else [words]
        return " and ".join(
            _BOLT_LONG.sub(rf" x \1 {'mm' if _METRIC.search(one) else 'in'}", one) for one in map(str, lone)
        )
    return f"{words} {_UNITS[key]}" if key in _UNITS and value is not None else words


def _words(value: Any) -> str:
    if not isinstance(value, list):
        return "–" if value is None else str(value)
    if value and isinstance(value[0], list):
        return f"{len(value)} of them"
    return (" and " if value and isinstance(value[0], str) else " x ").join(map(str, value))
