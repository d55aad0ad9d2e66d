"""Which of the choices clear: each typed into the spec with things where they sit, and solved."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from generators.errors import PedalplateError
from generators.jobs.asdrilled.revise import revised_text
from generators.jobs.asfixed.case import FixedCase, fixed_case
from generators.jobs.asfixed.choices import Choice, choices, holes_of, title_of
from generators.jobs.own_hand import own_index
from generators.measure.block import existing_table
from generators.model.changes import Edit
from generators.model.findings import Finding
from generators.reading.toml.source import parse_bytes
from generators.solve.job import Prepared, prepare
from generators.solve.mends.judge import brought, worsened
from generators.solve.mends.writing import draft

LEFT_BY = "left_by_"
"""How the names of holes left behind begin."""

SHOWN = 4
TRIES = 24
"""A try solves the whole job again, some tenths of a second; ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleared:
    """A choice that clears: what is typed for it, the spec with it, and the job solved so.

    ``tables`` are those of the holes left behind, each with the panel it goes under.
    """

    choice: Choice
    edits: tuple[Edit, ...]
    tables: tuple[tuple[str, str], ...]
    text: str
    solved: Prepared


@dataclass(frozen=True, slots=True, kw_only=True)
class AsFixed:
    """The answer. ``troubles`` are warnings and fails that come of what sits wrong and of the hoses in hand.

    ``options`` are the choices that clear them all, the least to do again first; ``tried`` how many were.
    """

    case: FixedCase
    troubles: tuple[Finding, ...]
    options: tuple[Cleared, ...]
    tried: int

    @property
    def stays(self) -> bool:
        """True when everything may stay where it sits, with the hoses in hand."""
        return not self.troubles


def as_fixed(spec: Path, readings: Path, variant: str = "") -> AsFixed:
    """The least to do again for a file with ``[[fixed]]``. Raises ``SpecError`` for either file."""
    case = fixed_case(spec, readings, variant)
    troubles = _troubles(case, case.base)
    options: list[Cleared] = []
    tried = 0
    singles, pairs = choices(case, troubles) if troubles else ((), ())
    # two things at once only where no single one without new holes clears
    for some in (singles, pairs):
        if any(not option.choice.redo.drill for option in options):
            break
        for choice in some:
            if tried == TRIES or len(options) == SHOWN:
                break
            tried += 1
            found = _cleared(case, choice)
            if found is not None:
                options.append(found)
    options.sort(key=lambda option: option.choice.redo.rank)
    return AsFixed(case=case, troubles=troubles, options=tuple(options), tried=tried)


def _troubles(case: FixedCase, solved: Prepared) -> tuple[Finding, ...]:
    """What is worse than by the spec as designed."""
    before, after = case.design.findings, solved.findings
    return (*brought(before, after), *worsened(before, after))


def _cleared(case: FixedCase, choice: Choice) -> Cleared | None:
    """The choice typed and solved; None where it cannot be typed or solved, or clears not everything."""
    file = case.base.file
    typed = draft(choice.proposal, file.source, file.job)
    if typed is None:
        return None
    try:
        tables = _left_behind(case, choice)
        text = _with_tables(case, tables, typed.text)
        solved = prepare(file.spec_path, results=case.design.results, text=text, variant=file.form.name)
    except PedalplateError:
        # a place or a length the job cannot be solved with clears nothing
        return None
    if _troubles(case, solved):
        return None
    return Cleared(choice=choice, edits=typed.edits, tables=tables, text=text, solved=solved)


def _left_behind(case: FixedCase, choice: Choice) -> tuple[tuple[str, str], ...]:
    """The holes left behind, to be blanked: the panel's name, and the tables that go under it."""
    names = {hole: name for name in choice.back for hole in holes_of(case, name)}
    out = []
    for layout in case.base.layouts:
        tables = [
            existing_table(
                f"{LEFT_BY}{names[h.name]}_{k}"[:40],
                (h.u_mm, h.v_mm),
                h.final_dia_mm,
                f"drilled in the wrong place for the {title_of(case, names[h.name])}"[:80],
                "blank",
            )
            for k, h in enumerate((h for h in layout.holes if h.name in names), 1)
        ]
        if tables:
            out.append((layout.panel, "\n".join(tables)))
    return tuple(out)


def _with_tables(case: FixedCase, tables: tuple[tuple[str, str], ...], text: str) -> str:
    """The text with those tables in it. Raises ``ExportError`` where none can be added."""
    if not tables:
        return text
    panels = [panel.name for panel in case.base.file.job.panel]
    source = parse_bytes(str(case.base.file.spec_path), text.encode())
    own = [own_index(case.base.file.source, "panel", panels.index(name)) for name, _ in tables]
    blocks = [(("panel", at), block) for at, (_, block) in zip(own, tables, strict=True)]
    return revised_text(source, [], blocks)
