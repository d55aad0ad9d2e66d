"""A kit of an invented job, entered into a register."""

from __future__ import annotations

from pathlib import Path

from generators.register.kits import Sold, begin, finish
from generators.register.store import writing

SOLD = Sold(
    job="bus",
    title="A bus",
    variant="",
    letter="A",
    issued="2026-11-29",
    revision="0a1b2c3",
    spec="bus.toml",
    numbers={"hole": {"left/wire": {"right": 100.0}}},
    kept=(("bus.toml", b"spec"), ("shop.toml", b"shop")),
)
FILES = {"a.pdf": "1" * 64, "b.pdf": "2" * 64, "c.pdf": "3" * 64}


def enter(path: Path, order: str, sold: Sold = SOLD) -> str:
    """A kit with its pack, in one transaction."""
    with writing(path) as register:
        serial = begin(register, sold, letters="FB", order=order, day="2026-11-30")
        finish(register, serial, FILES)
    return serial
