"""Notes on what the sheets can only tell whoever fits the job to ask for: the spec does not say it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.rule import Rule, finding
from generators.model.findings import Finding, Severity
from generators.model.joints.fasteners import CLAMPED_ON, FastenerSet
from generators.model.spec.job import Job

PAPER_ASKS = Rule(
    code="paper-asks",
    title="The sheets tell whoever fits it to ask",
    meaning=(
        "What holds the ends of a pivot shaft, what the far end of a brace that is counted on is bolted to "
        "and how long it is, how the vehicle's own pipe is joined to a line end, what a clamp on the vehicle "
        "itself is bolted to: where the spec does not say it, no sheet can, and it is asked for with the "
        "vehicle in pieces. The same holds of a contact that is named without a telephone or an address."
    ),
    formula="a note for each place where the sheets say to ask",
    source="what a home mechanic asked of a finished print",
    trust="CP",
    mend="Write into the spec what the note names.",
)

RULES = (PAPER_ASKS,)


def check_unsaid(job: Job, fasteners: Sequence[FastenerSet]) -> Iterator[Finding]:
    """One note for each thing left out that a step of the install sheet is about. Raises nothing."""
    for made in fasteners:
        if made.form == "shaft" and not made.ends and made.tighten.why not in CLAMPED_ON:
            yield _note(
                f"part:{made.part} pivot", "what holds the ends of the pivot shaft", "pivot_shaft_ends"
            )
    counted = {
        (made.part, made.opening)
        for made in fasteners
        if made.held is not None and made.held.absent and made.held.counted
    }
    for part in job.part:
        for held in part.held:
            if not any((part.name, hole) in counted for hole in held.holes):
                continue
            lacks = {"ends_on": held.ends_on, "length (with tube and wall)": held.length_mm}
            keys = [name for name, given in lacks.items() if not given]
            if keys:
                what = f"where the {held.what} ends{'' if held.length_mm else ', and how long it is'}"
                yield _note(f"part:{part.name} {held.holes[0].replace('_', ' ')}", what, " and ".join(keys))
    for component in job.component:
        joined = sum(end.partition(".")[0] == component.name for h in job.hose for end in (h.from_, h.to))
        # where two lines of the job meet, nothing of the vehicle joins
        if component.kind == "line_end" and not component.joins and joined < 2:
            yield _note(f"component:{component.name}", "how the vehicle's own pipe is joined to it", "joins")
    for clamp in job.clamp:
        if clamp.on.at is not None and not clamp.metal:
            yield _note(f"clamp:{clamp.name}", "what it is bolted to", "metal")
    # nobody named is no fault: the sheets have a line to write on then
    if job.job.contact and not reaches(job.job.contact):
        yield _note(
            "job:contact",
            f"how {job.job.contact!r} is reached: neither a digit nor an @ is in it",
            "contact with a telephone or an address",
        )


def reaches(contact: str) -> bool:
    """Whether a contact can be a telephone, a house with a number or a mail address: a digit or an @."""
    return any(c.isdigit() or c == "@" for c in contact)


def _note(where: str, what: str, key: str) -> Finding:
    return finding(
        PAPER_ASKS,
        Severity.NOTE,
        where,
        found=f"the sheets do not say {what}",
        wanted="a spec that says it",
        advice=f"give it as {key}",
    )
