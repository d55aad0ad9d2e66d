"""What is said of a job that is another's mirror image: what nobody can buy mirrored, and words exchanged."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.rule import Rule, finding
from generators.model.findings import Finding, Severity
from generators.model.spec.job import Job
from generators.model.spec.lines import Component
from generators.reading.forms.variants import Form
from generators.reading.toml.words import listed, quoted

SHOWN = 5

MIRRORED_BOUGHT = Rule(
    code="mirrored-bought",
    title="A bought component is taken to exist in the other hand",
    meaning=(
        "A mirrored job mirrors its components too. One with a port or a body off its middle is then another "
        "thing to buy; the same one fitted in both hands has its hoses on the other side than drawn."
    ),
    formula="a port or body with a place to its right that is not 0, or that faces left or right",
    source="follows from what a mirror image is",
    trust="CP",
    mend="Name it in the variant's as_bought, or set its ports there as the other hand has them.",
)
MIRRORED_WORDS = Rule(
    code="mirrored-words",
    title="Left and right are exchanged in words of the spec",
    meaning=(
        "In a mirrored job what the spec says of the vehicle in words has left and right exchanged. Words "
        "that mean something else by them read wrong. Letters etched on a part and its finish stay as they "
        "are written: a part of this hand then bears the name of the other."
    ),
    formula="a note for a job with such words, a warning for those that stay",
    source="follows from what a mirror image is",
    trust="CP",
    mend="Read them; give the text itself under the variant's set where it must read otherwise.",
)

MIRRORED_PEDALS = Rule(
    code="mirrored-pedals",
    title="Pedals are mirrored with the vehicle",
    meaning=(
        "In both hands of drive the clutch is left of the brake and the brake left of the accelerator. A "
        "mirror image puts each pedal on the other side of the driver's middle and of the column, where the "
        "vehicle of that hand has another pedal or none."
    ),
    formula="a warning for each pedal of a mirrored job",
    source="UN R35, arrangement of the pedals, from memory",
    trust="M-med",
    mend="Measure the pedals and the column of that hand of drive, and set their places in the variant.",
)

RULES = (MIRRORED_BOUGHT, MIRRORED_WORDS, MIRRORED_PEDALS)


def check_form(form: Form, job: Job) -> Iterator[Finding]:
    """Findings on a job in its form; none on one that is not mirrored."""
    if not form.mirrored:
        return
    for component in job.component:
        odd = handed_by(component)
        if odd and component.name not in form.as_bought:
            yield finding(
                MIRRORED_BOUGHT,
                Severity.WARN,
                f"component:{component.name}",
                found=f"{odd} off its middle, drawn as in a mirror",
                wanted="one that is bought in this hand",
                advice=f'as_bought = ["{component.name}"] in the variant keeps it as bought; or buy the '
                "other hand of it",
            )
    for pedal in job.pedal:
        yield finding(
            MIRRORED_PEDALS,
            Severity.WARN,
            f"pedal:{pedal.name}",
            found=f"the {pedal.kind} pedal on the other side of column and driver than the spec has it",
            wanted="the place it has in that hand of drive",
            advice="measure column and pedals in a vehicle of that hand, give their places in the variant",
        )
    if form.kept:
        yield finding(
            MIRRORED_WORDS,
            Severity.WARN,
            f"variant:{form.name}",
            found=listed((f"{path} says {quoted(text)}" for path, text in form.kept), SHOWN),
            wanted="letters and finishes that tell of this hand",
            advice="give them in the variant's set as this hand has them, or as they are if no hand is meant",
        )
    if form.handed:
        shown = [f"{quoted(was)} reads {quoted(now)}" for _, was, now in form.handed[:SHOWN]]
        more = len(form.handed) - len(shown)
        yield finding(
            MIRRORED_WORDS,
            Severity.NOTE,
            f"variant:{form.name}",
            found="; ".join(shown) + (f"; and {more} more" if more else ""),
            wanted="words that tell of this hand",
            advice=f"read them; they are {listed((path for path, _, _ in form.handed), SHOWN)}",
        )


def handed_by(component: Component) -> str:
    """What makes a component another thing than its mirror image; empty for one that is its own.

    The leg of a bulkhead fitting is turned as it is screwed in.
    """
    for port in component.port:
        turned = port.toward is not None and port.toward[1] != port.at[1]
        if port.at[1] != 0 or port.facing in ("left", "right") or turned:
            return f"port {port.name}"
    beside = component.body_at is not None and component.body_at[1] != 0
    return "a body" if beside or component.body_along in ("left", "right") else ""
