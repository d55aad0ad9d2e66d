"""The pedals' own arms under the forces their hangers are judged by."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from generators.checks.pedal.arm import JudgedArm, check_arm
from generators.errors import LookupFault
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.words import PEDAL_CASES
from generators.solve.bodies.pedals import PedalShapes, apart
from generators.solve.brackets.cases import CASE_WORDS
from generators.standards import material, pedal_load
from generators.strength.arm import Section, arm_stress

DEFAULT = "S235 steel"
"""What an arm of no named material is taken as: the weakest of the structural steels (EN 10025-2)."""


def arm_findings(shapes: PedalShapes, limits: Limits) -> Iterator[Finding]:
    """What the rule says of a pedal's arm; nothing of one whose section the spec does not give."""
    pedal = shapes.pedal
    if pedal.arm_diameter_mm is None and pedal.arm_width_mm is None:
        return
    if pedal.arm_diameter_mm is not None:
        section, key = Section(diameter_mm=pedal.arm_diameter_mm), "arm_diameter"
    else:
        width, thickness = pedal.arm_section_mm
        section, key = Section(width_mm=width, thickness_mm=thickness), "arm_width"
    line, pin = [*shapes.line()], shapes.at(pedal.pin)
    lug = min(apart(pin, a, b) for a, b in itertools.pairwise(line)) > shapes.half_width_mm / 2
    pad, press = shapes.at(pedal.pad, pedal.pad_side_mm), shapes.pressed(pedal.pad)
    # a lug beside the arm takes the moment at the pivot
    cases = []
    for kind in PEDAL_CASES:
        try:
            row = pedal_load(kind, pedal.kind)
        except LookupFault:
            continue
        ways = (shapes.across, -shapes.across) if kind == "side" else (press,)
        found = [
            arm_stress(line, shapes.across, None if lug else pin, pad, row.force_n * np.asarray(way), section)
            for way in ways
        ]
        worst = max(found, key=lambda f: f.stress_mpa)
        cases.append(
            JudgedArm(
                kind=kind,
                what=f"{row.force_n:.0f} N on the {pedal.name} pad, {CASE_WORDS[kind]}",
                stress_mpa=worst.stress_mpa,
                from_pivot_mm=worst.from_pivot_mm,
            )
        )
    name = pedal.arm_material or DEFAULT
    yield from check_arm(pedal.name, name, material(name).yield_mpa, key, cases, limits)
