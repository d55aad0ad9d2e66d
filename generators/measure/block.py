"""Measured holes as ``[[panel.existing]]`` tables for a spec."""

from __future__ import annotations

import math

from generators.measure.statistics import ELLIPSE_95
from generators.measure.survey import Survey

DIGITS = 2
"""Decimals of a millimetre written: a hundredth is far below what a tape or caliper tells."""


def millimetres(value_mm: float) -> str:
    """A length as a spec writes it: ``"12.3 mm"``, to 0.01 mm."""
    text = f"{round(value_mm, DIGITS) + 0.0:.{DIGITS}f}".rstrip("0").rstrip(".")
    return f'"{text} mm"'


def quoted(text: str) -> str:
    """A basic TOML string of a line of plain text."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def existing_table(
    name: str,
    at: tuple[float, float],
    diameter_mm: float,
    what: str,
    action: str,
    *,
    note: str = "",
    serves: str = "",
    serves_hole: str = "",
    open_to_mm: float = 0.0,
    sigma_mm: float = 0.0,
) -> str:
    """One ``[[panel.existing]]`` table, indented as in the shipped specs."""
    lines = ["  [[panel.existing]]", f'  name = "{name}"']
    lines.append(f"  at = [{millimetres(at[0])}, {millimetres(at[1])}]" + (f"  # {note}" if note else ""))
    lines.append(f"  diameter = {millimetres(diameter_mm)}")
    if action != "keep":
        lines.append(f'  action = "{action}"')
    lines.append(f"  what = {quoted(what)}")
    if sigma_mm:
        lines.append(f"  uncertainty = {millimetres(sigma_mm)}")
    if serves:
        lines.append(f'  serves = "{serves}"')
    if serves_hole:
        lines.append(f'  serves_hole = "{serves_hole}"')
    if open_to_mm:
        lines.append(f"  open_to = {millimetres(open_to_mm)}")
    return "\n".join(lines) + "\n"


def existing_block(survey: Survey) -> str:
    """All measured holes as text to paste under a ``[[panel]]``."""
    head = survey.readings.measure
    tied = (
        "u and v from the edges or known holes of the readings"
        if survey.closed == 0
        else f"u and v from hole {survey.frame[0]}; direction to hole {survey.frame[1]}"
    )
    out = [
        f"  # {head.title}: measured holes of the panel {head.panel}; {tied}.",
        "  # Behind each centre: the 95 % ellipse, its semi-axes; uncertainty is the longer one by 2.448.",
    ]
    for i, hole in enumerate(survey.readings.hole):
        e = survey.ellipses[i]
        u, v = survey.points()[i]
        note = f"within {e.major_mm:.2f} x {e.minor_mm:.2f} mm"
        size = float(survey.diameters()[i])
        # up to the next hundredth: what a fit is judged by is never less than what was found
        sigma = math.ceil(e.major_mm / ELLIPSE_95 * 100 - 1e-6) / 100
        table = existing_table(
            hole.name, (float(u), float(v)), size, hole.what, hole.action, note=note, sigma_mm=sigma
        )
        out.append(table.rstrip("\n"))
    return "\n\n".join(["\n".join(out[:2]), *out[2:]]) + "\n"
