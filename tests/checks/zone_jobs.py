"""Things in zones, made by hand: a box of 100 mm from the origin, and what is in it or beside it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from standing_jobs import bar, block

from generators.checks.space.ground import Ground
from generators.checks.space.zones import Thing, ThingKind, Zone, check_zones
from generators.model.findings import Finding
from generators.model.words import ZoneKind
from generators.space.body import Body
from generators.space.pieces import Point3


def zone(kind: ZoneKind, *, low: Point3 = (0.0, 0.0, 0.0), size: Point3 = (100.0, 100.0, 100.0)) -> Zone:
    """A box by its lowest corner."""
    return Zone(kind=kind, body=block(f"{kind} zone", low, size, what="zone"))


def line(start: Point3, end: Point3, diameter: float = 10.0, kind: ThingKind = "hose", **more) -> Thing:
    """A straight hose or line; its joints are its first and last 20 mm."""
    a, b = np.array(start), np.array(end)
    whole = float(np.linalg.norm(b - a))
    way = (b - a) / whole
    ends = (
        bar(f"{kind} from", tuple(a), tuple(a + 20 * way), diameter, "hose"),
        bar(f"{kind} to", tuple(b - 20 * way), tuple(b), diameter, "hose"),
    )
    return Thing(
        kind=kind,
        title=kind,
        bodies=(bar(kind, start, end, diameter, "hose"), *ends),
        parts=ends,
        stations=np.array([0.0, whole]),
        points=np.array([start, end]),
        **more,
    )


def solid(kind: ThingKind, *bodies: Body, **more) -> Thing:
    """A component of bodies."""
    return Thing(kind=kind, title=kind, bodies=bodies, **more)


def pot(top: float, **more) -> Thing:
    """An upright reservoir of 60 mm, 80 mm high, in the middle of the box; its cap is its upper 1 mm."""
    body = bar("pot", (50.0, 50.0, top - 80), (50.0, 50.0, top), 60.0, "reservoir")
    cap = bar("pot.cap", (50.0, 50.0, top - 1), (50.0, 50.0, top), 60.0, "reservoir")
    return solid("reservoir", body, parts=(cap,), **more)


def zoned(kind: ZoneKind, things: Sequence[Thing]) -> list[Finding]:
    """What the rules say of things in one box of 100 mm."""
    return list(check_zones([zone(kind)], things, Ground(sheets=(), carrier={})))


def _past(y: float, kind: ThingKind = "hose", **more) -> Thing:
    """A line of 10 mm along x that passes the box's side y = 0 with its middle at y."""
    return line((-50.0, y, 50.0), (150.0, y, 50.0), kind=kind, **more)


# bodies are drawn to 0.05 mm each, so 0.1 mm in the zone is the limit; the line's outside is at y + 5 mm
ZONE_CASES = {
    "in-stones": (lambda: zoned("stones", [_past(-4.89)]), lambda: zoned("stones", [_past(-4.91)])),
    "in-spray": (lambda: zoned("spray", [pot(100.0)]), lambda: zoned("spray", [pot(101.0)])),
    "in-heat": (lambda: zoned("heat", [_past(-4.89)]), lambda: zoned("heat", [_past(-4.91)])),
    "under-covering": (
        lambda: zoned("covering", [line((-119.89, 50, 50), (0.11, 50, 50), kind="rigid")]),
        lambda: zoned("covering", [line((-119.91, 50, 50), (0.09, 50, 50), kind="rigid")]),
    ),
}
