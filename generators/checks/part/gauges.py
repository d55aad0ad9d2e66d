"""The note on sheets whose thickness the spec gives as a gauge: which table was read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from generators.checks.rule import Rule, finding
from generators.figures import fixed
from generators.model.findings import Finding, Severity
from generators.reading.toml.gauges import SYSTEM_WORDS, read_gauge

SHEET_GAUGE = Rule(
    code="sheet-gauge",
    title="Thickness read from a gauge table",
    meaning=(
        "One gauge number is another thickness in another table: 16 gauge is 1.52 mm of steel, 1.29 mm of "
        "aluminium, 1.59 mm of stainless and 1.63 mm by the Imperial Standard Wire Gauge. The note says "
        "which table the material led to."
    ),
    formula="ga by the material: steel, stainless, galvanised, aluminium; swg by its own table",
    source="the table named in the finding",
    trust="R2",
    mend="Measure the sheet, and give its thickness in mm or in where it differs.",
)

RULES = (SHEET_GAUGE,)


def check_gauges(spec: Mapping[str, Any]) -> Iterator[Finding]:
    """A note on every panel and part of a parsed spec whose thickness is a gauge. Raises nothing."""
    for what in ("panel", "part"):
        tables: Iterable[Mapping[str, Any]] = spec.get(what, ())
        for table in tables:
            text, sheet = str(table.get("thickness", "")), str(table.get("material", ""))
            gauge = read_gauge(text, sheet)
            if gauge is not None:
                yield finding(
                    SHEET_GAUGE,
                    Severity.NOTE,
                    f"{what}:{table.get('name', '')}",
                    value=gauge.thickness_mm,
                    found=f"{fixed(gauge.thickness_mm, 3)} mm for {text.strip()} of {sheet}",
                    wanted=f"the sheet's own: {SYSTEM_WORDS[gauge.system]}",
                    source=f"{gauge.source} ({gauge.trust})",
                    advice="measure the sheet with a caliper before anything is cut",
                )
