"""Small panels with threaded inserts, and the rules about them just broken and just kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from joint_jobs import MIDDLE, firewall, on, plate

from generators.checks.joint.inserts import check_inserts
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.model.findings import Finding
from generators.model.plan import Fitting, Hole, PanelHole, PanelLayout
from generators.model.spec.job import HoleSpec, Position
from generators.parts.building.openings import bolt_hole

INSERT = HoleSpec(
    name="n",
    at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1]),
    kind="insert",
    thread="M6",
    diameter_mm=9.0,
    grip_mm=(0.5, 3.0),
    purpose="holds the plate",
)


def m6() -> Hole:
    """A part's mating hole for an M6 bolt at its origin."""
    return bolt_hole(
        "m_1",
        0.0,
        0.0,
        thread="M6",
        fit="medium",
        purpose="bolt",
        mates=True,
    )


def body_hole(diameter: float) -> Hole:
    """A part's opening for the body of an insert."""
    return Hole(
        name="o",
        u_mm=0.0,
        v_mm=0.0,
        diameter_mm=diameter,
        purpose="over",
        fitting=Fitting(kind="plain", label="o"),
    )


def laid(*parts: PlacedPart, insert: HoleSpec = INSERT, **sheet: Any) -> PanelLayout:
    return panel_layout(firewall(hole=(insert,), **sheet), list(parts), ())


def found(layout: PanelLayout) -> list[Finding]:
    return list(check_inserts([layout]))


def the_insert(layout: PanelLayout) -> PanelHole:
    return next(h for h in layout.holes if h.kind == "insert")


# the panel is 2 mm thick
FASTENER_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "insert-grip": (
        lambda: found(laid(insert=replace(INSERT, grip_mm=(0.5, 1.99)))),
        lambda: found(laid(insert=replace(INSERT, grip_mm=(0.5, 2.0)))),
    ),
    "insert-face": (
        lambda: found(laid(on(plate(m6()), face="engine"))),
        lambda: found(laid(on(plate(m6()), face="cab"))),
    ),
}
