"""What the page is told: pictures with their handles, findings with their places, values, faults."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from generators.board.handles import handles_of, table_of, thing_of
from generators.errors import Fault
from generators.model.findings import usual_cure
from generators.model.plan import PanelLayout
from generators.model.spec.titles import capital
from generators.reading.shelf.taken import Taken
from generators.reading.shelf.told import said_of, taken_in
from generators.reading.toml.edits import line_of
from generators.reading.toml.paths import parse_path
from generators.reading.toml.source import TomlSource
from generators.sheets.draft.content import Content, Pin
from generators.sheets.draft.files import svg_text
from generators.sheets.draft.pictures import Drawn, What, drawn

FLAT: tuple[What, ...] = ("panels", "parts")
"""What a first look shows."""
KEPT = 64
"""Pictures kept for when they come again."""


class Drawer:
    """Draws what has changed; a picture of the same content is the one drawn before."""

    def __init__(self) -> None:
        self._kept: dict[Any, tuple[str, list[dict[str, float]]]] = {}
        self._lock = threading.Lock()

    def pictures(
        self, content: Content, source: TomlSource, whats: Sequence[What], name: str = ""
    ) -> list[dict[str, Any]]:
        """The pictures asked for, or the one of that name, as text to show and what can be taken hold of."""
        found = (one for one in drawn(content, whats) if name in ("", one.name))
        return [self._picture(one, content, source) for one in found]

    def _picture(self, one: Drawn, content: Content, source: TomlSource) -> dict[str, Any]:
        text, pins = self._svg(one, content)
        return {
            "name": one.name,
            "what": one.what,
            "title": one.title,
            "svg": text,
            "pins": pins,
            "size": [round(mm, 3) for mm in one.picture.size],
            "frame": _frame(one),
            "path": _path_of(one, content, source),
            "handles": handles_of(one, source.table),
        }

    def _svg(self, one: Drawn, content: Content) -> tuple[str, list[dict[str, float]]]:
        key = _key(one, content)
        with self._lock:
            done = self._kept.pop(key, None) if key is not None else None
        if done is None:
            text, height = svg_text(one, content, ""), one.picture.size[1]
            pins = [
                {"number": number, "x": x, "y": height - y - tall, "wide": wide, "tall": tall}
                for number, x, y, wide, tall in one.picture.pinned_at
            ]
            done = text, pins
        if key is not None:
            with self._lock:
                # what was used last goes last
                self._kept[key] = done
                while len(self._kept) > KEPT:
                    del self._kept[next(iter(self._kept))]
        return done


def _frame(one: Drawn) -> list[float] | None:
    """Mm of the picture for a mm to the right and up of what it shows; none where nothing is held."""
    if one.space is not None:
        return [1 / one.space.ratio, 1 / one.space.ratio]
    return [one.panel.frame[2], one.panel.frame[3]] if one.panel is not None else None


def _path_of(one: Drawn, content: Content, source: TomlSource) -> str:
    """The table of the spec that a picture of a part or a pedal is of."""
    things = [f"part:{plan.name}" for plan in content.plans if one.name == f"part_{plan.name}"]
    if one.what == "pedal":
        names = [sheet.spec.name for sheet in content.pedals]
        things = [f"pedal:{name}" for name in names if one.name.startswith(f"pedal_{name}_")]
    return table_of(source.table, things[0]) if things else ""


def _key(one: Drawn, content: Content) -> Any:
    """What a picture is made from, where that is soon told: panels and parts."""
    if one.panel is not None:
        layout, face = one.panel.shows
        runs = tuple(run for run in content.runs if run.panel == layout.panel)
        return one.name, layout, face, runs, _pin_key(one.pins)
    plan = next((p for p in content.plans if one.name == f"part_{p.name}"), None)
    return (one.name, plan, _pin_key(one.pins)) if plan is not None else None


def _pin_key(pins: Sequence[Pin]) -> tuple[Any, ...]:
    return tuple((pin.number, pin.finding.severity, pin.spots) for pin in pins)


def findings_of(
    content: Content, source: TomlSource, taken: Sequence[Taken] = ()
) -> Iterator[dict[str, Any]]:
    """The findings by number, each with the value or table of the spec it is about.

    ``taken`` is what the spec takes of the shelf: a finding about it says where that is written.
    """
    layouts = {layout.panel: layout for layout in content.layouts}
    for pin in content.pins:
        f = pin.finding
        path = next(_paths(pin, layouts, source.table), "")
        yield {
            "number": pin.number,
            "code": f.code,
            "severity": f.severity.value,
            "where": f.where,
            "found": f.found,
            "wanted": f.wanted,
            "cure": capital(usual_cure(f)),
            "source": f.source,
            "path": path,
            "line": line_of(source, parse_path(path)) if path else 0,
            "shelf": said_of([replace(one, file=Path(one.file).name) for one in taken_in(f, taken)]),
            "panels": sorted({spot[0] for spot in pin.spots}),
        }


def _paths(pin: Pin, layouts: Mapping[str, PanelLayout], table: dict[str, Any]) -> Iterator[str]:
    """Tables a finding is about, the closest first: of its hole, of its part, of the panel."""
    for panel, u, v in pin.spots:
        layout = layouts.get(panel)
        for hole in layout.holes if layout is not None else ():
            if (hole.u_mm, hole.v_mm) == (u, v) and layout is not None:
                path = table_of(table, thing_of(layout, hole))
                if path:
                    yield path
    for thing in pin.things:
        path = table_of(table, thing)
        if path:
            yield path


def faults_of(faults: Sequence[Fault]) -> list[dict[str, Any]]:
    """What is wrong with the spec, as the terminal says it."""
    return [
        {
            "file": fault.file.replace("\\", "/").rpartition("/")[2],
            "line": fault.line,
            "column": fault.column,
            "path": fault.path,
            "found": fault.found,
            "expected": fault.expected,
            "hint": fault.hint,
        }
        for fault in faults
    ]
