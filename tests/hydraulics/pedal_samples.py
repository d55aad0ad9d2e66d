"""A clutch and a brake pedal to try things on: invented, plain, with nothing wrong until a test makes it so."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from generators.hydraulics.linkage import PedalFrame
from generators.model.spec.brakes import Brake, BrakeCircuit
from generators.model.spec.hydraulics import (
    Clutch,
    Fluid,
    Line,
    Master,
    Pedal,
    Slave,
)

# Pivot 62 mm above the cylinder's axis and 95 mm behind the panel; seat 8 mm into the cylinder.
FRAME = PedalFrame(
    pivot=(95.0, 0.0, 62.0),
    out=(1.0, 0.0, 0.0),
    up=(0.0, 0.0, 1.0),
    seat=(-8.0, 0.0, 0.0),
    axis=(-1.0, 0.0, 0.0),
)
MASTER = Master(bore_mm=19.05, stroke_mm=35.56)
SLAVE = Slave(bore_mm=22.225, stroke_mm=31.75)
CLUTCH = Clutch(
    fork_ratio=1.6,
    free_play_mm=1.5,
    release_travel_mm=7.5,
    release_margin_mm=0.5,
    over_travel_mm=10.5,
    load_n=1500.0,
)
HOSE = Line(kind="hose", length_mm=450.0, bore_mm=3.175, expansion="low")
TUBE = Line(kind="rigid", length_mm=1500.0, bore_mm=3.2)
CLUTCH_PEDAL = Pedal(
    name="clutch",
    kind="clutch",
    hanger="hanger",
    pin=(14.0, -60.0),
    pad=(60.0, -330.0),
    travel_mm=170.0,
    master=MASTER,
    slave=SLAVE,
    clutch=CLUTCH,
    line=(HOSE, TUBE),
    fluid=Fluid(air_mm3=200.0),
    bracket_flex_mm_per_n=0.3e-3,
)
REAR = BrakeCircuit(
    bore_mm=20.6375,
    stroke_mm=28.0,
    volume_mm3=2500.0,
    rating_mpa=20.0,
    wear_mm3=14_000.0,
    reservoir_mm3=40_000.0,
)
FRONT = replace(REAR, bore_mm=19.05, volume_mm3=3000.0, pressure_mpa=5.0)
BRAKE_PEDAL = Pedal(
    name="brake",
    kind="brake",
    hanger="hanger",
    pin=(14.0, -60.0),
    pad=(60.0, -330.0),
    travel_mm=150.0,
    brake=Brake(front=FRONT, rear=REAR, front_share=0.55),
    line=(replace(HOSE, rating_mpa=20.0), replace(HOSE, circuit="rear", rating_mpa=20.0)),
)


def clutch_pedal(**changes: Any) -> Pedal:
    """The clutch pedal with keys changed; ``master_x``, ``slave_x``, ``clutch_x`` reach into its tables."""
    pedal = CLUTCH_PEDAL
    for table in ("master", "slave", "clutch"):
        inner = {k.removeprefix(f"{table}_"): v for k, v in changes.items() if k.startswith(f"{table}_")}
        changes = {k: v for k, v in changes.items() if not k.startswith(f"{table}_")}
        if inner:
            pedal = replace(pedal, **{table: replace(getattr(pedal, table), **inner)})
    return replace(pedal, **changes)


def brake_pedal(front: BrakeCircuit = FRONT, rear: BrakeCircuit | None = REAR, **changes: Any) -> Pedal:
    """The brake pedal with circuits or keys changed."""
    return replace(BRAKE_PEDAL, brake=Brake(front=front, rear=rear, front_share=0.55), **changes)
