"""What differs between two states of a job, in lines for a screen and a sheet."""

from __future__ import annotations

from collections.abc import Iterator

from generators.figures import format_short
from generators.jobs.compare.compare import Compared
from generators.model.findings import Finding
from generators.solve.comparing.holes import DRILLED, HoleChange
from generators.solve.comparing.things import ThingChange
from generators.solve.job import Prepared
from generators.units import UnitSystem

MIRRORED = "One is of the other hand: what came after is told as a mirror shows it."
SAME = "Nothing that is made or bought differs, nor what the rules say."
VERDICTS = {"same": "as it was", "again": "made again", "new": "new", "gone": "not needed any more"}


def state_words(prepared: Prepared) -> str:
    """Which job, form and revision."""
    file = prepared.file
    form = f", variant {file.form.name}" if file.form.name else ""
    return f"{file.job.job.title} ({file.job.job.name}{form}), revision {file.revision}"


def hole_where(change: HoleChange, units: UnitSystem) -> tuple[str, str, str]:
    """Where it was, where it is, and how far that is; a dash where there is none."""

    def place(at: tuple[float, float] | None) -> str:
        if at is None:
            return "–"
        right, up = at
        across, high = "right" if right >= 0 else "left", "up" if up >= 0 else "down"
        return f"{format_short(abs(right), units)} {across}, {format_short(abs(up), units)} {high}"

    far = format_short(change.far_mm, units) if change.moved else "–"
    return place(change.was), place(change.now), far


def hole_does(change: HoleChange, units: UnitSystem) -> str:
    """What to know of it, with sizes and with what was drilled already."""
    said = [change.kind]
    if change.resized:
        said.append(f"{format_short(change.was_dia_mm, units)} to {format_short(change.now_dia_mm, units)}")
    if change.was is not None and change.now is not None and change.was_done != change.now_done:
        said.append(f"{change.was_done} becomes {change.now_done}")
    if change.now_done == DRILLED:
        return "; ".join(said)
    if change.overlaps and change.drilled:
        said.append("where it was drilled the new one runs into it")
    elif change.drilled and (change.now is None or change.moved):
        said.append("where it was drilled, close it")
    return "; ".join(said)


def thing_words(thing: ThingChange) -> str:
    """One part or hose: ``made again: blank 120 x 80 mm, was …``."""
    why = f": {'; '.join(thing.why)}" if thing.why else ""
    return f"{VERDICTS[thing.verdict]}{why}"


def finding_words(finding: Finding) -> str:
    """A finding in a line."""
    return f"{finding.severity.value} {finding.code} {finding.where}: {finding.found}; limit {finding.wanted}"


def screen(said: Compared) -> Iterator[str]:
    """The result as lines."""
    units = said.after.file.units
    yield f"before  {state_words(said.before)}"
    yield f"after   {state_words(said.after)}"
    if said.other_hand:
        yield MIRRORED
    if said.same:
        yield SAME
        return
    if said.holes:
        yield "\nholes"
        for change in said.holes:
            was, now, far = hole_where(change, units)
            yield f"  {change.panel} {change.number} ({change.name}): {hole_does(change, units)}"
            if change.moved:
                yield f"      from {was} to {now}: {far}"
            elif change.was is None or change.now is None:
                yield f"      at {now if change.was is None else was}"
    for head, things in (("parts", said.parts), ("hoses and lines", said.hoses)):
        if things:
            yield f"\n{head}"
            yield from (f"  {thing.name}: {thing_words(thing)}" for thing in things)
    if said.numbers:
        yield "\nhydraulics"
        for number in said.numbers:
            yield f"  {number.pedal}, {number.what}: was {number.was or '–'}, now {number.now or '–'}"
    for head, findings in (("new findings", said.won), ("findings gone", said.lost)):
        if findings:
            yield f"\n{head}"
            yield from (f"  {finding_words(f)}" for f in findings)
    yield "\nmay still be used"
    yield from (f"  {line}" for line in said.usable() or ("nothing of it",))
