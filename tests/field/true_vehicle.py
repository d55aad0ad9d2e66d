"""A vehicle that is not as the spec has it, and a person with a tape: distances from true places, by hand.

Nothing here uses the program's gradients: places are turned and shifted, then measured as points in space.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from generators.jobs.form.form import MeasureForm
from generators.layout.spots import ports_of

Points = NDArray[np.float64]


@dataclass
class Truth:
    """How far things are off: holes in (u, v) by ``panel.hole``, components in (x, y, z), leans in rad."""

    holes: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    components: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    leans: Mapping[str, float] = field(default_factory=dict)


def readings(form: MeasureForm, truth: Truth, tape_mm: float = 0.0, seed: int = 0) -> dict[int, float]:
    """What a tape would say for each number of a form: mm, or rad for a lean."""
    rng = np.random.default_rng(seed)
    job = form.prepared.file.job
    panels = {p.name: p for p in job.panel}

    def flat(panel: str, hole: str) -> Points:
        at = next(h.at for h in panels[panel].existing if h.name == hole)
        return np.array(at) + truth.holes.get(f"{panel}.{hole}", (0.0, 0.0))

    def space(panel: str, at: Points, drop: float = 0.0) -> Points:
        # by hand: u is the vehicle's right, v leans forward by the tilt, the normal points to the driver
        p = panels[panel]
        lean = p.tilt_rad + truth.leans.get(panel, 0.0)
        v = np.array([-math.sin(lean), 0.0, math.cos(lean)])
        normal = np.array([math.cos(lean), 0.0, math.sin(lean)])
        return np.array(p.origin) + at[0] * np.array([0.0, 1.0, 0.0]) + at[1] * v - drop * normal

    out: dict[int, float] = {}
    for number, asked in enumerate(form.asked, 1):
        error = tape_mm * rng.normal()
        if asked.kind == "lean":
            out[number] = panels[asked.panel].tilt_rad + truth.leans.get(asked.panel, 0.0)
            continue
        here = flat(asked.panel, asked.from_)
        radius = next(h.diameter_mm for h in panels[asked.panel].existing if h.name == asked.from_) / 2
        if asked.kind == "edge":
            corners = np.array(panels[asked.panel].outline)
            axis = 0 if asked.to in ("left", "right") else 1
            edge = corners[:, axis].min() if asked.to in ("left", "bottom") else corners[:, axis].max()
            out[number] = abs(here[axis] - edge) - radius + error
        elif asked.kind == "rims":
            other = next(h.diameter_mm for h in panels[asked.panel].existing if h.name == asked.to) / 2
            out[number] = math.dist(here, flat(asked.panel, asked.to)) - radius - other + error
        elif asked.kind == "across":
            panel, _, hole = asked.to.partition(".")
            out[number] = math.dist(space(asked.panel, here), space(panel, flat(panel, hole))) + error
        elif asked.kind == "port":
            owner, _, port = asked.to.partition(".")
            component = next(c for c in job.component if c.name == owner)
            seat = next(p for p in ports_of(component, form.prepared.lines.sheets) if p.name == port).position
            at = np.array(seat) + truth.components.get(owner, (0.0, 0.0, 0.0))
            drop = panels[asked.panel].thickness_mm if asked.face == "engine" else 0.0
            out[number] = math.dist(space(asked.panel, here, drop), at) + error
        else:
            raise AssertionError(f"no true value of {asked.kind}")
    return out


def written(form: MeasureForm, values: Mapping[int, float], name: str = "order_1042") -> str:
    """The readings as the page for a phone writes them."""
    lines = ["[vehicle]", f'name = "{name}"', f'job = "{form.prepared.file.job.job.name}"']
    if form.prepared.file.form.name:
        lines.append(f'variant = "{form.prepared.file.form.name}"')
    for number, asked in enumerate(form.asked, 1):
        if number not in values:
            continue
        lean = asked.kind == "lean"
        value = f"{math.degrees(values[number]):.1f} deg" if lean else f"{values[number]:.2f} mm"
        lines += [
            "",
            "[[reading]]",
            f"number = {number}",
            f'kind = "{asked.kind}"',
            f'panel = "{asked.panel}"',
        ]
        lines += [f'from = "{asked.from_}"', *([f'to = "{asked.to}"'] if asked.to else [])]
        lines.append(f'{"leans" if lean else "is"} = "{value}"')
    return "\n".join(lines) + "\n"
