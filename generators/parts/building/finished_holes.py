"""Holes that are more than a round opening: tapped, countersunk, with a collar, with a nut or a stud.

A collar is of the metal that was there. With the pilot ``p``, the bore ``d``, the outside ``D`` and the sheet
``t`` it stands ``h = t (d² - p²) / (D² - d²)`` off the face: the same volume before and after.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from generators.errors import GeometryFault
from generators.figures import fixed
from generators.model.joints.hole_finish import Fitted, HoleFinish, Ring, Sink
from generators.model.joints.ways import FinishKind, PatternHoles, SheetSide
from generators.model.plan import BOLT_REACH_MM, Fitting, Hole
from generators.model.words import Fit, FittingKind
from generators.standards import (
    Fastener,
    HoleTolerance,
    SheetInsert,
    TapDrill,
    Trust,
    clearance_hole,
    fastener,
    hole_tolerance,
    sheet_insert,
    spanner_circle_mm,
    sunk_head,
    tap_drill_rows,
)

INWARD = 1e-6
"""Of a hundredth: what is nearer to one than this is one."""

SINK_OVER_MM = 0.3
"""A countersink may be so much wider at the face: the head then lies a little below it. Ours."""

PILOT_RATIO = 0.5
"""Pilot over bore of a drawn collar: a toolmaker's public table has 0.46 to 0.49 (R2); rounded up."""

WALL_RATIO = 0.5
"""Wall of a drawn collar over the sheet's thickness: a cutting service's public figure (R2)."""

COLLAR_RATIO = 1.0
"""Height of a drawn collar over the thickness, at most: the same source (R2)."""

FLOW_RATIO = 2.0
"""How far a flow-drilled collar stands off over the thickness: three thicknesses of thread in all, as several
public pages say (R2+)."""

FLOW_PILOT = 0.3
"""Centre hole over the flow drill's diameter. Ours."""

FORMED_SHARE = 0.5
"""A thread that is formed wants a hole of d less half its pitch: common practice, no source."""

INSERTS: Mapping[str, tuple[FinishKind, FittingKind]] = MappingProxyType(
    {
        "press_nut": ("press_nut", "press_nut"),
        "weld_nut": ("weld_nut", "weld_nut"),
        "press_stud": ("press_stud", "stud"),
    }
)
"""How the hole of each kind of the table of inserts is finished, and what is in it then."""

_WHEN = (", before bending", "before bending ", "after bending ")


def unbent(finish: HoleFinish) -> HoleFinish:
    """The same of a part without bends: nothing comes before or after them."""
    words = finish.words
    for when in _WHEN:
        words = words.replace(when, "")
    return replace(finish, words=words, bent=False)


PROJECTION_WELD = "ISO 2553, process 23 of ISO 4063"
"""Projection welding in the standards of symbols and of processes; from memory."""

LEAST_BITE_MM = 0.05
"""Straight hole that is left below a countersink for there to be a rim at all. Ours."""


def countersunk_hole(
    name: str,
    u: float,
    v: float,
    *,
    thread: str,
    fit: Fit,
    side: SheetSide,
    purpose: str,
    thickness_mm: float,
) -> Hole:
    """A clearance hole with a countersink for a socket screw's head, flush on ``side``.

    Raises ``LookupFault`` for a thread without such a head, ``GeometryFault`` for a sheet it cuts through.
    """
    row, head = fastener(thread), sunk_head(thread)
    diameter = clearance_hole(thread, fit).diameter_mm
    sink = Sink(head_mm=head.head_mm, angle_rad=head.angle_rad, over_mm=SINK_OVER_MM)
    deep = sink.depth_mm(diameter)
    if deep > thickness_mm - LEAST_BITE_MM:
        raise GeometryFault(
            f"a countersink for {thread} goes {fixed(deep, 2)} mm deep; in sheet of {thickness_mm:g} mm "
            "nothing of its hole is left",
            "holes",
        )
    words = (
        f"countersink {fixed(math.degrees(sink.angle_rad), 0)}° to Ø {fixed(sink.head_mm, 2)} "
        f"(+{SINK_OVER_MM:g}/0) on the {side} side, after cutting Ø {fixed(diameter, 2)}, before bending; "
        f"try a {thread} screw ({head.standard}), flush or below"
    )
    finish = HoleFinish(kind="countersunk", cut_mm=diameter, words=words, side=side, sink=sink)
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter,
        purpose=f"{thread} countersunk, {purpose}",
        fitting=Fitting(
            kind="bolt",
            label=f"{thread} countersunk screw",
            shank_mm=row.major_mm,
            nut_face="far" if side == "upper" else "near",
            nut_circle_mm=row.nut_corners_mm,
            spanner_circle_mm=spanner_circle_mm(row.nut_af_mm),
            reach_mm=max(BOLT_REACH_MM, row.nut_stand_mm),
        ),
        tolerance=hole_tolerance("countersunk", diameter, fit=fit),
        finish=finish,
    )


def _tapped(thread: str) -> tuple[Fastener, TapDrill]:
    """The rows of a thread and of its tap drill. Raises ``LookupFault`` for an unknown thread."""
    row = fastener(thread)
    return row, next(
        t for t in tap_drill_rows() if t.thread == row.thread and t.diameter_mm == row.tap_drill_mm
    )


def tapped_hole(name: str, u: float, v: float, *, thread: str, purpose: str) -> Hole:
    """A hole with a thread cut in it, as wide as its tap drill; the drawing says the thread."""
    row, cut = _tapped(thread)
    finish = HoleFinish(
        kind="tapped",
        cut_mm=cut.diameter_mm,
        words=f"tap {cut.designation} through, after drilling or cutting Ø {fixed(cut.diameter_mm, 2)}",
        thread=cut.designation,
    )
    return _threaded(name, u, v, row, finish, cut.diameter_mm, f"tap {thread}, {purpose}")


def _threaded(
    name: str, u: float, v: float, row: Fastener, finish: HoleFinish, bore_mm: float, purpose: str
) -> Hole:
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=bore_mm,
        purpose=purpose,
        fitting=Fitting(kind="tapped", label=f"{row.thread} tapped", shank_mm=row.major_mm),
        finish=finish,
    )


def collar_of(bore_mm: float, major_mm: float, thickness_mm: float) -> tuple[float, Ring]:
    """The pilot of a drawn collar for a thread, mm, and the collar.

    Its wall is half the sheet, and a quarter of the sheet at least outside the thread (ours).
    """
    outside = max(bore_mm + 2 * WALL_RATIO * thickness_mm, major_mm + thickness_mm / 2)
    square = (outside**2 - bore_mm**2) / thickness_mm
    least = math.ceil(PILOT_RATIO * bore_mm * 10 - 1e-6) / 10
    height = min((bore_mm**2 - least**2) / square, COLLAR_RATIO * thickness_mm)
    pilot = math.floor(math.sqrt(bore_mm**2 - square * height) * 10 + 1e-6) / 10
    return pilot, Ring(outside_mm=outside, height_mm=(bore_mm**2 - pilot**2) / square)


def extruded_hole(
    name: str, u: float, v: float, *, thread: str, side: SheetSide, purpose: str, thickness_mm: float
) -> Hole:
    """A hole drawn to a collar on ``side`` and tapped. Raises ``LookupFault`` for an unknown thread."""
    row, cut = _tapped(thread)
    pilot, ring = collar_of(cut.diameter_mm, row.major_mm, thickness_mm)
    words = (
        f"collar {fixed(ring.height_mm, 2)} high and Ø {fixed(ring.outside_mm, 2)} outside, drawn to the "
        f"{side} side from a pilot cut Ø {fixed(pilot, 2)}, before bending; bore "
        f"Ø {fixed(cut.diameter_mm, 2)}, tap {cut.designation} through"
    )
    finish = HoleFinish(
        kind="extruded", cut_mm=pilot, words=words, thread=cut.designation, side=side, ring=ring
    )
    return _threaded(name, u, v, row, finish, cut.diameter_mm, f"collar {thread}, {purpose}")


def formed_bore_mm(row: Fastener) -> float:
    """The hole a formed thread wants, mm, to 0.05: the thread's diameter less half its pitch."""
    return round((row.major_mm - FORMED_SHARE * row.pitch_mm) * 20) / 20


def flow_drilled_hole(
    name: str, u: float, v: float, *, thread: str, side: SheetSide, purpose: str, thickness_mm: float
) -> Hole:
    """A hole melted through by a friction drill, its collar on ``side``, with a formed thread.

    Raises ``LookupFault`` for an unknown thread.
    """
    row, cut = _tapped(thread)
    bore = formed_bore_mm(row)
    pilot = max(1.0, round(FLOW_PILOT * bore * 2) / 2)
    outside = math.sqrt(bore**2 + (bore**2 - pilot**2) / FLOW_RATIO)
    ring = Ring(outside_mm=outside, height_mm=FLOW_RATIO * thickness_mm)
    other = "lower" if side == "upper" else "upper"
    words = (
        f"flow-drill Ø {fixed(bore, 2)} from the {other} side on a centre hole cut Ø {fixed(pilot, 2)}, "
        f"before bending; collar {fixed(ring.height_mm, 2)} high and Ø {fixed(outside, 2)} outside on the "
        f"{side} side, rim on the {other} side cut flush; form the thread {cut.designation}"
    )
    finish = HoleFinish(
        kind="flow_drilled", cut_mm=pilot, words=words, thread=cut.designation, side=side, ring=ring
    )
    return _threaded(name, u, v, row, finish, bore, f"flow-drilled {thread}, {purpose}")


def inserted_hole(
    name: str,
    u: float,
    v: float,
    *,
    holes: PatternHoles,
    thread: str,
    side: SheetSide,
    purpose: str,
    stud_mm: float | None,
) -> Hole:
    """A hole for a nut or stud that stands on ``side``. Raises ``LookupFault`` for one no table has."""
    made = sheet_insert(holes, thread)
    row = fastener(thread)
    stud = made.kind == "press_stud"
    height = (stud_mm or 0.0) if stud else made.height_mm
    item = f"{thread} {made.kind.replace('_', ' ')}" + (f" {made.standard}" if made.standard else "")
    item += f", {height:g} mm long" if stud else ""
    tolerance = _insert_tolerance(made)
    kind, held = INSERTS[made.kind]
    finish = HoleFinish(
        kind=kind,
        cut_mm=made.hole_mm,
        words=_insert_words(made, item, side, tolerance),
        bent=made.kind == "weld_nut",
        side=side,
        fitted=Fitted(
            item=item,
            outside_mm=made.outside_mm,
            height_mm=height,
            edge_mm=made.edge_mm,
            least_sheet_mm=made.least_sheet_mm,
            source=f"{made.source} ({made.trust})",
        ),
    )
    return Hole(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=made.hole_mm,
        purpose=f"{thread} {made.kind.replace('_', ' ')}, {purpose}",
        fitting=Fitting(kind=held, label=item, shank_mm=row.major_mm),
        tolerance=tolerance,
        finish=finish,
    )


def _insert_tolerance(made: SheetInsert) -> HoleTolerance:
    if made.over_mm <= 0:
        found = hole_tolerance("weld_nut", made.hole_mm)
        if found is not None:
            return found
    return HoleTolerance(
        name=made.kind.replace("_", " "),
        lower_mm=0.0,
        upper_mm=made.over_mm,
        source=made.hole_source,
        trust=Trust(made.hole_trust),
    )


def _insert_words(made: SheetInsert, item: str, side: SheetSide, tolerance: HoleTolerance) -> str:
    """What the drawing asks for: hole, item, side and when."""
    other = "lower" if side == "upper" else "upper"
    # a limit is rounded inward, as in the hole table
    upper = math.floor(tolerance.upper_mm * 100 + INWARD) / 100
    hole = f"hole cut Ø {fixed(made.hole_mm, 2)} (+{fixed(upper, 2)}/0)"
    if made.kind == "weld_nut":
        return (
            f"{hole}; after bending weld on {item} by its projections ({PROJECTION_WELD}), collar in the "
            f"hole, on the {side} side; no spatter in the thread, try a screw"
        )
    if made.kind == "press_nut":
        return (
            f"{hole}, not countersunk; before bending press in {item} from the {side} side, flat against it"
        )
    return (
        f"{hole}, not countersunk; before bending press in {item} from the {other} side, head flush, so that "
        f"it stands on the {side} side"
    )
