"""A sheet thickness written as a gauge: ``"14 ga"`` of the table its material has, ``"16 swg"``.

A gauge number means nothing without its table, and ``ga`` is read by the material beside it. What no table is
known for is refused: a wrong table is a wrong sheet.
"""

from __future__ import annotations

import re

from generators.errors import LookupFault, UnitError
from generators.reading.toml import words
from generators.standards import Gauge, gauge_rows, material, sheet_gauge

_GAUGE = re.compile(r" *(?P<number>[0-9]{1,2}) *(?P<system>ga|gauge|gage|swg|SWG) *")

_BY_KIND = {"steel": "msg", "stainless": "stainless", "aluminium": "aluminium"}
_BY_WORD = (
    ("galvani", "galvanised"),
    ("zinc", "galvanised"),
    ("stainless", "stainless"),
    ("alumin", "aluminium"),
    ("steel", "msg"),
)
"""The table of a material that is none of the materials table, by the first of these words in it."""

SYSTEM_WORDS = {
    "msg": "Manufacturers' Standard Gauge for steel",
    "us_standard": "15 U.S.C. 206",
    "stainless": "gauge of stainless sheet",
    "galvanised": "gauge of galvanised sheet, zinc included",
    "aluminium": "Brown & Sharpe gauge",
    "swg": "Imperial Standard Wire Gauge",
}


def gauge_system(material_name: str) -> str | None:
    """The gauge table of a material, by its kind or by the words of its name; None where none is known.

    Source: usual trade practice; the tables are those of ``standards.sheet_gauge``.
    """
    try:
        return _BY_KIND.get(material(material_name).kind)
    except LookupFault:
        lower = material_name.lower()
        return next((system for word, system in _BY_WORD if word in lower), None)


def read_gauge(text: str, material_name: str) -> Gauge | None:
    """The gauge ``text`` says for a sheet of that material; None where it says none.

    Raises ``UnitError`` for a gauge no table has, or a material whose table is not known.
    """
    match = _GAUGE.fullmatch(text)
    if match is None:
        return None
    wire = match["system"].lower() == "swg"
    system = "swg" if wire else gauge_system(material_name)
    if system is None:
        raise UnitError(
            f"{words.quoted(text)} of {words.quoted(material_name)}, a material without a gauge table here",
            'the thickness in mm or in, or "16 swg"',
        )
    try:
        return sheet_gauge(system, int(match["number"]))
    except LookupFault:
        known = [str(row.gauge) for row in gauge_rows() if row.system == system]
        raise UnitError(
            f"{words.quoted(text)}, which is not in the table of the {SYSTEM_WORDS[system]}",
            f"one of {words.listed(known)}, or the thickness in mm or in",
        ) from None
