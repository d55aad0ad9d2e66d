"""Whether a job is what its issue letter stands for; what differs, where it is not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from generators.errors import LookupFault, ReadBackError, SpecError
from generators.jobs.compare.compare import compare
from generators.jobs.compare.words import SAME, screen
from generators.jobs.issued.store import LIST, Issue, issues_folder, issues_of, kept_spec_of, numbers_under
from generators.model.sold.letters import IssueMark
from generators.reading.reader import HOW_WRITTEN, NOT_MADE, NOT_REVISED
from generators.solve.comparing.numbers import number_changes, numbers_of
from generators.solve.job import Prepared, prepare

MOST = 12
"""Lines of values that are shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The last letter of a spec; ``differs`` says in lines why the job is not what it stands for."""

    issue: Issue
    mark: IssueMark
    differs: tuple[str, ...] = ()


def standing(prepared: Prepared) -> Standing | None:
    """How a job stands to the last letter of its spec; None where it has no letter yet.

    Raises ``SpecError`` for a list that does not read, ``ReadBackError`` where what is kept is gone.
    """
    spec, form = prepared.file.spec_path, prepared.file.form.name
    issues = issues_of(spec)
    if not issues:
        return None
    last = issues[-1]
    mark = IssueMark(letter=last.letter, date=last.date, listed=(issues_folder(spec) / LIST).read_bytes())
    return Standing(issue=last, mark=mark, differs=tuple(_differs(prepared, last, form)))


def _differs(prepared: Prepared, issue: Issue, form: str) -> Iterator[str]:
    spec, own = prepared.file.spec_path, issue.of(form)
    if own is None:
        yield f"issue {issue.letter} has no variant {form!r}"
        return
    if own.content == prepared.file.content:
        was = numbers_under(spec, issue.letter).get(form, {})
        # the same content: another version of the program, or other answers of the solver, give other numbers
        for kind, name, what in number_changes(was, numbers_of(prepared)):
            yield f"{kind} {name}: {what} (the spec is the same: it is computed otherwise now)"
        return
    kept = kept_spec_of(spec, issue.letter)
    try:
        before = prepare(kept, variant=form)
    except (SpecError, LookupFault) as error:
        raise ReadBackError(
            str(kept), f"is what issue {issue.letter} stands for, and no longer reads: {error}"
        ) from error
    values = list(_values(_tables(before), _tables(prepared)))
    yield from values[:MOST]
    if len(values) > MOST:
        yield f"and {len(values) - MOST} more values"
    said = compare(before, prepared)
    yield from (SAME,) if said.same else [line.strip("\n") for line in screen(said) if line.strip()][2:]


def _tables(prepared: Prepared) -> dict[str, Any]:
    file = prepared.file
    shop = file.shop_source.table if file.shop_source else {}
    return {
        "spec": {k: v for k, v in file.source.table.items() if k not in (*HOW_WRITTEN, *NOT_MADE)},
        "shop": {k: v for k, v in shop.items() if k not in NOT_REVISED},
    }


def _values(was: Any, now: Any, path: str = "") -> Iterator[str]:
    """Every value that is written otherwise, by key path."""
    if isinstance(was, dict) and isinstance(now, dict):
        for name in dict.fromkeys([*was, *now]):
            yield from _values(was.get(name), now.get(name), f"{path}.{name}" if path else name)
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for index, (one, two) in enumerate(zip(was, now, strict=True)):
            yield from _values(one, two, f"{path}[{_called(one, index)}]")
    elif was != now:
        yield f"{path}: was {_short(was)}, is {_short(now)}"


def _called(row: Any, index: int) -> str:
    return str(row["name"]) if isinstance(row, dict) and isinstance(row.get("name"), str) else str(index)


def _short(value: Any) -> str:
    if value is None:
        return "not given"
    if isinstance(value, dict | list):
        return f"{len(value)} entries"
    return repr(value) if isinstance(value, str) else str(value)
