"""A prepared job to the kit a chance looks at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from generators.errors import LookupFault
from generators.layout.mounting import panel_pose
from generators.measure.chance.kit import BoltedOn, Gauge, Key, Kit
from generators.measure.equations import Array
from generators.measure.fitting.fit import Joint
from generators.model.spec.forms.spread import Spread
from generators.model.words import HoleWay
from generators.reading.keys.lines import split_port
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.hoses.order import Decision
from generators.solve.job import Prepared
from generators.solve.spread.columns import Columns, Sparse, Wanted, dense
from generators.solve.spread.gaps import gap_gauges, touching
from generators.solve.spread.holes import PanelMoves, PartMove
from generators.solve.spread.hoses import gradients, hose_gauges, longer
from generators.solve.spread.moves import Moves
from generators.solve.spread.there import Known, stood

_Bolted = tuple[str, str, str, tuple[Joint, ...], Sequence[Sparse], Sequence[Sparse]]

THROUGH = "through:"
LEAST_SLOPE = 0.2
"""A length that follows a place along its panel less than this is not made up for by moving it."""


def order_of(prepared: Prepared, put: Sequence[tuple[str, str]] = ()) -> list[str]:
    """Keys of the steps in the order of work; ``put`` moves the first of each pair right before the second.

    ``through:PART`` is the drilling through a part that is bolted on. Raises ``LookupFault`` for no step.
    """
    keys: list[str] = []
    drilled = {
        h.work.part
        for x in prepared.layouts
        for h in x.holes
        if h.work.how == "part" and h.work.when == "last"
    }
    for task in prepared.lines.order.tasks:
        keys.append(task.key)
        if task.kind == "part" and task.name in drilled:
            keys.append(f"{THROUGH}{task.name}")
    for moved, before in put:
        for key in (moved, before):
            if key not in keys:
                raise LookupFault("step", key, keys)
        keys.remove(moved)
        keys.insert(keys.index(before), moved)
    return keys


def _ways(prepared: Prepared, order: Sequence[str]) -> dict[str, dict[str, HoleWay]]:
    """By panel, holes that a changed order has drilled by paper: before the part or the hose was there."""
    out: dict[str, dict[str, HoleWay]] = {}
    at = {key: k for k, key in enumerate(order)}
    hose_of = {f"decided:{d.component}": f"hose:{d.hose}" for d in prepared.lines.decided}
    for layout in prepared.layouts:
        for hole in layout.holes:
            work = hole.work
            if work.how == "part" and at.get(f"{THROUGH}{work.part}", 0) < at.get(f"part:{work.part}", -1):
                out.setdefault(layout.panel, {})[hole.number] = "paper"
            if work.how == "hose" and at.get(work.task, 0) < at.get(hose_of.get(work.task, ""), -1):
                out.setdefault(layout.panel, {})[hole.number] = "paper"
    return out


class _PutOn:
    """A job put on by an order of work: how far each hole and part may be off, and what its steps bolt on."""

    def __init__(self, prepared: Prepared, order: Sequence[str], columns: Columns) -> None:
        job, ways, shop = prepared.file.job, _ways(prepared, order), prepared.file.shop.position
        self.prepared, self.order = prepared, order
        self.sheets = {
            panel.name: PanelMoves(panel, layout, prepared.parts, shop, columns, ways.get(panel.name, {}))
            for panel, layout in zip(job.panel, prepared.layouts, strict=True)
        }
        self.moves = Moves(prepared, columns, self.sheets)
        self.bolted: list[_Bolted] = []
        by_hose = {d.part or d.component: d for d in prepared.lines.decided}
        for key in order:
            table, _, name = key.partition(":")
            decision = by_hose.get(name) if table in ("part", "component") else None
            marked = f"decided:{decision.component}" if decision is not None else ""
            if decision is not None and order.index(f"hose:{decision.hose}") < order.index(marked):
                _placed_by_hose(self.moves, decision)
            part = self.moves.parts.get(name)
            if table != "part" or part is None or part.mount is None:
                continue
            joints, off, clear = self.sheets[part.mount.panel].bolted(part)
            if joints:
                self.bolted.append((name, key, part.plan.title.lower(), joints, off, clear))

    def hoses(self, spread: Spread, plan: Mapping[str, HoseAnswer]) -> Iterator[Wanted]:
        """What each hose asks for; made up as ``plan`` has it where it is not measured on the vehicle."""
        for answer in self.prepared.lines.hoses:
            measured = _measured(answer, self.order)
            sold = answer if measured else plan[answer.spec.name]
            yield from hose_gauges(
                answer, self.moves, sold=sold, measured=measured, sprung_mm=spread.sprung_mm
            )

    def kit(self, columns: Columns, gauges: Sequence[Gauge]) -> Kit:
        """All of it, with what must hold."""
        count = len(columns.columns)
        titles = {t.key: t.title for t in self.prepared.lines.order.tasks}
        return Kit(
            groups=tuple(columns.groups),
            columns=tuple(columns.columns),
            bolted=tuple(
                BoltedOn(
                    part=name,
                    task=key,
                    title=title,
                    joints=joints,
                    off=dense(off, 2, count),
                    clear=dense(clear, 1, count),
                )
                for name, key, title, joints, off, clear in self.bolted
            ),
            gauges=tuple(gauges),
            tasks=tuple(
                (key, titles[key] if key in titles else _through(self.moves, key)) for key in self.order
            ),
        )


def kit_of(prepared: Prepared, spread: Spread, put: Sequence[tuple[str, str]] = ()) -> Kit:
    """The kit of a job, put on by its own order of work or by one with steps moved.

    Raises ``LookupFault`` for a step that is none.
    """
    columns = Columns(spread=spread, units=prepared.file.units)
    on = _PutOn(prepared, order_of(prepared, put), columns)
    wanted = [*on.hoses(spread, _answers(prepared)), *gap_gauges(on.moves, columns.columns)]
    return on.kit(columns, [each.gauge(len(columns.columns)) for each in wanted])


def _answers(prepared: Prepared) -> dict[str, HoseAnswer]:
    return {answer.spec.name: answer for answer in prepared.lines.hoses}


def kit_there(prepared: Prepared, spread: Spread, off: Mapping[Key, float]) -> Kit:
    """The kit of a job on a vehicle that is ``off`` its plan, by key of a column, mm or rad.

    Its columns vary about that vehicle: a gauge is what the job solved with everything in its place there
    leaves, and follows by the slopes there. Bolts are as in ``kit_of``, which needs no slopes for them.
    Raises ``GeometryFault`` and ``SpecError`` where things cannot stand so.
    """
    columns = Columns(spread=spread, units=prepared.file.units)
    on = _PutOn(prepared, order_of(prepared), columns)
    plan = _answers(prepared)
    by_plan = [*on.hoses(spread, plan), *gap_gauges(on.moves, columns.columns)]
    x = _at(columns, off)
    there = _PutOn(stood(prepared, Known(off=off), on.sheets, x), on.order, columns)
    solved = [
        *there.hoses(spread, plan),
        *gap_gauges(there.moves, columns.columns, touching(prepared.scene)),
    ]
    count = len(columns.columns)
    # what is first asked for there is off, too
    x = _at(columns, off)
    lost = [_no_way(plan[a.spec.name], on.order) for a in there.prepared.lines.hoses if a.path is None]
    found = {each.key: _about(each.gauge(count), x) for each in solved}
    found |= {each.key: each.gauge(count) for each in lost if each is not None}
    gauges = [found.pop(each.key) if each.key in found else each.gauge(count) for each in by_plan]
    return on.kit(columns, [*gauges, *found.values()])


def _at(columns: Columns, off: Mapping[Key, float]) -> Array:
    """How far each column is off, mm or rad; columns of nothing that was read, 0."""
    return np.array([off.get((columns.groups[c.group].of, c.thing, c.axis), 0.0) for c in columns.columns])


def _about(gauge: Gauge, x: Array) -> Gauge:
    """A gauge that was solved where its columns are ``x``, over columns that have that mean."""
    if gauge.kind == "line":
        by = np.array(gauge.off_mm) - gauge.rows @ x
        return replace(gauge, off_mm=(float(by[0]), float(by[1]), float(by[2])))
    return replace(gauge, rest_mm=gauge.rest_mm - float(gauge.rows[0] @ x))


def _no_way(plan: HoseAnswer, order: Sequence[str]) -> Wanted | None:
    """A hose or line that no curve joins to its ends on that vehicle, and did by plan."""
    if plan.path is None:
        return None
    title = (plan.spec.title or plan.spec.name.replace("_", " ")).lower()
    name = f"{title} meets its seats" if plan.spec.kind == "rigid" else f"{title} reaches"
    task = f"hose:{plan.spec.name}"
    return Wanted(
        key=task,
        name=name,
        kind="reach",
        task=task,
        title=title,
        rest_mm=-plan.path.length_mm,
        off=Sparse(),
        hose=plan.spec.name,
    )


def _through(moves: Moves, key: str) -> str:
    return f"drilling through the {moves.parts[key.partition(':')[2]].plan.title.lower()}"


def _measured(answer: HoseAnswer, order: Sequence[str]) -> bool:
    """True for a hose whose length is taken on the vehicle, with both its ends in their places."""
    ends = (f"component:{split_port(text)[0]}" for text in (answer.spec.from_, answer.spec.to))
    own = order.index(f"hose:{answer.spec.name}")
    return bool(answer.measure_why) and all(order.index(end) < own for end in ends if end in order)


def _placed_by_hose(moves: Moves, decision: Decision) -> None:
    """A thing that goes where its made-up hose puts it: as far along its panel as takes up the difference."""
    answer = next(h for h in moves.prepared.lines.hoses if h.spec.name == decision.hose)
    if answer.path is None or not decision.panel:
        return
    sheet = moves.sheets[decision.panel]
    end, port = ("start", answer.run.start) if answer.spec.decides == "from" else ("end", answer.run.end)
    pose = panel_pose(sheet.panel)
    slope = pose[:3, :2].T @ gradients(answer, answer.path)[end]
    power = float(slope @ slope)
    if power < LEAST_SLOPE**2:
        return
    made = Sparse({c: np.array([1.0]) for c in moves.columns.of("hose_length", answer.spec.name)})
    short = made.plus(longer(answer, answer.path, moves), -1.0)
    shift = Sparse().plus(short, (slope / power)[:, None])
    at = np.linalg.inv(pose) @ np.array([*port.position, 1.0])
    move = PartMove((float(at[0]), float(at[1])), shift, Sparse())
    if decision.part:
        sheet.place(moves.parts[decision.part], move)
    else:
        sheet.hole |= dict.fromkeys(decision.holes, shift)
