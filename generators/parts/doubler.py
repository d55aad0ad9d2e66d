"""A flat plate that stiffens a panel round the holes that carry a load.

It lies between the panel and whatever is bolted there, or on the panel's other face. Its openings are the
panel's own holes; its outline goes round them and stays a set margin inside the panel's. Sheet that
cracks near a crowded hole, or gives under a master cylinder, wants one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from shapely.geometry import Point as Dot
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient
from shapely.ops import nearest_points

from generators.errors import GeometryFault
from generators.geometry.contours import polygon, polyline, rectangle
from generators.geometry.hull import box_round, cropped_round
from generators.model.contour import Contour
from generators.model.plan import Fitting, Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.under import HoleUnder, PanelUnder
from generators.model.words import FITS, Fit
from generators.parts.building.openings import bolt_fitting, bolt_hole, bore, plan_of
from generators.parts.building.rim import anchors, evenly, moved_clear
from generators.parts.kind import Kind, on_sample
from generators.sheetmetal.allowance import BendRule

RIVET_CLEARANCE_MM = 0.1
"""Hole over rivet: as #40, #30 and #21 drills for 3/32, 1/8 and 5/32 in rivets (common practice)."""

RIVET_HEAD = 2.0
"""Head over rivet diameter (common practice)."""

EDGE_DIAMETERS = 2.0
"""Centre to edge of a single row, AC 43.13-1B 4-57c."""

PITCH_DIAMETERS = 3.0
"""Least pitch, NAVEDTRA 14018 by figure 13-43; used for bolts too."""

LENGTH_DIAMETERS = 1.5
"""Rivet length over its grip, NAVEDTRA 14018; AC 43.13-1B 4-58g."""

LEAST_METAL_MM = 3.0
LEAST_CROP_MM = 10.0
TOUCH_MM = 1e-6
SHORT_SIDE_MM = 1.0
STRAIGHT_RAD = 1e-6
MITRE = 20.0

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubler:
    """Parameters. The outline lies where the chosen holes are, turned with the part.

    Holes that a part brings are called ``part.hole``; a part's name alone means all of its holes.
    """

    holes: tuple[str, ...] = key.features(
        "Panel holes it goes round: line_out, hanger.mount_1, or a part's name; none for every hole to drill",
        hi=100,
        default=(),
    )
    shape: Literal["cropped", "rectangular"] = key.choice(
        "Straight sides round the holes: corners cropped at 45 deg, or square",
        ("cropped", "rectangular"),
        default="cropped",
    )
    margin_mm: float = key.length("Metal past the rims of the holes", lo=8.0, hi=150.0, default=34.0)
    edge_margin_mm: float = key.length(
        "From the plate to the panel's outline and folds, which it follows where they are near",
        hi=100.0,
        default=8.0,
    )
    opening_clearance_mm: float = key.length("Openings wider than the panel's holes by", hi=10.0, default=0.0)
    corner_radius_mm: float = key.length("Corner radius, less on short sides", hi=50.0, default=8.0)
    fastener: Literal["bolt", "rivet"] = key.choice(
        "What holds it along the rim", ("bolt", "rivet"), default="bolt"
    )
    thread: str = key.text("Bolt thread", lo=1, hi=10, default="M5")
    fit: Fit = key.choice("Clearance of the bolts", FITS, default="medium")
    rivet_mm: float = key.length("Rivet diameter", lo=2.0, hi=8.0, default=4.0)
    pitch_mm: float = key.length("Fasteners along the rim, at most apart", lo=6.0, hi=300.0, default=60.0)
    inset_mm: float = key.length(
        "Fasteners to the plate's edge; 0 for two hole diameters", hi=60.0, default=0.0
    )


def _chosen(p: Doubler, under: PanelUnder) -> list[HoleUnder]:
    """The holes the plate goes round, each once. Raises ``GeometryFault`` for a name that is none."""
    if not p.holes:
        found = [h for h in under.holes if h.status in ("drill", "reuse")]
        if not found:
            raise GeometryFault(f"no hole is drilled in panel {under.panel!r} to go round", "holes")
        return found
    out: dict[str, HoleUnder] = {}
    for name in p.holes:
        named = under.named(name)
        if not named:
            known = ", ".join(h.name for h in under.holes) or "no holes"
            raise GeometryFault(f"no hole {name!r} in panel {under.panel!r}; it has {known}", "holes")
        for hole in named:
            if hole.status == "blank":
                raise GeometryFault(
                    f"the hole {hole.name!r} is to be closed, so nothing goes through", "holes"
                )
            out[hole.name] = hole
    return list(out.values())


def _tidied(corners: Sequence[Point]) -> list[Point]:
    """Corners of an outline without those on a straight line and without sides too short to see."""
    out = list(corners)
    i = 0
    while len(out) > 3 and i < len(out):
        a, b, c = out[i - 1], out[i], out[(i + 1) % len(out)]
        turn = _turn(a, b, c)
        if math.dist(b, c) < 1e-6 or abs(turn) < STRAIGHT_RAD:
            del out[i]
            i = 0
        elif (
            math.dist(b, c) < SHORT_SIDE_MM
            and turn > 0
            and _turn(b, c, out[(i + 2) % len(out)]) > 0
            and len(out) > 4
        ):
            out[i] = ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
            del out[(i + 1) % len(out)]
            i = 0
        else:
            i += 1
    return out


def _turn(a: Point, b: Point, c: Point) -> float:
    into, out = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    return math.remainder(out - into, 2 * math.pi)


def _corners(p: Doubler, holes: Sequence[HoleUnder], under: PanelUnder) -> list[Point]:
    """Corners of the plate before they are rounded, counter-clockwise."""
    circles = [(h.u_mm, h.v_mm, (h.diameter_mm + p.opening_clearance_mm) / 2 + p.margin_mm) for h in holes]
    crop = max(LEAST_CROP_MM, 2 * p.corner_radius_mm * math.tan(math.pi / 8) + SHORT_SIDE_MM)
    round_them = box_round(circles) if p.shape == "rectangular" else cropped_round(circles, crop)
    room = Polygon(polyline(under.contour)).buffer(-p.edge_margin_mm, join_style="mitre", mitre_limit=MITRE)
    plate = Polygon(round_them).intersection(room)
    if not isinstance(plate, Polygon) or plate.is_empty:
        raise GeometryFault(
            f"{p.edge_margin_mm:g} mm inside the outline of panel {under.panel!r} there is no one piece left",
            "edge_margin",
        )
    return _tidied([(u, v) for u, v in orient(plate).exterior.coords[:-1]])


def _outline(corners: Sequence[Point], radius_mm: float, edge_margin_mm: float) -> Contour:
    """The corners rounded, each as far as its sides allow.

    An inside corner goes round one of the panel's: a larger radius than the margin would come nearer.
    """
    radii = []
    for i, b in enumerate(corners):
        a, c = corners[i - 1], corners[(i + 1) % len(corners)]
        half = min(math.dist(a, b), math.dist(b, c)) / 2 - 1e-6
        most = radius_mm if _turn(a, b, c) > 0 else min(radius_mm, edge_margin_mm)
        radii.append(max(0.0, min(most, half / abs(math.tan(_turn(a, b, c) / 2)))))
    return polygon(corners, radii)


def _require_round(p: Doubler, holes: Sequence[HoleUnder], outline: Contour) -> None:
    """Raises ``GeometryFault`` for a hole the plate does not go round."""
    plate = Polygon(polyline(outline))
    for h in holes:
        metal = plate.exterior.distance(Dot(h.u_mm, h.v_mm)) - (h.diameter_mm + p.opening_clearance_mm) / 2
        if not plate.contains(Dot(h.u_mm, h.v_mm)) or metal < LEAST_METAL_MM:
            raise GeometryFault(
                f"{p.edge_margin_mm:g} mm inside the panel's outline no plate goes round hole {h.name!r}",
                "edge_margin",
            )


def _fastener(p: Doubler, name: str, at: Point, stack_mm: float) -> Hole:
    if p.fastener == "bolt":
        hole = bolt_hole(
            name,
            *at,
            thread=p.thread,
            fit=p.fit,
            purpose=f"{p.thread} doubler bolt",
            mates=True,
            nut_face="both",
        )
        return hole
    d = p.rivet_mm
    return Hole(
        name=name,
        u_mm=at[0],
        v_mm=at[1],
        diameter_mm=d + RIVET_CLEARANCE_MM,
        purpose=f"{d:g} mm rivet, grip {stack_mm:g} mm",
        fitting=Fitting(
            kind="rivet",
            label=f"{d:g} mm rivet",
            reach_mm=RIVET_HEAD * d / 2,
            far_reach_mm=LENGTH_DIAMETERS * d,
            shank_mm=d,
        ),
        mates=True,
    )


def _clear(p: Doubler, own: Hole, under: PanelUnder, sheet_mm: float, at: Point) -> bool:
    """True where a fastener stands clear of every hole of the panel and of parts it would lie under."""
    metal = max(LEAST_METAL_MM, 2 * max(sheet_mm, under.thickness_mm))
    head = max(own.fitting.nut_circle_mm, RIVET_HEAD * p.rivet_mm if p.fastener == "rivet" else 0.0) / 2
    for hole in under.holes:
        f = hole.fitting
        need = (hole.diameter_mm + own.diameter_mm) / 2 + metal
        if f.kind in ("bolt", "rivet", "insert"):
            need = max(need, PITCH_DIAMETERS * max(hole.diameter_mm, own.diameter_mm))
        if f.nut_face != "none":
            need = max(
                need,
                head + f.spanner_circle_mm / 2,
                own.fitting.spanner_circle_mm / 2 + f.nut_circle_mm / 2,
            )
        if math.dist(at, (hole.u_mm, hole.v_mm)) < need:
            return False
    return all(Polygon(polyline(part.contour)).distance(Dot(*at)) >= head for part in under.parts)


def _drawn_in(at: Point, room: BaseGeometry) -> Point:
    """The place itself, or the nearest in the room."""
    near = nearest_points(room, Dot(*at))[0]
    return (float(near.x), float(near.y)) if room.distance(Dot(*at)) > TOUCH_MM else at


def _rim(
    p: Doubler, corners: Sequence[Point], outline: Contour, under: PanelUnder, sheet_mm: float
) -> tuple[Hole, ...]:
    own = _fastener(p, "rim", (0.0, 0.0), sheet_mm + under.thickness_mm)
    d = own.diameter_mm
    inset = p.inset_mm or EDGE_DIAMETERS * d
    least = max(PITCH_DIAMETERS * d, own.fitting.nut_circle_mm)
    if p.pitch_mm < least:
        raise GeometryFault(f"fasteners of {d:g} mm holes stand at least {least:.1f} mm apart", "pitch")
    line = Polygon(corners).buffer(-inset, join_style="mitre", mitre_limit=MITRE)
    # a rounded corner lies inside the sharp one: what stands past the rounded rim is drawn in to it
    rounded = Polygon(polyline(outline)).buffer(-inset)
    if not isinstance(line, Polygon) or line.is_empty or rounded.is_empty:
        raise GeometryFault(f"the plate is too narrow for fasteners {inset:g} mm inside its edge", "margin")
    sharp = _tidied([(u, v) for u, v in orient(line).exterior.coords[:-1]])
    spread = evenly(anchors([_drawn_in(at, rounded) for at in sharp], least), p.pitch_mm, least)
    points = [_drawn_in(at, rounded) for at in spread]
    if len(points) < 2:
        raise GeometryFault("the plate is too small for two fasteners", "margin")

    def free(at: Point) -> bool:
        return rounded.distance(Dot(*at)) < TOUCH_MM and _clear(p, own, under, sheet_mm, at)

    placed, lost = moved_clear(points, free, p.pitch_mm / 2, least)
    if lost is not None:
        u, v = points[lost]
        near = min(under.holes, key=lambda h: math.dist((u, v), (h.u_mm, h.v_mm)) - h.diameter_mm / 2)
        raise GeometryFault(
            f"no place along the rim for a fastener near ({u:.0f}, {v:.0f}) mm: hole {near.name!r} and what "
            "turns in it, or a part, is in the way; more margin, or another pitch, may clear it",
            "margin",
        )
    return tuple(replace(own, name=f"rim_{i + 1}", u_mm=at[0], v_mm=at[1]) for i, at in enumerate(placed))


def doubler(spec: PartSpec[Doubler], bend: BendRule, under: PanelUnder) -> PartPlan:
    """Plan of a doubler on its panel. Raises ``GeometryFault`` naming the parameter that cannot be."""
    p = spec.parameters
    t = spec.thickness_mm
    chosen = _chosen(p, under)
    corners = _corners(p, chosen, under)
    outline = _outline(corners, p.corner_radius_mm, p.edge_margin_mm)
    _require_round(p, chosen, outline)
    openings = tuple(
        replace(
            bore(
                h.name.replace(".", "_"),
                h.u_mm,
                h.v_mm,
                h.diameter_mm + p.opening_clearance_mm,
                f"over the hole of {h.purpose}",
            ),
            fitting=replace(h.fitting, nut_face="none") if p.opening_clearance_mm == 0 else _passed(h),
        )
        for h in chosen
    )
    plate = Flange(
        name="plate",
        contour=outline,
        holes=(*openings, *_rim(p, corners, outline, under, t)),
    )
    notes = []
    if p.fastener == "rivet":
        grip = t + under.thickness_mm
        notes.append(
            f"Rivets: grip {grip:g} mm, solid rivets {grip + LENGTH_DIAMETERS * p.rivet_mm:g} mm long "
            "under the head (grip + 1.5 D)."
        )
    notes.append(
        f"Lies with its lower side against panel {under.panel}, {under.face} face; fit it before what is "
        "bolted over it."
    )
    try:
        plan = plan_of(spec, "Doubler", (plate,), notes=tuple(notes))
    except GeometryFault as fault:
        raise GeometryFault(str(fault), "holes") from fault  # the chosen ones run into each other
    return replace(plan, doubler=True)


def _passed(hole: HoleUnder) -> Fitting:
    """What goes through an opening that is wider than it: nothing bears on its rim."""
    return Fitting(kind="plain", label=hole.fitting.label)


def _bolt(name: str, u: float, v: float) -> HoleUnder:
    return HoleUnder(
        name=name,
        number="",
        u_mm=u,
        v_mm=v,
        diameter_mm=9.0,
        pilot_dia_mm=3.0,
        status="drill",
        owners=("master",),
        purpose="M8 bolt",
        fitting=bolt_fitting("M8", "far"),
    )


SAMPLE = PanelUnder(
    panel="sample_panel",
    face="engine",
    thickness_mm=1.2,
    contour=rectangle(-300.0, -250.0, 300.0, 50.0),
    holes=(
        HoleUnder(
            name="master.bore",
            number="",
            u_mm=0.0,
            v_mm=0.0,
            diameter_mm=32.0,
            pilot_dia_mm=3.0,
            status="drill",
            owners=("master",),
            purpose="master cylinder",
            fitting=Fitting(kind="bore", label="32 mm bore"),
        ),
        _bolt("master.left", -28.5, 0.0),
        _bolt("master.right", 28.5, 0.0),
        _bolt("master.brace", 0.0, -52.0),
    ),
)
"""A master cylinder and a brace near the upper edge of a panel: what ``kinds`` and pictures show."""

KIND = Kind(
    name="doubler",
    summary="stiffening plate round chosen holes of a panel, following its outline; bolted or riveted",
    origin="the datum its sizes are drawn from: the plate itself lies where the holes are",
    parameters=Doubler,
    plan=on_sample(doubler, SAMPLE),
    plan_on=doubler,
)
