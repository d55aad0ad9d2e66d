"""A wall with one bore that is there, to try holes and parts on."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from generators.model.spec.job import ExistingHole, Panel


def panel(**changes: Any) -> Panel:
    base = Panel(
        name="wall",
        title="Wall",
        material="steel",
        thickness_mm=1.2,
        origin=(100.0, -50.0, 600.0),
        outline=((0.0, 0.0), (800.0, 0.0), (800.0, 400.0), (0.0, 400.0)),
        existing=(ExistingHole(name="column", at=(500.0, 100.0), diameter_mm=60.0, what="column bore"),),
    )
    return replace(base, **changes)
