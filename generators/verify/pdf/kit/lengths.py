"""Lengths of the finished lists of a kit, of which only the words without blanks are known."""

from __future__ import annotations

INCH_MM = 25.4


def meant_mm(text: str, unit: str) -> list[float]:
    """What a length may be, mm: ``5.08``, or of inches without blanks ``31/4``, which is 3 1/4 or 31/4.

    Nothing for what is no number. ``unit`` is ``mm`` or ``in``. Raises nothing.
    """
    scale = INCH_MM if unit == "in" else 1.0
    above, slash, below = text.partition("/")
    try:
        if not slash:
            return [float(text) * scale]
        splits = [(above[:k], above[k:]) for k in range(len(above))]
        return [(float(whole or 0) + float(part) / float(below)) * scale for whole, part in splits]
    except (ValueError, ZeroDivisionError):
        return []
