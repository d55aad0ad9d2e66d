"""A prepared job to the kit a chance looks at."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from generators.errors import LookupFault
from generators.layout.mounting import panel_pose
from generators.measure.chance.kit import BoltedOn, Kit
from generators.model.spec.forms.spread import Spread
from generators.model.words import HoleWay
from generators.reading.keys.lines import split_port
from generators.solve.hoses.lines import HoseAnswer
from generators.solve.hoses.order import Decision
from generators.solve.job import Prepared
from generators.solve.spread.columns import Columns, Sparse, dense
from generators.solve.spread.gaps import gap_gauges
from generators.solve.spread.holes import PanelMoves, PartMove
from generators.solve.spread.hoses import gradients, hose_gauges, longer
from generators.solve.spread.moves import Moves

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


def kit_of(prepared: Prepared, spread: Spread, put: Sequence[tuple[str, str]] = ()) -> Kit:
    """The kit of a job, put on by its own order of work or by one with steps moved.

    Raises ``LookupFault`` for a step that is none.
    """
    job, order = prepared.file.job, order_of(prepared, put)
    columns = Columns(spread=spread, units=prepared.file.units)
    ways = _ways(prepared, order)
    shop = prepared.file.shop.position
    sheets = {
        panel.name: PanelMoves(panel, layout, prepared.parts, shop, columns, ways.get(panel.name, {}))
        for panel, layout in zip(job.panel, prepared.layouts, strict=True)
    }
    moves = Moves(prepared, columns, sheets)
    bolted = []
    by_hose = {d.part or d.component: d for d in prepared.lines.decided}
    for key in order:
        table, _, name = key.partition(":")
        decision = by_hose.get(name) if table in ("part", "component") else None
        marked = f"decided:{decision.component}" if decision is not None else ""
        if decision is not None and order.index(f"hose:{decision.hose}") < order.index(marked):
            _placed_by_hose(moves, decision)
        part = moves.parts.get(name)
        if table != "part" or part is None or part.mount is None:
            continue
        joints, off, clear = sheets[part.mount.panel].bolted(part)
        if joints:
            bolted.append((name, key, part.plan.title.lower(), joints, off, clear))
    wanted = [
        gauge
        for answer in prepared.lines.hoses
        for gauge in hose_gauges(answer, moves, measured=_measured(answer, order), sprung_mm=spread.sprung_mm)
    ]
    wanted += gap_gauges(moves, columns.columns)
    count = len(columns.columns)
    titles = {t.key: t.title for t in prepared.lines.order.tasks}
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
            for name, key, title, joints, off, clear in bolted
        ),
        gauges=tuple(each.gauge(count) for each in wanted),
        tasks=tuple((key, titles[key] if key in titles else _through(moves, key)) for key in order),
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
