"""The job on the board beside another state of it: as it was opened, another spec, a finished folder."""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from generators.board.numbers import Refused
from generators.drawing.paper.svg_pen import SvgPen
from generators.errors import PedalplateError
from generators.jobs.compare.compare import Compared, compare, state_of
from generators.jobs.compare.words import hole_does, hole_where, screen
from generators.sheets.compared.view import ChangedView
from generators.sheets.draft.mark import Marked
from generators.solve.job import Prepared, prepare

OPENED = "As the board was opened"
WIDTH_MM = 182.0
SHOWN_FORMS = 20
WORDS = "broken lines before, black now"


class Beside:
    """Other states of the job by number. Only those named here are ever read; its calls are for threads."""

    def __init__(self, spec: Path, text: str, others: Sequence[Path] = ()) -> None:
        self._spec, self._text, self._others = spec, text, tuple(others)
        self._lock = threading.Lock()
        self._kept: dict[int, tuple[Any, Prepared]] = {}

    def listed(self, forms: Sequence[str]) -> list[dict[str, Any]]:
        """What the job can be held against: number and words. ``forms`` are the variants of the spec."""
        words = [OPENED, *short_names(self._others), "The job as written"]
        words += [f"Variant {name}" for name in forms[:SHOWN_FORMS]]
        return [{"number": number, "words": text} for number, text in enumerate(words)]

    def against(self, now: Prepared, number: int, text: str, forms: Sequence[str]) -> dict[str, Any]:
        """What differs from state ``number`` to the job now: lines, and a picture of each panel that changed.

        ``text`` is the spec as it is. Raises ``Refused`` for a number that is none, and for a state that
        cannot be read.
        """
        if not 0 <= number < len(self.listed(forms)):
            raise Refused("no such state")
        try:
            before = self._state(number, text, forms)
        except PedalplateError as error:
            raise Refused(f"it cannot be read: {error}") from error
        said = compare(before, now)
        return {
            "lines": "\n".join(screen(said)).split("\n"),
            "pictures": _pictures(said),
            "same": said.same,
            "holes": _rows(said),
        }

    def _state(self, number: int, text: str, forms: Sequence[str]) -> Prepared:
        """A state solved; one that cannot have changed since is solved once."""
        fixed = 1 + len(self._others)
        with self._lock:
            if number >= fixed:
                variant = "" if number == fixed else forms[number - fixed - 1]
                return prepare(self._spec, text=text, variant=variant)
            path = self._others[number - 1] if number else None
            key = _age(path)
            kept = self._kept.get(number)
            if kept is None or kept[0] != key:
                found = prepare(self._spec, text=self._text) if path is None else state_of(path)
                kept = self._kept[number] = (key, found)
            return kept[1]


def short_names(paths: Sequence[Path]) -> list[str]:
    """Each path by its last names: as many as tell it from the others."""
    whole = [Path(os.path.abspath(path)).parts for path in paths]
    names = []
    for parts in whole:
        count = 1
        while count < len(parts) and sum(other[-count:] == parts[-count:] for other in whole) > 1:
            count += 1
        names.append("/".join(parts[-count:]).replace("//", "/"))
    return names


def _age(path: Path | None) -> Any:
    if path is None:
        return 0
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _pictures(said: Compared) -> list[dict[str, Any]]:
    out = []
    for was, now in said.panels:
        layout = now if now is not None else was
        if layout is None:
            continue
        view = ChangedView(layout, said.holes, width_mm=WIDTH_MM)
        picture = Marked(view, WORDS)
        pen = SvgPen(Path(), *picture.size, title=view.words, subject="")
        picture.paint(pen)
        size = [round(mm, 3) for mm in picture.size]
        title = f"{layout.title}: {WORDS}"
        out.append({"name": f"compared_{layout.panel}", "title": title, "svg": pen.drawn(), "size": size})
    return out


def _rows(said: Compared) -> list[dict[str, str]]:
    units = said.after.file.units
    rows = []
    for change in said.holes:
        was, now, far = hole_where(change, units)
        name = f"{change.panel} {change.number} ({change.name})"
        rows.append({"hole": name, "was": was, "now": now, "far": far, "does": hole_does(change, units)})
    return rows
