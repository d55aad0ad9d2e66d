"""Fastener sets with one thing wrong each, and the same with it right."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from generators.checks.joint.bolts import check_bolts
from generators.model.findings import Finding
from generators.model.joints.fasteners import FastenerSet, Held
from generators.model.spec.lines import Clamp, Spot
from generators.solve.fasteners.choose import fastener_set
from generators.solve.fasteners.joint import Joint, Layer
from generators.standards import fastener

STEEL = Layer(words="the plate", thickness_mm=4.0, yield_mpa=235.0, hole_mm=9.0)


def joint(thread: str = "M8", sheets_mm: float = 8.0, **more: object) -> Joint:
    """A bolt through steel sheets."""
    fields: dict[str, Any] = {
        "key": "bolt:p.1",
        "task": "part:p",
        "bag": "p",
        "purpose": "a bolt",
        "row": fastener(thread),
        "sheets_mm": sheets_mm,
        "low": STEEL,
        "high": STEEL,
        "panel": "firewall",
        "hole": "1",
        **more,
    }
    return Joint(**fields)


def found(one: Joint, *clamps: Clamp) -> list[Finding]:
    """What the rules say of one joint."""
    return list(check_bolts([fastener_set(one)], clamps))


def _clamp(thread: str) -> list[Finding]:
    spot = Spot(panel="p", holes=("h",))
    return found(joint("#10", task="clamp:c", clamp=True), Clamp(name="c", dash=4, on=spot, thread=thread))


def shaft(length_mm: float) -> list[Finding]:
    """A hanger 104 mm inside of two cheeks of 4 mm: 112 mm over both."""
    made = FastenerSet(
        key="bolt:p.pivot",
        task="pedal:clutch",
        bag="hanger",
        purpose="pivot",
        form="shaft",
        into="nothing",
        thread="",
        designation="",
        diameter_mm=16.0,
        part="p",
        opening="pivot_right",
        length_mm=length_mm,
        least_mm=104.0 + 2 * 4.0,
    )
    return list(check_bolts([made], ()))


Case = Callable[[], list[Finding]]
# M5: 2 washers of 1.1 at most (ISO 7089), nut 6.8 (ISO 7040), two pitches of 0.8; the longest ISO 4017 M5 is 50 mm
REST = 50 - (2 * 1.1 + 6.8 + 2 * 0.8)
BOLT_CASES: dict[str, tuple[Case, Case]] = {
    "bolt-length": (lambda: found(joint("M5", REST + 0.01)), lambda: found(joint("M5", REST))),
    "bolt-thread": (lambda: _clamp("M5"), lambda: _clamp("#10")),
    "pivot-shaft-length": (lambda: shaft(111.99), lambda: shaft(112.0)),
    "bolt-held": (
        lambda: found(joint(held=Held(words="flange", thickness_mm=10.0, known="assumed"))),
        lambda: found(joint(held=Held(words="flange", thickness_mm=10.0))),
    ),
}
