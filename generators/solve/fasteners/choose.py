"""Length, washers and torque of one joint.

A length is the next the trade keeps over all sheets, what is held, both washers at their thickest, the nut at
its highest and two pitches of thread (common practice). The torque is that of 0.75 of the proof load at
K = 0.2, or what the sheet under a washer bears if that is less (``strength.preload``).
"""

from __future__ import annotations

import math
from dataclasses import replace

from generators.model.joints.fasteners import INTO_THREAD, FastenerSet, Side2, Tightening, WasherUse
from generators.solve.fasteners.joint import OTHER_SIDE, Joint, Layer
from generators.standards import (
    Fastener,
    StockLength,
    WasherSeries,
    bolt_range,
    default_class,
    locking_nut,
    stock_lengths,
    stress_area,
    washer,
)
from generators.strength.preload import bearing_area_mm2, preload_n, pressed_mm, torque_nm

PITCHES = 2.0
"""Thread past the nut, in pitches (common practice)."""

IN_INSERT = 1.0
"""Thread in an insert, in diameters (common practice)."""

THIN_MM = 1.0
"""A sheet thinner than this under a washer gets a large one and no torque figure. Ours."""

SIDES: tuple[Side2, Side2] = ("low", "high")
_SAME_MM = 1e-6
CLAMP_WHY = "the clamp's band gives before the bolt does"
FOOT_WHY = "a reservoir's foot is plastic or thin"


def stop_bolt(row: Fastener, stands_mm: float, upright_mm: float) -> tuple[float, StockLength | None]:
    """Least length of the bolt a pedal stops on, mm, and the stock length.

    Its head's end stands ``stands_mm`` off the upright; behind that are washer, jam nut and two pitches.
    """
    past = washer(row.thread).thickest_mm + row.nut_height_mm + PITCHES * row.pitch_mm
    least = max(stands_mm - row.head_height_mm, 0.0) + upright_mm + past
    return least, _stock(row.thread, least)


def _stock(thread: str, least_mm: float) -> StockLength | None:
    return next((s for s in stock_lengths(thread) if s.length_mm >= least_mm - _SAME_MM), None)


def _layer(joint: Joint, side: Side2) -> Layer | None:
    """What the washer of a side bears on; None for a flange, a foot or a clamp held there."""
    if joint.held is not None and joint.held.side == side:
        return joint.outside
    return joint.low if side == "low" else joint.high


def _weak(layer: Layer | None) -> bool:
    """True for a sheet that wants a large washer: soft, thin, or of a metal nobody has named."""
    return layer is not None and (layer.soft or layer.yield_mpa is None or layer.thickness_mm < THIN_MM)


def _bears_n(joint: Joint, side: Side2, series: WasherSeries) -> float | None:
    """What the sheet under a washer bears without yielding, N; None where that is not known."""
    layer = _layer(joint, side)
    if layer is None or layer.yield_mpa is None:
        return None
    disc, nut = washer(joint.row.thread, series), locking_nut(joint.row.thread)
    pressed = pressed_mm(nut.bearing_mm, disc.thickness_mm, disc.outside_mm)
    return layer.yield_mpa * bearing_area_mm2(pressed, layer.hole_mm, layer.travel_mm)


def _wanted_n(joint: Joint) -> float | None:
    kind = default_class(joint.row.thread)
    if kind is None:
        return None
    return preload_n(kind.proof_mpa, stress_area(joint.row.designation).area_mm2)


def _series(joint: Joint, side: Side2) -> WasherSeries:
    """A large washer where the sheet is weak, where a slot or hole leaves a plain one too little, and on a
    foot of plastic."""
    if joint.large:
        return "large"
    if joint.soft_foot and joint.held is not None and joint.held.side == side:
        return "large"
    if _weak(_layer(joint, side)):
        return "large"
    plain, wanted = _bears_n(joint, side, "plain"), _wanted_n(joint)
    if plain is None or wanted is None or plain >= wanted:
        return "plain"
    large = _bears_n(joint, side, "large")
    return "large" if large is not None and large > plain else "plain"


def _washers(joint: Joint) -> tuple[WasherUse, ...]:
    sides: tuple[Side2, ...] = SIDES
    if joint.own_thread:
        # what the stud stands on lies flat on the sheet: the only washer is that under its nut
        sides = (OTHER_SIDE[joint.held.side] if joint.held is not None else "high",)
    elif joint.form in ("stud", "countersunk") or joint.into in INTO_THREAD:
        # flush, welded on, or a thread of its own: one side has neither head nor nut on a washer
        sides = joint.nuts[:1] or ("high",)
    out = []
    for side in sides:
        series = _series(joint, side)
        row = washer(joint.row.thread, series)
        out.append(
            WasherUse(
                side=side,
                large=series == "large",
                standard=row.standard,
                outside_mm=row.outside_mm,
                thickest_mm=row.thickest_mm,
            )
        )
    return tuple(out)


def _tightening(joint: Joint, washers: tuple[WasherUse, ...]) -> Tightening:
    why = _no_figure(joint)
    wanted = _wanted_n(joint)
    if why or wanted is None:
        return Tightening(torque_nm=None, preload_n=None, why=why)
    load, by, bearing = wanted, "three quarters of the proof load", ""
    for use in washers:
        bears = _bears_n(joint, use.side, "large" if use.large else "plain")
        layer = _layer(joint, use.side)
        if bears is not None and layer is not None and bears < load:
            load, by = bears, f"what {layer.words} bears under the washer"
            bearing = (
                f"{layer.words} bears no more under the washer{' at its slot' if layer.travel_mm else ''}"
            )
    return Tightening(torque_nm=torque_nm(load, joint.row.major_mm), preload_n=load, why=by, bearing=bearing)


def _no_figure(joint: Joint) -> str:
    """Why there is no torque figure; nothing where there is one."""
    thread = {
        "insert": "the insert",
        "weld nut": "the weld nut",
        "tapped hole": "the tapped sheet",
        "press nut": "the press nut",
    }
    threaded = joint.form == "stud" or joint.into in thread
    reasons = (
        (joint.own_thread, "the figure is the cylinder maker's"),
        (
            joint.form == "stud" and bool(joint.part),
            "a pressed stud turns in its sheet before its thread gives",
        ),
        (joint.clamp, CLAMP_WHY),
        (joint.soft_foot, FOOT_WHY),
        (joint.form == "countersunk", "its head is weaker than its thread"),
        (threaded, f"{thread.get(joint.into, 'the stud')} and the thin sheet give before the bolt does"),
        *((True, why) for side in SIDES if (why := _no_bearing(_layer(joint, side)))),
        (default_class(joint.row.thread) is None, f"no grade of the table covers {joint.row.thread}"),
    )
    return next((why for there, why in reasons if there), "")


def _no_bearing(layer: Layer | None) -> str:
    """Why a sheet is no ground for a figure; nothing where it is one."""
    if layer is None:
        return ""
    if layer.soft:
        return f"{layer.words} is plastic"
    if layer.yield_mpa is None:
        return f"the metal of {layer.words} is not known and may be soft"
    return f"{layer.words} is thinner than {THIN_MM:g} mm" if layer.thickness_mm < THIN_MM else ""


def fastener_set(joint: Joint) -> FastenerSet:
    """What a joint takes. Raises nothing for a thread of the fastener table."""
    row, nut = joint.row, locking_nut(joint.row.thread)
    kind, washers = default_class(row.thread), _washers(joint)
    discs = sum(w.thickest_mm for w in washers)
    held = joint.held.thickness_mm if joint.held is not None else 0.0
    turned = nut.height_mm if joint.into == "locking nut" else row.nut_height_mm
    out = FastenerSet(
        key=joint.key,
        task=joint.task,
        bag=joint.bag,
        purpose=joint.purpose,
        form=joint.form,
        into=joint.into,
        thread=row.thread,
        designation=row.designation,
        diameter_mm=row.major_mm,
        panel=joint.panel,
        hole=joint.hole,
        part=joint.part,
        opening=joint.opening,
        quantity=joint.quantity,
        grade="" if kind is None else kind.grade if kind.system == "metric" else f"grade {kind.grade}",
        standard=bolt_range(row.thread).standard,
        grip_mm=joint.sheets_mm,
        held=joint.held,
        washers=washers,
        nut_standard=nut.standard if joint.into == "locking nut" else "",
        nut_height_mm=turned if joint.into in ("locking nut", "jam nuts") else 0.0,
        nut_bearing_mm=nut.bearing_mm,
        head_af_mm=_head_af(joint),
        nut_af_mm=nut.af_mm if joint.into in ("locking nut", "jam nuts") else 0.0,
        nuts=joint.nuts,
        head=joint.head,
        tighten=_tightening(joint, washers),
    )
    if joint.own_thread:
        return replace(out, standard="", grade="")
    if joint.form == "stud":
        return _stud(out, joint, discs, turned)
    if joint.form == "stop bolt":
        least, stock = stop_bolt(row, joint.stands_mm, joint.sheets_mm)
        return _with_length(replace(out, least_mm=least), stock, PITCHES * row.pitch_mm)
    engaged = {"insert": IN_INSERT * row.major_mm, "tapped hole": 0.0}.get(joint.into)
    past = PITCHES * row.pitch_mm if engaged is None else 0.0
    least = joint.sheets_mm + held + discs + (turned if engaged is None else engaged) + past
    out = replace(out, least_mm=least)
    if joint.held is not None and joint.held.known == "open":
        return out
    return _with_length(out, _stock(row.thread, least), past)


def _head_af(joint: Joint) -> float:
    if joint.form in ("countersunk", "stud") or joint.own_thread:
        return 0.0
    return joint.row.head_af_mm


def _stud(out: FastenerSet, joint: Joint, discs: float, nut_mm: float) -> FastenerSet:
    """A stud is as long as the spec says; the sheets on it leave its nut so much."""
    held = joint.held.thickness_mm if joint.held is not None else 0.0
    least = joint.over_mm + held + discs + nut_mm + PITCHES * joint.row.pitch_mm
    past = joint.stud_mm - (least - PITCHES * joint.row.pitch_mm)
    return replace(out, least_mm=least, stud_mm=joint.stud_mm, past_mm=past, grade="", standard="")


def _with_length(out: FastenerSet, stock: StockLength | None, past_mm: float) -> FastenerSet:
    """With its stock length; ``past_mm`` is the thread past the nut that the least length has."""
    if stock is None:
        longest = _length(out.thread, stock_lengths(out.thread)[-1])
        least = math.ceil(out.least_mm * 10 - _SAME_MM) / 10
        return replace(out, unfit=f"at least {least:.1f} mm long, and the longest is {longest}")
    past = past_mm + stock.length_mm - out.least_mm
    shank = bolt_range(out.thread).plain_shank_mm(stock.length_mm)
    under_nut = stock.length_mm - past - out.nut_height_mm
    unfit = ""
    if shank > under_nut + _SAME_MM and out.into == "locking nut":
        unfit = f"its thread ends {shank - under_nut:.1f} mm before the nut is tight"
    return replace(out, length_mm=stock.length_mm, length_text=stock.text, past_mm=past, unfit=unfit)


def _length(thread: str, stock: StockLength) -> str:
    return f"{stock.text} mm" if thread.startswith("M") else f"{stock.text} in"
