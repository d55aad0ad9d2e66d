"""A panel's layout turned into the frame of one part that lies on it."""

from __future__ import annotations

from generators.geometry.contours import Placement, bounds, transformed
from generators.layout.mounting import placement
from generators.model.contour import Contour
from generators.model.plan import DatumMark, Fitting, PanelHole, PanelLayout
from generators.model.spec.job import Mount, Panel
from generators.model.under import HoleUnder, LineUnder, PanelUnder, PartUnder, PointUnder
from generators.model.words import OTHER, Face, FittingFace, NutFace


def _fitting(hole: PanelHole, face: Face) -> Fitting:
    reach = {"cab": hole.reach_cab_mm, "engine": hole.reach_engine_mm}
    sides: dict[NutFace, FittingFace] = {face: "near", OTHER[face]: "far", "both": "both"}
    side = sides.get(hole.nut_face, "none")
    return Fitting(
        kind=hole.kind,
        label=hole.purpose,
        nut_circle_mm=hole.nut_circle_mm,
        spanner_circle_mm=hole.spanner_circle_mm,
        nut_face=side,
        reach_mm=reach[face],
        far_reach_mm=reach[OTHER[face]],
    )


def _hole(hole: PanelHole, back: Placement, face: Face) -> HoleUnder:
    u, v = back.apply(hole.u_mm, hole.v_mm)
    return HoleUnder(
        name=hole.name,
        number=hole.number,
        u_mm=u,
        v_mm=v,
        diameter_mm=hole.final_dia_mm,
        pilot_dia_mm=hole.pilot_dia_mm,
        status=hole.status,
        owners=hole.owners,
        purpose=hole.purpose,
        fitting=_fitting(hole, face),
        drill_near=hole.drill_face == face,
        by_twist_drill=hole.tool_kind in (None, "twist drill") and not hole.filed,
    )


def _edge(mark: DatumMark, contour: Contour, back: Placement) -> LineUnder:
    low_u, low_v, high_u, high_v = bounds(contour)
    if mark.kind == "vertical":
        start, end = (mark.u_mm, low_v), (mark.u_mm, high_v)
    else:
        start, end = (low_u, mark.v_mm), (high_u, mark.v_mm)
    return LineUnder(name=mark.name, start=back.apply(*start), end=back.apply(*end))


def panel_under(layout: PanelLayout, panel: Panel, mount: Mount, part: str) -> PanelUnder:
    """The panel of ``layout`` in the root frame of ``part``, without holes only that part asks for."""
    back = placement(panel, mount).inverse()
    return PanelUnder(
        panel=layout.panel,
        face=mount.face,
        thickness_mm=layout.thickness_mm,
        contour=transformed(layout.contour, back),
        holes=tuple(_hole(h, back, mount.face) for h in layout.holes if h.owners != (part,)),
        folds=tuple(
            LineUnder(name=f.other, start=back.apply(*f.start), end=back.apply(*f.end)) for f in layout.folds
        ),
        edges=tuple(_edge(m, layout.contour, back) for m in layout.datums if m.kind != "point"),
        points=tuple(
            PointUnder(name=m.name, u_mm=u, v_mm=v, what=m.what)
            for m in layout.datums
            if m.kind == "point"
            for u, v in (back.apply(m.u_mm, m.v_mm),)
        ),
        units=layout.units,
        beads=tuple(transformed(k.contour, back) for k in layout.keepouts if k.bead and k.face == mount.face),
        parts=tuple(
            PartUnder(name=f.part, near=f.face == mount.face, contour=transformed(f.contour, back))
            for f in layout.footprints
            if f.part != part
        ),
    )
