"""Rules on the bolts themselves: one can be bought, its nut finds thread, typed threads agree."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.joints.fasteners import FastenerSet
from generators.model.spec.lines import Clamp

BOLT_LENGTH = Rule(
    code="bolt-length",
    title="No bolt of the shelf is long enough, or its thread ends too soon",
    meaning=(
        "A bolt goes through all sheets, what it holds, both washers and the whole nut, with two pitches "
        "past it. No stock length of its thread does that, or the plain shank of the one that does would "
        "stop the nut before the joint is tight."
    ),
    formula="length >= sheets + what is held + 2 washers + nut + 2 P; plain shank <= sheets + held + washers",
    source="ISO 4017, ISO 888, ASME B18.2.1; inch lengths stocked and two pitches are common practice",
    trust="CP",
    mend="Take a thicker thread, whose bolts are longer, or hold less between head and nut.",
)

BOLT_THREAD = Rule(
    code="bolt-thread",
    title="A clamp's thread is not that of the hole it sits in",
    meaning=(
        "The hole is as wide as its own bolt needs. The clamp says another thread: its bolt does not go in, "
        "or rattles in it."
    ),
    formula="thread of the clamp = thread of its hole",
    source="the spec's own two values",
    trust="C",
    mend="Leave the clamp's thread out: it is then that of the hole.",
)

BOLT_HELD = Rule(
    code="bolt-held",
    title="Nobody has said how thick something is that bolts hold",
    meaning=(
        "The length of these bolts hangs on a thickness the spec does not give: a flange or foot is taken as "
        "a usual one, and what is no part of the job is left for who bolts it on."
    ),
    formula="a note for each flange, foot or thing held without its thickness",
    source="usual flanges are ours",
    trust="CP",
    mend="Measure it: flange of the component, or a held table of the part.",
)

SHAFT_LENGTH = Rule(
    code="pivot-shaft-length",
    title="Pivot shaft is shorter than its hanger is wide",
    meaning=(
        "A shaft that is to be held at its ends goes through both cheeks whole. One that ends within a cheek "
        "bears on part of its bore, and finds no clip or nut outside."
    ),
    formula="pivot_shaft_length >= width over the cheeks at the pivot",
    source="plane geometry of the folded part",
    trust="C",
    mend="Measure the shaft again, or take a longer one.",
)

RULES = (BOLT_LENGTH, BOLT_THREAD, BOLT_HELD, SHAFT_LENGTH)


def _where(made: FastenerSet) -> str:
    if made.panel:
        return f"panel:{made.panel} hole {made.hole}"
    if made.part:
        return f"part:{made.part} {made.opening.replace('_', ' ')}"
    return made.task


def check_bolts(sets: Sequence[FastenerSet], clamps: Sequence[Clamp]) -> Iterator[Finding]:
    """Findings on the fastener sets of a job. Raises nothing."""
    for made in sets:
        if made.unfit:
            yield finding(
                BOLT_LENGTH,
                Severity.WARN,
                _where(made),
                value=made.length_mm,
                limit=made.least_mm,
                found=f"{made.thread} bolt {made.unfit}",
                wanted=f"a stock length of at least {mm_up(made.least_mm)}",
                advice="take a thicker thread, or hold less between head and nut",
            )
    yield from _shafts(sets)
    yield from _threads(sets, {c.name: c for c in clamps})
    yield from _unmeasured(sets)


def _shafts(sets: Sequence[FastenerSet]) -> Iterator[Finding]:
    for made in sets:
        if made.form == "shaft" and made.length_mm is not None and made.length_mm < made.least_mm - SAME_MM:
            yield finding(
                SHAFT_LENGTH,
                Severity.FAIL,
                _where(made),
                value=made.length_mm,
                limit=made.least_mm,
                found=f"a pivot shaft {mm(made.length_mm)} long",
                wanted=f"{mm_up(made.least_mm)} or more, as the hanger is wide over its cheeks",
                advice="take a longer shaft, and give its length as pivot_shaft_length",
            )


def _threads(sets: Sequence[FastenerSet], clamps: dict[str, Clamp]) -> Iterator[Finding]:
    for made in sets:
        kind, _, name = made.task.partition(":")
        clamp = clamps.get(name) if kind == "clamp" else None
        if clamp is None or not clamp.thread or clamp.thread == made.thread:
            continue
        yield finding(
            BOLT_THREAD,
            Severity.FAIL,
            f"clamp:{name}",
            found=f"a clamp on an {clamp.thread} bolt in a hole for {made.thread}",
            wanted=f"the thread of its hole, {made.thread}",
            advice=f"leave the thread of {name} out, or drill its hole for {clamp.thread}",
            proposals=(
                Proposal(
                    words=f"give the clamp {name} the thread of its hole",
                    steps=(Change(path=f"clamp[{name}].thread", word=made.thread),),
                ),
            ),
        )


def _unmeasured(sets: Sequence[FastenerSet]) -> Iterator[Finding]:
    """One note for each thing held, not one for each bolt of it."""
    said: set[str] = set()
    for made in sets:
        held = made.held
        if held is None or held.known == "given" or made.task.startswith("clamp:") or not made.standard:
            continue
        what = f"{made.part} {held.words}" if held.known == "open" else held.words
        if what in said:
            continue
        said.add(what)
        if held.known == "open":
            yield finding(
                BOLT_HELD,
                Severity.NOTE,
                _where(made),
                found="bolts that hold something of no known thickness",
                wanted="its thickness",
                advice=f"give part {made.part} a held table with holes, what and thickness",
            )
        else:
            yield finding(
                BOLT_HELD,
                Severity.NOTE,
                _where(made),
                value=held.thickness_mm,
                found=f"{held.words} taken as {held.thickness_mm:g} mm",
                wanted=f"its own thickness; the bolts do up to {made.most_held_mm:.1f} mm",
                advice="measure it and give the component its flange",
            )
