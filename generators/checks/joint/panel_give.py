"""Rule on how far a panel gives under a loaded bracket: what is typed against what its sheet says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generators.checks.rule import Rule, finding
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.strength.joint.plate import SMALL

SPREAD = 1.5
"""How far a typed give may lie beyond the clamped and the resting figure. Ours: holes, doublers and curved
sheet are not in the formula."""

PANEL_GIVE = Rule(
    code="panel-give",
    title="Typed give of the panel is not that of its sheet",
    meaning=(
        "The part says how far its panel gives along each bolt, and the panel says how it is carried. A "
        "rectangle of its sheet between its supports gives between what clamped and what resting edges let "
        "it, with its beads (thin plate: Navier's series; in the middle Roark's table 11.4, cases 1b and "
        "8b). The typed figure lies outside that by more than half as much again: it is wrong, or the "
        "panel is not carried so. A movement over half the sheet is noted: there the formula says too much. "
        "Holes, doublers and curved sheet are left out."
    ),
    formula="clamped give / 1.5 <= hold.flex <= resting give x 1.5; movement <= t/2 for the formula to hold",
    source="Roark's formulas table 11.4, read for resting edges; Timoshenko and Woinowsky-Krieger art. 34",
    trust="R2+",
    mend="Leave hold.flex out, measure the panel with a weight and a dial gauge, or mend its carried table.",
)

RULES = (PANEL_GIVE,)
PER_KN = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedGive:
    """How far a panel gives along each bolt of a part, mm/N: computed, with clamped and with resting edges,
    and typed (0 for none). ``moved_mm`` is the most under ``case``."""

    part: str
    panel: str
    flex_mm_per_n: float
    least_mm_per_n: float
    most_mm_per_n: float
    typed_mm_per_n: float
    moved_mm: float
    thickness_mm: float
    case: str
    words: str

    @property
    def said(self) -> str:
        """What the report says of it."""
        used = PER_KN * (self.typed_mm_per_n or self.flex_mm_per_n)
        how = "as typed" if self.typed_mm_per_n else "as computed"
        low, high = PER_KN * self.least_mm_per_n, PER_KN * self.most_mm_per_n
        return (
            f"Panel: {self.words}; by plate theory it gives {PER_KN * self.flex_mm_per_n:.2f} mm/kN along "
            f"each bolt ({low:.2f} with clamped, {high:.2f} with resting edges), {self.moved_mm:.2f} mm under "
            f"{self.case}. Taken {how}, {used:.2f} mm/kN, in the bracket's movement and, where the pedal's "
            "hanger_flex is computed, in its travel."
        )


def check_panel_give(give: JudgedGive) -> Iterator[Finding]:
    """Findings on one part's panel. Raises nothing."""
    typed = give.typed_mm_per_n
    low, high = give.least_mm_per_n / SPREAD, give.most_mm_per_n * SPREAD
    if typed and not low <= typed <= high:
        yield finding(
            PANEL_GIVE,
            Severity.WARN,
            f"part:{give.part} hold",
            value=None,
            found=f"flex {typed * PER_KN:.3g} mm/kN typed, {give.flex_mm_per_n * PER_KN:.3g} mm/kN computed: "
            f"{give.words}",
            wanted=f"{low * PER_KN:.3g} to {high * PER_KN:.3g} mm/kN, or no figure",
            advice="leave hold.flex out, or measure the panel",
            proposals=(
                Proposal(
                    words=f"give the part {give.part} what its panel gives",
                    steps=(
                        Change(
                            path=f"part[{give.part}].hold.flex",
                            to=give.flex_mm_per_n * PER_KN,
                            unit="mm/kN",
                            rounding="up",
                        ),
                    ),
                ),
            ),
        )
    if give.moved_mm > SMALL * give.thickness_mm:
        yield finding(
            PANEL_GIVE,
            Severity.NOTE,
            f"panel:{give.panel} part {give.part}",
            value=give.moved_mm,
            limit=SMALL * give.thickness_mm,
            found=f"{give.moved_mm:.2f} mm under {give.case}",
            wanted=f"{SMALL * give.thickness_mm:.2f} mm, half the sheet: beyond it it gives less than said",
            advice="take the give as an upper figure, or measure the panel",
        )
