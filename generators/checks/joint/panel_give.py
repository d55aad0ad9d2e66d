"""Rule on how far a panel gives under a loaded bracket: what is typed against what its sheet says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generators.checks.rule import Rule, finding
from generators.figures import fixed
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.strength.joint.plate import SMALL

SPREAD = 1.5
"""How far a typed give may lie beyond the clamped and the resting figure. Ours: holes, doublers and curved
sheet are not in the formula."""

PANEL_GIVE = Rule(
    code="panel-give",
    title="Typed give of a panel is not that of its sheet",
    meaning=(
        "A part says how far its panel gives along each bolt (hold.flex), or a pedal how far at its pin "
        "(bracket_flex), and the panel says how it is carried. A "
        "rectangle of its sheet between its supports gives between what clamped and what resting edges let "
        "it, with its beads (thin plate: Navier's series; in the middle Roark's table 11.4, cases 1b and "
        "8b). The typed figure lies outside that by more than half as much again: it is wrong, or the "
        "panel is not carried so. A movement over half the sheet is noted: there the formula says too much. "
        "Holes, doublers and curved sheet are left out."
    ),
    formula="clamped give / 1.5 <= typed give <= resting give x 1.5; movement <= t/2 for the formula to hold",
    source="Roark's formulas table 11.4, read for resting edges; Timoshenko and Woinowsky-Krieger art. 34",
    trust="R2+",
    mend="Leave the typed figure out, or measure the panel with a weight and a dial gauge.",
)

RULES = (PANEL_GIVE,)
PER_KN = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PinGive:
    """How far the panel gives at a pedal's pin along its cylinder, mm/N: computed, with clamped and with
    resting edges, and the pedal's typed bracket_flex (None for none). ``twice`` where the pedal's
    hanger_flex is computed too, which holds the panel's give already."""

    pedal: str
    flex_mm_per_n: float
    least_mm_per_n: float
    most_mm_per_n: float
    typed_mm_per_n: float | None
    twice: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedGive:
    """How far a panel gives along each bolt of a part, mm/N: computed, with clamped and with resting edges,
    and typed (None for none). ``moved_mm`` is the most under ``case``; ``pins`` the same at its pedals."""

    part: str
    panel: str
    flex_mm_per_n: float
    least_mm_per_n: float
    most_mm_per_n: float
    typed_mm_per_n: float | None
    moved_mm: float
    thickness_mm: float
    case: str
    words: str
    pins: tuple[PinGive, ...] = ()

    @property
    def said(self) -> str:
        """What the report says of it."""
        typed = self.typed_mm_per_n
        used = PER_KN * (self.flex_mm_per_n if typed is None else typed)
        how = "as computed" if typed is None else "as typed"
        low, high = PER_KN * self.least_mm_per_n, PER_KN * self.most_mm_per_n
        text = (
            f"Panel: {self.words}; by plate theory it gives {PER_KN * self.flex_mm_per_n:.2f} mm/kN along "
            f"each bolt ({low:.2f} with clamped, {high:.2f} with resting edges), {self.moved_mm:.2f} mm "
            f"under {self.case}. Taken {how}, {used:.2f} mm/kN, in the bracket's movement."
        )
        for pin in self.pins:
            how = "as computed" if pin.typed_mm_per_n is None else "as typed"
            used = PER_KN * (pin.flex_mm_per_n if pin.typed_mm_per_n is None else pin.typed_mm_per_n)
            text += (
                f" At the pin of the {pin.pedal} pedal it gives {PER_KN * pin.flex_mm_per_n:.2f} mm/kN; its "
                f"travel counts {used:.2f} mm/kN, {how}."
            )
        return text


def check_panel_give(give: JudgedGive) -> Iterator[Finding]:
    """Findings on one part's panel. Raises nothing."""
    yield from _typed(
        f"part:{give.part} hold",
        f"part[{give.part}].hold.flex",
        give.typed_mm_per_n,
        (give.least_mm_per_n, give.flex_mm_per_n, give.most_mm_per_n),
        f"along each bolt: {give.words}",
    )
    for pin in give.pins:
        where, path = f"pedal:{pin.pedal} bracket flex", f"pedal[{pin.pedal}].bracket_flex"
        if pin.twice and not pin.typed_mm_per_n:
            continue
        if pin.twice:
            yield finding(
                PANEL_GIVE,
                Severity.WARN,
                where,
                found="typed beside a computed hanger_flex, which holds the panel's "
                f"{pin.flex_mm_per_n * PER_KN:.3g} mm/kN already: counted twice",
                wanted="one of them",
                advice="set bracket_flex to 0",
                proposals=_set(path, f"count the panel's give at the {pin.pedal} pedal once", 0.0),
            )
            continue
        yield from _typed(
            where,
            path,
            pin.typed_mm_per_n,
            (pin.least_mm_per_n, pin.flex_mm_per_n, pin.most_mm_per_n),
            f"at the pin: {give.words}",
        )
    if give.moved_mm > SMALL * give.thickness_mm:
        yield finding(
            PANEL_GIVE,
            Severity.NOTE,
            f"panel:{give.panel} part {give.part}",
            value=give.moved_mm,
            limit=SMALL * give.thickness_mm,
            found=f"{give.moved_mm:.2f} mm under {give.case}",
            wanted=f"{fixed(SMALL * give.thickness_mm, 2)} mm, half the sheet: beyond it it "
            "gives less than said",
            advice="take the give as an upper figure, or measure the panel",
        )


def _typed(
    where: str, path: str, typed: float | None, computed: tuple[float, float, float], words: str
) -> Iterator[Finding]:
    """A finding on a typed give that is not between the clamped and the resting one, with room for what the
    formula leaves out."""
    least, likely, most = computed
    low, high = least / SPREAD, most * SPREAD
    if typed is None or low <= typed <= high:
        return
    yield finding(
        PANEL_GIVE,
        Severity.WARN,
        where,
        found=f"typed {typed * PER_KN:.3g} mm/kN, computed {likely * PER_KN:.3g} mm/kN {words}",
        wanted=f"between {low * PER_KN:.3g} and {high * PER_KN:.3g} mm/kN, or no figure",
        advice="leave the typed figure out, or measure the panel",
        proposals=_set(path, "take what the panel's sheet gives", likely * PER_KN),
    )


def _set(path: str, words: str, to: float) -> tuple[Proposal, ...]:
    return (Proposal(words=words, steps=(Change(path=path, to=to, unit="mm/kN", rounding="up"),)),)
