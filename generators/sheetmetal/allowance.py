"""How much sheet a bend takes.

Sources: neutral-axis form ``BA = A (R + K T)`` (FAA-H-8083-31 ch. 4 with K = 0.4469; AC 43.13-1B
4-56 for the setback). DIN 6935:2011 for K when neither the shop nor the material table knows it:
its ``k = 0.65 + 0.5 log10(r/s)``, at most 1, places the neutral fibre at ``k s / 2``, so the
K-factor is ``k / 2``.

Outside lengths run to where the mould lines meet, at every angle (AC 43.13-1B 4-56: ``tan(A/2) (R + T)``).
DIN 6935 does so up to a bend of 90°; past that (opening angle under 90°) it measures to the bend's outermost
tangent, ``R + T`` from the tangent line, so its lengths and its deduction are smaller and its blank the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from generators.errors import GeometryFault
from generators.model.plan import Bend, PartPlan
from generators.model.spec.shop import PartPrinter, Shop
from generators.standards import material as material_row
from generators.standards import thickness_off_mm

DIN_LOWEST_RATIO = 0.1
SHOP_K = "shop test bend"
"""Source of a K-factor that the shop measured itself."""

SAME_THICKNESS_MM = 0.02
NO_CLOSER_SHARE = 0.01
"""No gap or length asks for a sheet nearer to its thickness than this share of it: none is sold so, and a
caliper reads hundredths. Common practice, no source."""

STOP_MM = 0.1
"""How near a back gauge is set to a bend's line. Common practice, no source."""

BENDS_SHARE = 0.5
"""So much at most of what a length may be off is for blank, stop and bends, the rest for the sheet. Ours."""

ALIKE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class BendRule:
    """Inside radius (mm) and K-factor chosen for a sheet, and where each comes from.

    ``relief_mm`` is the shop's width of reliefs in this sheet, None for the handbook's; ``die_opening_mm``
    its lower die, None where it is not known.

    A part that is printed instead of bent finds what the shop's ``printer`` needs here.
    """

    inside_radius_mm: float
    k_factor: float
    k_source: str
    relief_mm: float | None = None
    die_opening_mm: float | None = None
    printer: PartPrinter = field(default_factory=PartPrinter)


def allowance(angle_rad: float, inside_radius_mm: float, thickness_mm: float, k_factor: float) -> float:
    """Length of the neutral fibre through the bend, mm: ``A (R + K T)``, A in radians."""
    return angle_rad * (inside_radius_mm + k_factor * thickness_mm)


def setback(angle_rad: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """Mould line to bend tangent, mm: ``tan(A/2) (R + T)`` (AC 43.13-1B 4-56, table 4-7).

    Raises ``GeometryFault`` at 180° and beyond, where the mould lines no longer meet.
    """
    if not 0 <= angle_rad < math.pi:
        raise GeometryFault("a setback needs a bend of less than 180 deg")
    return math.tan(angle_rad / 2) * (inside_radius_mm + thickness_mm)


def deduction(angle_rad: float, inside_radius_mm: float, thickness_mm: float, k_factor: float) -> float:
    """What the two outside lengths together are too long by, mm: ``2 SB − BA``."""
    return 2 * setback(angle_rad, inside_radius_mm, thickness_mm) - allowance(
        angle_rad, inside_radius_mm, thickness_mm, k_factor
    )


def tangent_setback(angle_rad: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """End of DIN 6935's outside length to the bend tangent, mm: past 90° ``R + T``, else the mould line's.

    Source: DIN 6935, from public transcriptions (R2+).
    """
    if angle_rad > math.pi / 2:
        return inside_radius_mm + thickness_mm
    return setback(angle_rad, inside_radius_mm, thickness_mm)


def din_deduction(angle_rad: float, inside_radius_mm: float, thickness_mm: float, k_factor: float) -> float:
    """What two outside lengths by DIN 6935 together are too long by, mm; its v with the other sign."""
    return 2 * tangent_setback(angle_rad, inside_radius_mm, thickness_mm) - allowance(
        angle_rad, inside_radius_mm, thickness_mm, k_factor
    )


def din_6935_k(inside_radius_mm: float, thickness_mm: float) -> float:
    """DIN 6935's k (twice the K-factor) for r/s; 1 above r/s = 5.

    The formula falls to nothing near r/s = 0.05; below ``DIN_LOWEST_RATIO`` that ratio is used.
    """
    ratio = max(inside_radius_mm / thickness_mm, DIN_LOWEST_RATIO)
    return 1.0 if ratio > 5 else min(1.0, 0.65 + 0.5 * math.log10(ratio))


def bend_rule(shop: Shop, material: str, thickness_mm: float, inside_radius_mm: float | None) -> BendRule:
    """Radius and K for a sheet: the shop's test bend, else the material table, else DIN 6935.

    The shop's K belongs to the shop's radius, so a part that asks for another radius falls
    through to the table. Without any stated radius the inside radius is one thickness
    (common practice, no source).
    """
    stock = next(
        (
            s
            for s in shop.stock
            if s.material == material and abs(s.thickness_mm - thickness_mm) <= SAME_THICKNESS_MM
        ),
        None,
    )
    radius = inside_radius_mm
    if radius is None:
        radius = stock.inside_radius_mm if stock is not None else thickness_mm
    if (
        stock is not None
        and stock.k_factor is not None
        and math.isclose(radius, stock.inside_radius_mm, abs_tol=1e-6)
    ):
        k, source = stock.k_factor, SHOP_K
    elif (row := material_row(material)).k_factor is not None:
        k, source = row.k_factor, f"material table ({row.k_trust})"
    else:
        k, source = din_6935_k(radius, thickness_mm) / 2, "DIN 6935 (k/2)"
    return BendRule(
        inside_radius_mm=radius,
        k_factor=k,
        k_source=source,
        relief_mm=stock.relief_mm if stock is not None else None,
        die_opening_mm=stock.die_opening_mm if stock is not None else None,
        printer=shop.printer,
    )


def length_limits(plan: PartPlan) -> tuple[float, float]:
    """How far the thickness may be off for the next stock sheet and for every outside length, mm.

    The blank is cut and the bends lie where they do, so each bend at an end of a length makes it longer by
    half its deduction's growth, ``tan(A / 2) - K A / 2`` a mm of sheet (AC 43.13-1B 4-56: ``SB - BA / 2``
    with the radius the die gives), be it up or down. A stop against a corner bent before keeps a length from
    that corner's growth and gives it to the next: of two bends in a row the free end beyond then grows as
    the length between them does here. Of ``bent_mm`` the sheet takes what blank, stop and bends leave: half
    of the ``position_mm`` a blank may be off, as its stops share that, at each end of a length ``STOP_MM``
    and what the angle's tolerance does there, as independent ones add, but no more than ``BENDS_SHARE``:
    else hardly a sheet as rolled would do for a large radius. Raises nothing.
    """
    thin, thick = thickness_off_mm(plan.thickness_mm)
    legs = [(_leg_rate(bends), _made_mm(plan, bends)) for bends in _legs(plan)]
    rooms = [(plan.bent_mm - made) / rate for rate, made in legs if rate > ALIKE]
    if not rooms:
        return thin, thick
    no_closer = NO_CLOSER_SHARE * plan.thickness_mm
    by = max(math.floor(min(rooms) * 100 + ALIKE) / 100, no_closer)
    return max(thin, -by), min(thick, by)


def left_to_bends_mm(plan: PartPlan, sheet_mm: tuple[float, float]) -> float:
    """What of ``bent_mm`` blank, stop and bends have at least, of any length, the sheet so far off, mm."""
    most = max(abs(by) for by in sheet_mm)
    return min((plan.bent_mm - _leg_rate(bends) * most for bends in _legs(plan)), default=plan.bent_mm)


def _legs(plan: PartPlan) -> list[list[tuple[bool, Bend]]]:
    return [bends for flange in plan.flanges for bends in _legs_of(plan, flange.name)]


def _made_mm(plan: PartPlan, bends: Sequence[tuple[bool, Bend]]) -> float:
    """What blank, stop and angles do to an outside length at worst, as independent ones add, mm.

    The corner's setback ``(R + T) tan(A / 2)`` less half the allowance grows by
    ``((R + T) / cos²(A / 2) - R - K T) / 2`` a radian.
    """
    t, ends = plan.thickness_mm, []
    for end in (True, False):
        turned = [
            ((b.inside_radius_mm + t) / math.cos(b.angle_rad / 2) ** 2 - b.inside_radius_mm - b.k_factor * t)
            / 2
            * plan.bent_rad
            for at, b in bends
            if at is end
        ]
        ends += [math.hypot(STOP_MM, max(turned))] if turned else []
    return min(math.hypot(*ends, plan.position_mm / 2), BENDS_SHARE * plan.bent_mm)


def _legs_of(plan: PartPlan, flange: str) -> Iterator[list[tuple[bool, Bend]]]:
    """The bends at the ends of each outside length of a flange, and at which of its ends."""
    groups: list[tuple[float, list[tuple[bool, Bend]]]] = []
    for bend in plan.bends:
        if flange not in (bend.parent, bend.child) or bend.angle_rad >= math.pi:
            continue
        # a child lies at v > 0 of its bend, a parent to the left of the line that is walked
        way = (
            0.0
            if flange == bend.child
            else math.atan2(bend.end[1] - bend.start[1], bend.end[0] - bend.start[0])
        )
        own = next((g for turn, g in groups if abs(math.sin(turn - way)) < ALIKE), None)
        if own is None:
            own = []
            groups.append((way, own))
        first = next(turn for turn, g in groups if g is own)
        own.append((math.cos(way - first) > 0, bend))
    yield from (g for _, g in groups)


def _leg_rate(bends: Sequence[tuple[bool, Bend]]) -> float:
    """How much longer outside a mm of a thicker sheet makes a leg with these bends at its ends, mm."""
    return sum(
        max((_bend_rate(bend) for at, bend in bends if at is end), default=0.0) for end in (True, False)
    )


def _bend_rate(bend: Bend) -> float:
    """How much farther out a mm of a thicker sheet brings a bend's outer corner, mm."""
    return math.tan(bend.angle_rad / 2) - bend.k_factor * bend.angle_rad / 2
