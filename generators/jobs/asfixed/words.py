"""What is told of things fixed in the wrong place: lines for the screen, and plain data."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from generators.figures import fixed
from generators.issue.manifest import finding_json
from generators.jobs.asfixed.case import FixedCase
from generators.jobs.asfixed.choices import Redo, title_of, way_words
from generators.jobs.asfixed.weigh import AsFixed, Cleared
from generators.model.changes import ORDER
from generators.model.spec.readings import FixedThing
from generators.model.spec.titles import capital

CAUTION = (
    "Turn and tighten fittings only with the line empty; bleed again after. Blank every old hole with a "
    "plate, and look behind the panel before a new one. Have the work checked by a licensed mechanic."
)


def screen(answer: AsFixed) -> Iterator[str]:
    """The result as lines."""
    case = answer.case
    head = case.file.readings.measure
    yield f"{head.title}: {len(case.fixed)} fixed, {len(case.wrong)} of them not where the spec has it"
    if case.typed is not None:
        yield "  as it is, typed into the spec"
        for edit in case.typed.edits:
            yield f"    {edit.words}"
    yield ""
    if answer.stays:
        yield "  everything may stay where it sits: no rule says more than of the spec as designed"
        return
    yield "  left so, it brings"
    for f in answer.troubles:
        yield f"    {f.severity.value} {f.code} {f.where}: {f.found}; limit {f.wanted}"
    yield ""
    if not answer.options:
        yield f"  of {answer.tried} ways to put it right that were solved none clears all of it"
        yield "  list lengths that can be had as [[stock_hose]], and in [[fixed]] only what is bolted down"
        return
    yield f"  what clears it, the least to do again first ({answer.tried} ways solved, the others do not)"
    for number, option in enumerate(answer.options, 1):
        yield f"  {number}. {option.choice.words}"
        yield f"     redo: {redo_words(option.choice.redo)}"
        for edit in option.edits:
            yield f"       {edit.words}"
        for panel, tables in option.tables:
            yield f"       under the [[panel]] {panel}, the holes left behind:"
            yield from (f"       {line}" for line in tables.splitlines())
        for line in hose_changes(answer, option):
            yield f"     {line}"
    if any(edit.moves_lines for option in answer.options for edit in option.edits):
        yield f"  {ORDER}"
    yield ""
    yield f"  {CAUTION}"


def redo_words(redo: Redo) -> str:
    """``blank 2 holes, drill 2 new, buy 1 hose``."""
    said = []
    for count, one, many in (
        (redo.turn, "turn 1 fitting", "turn {} fittings"),
        (redo.buy, "buy 1 hose", "buy {} hoses"),
        (redo.drill, "drill 1 new hole", "drill {} new holes"),
        (redo.blank, "blank 1 old hole", "blank {} old holes"),
    ):
        if count:
            said.append(one if count == 1 else many.format(count))
    return ", ".join(said) or "nothing that is done already"


def hose_changes(answer: AsFixed, option: Cleared) -> Iterator[str]:
    """Hoses whose path the choice changes, against the spec as designed."""
    was = {h.spec.name: h for h in answer.case.design.lines.hoses}
    for hose in option.solved.lines.hoses:
        old = was.get(hose.spec.name)
        if old is None or hose.path is None or old.path is None or hose.length is None:
            continue
        if abs(hose.path.length_mm - old.path.length_mm) >= 0.5:
            slack = hose.length.made_up_mm / hose.path.length_mm - 1
            title = hose.spec.title or hose.spec.name
            yield (
                f"{title}: path {fixed(hose.path.length_mm, 1)} mm, was {fixed(old.path.length_mm, 1)} mm; "
                f"{hose.length.made_up_mm:.0f} mm seat to seat leave {slack:.1%} of slack"
            )


def sits_words(case: FixedCase, thing: FixedThing) -> str:
    """Where a thing sits against the spec, in a sentence."""
    far = [way_words(thing.right_mm, thing.up_mm)] if thing.right_mm or thing.up_mm else []
    if thing.rear_mm:
        far.append(
            f"{fixed(abs(thing.rear_mm), 1)} mm {'to the rear' if thing.rear_mm > 0 else 'to the front'}"
        )
    return f"{capital(title_of(case, thing.name))}: {' and '.join(far)} of where it was meant to be."


def figures_text(answer: AsFixed) -> str:
    """The result as JSON."""
    return json.dumps(figures(answer), indent=2, ensure_ascii=False) + "\n"


def figures(answer: AsFixed) -> dict[str, Any]:
    """The result as plain data."""
    return {
        "fixed": [thing.name for thing in answer.case.fixed],
        "wrong": [thing.name for thing in answer.case.wrong],
        "stays": answer.stays,
        "troubles": [finding_json(f) for f in answer.troubles],
        "tried": answer.tried,
        "options": [
            {
                "words": option.choice.words,
                "blank": option.choice.redo.blank,
                "drill": option.choice.redo.drill,
                "buy": option.choice.redo.buy,
                "turn": option.choice.redo.turn,
                "edits": [edit.words for edit in option.edits],
                "tables": [{"panel": panel, "text": text} for panel, text in option.tables],
            }
            for option in answer.options
        ],
        "caution": CAUTION,
    }
