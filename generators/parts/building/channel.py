"""What hangers folded from a channel share: parameters, patterns of the web, cheeks and brace tab."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from generators.errors import GeometryFault
from generators.figures import height_words
from generators.geometry.contours import polygon, tidy
from generators.model.contour import Contour, Vertex
from generators.model.joints.ways import (
    BEARING_CLASSES,
    BEARING_KEPT,
    BOSS_SIDES,
    PIVOT_BUILDS,
    PIVOT_CLASSES,
    BearingClass,
    BearingKept,
    BossSide,
    PivotBuild,
    PivotClass,
)
from generators.model.plan import Flange, Hole, PartPlan
from generators.model.spec import fields as key
from generators.model.spec.job import PartSpec
from generators.model.words import FITS, Fit
from generators.parts.building.bends import bend_at
from generators.parts.building.openings import bolt_hole, bore, plan_of
from generators.parts.building.pivots import keys as pivot_keys
from generators.sheetmetal.allowance import BendRule, setback
from generators.sheetmetal.die import least_flat
from generators.sheetmetal.relief import relief_width

ROUND_END = 1.001
"""How far a corner must lie from the pivot, in radii of the cheek's round end, to have a tangent."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingChannel:
    """Parameters of a channel that hangs a pedal.

    The origin lies on the web at the masters' height; ``up`` and ``out`` are measured from it, ``out``
    away from the panel. The cheeks are as tall as the web.
    """

    inside_width_mm: float = key.length("Between the cheeks", lo=30.0, hi=300.0, default=90.0)
    web_above_mm: float = key.length("Web above the master's centre", lo=15.0, hi=300.0, default=95.0)
    web_below_mm: float = key.length("Web below the master's centre", lo=15.0, hi=300.0, default=50.0)
    master_bore_mm: float = key.length("Hole for the master's nose", lo=5.0, hi=100.0, default=32.0)
    master_spacing_mm: float = key.length("Between the two master bolts", lo=15.0, hi=200.0, default=56.0)
    master_angle_rad: float = key.angle(
        "Line of the master bolts, from level", lo=-math.pi / 2, hi=math.pi / 2, default=0.0
    )
    master_thread: str = key.text("Master bolt thread", lo=1, hi=10, default="M8")
    master_length_mm: float = key.length(
        "How far the master stands off behind the panel", hi=500.0, default=150.0
    )
    wedge_rad: float = key.angle(
        "Wedge under each master: how far its axis leans from the square to the panel, its nose up "
        "(negative: down)",
        lo=-math.radians(30),
        hi=math.radians(30),
        default=0.0,
    )
    master_nose_mm: float = key.length(
        "Diameter of the master's nose, for its hole on a wedge; 0 without one", hi=100.0, default=0.0
    )
    master_fit: Fit = key.choice("Clearance of the master bolts", FITS, default="medium")
    pivot_up_mm: float = key.length("Pivot above the master's centre", lo=-250.0, hi=300.0, default=60.0)
    pivot_out_mm: float = key.length("Pivot from the panel", lo=20.0, hi=300.0, default=90.0)
    pivot_bore_mm: float = key.length("Pivot bore in each cheek", lo=4.0, hi=60.0, default=16.0)
    pivot_shaft_mm: float | None = key.length(
        "Shaft or bush that goes through both pivot bores, if known", lo=3.0, hi=60.0, default=None
    )
    pivot_shaft_length_mm: float | None = key.length(pivot_keys.SHAFT_LENGTH, lo=10.0, hi=800.0, default=None)
    pivot_shaft_ends: str = key.text(pivot_keys.SHAFT_ENDS, hi=80, default="")
    pivot_build: PivotBuild = key.choice(pivot_keys.BUILD, PIVOT_BUILDS, default="")
    welded_boss_outside_mm: float | None = key.length(pivot_keys.BOSS_OUTSIDE, lo=8.0, hi=100.0, default=None)
    welded_boss_height_mm: float | None = key.length(pivot_keys.BOSS_HEIGHT, lo=2.0, hi=80.0, default=None)
    welded_boss_side: BossSide = key.choice(pivot_keys.BOSS_SIDE, BOSS_SIDES, default="outside")
    pivot_class: PivotClass = key.choice(
        "Tolerance class of reamed pivot bores (ISO 286)", PIVOT_CLASSES, default="H7"
    )
    pivot_bush_mm: float | None = key.length(
        "Wrapped bush of ISO 3547 pressed into each pivot bore: its inside diameter", hi=60.0, default=None
    )
    pivot_bush_length_mm: float | None = key.length(
        "Length of that bush, if it is longer than the sheet is thick", lo=1.0, hi=100.0, default=None
    )
    pivot_bush_outside_mm: tuple[float, float] | None = key.point(
        "Least and greatest outside diameter of that bush, if not as ISO 3547 has it", hi=80.0, default=None
    )
    pivot_bush_flange_mm: float | None = key.length(pivot_keys.BUSH_FLANGE, lo=4.0, hi=100.0, default=None)
    pivot_bearing: str = key.text(pivot_keys.BEARING, hi=12, default="")
    pivot_bearing_class: BearingClass = key.choice(pivot_keys.BEARING_CLASS, BEARING_CLASSES, default="")
    pivot_bearing_kept: BearingKept = key.choice(pivot_keys.BEARING_KEPT, BEARING_KEPT, default="press")
    pivot_bearing_static_load_n: float | None = key.force(
        pivot_keys.BEARING_STATIC, hi=200_000.0, default=None
    )
    pivot_spacer_mm: float | None = key.length(pivot_keys.SPACER, lo=5.0, hi=100.0, default=None)
    pivot_boss_mm: float = key.length("Radius of the cheek around the pivot", lo=8.0, hi=100.0, default=24.0)
    mount_spacing_mm: float = key.length("Mounting bolts across the web", lo=10.0, hi=250.0, default=44.0)
    mount_top_mm: float = key.length(
        "Upper mounting bolts above the master's centre", lo=10.0, hi=280.0, default=62.0
    )
    mount_bottom_mm: float = key.length("Lower mounting bolts below it", lo=10.0, hi=280.0, default=30.0)
    mount_thread: str = key.text("Mounting bolt thread", lo=1, hi=10, default="M8")
    mount_fit: Fit = key.choice("Clearance of the mounting bolts", FITS, default="medium")
    tab_length_mm: float = key.length("Outside length of the brace tab; 0 for none", hi=200.0, default=45.0)
    tab_width_mm: float = key.length("Width of the brace tab", lo=15.0, hi=250.0, default=50.0)
    tab_angle_rad: float = key.angle(
        "How far the tab is bent", lo=math.radians(15), hi=math.radians(150), default=math.radians(90)
    )
    tab_thread: str = key.text("Brace bolt thread", lo=1, hi=10, default="M8")
    tab_bolts: int = key.integer("Brace bolts", lo=1, hi=2, default=1)
    tab_spacing_mm: float = key.length("Between two brace bolts", lo=10.0, hi=200.0, default=26.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CheekBore:
    """A bore through both cheeks, ``up_mm`` and ``out_mm`` from the channel's origin."""

    name: str
    up_mm: float
    out_mm: float
    diameter_mm: float
    purpose: str


def cheek_contour(length: float, pivot: tuple[float, float], boss: float, square: float = 0.0) -> Contour:
    """Sides square to both ends of the bend line, then tangent to a round end about the pivot.

    ``length`` is the bend line along u at v = 0; ``pivot`` is ``(u, v)``; ``square`` is how far the sides
    stand square to it, so that the whole bend lies on the die: less where the round end leaves no room. All
    mm.
    Raises ``GeometryFault`` when the round end would reach back to the bend or past a tangent.
    """
    pu, pv = pivot
    if pv - boss < 0.5:
        raise GeometryFault(
            "the round end reaches the bend; move the pivot out or make it smaller", "pivot_out"
        )
    touch, shoulders = [], []
    for corner_u, side in ((length, 1.0), (0.0, -1.0)):
        if math.hypot(pu - corner_u, pv) <= boss * ROUND_END:
            raise GeometryFault("a bend end lies within the round end of the cheek", "pivot_boss")
        clear = math.sqrt(max(0.0, (boss * ROUND_END) ** 2 - (pu - corner_u) ** 2))
        up = min(square, pv - clear) if clear > 0 else min(square, pv)
        reach = math.hypot(pu - corner_u, pv - up)
        toward = math.atan2(pv - up, pu - corner_u)
        swing = math.asin(min(1.0, boss / reach))
        run = math.sqrt(max(0.0, reach * reach - boss * boss))
        # the tangent that keeps the pivot on the left when walking counter-clockwise
        heading = toward - side * swing
        touch.append((corner_u + run * math.cos(heading), up + run * math.sin(heading)))
        shoulders.append(Vertex(corner_u, up))
    (au, av), (bu, bv) = touch
    start, end = math.atan2(av - pv, au - pu), math.atan2(bv - pv, bu - pu)
    sweep = (end - start) % (2 * math.pi)
    return tidy(
        [
            Vertex(0.0, 0.0),
            Vertex(length, 0.0),
            shoulders[0],
            Vertex(au, av, math.tan(sweep / 4)),
            Vertex(bu, bv),
            shoulders[1],
        ]
    )


def master_pattern(p: HangingChannel, name: str, u: float, words: str) -> tuple[Hole, ...]:
    """Nose bore and two flange bolts of a master at ``(u, 0)`` mm; ``words`` name it in the purpose."""
    c, s, r = math.cos(p.master_angle_rad), math.sin(p.master_angle_rad), p.master_spacing_mm / 2
    nose = f"{words} nose"
    holes = [
        bore(f"{name}_bore", u, 0.0, p.master_bore_mm, nose, mates=True, far_reach_mm=p.master_length_mm)
    ]
    holes += [
        bolt_hole(
            f"{name}_{i + 1}",
            u + side * r * c,
            side * r * s,
            thread=p.master_thread,
            fit=p.master_fit,
            purpose=f"{p.master_thread} bolt, {words}",
            mates=True,
        )
        for i, side in enumerate((-1, 1))
    ]
    return tuple(holes)


def mount_pattern(p: HangingChannel, columns: int = 2) -> tuple[Hole, ...]:
    """Two rows of mounting bolts, evenly spread over ``mount_spacing``."""
    across = [p.mount_spacing_mm * (i / (columns - 1) - 0.5) for i in range(columns)]
    places = [(u, v) for v in (p.mount_top_mm, -p.mount_bottom_mm) for u in across]
    return tuple(
        bolt_hole(
            f"mount_{i + 1}",
            u,
            v,
            thread=p.mount_thread,
            fit=p.mount_fit,
            purpose=f"{p.mount_thread} bolt, pedal hanger",
            mates=True,
        )
        for i, (u, v) in enumerate(places)
    )


def _web(p: HangingChannel, half: float, top: float, shoulder: float, fillet: float) -> Contour:
    low = -p.web_below_mm
    if p.tab_length_mm == 0:
        return polygon([(-half, low), (half, low), (half, top), (-half, top)])
    tab = p.tab_width_mm / 2
    return polygon(
        [
            (-half, low),
            (half, low),
            (half, shoulder),
            (tab, shoulder),
            (tab, top),
            (-tab, top),
            (-tab, shoulder),
            (-half, shoulder),
        ],
        [0.0, 0.0, 0.0, fillet, 0.0, 0.0, fillet, 0.0],
    )


def _tab(p: HangingChannel, flat: float, radius: float) -> Flange:
    width = p.tab_width_mm
    offsets = (0.0,) if p.tab_bolts == 1 else (-p.tab_spacing_mm / 2, p.tab_spacing_mm / 2)
    corner = min(8.0, flat * 0.4, width * 0.25)
    return Flange(
        name="tab",
        contour=polygon([(0.0, 0.0), (width, 0.0), (width, flat), (0.0, flat)], [0.0, 0.0, corner, corner]),
        holes=tuple(
            bolt_hole(
                f"brace_{i + 1}",
                width / 2 + du,
                flat - max(flat * 0.5, radius) if flat < 2 * radius else flat / 2,
                thread=p.tab_thread,
                fit="medium",
                purpose=f"{p.tab_thread} bolt, brace",
            )
            for i, du in enumerate(offsets)
        ),
    )


def folded_channel(
    spec: PartSpec[HangingChannel],
    rule: BendRule,
    default_title: str,
    web_holes: tuple[Hole, ...],
    cheek_bores: tuple[CheekBore, ...] = (),
) -> PartPlan:
    """Plan of a channel: web, two cheeks about the pivot, and the brace tab if it has a length.

    ``cheek_bores`` come beside the pivot's. Raises ``GeometryFault`` naming the parameter that cannot be.
    """
    p = spec.parameters
    t, r = spec.thickness_mm, rule.inside_radius_mm
    back = setback(math.pi / 2, r, t)
    half = p.inside_width_mm / 2 - r
    if half < t:
        raise GeometryFault("the two bends leave nothing of the web", "inside_width")
    tab_back = setback(p.tab_angle_rad, r, t)
    relief = relief_width(rule, t)
    top = p.web_above_mm - (tab_back if p.tab_length_mm else 0.0)
    shoulder = top - relief if p.tab_length_mm else top
    tall = shoulder + p.web_below_mm
    if tall < 4 * t:
        raise GeometryFault("the web is too low to bend", "web_above")
    if p.tab_length_mm and p.tab_width_mm / 2 > half - relief:
        raise GeometryFault(
            f"the tab leaves no corner relief; at most {2 * (half - relief):.1f} mm wide", "tab_width"
        )
    low = -p.web_below_mm
    pivot_v = p.pivot_out_mm - back
    square = least_flat(rule, t, math.pi / 2)
    up = p.pivot_up_mm - low
    pivot = CheekBore(
        name="pivot",
        up_mm=p.pivot_up_mm,
        out_mm=p.pivot_out_mm,
        diameter_mm=p.pivot_bore_mm,
        purpose="pedal pivot",
    )
    bores = (pivot, *cheek_bores)
    flanges = [
        Flange(name="web", contour=_web(p, half, top, shoulder, relief / 2), holes=web_holes),
        Flange(
            name="right_cheek",
            contour=cheek_contour(tall, (tall - up, pivot_v), p.pivot_boss_mm, square),
            holes=tuple(
                bore(f"{b.name}_right", tall - (b.up_mm - low), b.out_mm - back, b.diameter_mm, b.purpose)
                for b in bores
            ),
        ),
        Flange(
            name="left_cheek",
            contour=cheek_contour(tall, (up, pivot_v), p.pivot_boss_mm, square),
            holes=tuple(
                bore(f"{b.name}_left", b.up_mm - low, b.out_mm - back, b.diameter_mm, b.purpose)
                for b in bores
            ),
        ),
    ]
    right_angle = math.pi / 2
    bends = [
        bend_at(rule, "web", "right_cheek", (half, low), (half, shoulder), right_angle, name="right"),
        bend_at(rule, "web", "left_cheek", (-half, shoulder), (-half, low), right_angle, name="left"),
    ]
    if p.tab_length_mm:
        flat = p.tab_length_mm - tab_back
        if flat < 2 * t:
            raise GeometryFault("the bend leaves nothing of the tab", "tab_length")
        flanges.append(_tab(p, flat, r))
        half_tab = p.tab_width_mm / 2
        bends.append(bend_at(rule, "web", "tab", (half_tab, top), (-half_tab, top), p.tab_angle_rad))
    wedge = math.degrees(p.wedge_rad)
    side = "lower" if wedge > 0 else "upper"
    leaning = f"Each master stands on a wedge of {abs(wedge):g}°, its thick side the {side} one."
    notes = (
        f"Pivot axis {p.pivot_out_mm:g} mm from the web's outer face, "
        f"{height_words(p.pivot_up_mm, 'the centre line of the master')}.",
        *((leaning,) if p.wedge_rad else ()),
    )
    plan = plan_of(spec, default_title, tuple(flanges), tuple(bends), notes)
    return replace(plan, wedge_rad=p.wedge_rad)
