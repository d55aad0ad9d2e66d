"""The form of the bus filled in by a tape: true places with no slip, and files of what was read."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from true_vehicle import Truth, readings, written

from generators.jobs.form.form import MeasureForm

OFF = Truth(
    holes={"bulkhead.choke_cable": (3.0, -2.0), "bulkhead.wiper_spindle": (-1.0, 2.0)},
    components={"slave": (-6.0, 2.0, -5.0)},
    leans={"bulkhead": math.radians(0.5)},
)
FAR = Truth(components={"slave": (-60.0, 0.0, -60.0)})
Values = dict[int, float]


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


def filled(
    form: MeasureForm, truth: Truth, folder: Path, slip: Callable[[Values], None] = lambda v: None
) -> Path:
    values = readings(form, truth, 0.5, seed=4)
    slip(values)
    path = folder / "readings.toml"
    path.write_text(written(form, values), encoding="utf-8")
    return path


def wrong(v: Values) -> None:
    """Another reading than the vehicle has, by 20 mm."""
    v[5] += 20.0
