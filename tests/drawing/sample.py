"""Panel layouts made by hand: invented, only to have something to draw."""

from __future__ import annotations

from typing import Any

from generators.geometry.contours import circle as circle_outline
from generators.geometry.contours import polygon, rectangle
from generators.model.folds import FoldLine
from generators.model.plan import DatumMark, Footprint, KeepOut, PanelHole, PanelLayout
from generators.model.words import FittingKind, Status

JOB = "Wrenfield 30-cwt van: hydraulic clutch"
REVISION = "a1b2c3d"


def new(
    number: str, name: str, u: float, v: float, dia: float, purpose: str, kind: FittingKind, **more
) -> PanelHole:
    values: dict[str, Any] = {
        "pilot_dia_mm": 3.0 if dia >= 5 else 0.0,
        "tool": "hole saw" if dia > 28 else "step drill" if dia > 13 else "twist drill",
        "drill_face": "cab",
        "status": "drill",
        "owners": ("panel",),
        "position_note": f"{u - 640:+.1f} right, {v - 180:+.1f} up from column_bore",
    }
    values |= more
    return PanelHole(
        number=number, name=name, u_mm=u, v_mm=v, final_dia_mm=dia, purpose=purpose, kind=kind, **values
    )


def old(
    number: str, name: str, u: float, v: float, dia: float, what: str, status: Status, **more
) -> PanelHole:
    values = {"tool": "", "position_note": "already in the panel"} | more
    return PanelHole(
        number=number,
        name=name,
        u_mm=u,
        v_mm=v,
        final_dia_mm=dia,
        pilot_dia_mm=0.0,
        purpose=what,
        drill_face="cab",
        status=status,
        owners=("existing",),
        kind="existing",
        **values,
    )


def firewall() -> PanelLayout:
    """900 × 430 mm with one corner cut: 16 holes to drill, 4 there already."""
    master_u, master_v = 520.0, 262.5
    holes = [
        new("1", "reservoir_1", 312.4, 392.0, 9.0, "M8 bolt, reservoir bracket", "bolt"),
        new("2", "reservoir_2", 382.4, 392.0, 9.0, "M8 bolt, reservoir bracket", "bolt"),
        new("3", "supply", 347.4, 352.6, 11.11, "-4 bulkhead fitting", "bulkhead"),
        new("4", "return_", 385.5, 352.6, 11.11, "-4 bulkhead fitting", "bulkhead", drill_face="engine"),
        new("5", "hanger_1", master_u - 45, master_v + 38, 9.0, "M8 bolt, pedal hanger", "bolt"),
        new("6", "hanger_2", master_u + 45, master_v + 38, 9.0, "M8 bolt, pedal hanger", "bolt"),
        new("7", "master_bore", master_u, master_v, 32.0, "master cylinder nose", "bore"),
        new("8", "master_1", master_u - 28.575, master_v, 9.0, "M8 stud, master cylinder", "bolt"),
        new("9", "master_2", master_u + 28.575, master_v, 9.0, "M8 stud, master cylinder", "bolt"),
        new("10", "hanger_3", master_u - 45, master_v - 72, 9.0, "M8 bolt, pedal hanger", "bolt"),
        new("11", "hanger_4", master_u + 45, master_v - 72, 9.0, "M8 bolt, pedal hanger", "bolt"),
        new("12", "slave_line", 418.2, 96.3, 11.11, "-4 bulkhead fitting, line to slave", "bulkhead"),
        new("13", "clamp_1", 372.0, 140.0, 6.6, "M6 bolt, line clamp", "bolt"),
        new("14", "clamp_2", 330.0, 205.7, 6.6, "M6 bolt, line clamp", "bolt"),
        new("15", "loom", 268.9, 128.4, 25.4, "grommet for the wiring", "grommet"),
        new("16", "stop", 583.0, 72.0, 8.4, "M8 bolt, pedal stop", "bolt"),
        old("A", "column_bore", 640.0, 180.0, 70.0, "steering column bore", "datum"),
        old("B", "wiper_hole", 214.0, 371.5, 12.7, "wiper linkage pivot", "datum"),
        old("C", "old_linkage", 455.0, 42.0, 28.0, "old clutch linkage rod", "blank"),
        old("D", "old_pipe", 232.0, 300.0, 16.0, "old heater pipe, takes the loom", "reuse"),
    ]
    return PanelLayout(
        panel="firewall",
        title="Firewall",
        material="1008 steel",
        thickness_mm=1.2,
        contour=polygon([(0, 0), (900, 0), (900, 350), (820, 430), (0, 430)], [5, 5, 0, 0, 20]),
        holes=tuple(holes),
        keepouts=(
            KeepOut(
                name="fuse_panel",
                face="cab",
                contour=rectangle(300, 215, 425, 318, 3),
                gap_mm=0.0,
                depth_mm=60.0,
                reason="fuse panel",
                movable=True,
            ),
            KeepOut(
                name="heater_box",
                face="engine",
                contour=rectangle(600, 240, 860, 400, 10),
                gap_mm=5.0,
                depth_mm=140.0,
                reason="heater box",
            ),
            KeepOut(
                name="wiring_loom",
                face="engine",
                contour=polygon([(150, 60), (360, 60), (360, 85), (150, 85)]),
                gap_mm=0.0,
                depth_mm=25.0,
                reason="engine loom",
            ),
            KeepOut(
                name="wiper_motor",
                face="cab",
                contour=circle_outline(170, 330, 90),
                gap_mm=12.0,
                depth_mm=80.0,
                reason="wiper motor",
            ),
        ),
        footprints=(
            Footprint(part="pedal_hanger", face="cab", contour=rectangle(455, 170, 585, 320, 8)),
            Footprint(part="reservoir_bracket", face="engine", contour=rectangle(295, 372, 400, 412, 6)),
        ),
        folds=(
            FoldLine(
                other="toe_board",
                other_title="Toe board",
                start=(0, 0),
                end=(900, 0),
                angle_rad=0.7853981633974483,
                inside_radius_mm=6.0,
            ),
        ),
        datums=(
            DatumMark(name="left_edge", kind="vertical", u_mm=0.0, v_mm=0.0, what="left edge of the panel"),
            DatumMark(name="top_edge", kind="horizontal", u_mm=0.0, v_mm=430.0, what="top edge of the panel"),
            DatumMark(name="scribe", kind="point", u_mm=700.0, v_mm=110.0, what="punch mark by the bracket"),
        ),
        witness_hole="column_bore",
    )
