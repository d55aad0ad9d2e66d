"""The readings a kit asks of a vehicle, numbered, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.measure.chance.asked import chosen
from generators.measure.chance.kit import Kit
from generators.model.plan import PanelLayout
from generators.model.spec.forms.spread import Spread
from generators.model.spec.forms.vehicle import HOW_TAKEN, OFF_LEVEL
from generators.model.spec.titles import within
from generators.sheets.form.content import FormSheet, Line
from generators.solve.job import Prepared
from generators.solve.spread.asking import Asked, Asking
from generators.solve.spread.build import kit_of

EDGE_WORDS: Mapping[str, str] = {"left": "left", "right": "right", "bottom": "lower", "top": "upper"}


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureForm:
    """What is asked: each reading with its number from 1, and what they leave unknown."""

    prepared: Prepared
    spread: Spread
    kit: Kit
    asking: Asking
    asked: tuple[Asked, ...]
    open_needs: tuple[str, ...]

    def number(self, kind: str, panel: str, from_: str, to: str) -> int:
        """The number of a reading on the form; 0 for none of it."""
        keys = [(a.kind, a.panel, a.from_, a.to) for a in self.asked]
        key = (kind, panel, from_, to)
        return keys.index(key) + 1 if key in keys else 0


def form_of(prepared: Prepared, spread: Spread) -> MeasureForm:
    """The form of a job, the same each time."""
    kit = kit_of(prepared, spread)
    asking = Asking(prepared, kit)
    every = asking.candidates()
    places, unknown = chosen([a.seen for a in every], asking.needs(), asking.prior)
    panels = [p.name for p in prepared.file.job.panel]

    # in the order one goes round the vehicle: panel by panel, the cab's side first
    def walked(k: int) -> tuple[bool, int, str, int]:
        one = every[k]
        return one.kind == "lean", panels.index(one.panel), one.face, places.index(k)

    order = sorted(places, key=walked)
    return MeasureForm(
        prepared=prepared,
        spread=spread,
        kit=kit,
        asking=asking,
        asked=tuple(every[k] for k in order),
        open_needs=unknown,
    )


def sheet_of(form: MeasureForm) -> FormSheet:
    """The form as it is shown."""
    prepared = form.prepared
    head = prepared.file.job.job
    lines = tuple(_line(form, k, asked) for k, asked in enumerate(form.asked, 1))
    used = {line.panel for line in lines}
    return FormSheet(
        job=head.name,
        variant=prepared.file.form.name,
        title=head.title,
        contact=head.contact,
        lines=lines,
        layouts=tuple(_as_found(x) for x in prepared.layouts if x.panel in used),
        untold=tuple(
            f"Whether the {name}: no tape tells that well enough; the sheets say what to do at that step."
            for name in form.open_needs
        ),
        units=prepared.file.units,
        revision=prepared.file.revision,
    )


def _as_found(layout: PanelLayout) -> PanelLayout:
    """A panel as the customer sees it: nothing drilled, nothing on it."""
    there = tuple(h for h in layout.holes if h.status in ("datum", "reuse", "blank"))
    return replace(layout, holes=there, footprints=(), bodies=(), passing=())


def _line(form: MeasureForm, number: int, asked: Asked) -> Line:
    layouts = {x.panel: x for x in form.prepared.layouts}
    row = asked.seen.row
    sigma = math.sqrt(float(row @ form.asking.prior @ row))
    lean = asked.kind == "lean"
    return Line(
        number=number,
        kind=asked.kind,
        panel=asked.panel,
        face="engine" if asked.face == "engine" else "cab",
        from_=asked.from_,
        to=asked.to,
        at=asked.at,
        end=asked.end,
        words=_words(form.prepared, layouts, asked),
        how=OFF_LEVEL if asked.zero_rad else HOW_TAKEN[asked.kind],
        expected=float(np.degrees(asked.seen.expected - asked.zero_rad)) if lean else asked.seen.expected,
        spread=float(np.degrees(sigma)) if lean else sigma,
        unit="deg" if lean else "mm",
    )


def _words(prepared: Prepared, layouts: Mapping[str, PanelLayout], asked: Asked) -> str:
    """Between what: holes by letter and what they are."""
    panel = layouts[asked.panel]
    if asked.kind == "lean":
        return f"how far the {within(panel.title)} {'is off level' if asked.zero_rad else 'leans'}"
    first = _hole(prepared, panel, asked.from_)
    if asked.kind == "size":
        return f"diameter of {first}"
    if asked.kind == "edge":
        return f"{first} to the {EDGE_WORDS[asked.to]} edge of the {within(panel.title)}"
    if asked.kind == "side":
        spec = next(p for p in prepared.file.job.panel if p.name == asked.panel)
        thing = next(o for o in spec.obstacle if o.name == asked.to)
        return f"{first} to the {within(thing.what)}"
    owner, _, name = asked.to.partition(".")
    if asked.kind == "across":
        return f"{first} to {_hole(prepared, layouts[owner], name)} of the {within(layouts[owner].title)}"
    if asked.kind == "port":
        component = next(c for c in prepared.file.job.component if c.name == owner)
        title = component.title or owner.replace("_", " ")
        return f"{first} to the {name} of the {within(title)}"
    return f"{first} to {_hole(prepared, panel, asked.to)}"


def _hole(prepared: Prepared, layout: PanelLayout, name: str) -> str:
    spec = next(p for p in prepared.file.job.panel if p.name == layout.panel)
    hole = next(h for h in spec.existing if h.name == name)
    near = min(layout.holes, key=lambda h: math.dist((h.u_mm, h.v_mm), hole.at))
    return f"hole {near.number} ({within(hole.what)})"


def blank_readings(sheet: FormSheet) -> str:
    """A file to type the readings of the paper into: what is not filled in stays a comment."""
    out = [
        "# What was read on one vehicle, for `pedalplate fits`: type the paper's figures in, with units",
        '# ("438.5 mm", "17 1/4 in"; an angle "1.5 deg"), and take the # off those lines. Leave the rest.',
        "",
        "[vehicle]",
        'name = "order_0000"',
        f'job = "{sheet.job}"',
    ]
    if sheet.variant:
        out.append(f'variant = "{sheet.variant}"')
    for line in sheet.lines:
        out += ["", f"# {line.number}: {line.words}; {line.how}", *reading_lines(line, "")]
    return "\n".join(out) + "\n"


def reading_lines(line: Line, value: str) -> Sequence[str]:
    """The lines of one reading; without a value, all of them comments."""
    key = "leans" if line.kind == "lean" else "is"
    rows = [
        "[[reading]]",
        f"number = {line.number}",
        f'kind = "{line.kind}"',
        f'panel = "{line.panel}"',
        f'from = "{line.from_}"',
        *([f'to = "{line.to}"'] if line.to else []),
        f'{key} = "{value}"',
    ]
    return rows if value else [f"# {row}" for row in rows]
