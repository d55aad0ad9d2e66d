"""The rule on letters that are asked for and find no room."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import Rule, finding
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.sheetmetal.marking.etching import HEIGHTS_MM, clear_mm, etching

NO_ROOM = Rule(
    code="etch-no-room",
    title="No room for the letters to etch",
    meaning=(
        "The part asks for letters, and on no flange is there room for them at the least height, clear of "
        "edges, bends, holes, what turns on them and what is welded on, fillets included. They are left "
        "out of the blank and the drawing."
    ),
    formula="a box of (6 n - 2) / 6 h by h, h 3 mm, within each flange less max(3 mm, 2 t) round all that",
    source="heights and margins ours",
    trust="CP",
    mend="Fewer letters in `etch`, or a tag tied to the part.",
)

RULES = (NO_ROOM,)


def check_etching(plan: PartPlan) -> Iterator[Finding]:
    """A warning where letters asked for are on no flange. Raises as ``flat_pattern``."""
    if plan.etch and etching(plan, flat_pattern(plan)) is None:
        clear = clear_mm(plan.thickness_mm)
        yield finding(
            NO_ROOM,
            Severity.WARN,
            f"part:{plan.name}",
            found=f"{len(plan.etch)} letters, {plan.etch}",
            wanted=f"room for them {HEIGHTS_MM[-1]:g} mm high, {clear:g} mm off edges, bends, holes, welds",
            advice="ask for fewer letters",
        )
