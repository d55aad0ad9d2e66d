"""Small panels with threaded inserts, and the rules about them just broken and just kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from joint_jobs import MIDDLE, firewall, on, plate

from generators.checks.joint.countersinks import check_countersinks
from generators.checks.joint.inserts import check_inserts
from generators.checks.joint.welds import check_welds
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
STUD = HoleSpec(
    name="s",
    at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1]),
    kind="stud",
    thread="M6",
    weld_face="cab",
    length_mm=12.3,
    purpose="stud for the plate",
)
WELD_NUT = HoleSpec(
    name="w",
    at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1]),
    kind="weld_nut",
    thread="M6",
    diameter_mm=8.0,
    weld_face="engine",
    purpose="nut for the plate",
)
FLUSH = HoleSpec(
    name="c",
    at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1]),
    kind="countersunk",
    thread="M6",
    head_mm=10.6,
    nut_face="engine",
    purpose="flush screw",
)


def every(layout: PanelLayout) -> list[Finding]:
    """What the rules on threads and heads of a panel find."""
    return [*check_inserts([layout]), *check_welds([layout]), *check_countersinks([layout])]


# plate 3 mm, nut 5.2 mm (ISO 4032, from memory) and two pitches of 1 mm: 10.2 mm. Weld nut across corners
# 1.1 x 10 x 2 / sqrt(3) = 12.7 mm. A 90 degree head of 10.6 mm over a 6.6 mm hole is 2 mm deep.
FASTENER_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "insert-grip": (
        lambda: found(laid(insert=replace(INSERT, grip_mm=(0.5, 1.99)))),
        lambda: found(laid(insert=replace(INSERT, grip_mm=(0.5, 2.0)))),
    ),
    "insert-face": (
        lambda: found(laid(on(plate(m6()), face="engine"))),
        lambda: found(laid(on(plate(m6()), face="cab"))),
    ),
    "weld-face": (
        lambda: every(laid(on(plate(body_hole(12.6)), face="engine"), insert=WELD_NUT)),
        lambda: every(laid(on(plate(body_hole(12.8)), face="engine"), insert=WELD_NUT)),
    ),
    "stud-length": (
        lambda: every(laid(on(plate(m6())), insert=replace(STUD, length_mm=14.79))),
        lambda: every(laid(on(plate(m6())), insert=replace(STUD, length_mm=14.8))),
    ),
    "countersink-depth": (
        lambda: every(laid(insert=replace(FLUSH, head_mm=10.62))),
        lambda: every(laid(insert=FLUSH)),
    ),
}
