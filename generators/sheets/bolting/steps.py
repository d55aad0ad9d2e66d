"""Bolts on the install sheet: a table on the step that uses them, the bags, the spanners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from generators.model.install import Listing, Phase, StepTable
from generators.model.joints.fasteners import INTO_THREAD, FastenerSet, fasteners_for
from generators.sheets.bill import Item
from generators.sheets.bolting.words import NOTES, lots, spanner_words, torque_text
from generators.strength.preload import NUT_FACTOR_DRY, NUT_FACTOR_SLIPPERY
from generators.units import UnitSystem

HEAD = ("bolts", "how tight")


def bolt_table(sets: Sequence[FastenerSet], units: UnitSystem) -> StepTable | None:
    """What one step takes, and how hard each is done up; None for nothing."""
    rows = []
    for lot in lots(sets, units):
        where = f" ({lot.where})" if lot.where else ""
        waits = f"; {lot.waits}" if lot.waits else ""
        way = f": {lot.way}" if lot.way else ""
        rows.append((f"{lot.count} × {lot.words}{where}{way}{waits}", lot.tight))
    return StepTable(head=HEAD, rows=tuple(rows), shares=(0.66, 0.34)) if rows else None


def with_bolts(
    phases: Sequence[Phase], sets: Sequence[FastenerSet], units: UnitSystem = "metric"
) -> tuple[Phase, ...]:
    """The phases, the last step of each task with its bolts: a part may be on and off before that.

    What no step uses stays in its bag.
    """
    last = {key: step.number for phase in phases for step in phase.steps for key in step.tasks}
    out = []
    for phase in phases:
        steps = []
        for step in phase.steps:
            keys = [k for k in step.tasks if last[k] == step.number and not k.startswith("drill:")]
            table = bolt_table([made for key in keys for made in fasteners_for(sets, key)], units)
            steps.append(step if table is None else replace(step, tables=(*step.tables, table)))
        out.append(replace(phase, steps=tuple(steps)))
    return tuple(out)


def bag_list(items: Sequence[Item]) -> tuple[Listing, ...]:
    """What is in each bag, a row for each; then, once, what the torques assume."""
    bags: dict[str, list[str]] = {}
    for item in items:
        use = f" ({item.uses[0]})" if item.kind in ("hose", "clamp") and item.uses else ""
        if item.kind == "end":
            use = f" ({item.size})"
        apart = f" ({item.apart})" if item.apart else ""
        bags.setdefault(item.bag, []).append(f"{item.quantity} × {item.item}{use}{apart}")
    if not bags:
        return ()
    rows = tuple((bag, "; ".join(what)) for bag, what in bags.items())
    table = StepTable(head=("bag", "what is in it"), rows=rows, shares=(0.22, 0.78))
    heads = ("with a figure", "without", "nuts")
    rows = tuple(zip(heads, NOTES, strict=True))
    notes = StepTable(head=("bolts", "how tight"), rows=rows, shares=(0.16, 0.84))
    return (Listing(title="Parts by bag", table=table), Listing(title="How tight", table=notes))


def tool_rows(sets: Sequence[FastenerSet], units: UnitSystem = "metric") -> Iterator[tuple[str, str]]:
    """Spanners and the range of the torque wrench."""
    spanners = spanner_words(sets)
    if not spanners:
        return
    torques = [made.tighten.torque_nm for made in sets if made.tighten.torque_nm is not None]
    wrench = ""
    if torques:
        # plated and oiled bolts take less: the wrench has to go down to that
        least, most = min(torques) * NUT_FACTOR_SLIPPERY / NUT_FACTOR_DRY, max(torques)
        ends = dict.fromkeys((torque_text(least, units), torque_text(most, units)))
        wrench = f"; torque wrench for {' to '.join(ends)}"
    locked = any(made.into in INTO_THREAD for made in sets)
    locker = "; thread locker" if locked else ""
    yield "bolts", f"two spanners of each: {spanners}{wrench}{locker}"
