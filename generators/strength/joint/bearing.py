"""What a bolt and the sheets under it bear: proof load, bearing of the hole, pull-over of the head.

Every figure of a sheet is a design figure: the nominal strength with its own standard's factor taken off
already. Where two standards cover a case the smaller counts. Forces N, lengths mm, stresses MPa.
"""

from __future__ import annotations

import math

GAMMA_M2 = 1.25
"""Partial factor of joints, EN 1993-1-8 clause 2.2 and EN 1993-1-3 clause 2 (recommended value)."""

PULL_OVER = 1.5
PULL_OVER_PHI = 0.5
PULL_OVER_WIDEST_MM = 19.05
"""AISI S100 J4.4.2 (E4.4.2 before 2016): Pnov = 1.5 t dw Fu, dw at most 3/4 in, phi = 0.50. Formula and
factor in two transcriptions; the largest dw from memory (editions before 2012 have 1/2 in)."""

THIN_TO_MM = 4.76
"""AISI S100 section J: the thinnest part joined is at most 3/16 in thick. From memory, sure."""

ABOUT_MM = 0.5
"""A sheet ordered so little over 3/16 in can be rolled under it (EN 10051: some 0.25 mm off at 4 to 5 mm,
from memory; twice that is ours): the smaller of both forms counts there too."""

SOFT_MM = 6.1
SOFT_WASHER_MM = 22.0
SOFT_WIDEST_MM = 30.0
"""EN 1999-1-4 clause 8.3.3.1: Fp,Rd = 6.1 t fu sqrt(dw/22)/gamma_M3, mm, N and MPa, gamma_M3 = 1.25, washers
to 30 mm. For sheet to 1.5 mm; from memory, unsure. The Aluminum Design Manual's C t Ftu (Dws - Dh), as
unsure, gives four fifths of it under an M8 nut's plain washer."""

COLD_TO_MM = 3.0
"""Sheet under this is judged as cold-formed sheet (EN 1993-1-3), plate from here on by EN 1993-1-8: the
limit of EN 1993-1-8 clause 1.1's thinnest material, from memory."""


def proof_load_n(proof_mpa: float, area_mm2: float) -> float:
    """Proof load, N: proof stress times stress area (ISO 898-1 table 5, SAE J429)."""
    return proof_mpa * area_mm2


def bolt_load_n(pull_n: float, shear_n: float) -> float:
    """Pull that strains a bolt as pull and shear together do, N: √(T² + 3 V²) (von Mises, on one area)."""
    return math.sqrt(max(pull_n, 0.0) ** 2 + 3 * shear_n**2)


def bearing_n(
    bolt_mm: float, sheet_mm: float, tensile_mpa: float, edge_mm: float, hole_mm: float = 0.0
) -> float:
    """What a sheet bears on a bolt's shank, N; ``edge_mm`` from the hole's middle to the nearest edge.

    Sheet: 2.5 αb kt fu d t/γM2, αb = e1/3d up to 1, kt = (0.8 t + 1.5)/2.5 up to 1.25 mm and 1 above
    (EN 1993-1-3 table 8.4, from memory, sure; valid from 0.75 mm). Plate from 3 mm on: k1 αb fu d t/γM2,
    αb = e1/3d0, k1 = 2.8 e2/d0 - 1.7, up to 1 and 2.5 (EN 1993-1-8 table 3.4, read in transcriptions).
    """
    if sheet_mm < COLD_TO_MM:
        alpha = min(1.0, edge_mm / (3 * bolt_mm))
        thin = min(1.0, (0.8 * sheet_mm + 1.5) / 2.5)
        return 2.5 * alpha * thin * tensile_mpa * bolt_mm * sheet_mm / GAMMA_M2
    hole = hole_mm or bolt_mm
    alpha, k1 = min(1.0, edge_mm / (3 * hole)), max(0.0, min(2.5, 2.8 * edge_mm / hole - 1.7))
    return k1 * alpha * tensile_mpa * bolt_mm * sheet_mm / GAMMA_M2


def pull_over_mm(head_mm: float, washer_mm: float, sheet_mm: float, outside_mm: float) -> float:
    """Diameter that counts under a head on a loose washer, mm: dh + 2 tw + t, at most the washer's own
    (AISI S100 J4.4.2, from memory, sure); without a washer the head's."""
    return min(head_mm + 2 * washer_mm + sheet_mm, outside_mm) if outside_mm else head_mm


def pull_through_n(
    sheet_mm: float,
    over_mm: float,
    tensile_mpa: float,
    *,
    punched_mm: float,
    over_share: float = 1.0,
    punch_share: float = 1.0,
) -> float:
    """What a steel sheet holds of a head or washer pulled against it, N.

    To 3/16 in: 0.50 · 1.5 t dw Fu (AISI S100 J4.4.2), which is 6 % under dw t fu/γM2 of EN 1993-1-3
    table 8.2. Thicker: punching, 0.6 π dm t fu/γM2 (EN 1993-1-8 table 3.4), dm that of head or nut alone,
    ``punched_mm``. Plate from 3 mm on is punched too: where both cover it, and a little beyond, the smaller.
    The shares are how much of dw and of dm counts over a hole wider than usual.
    """
    wide = min(over_mm, PULL_OVER_WIDEST_MM)
    over = over_share * PULL_OVER_PHI * PULL_OVER * sheet_mm * wide * tensile_mpa
    punched = punch_share * 0.6 * math.pi * punched_mm * sheet_mm * tensile_mpa / GAMMA_M2
    if sheet_mm < COLD_TO_MM:
        return over
    return punched if sheet_mm > THIN_TO_MM + ABOUT_MM else min(over, punched)


def soft_pull_through_n(
    sheet_mm: float,
    over_mm: float,
    tensile_mpa: float,
    *,
    punched_mm: float,
    over_share: float = 1.0,
    punch_share: float = 1.0,
) -> float:
    """The same of aluminium, N: 6.1 t fu √(dw/22)/γM3 (EN 1999-1-4 8.3.3.1, from memory, unsure; a third of
    steel's form), and never more than steel's form."""
    own = SOFT_MM * sheet_mm * tensile_mpa * math.sqrt(min(over_mm, SOFT_WIDEST_MM) / SOFT_WASHER_MM)
    steel = pull_through_n(
        sheet_mm, over_mm, tensile_mpa, punched_mm=punched_mm, over_share=over_share, punch_share=punch_share
    )
    return min(over_share * own / GAMMA_M2, steel)


def prying_n(bend_nmm: float, lever_mm: float) -> float:
    """What a bent sheet adds to its bolt's pull, N: the bending moment at the bolt over the lever to where
    the sheet presses on the panel (EN 1993-1-8 6.2.4: the lever is at most 1.25 m, m from bolt to leg)."""
    return abs(bend_nmm) / lever_mm if lever_mm > 0 else 0.0


LEVER = 1.25
"""Longest lever of a prying force over the distance from bolt to leg: EN 1993-1-8 table 6.2."""
