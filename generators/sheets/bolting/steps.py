"""Bolts on the install sheet: a table on the step that uses them, the bags, the spanners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from generators.model.install import Listing, Phase, StepTable
from generators.model.joints.fasteners import INTO_THREAD, FastenerSet, fasteners_for
from generators.model.sold.packing import NOT_PACKED, Packing, Thing, ThingKind
from generators.sheets.bill import Item
from generators.sheets.bolting.words import NOTES, lots, spanner_words, torque_text
from generators.sheets.hose_words import FLATS, FLATS_SOURCE, LinesSheet
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


def bag_list(
    items: Sequence[Item],
    packing: Packing = NOT_PACKED,
    lines: LinesSheet | None = None,
    absent: str = "",
) -> tuple[Listing, ...]:
    """What is in each bag, a row for each; then, once, what the torques assume.

    Of a kit its bags are those of ``packing``, as its labels and its packing list have them. ``lines`` have
    nuts and fittings of their own, which are tightened otherwise; ``absent`` says what one might look for in
    a bag and does not find.
    """
    rows = _packed_rows(packing) if packing.boxes else _bill_rows(items)
    if not rows:
        return ()
    table = StepTable(head=("bag", "what is in it"), rows=rows, shares=(0.22, 0.78))
    heads = ("with a figure", "without", "nuts")
    fittings = _fitting_rows(lines) if lines is not None else ()
    rows = (*_own_bolts(packing), *zip(heads, NOTES, strict=True), *fittings)
    notes = StepTable(head=("bolts", "how tight"), rows=rows, shares=(0.16, 0.84))
    return (Listing(title="Parts by bag", words=absent, table=table), Listing(title="How tight", table=notes))


def _fitting_rows(lines: LinesSheet) -> Iterator[tuple[str, str]]:
    """How tight nuts of hoses and tubes are, and of what nobody publishes a figure that holds for all."""
    dashes = sorted({h.spec.dash for h in lines.hoses if not h.spec.pushed_on and h.spec.dash in FLATS})
    if dashes:
        turns = ", ".join(f"-{dash} by {FLATS[dash]} flats" for dash in dashes)
        yield (
            "of hoses, tubes",
            f"37 degree nuts, from finger tight: {turns} ({FLATS_SOURCE}). No torque: it would hang on "
            "plating and oil.",
        )
    bulkheads = any(component.kind == "bulkhead" for component in lines.components)
    own = [*(["the nut of a bulkhead fitting"] if bulkheads else []), "adapters, bleed screws, hollow bolts"]
    if lines.components:
        yield (
            "of fittings",
            f"{', '.join(own)}: as the fitting's or the cylinder's maker gives. No figure of ours stands "
            "for them: it hangs on their metal and their seal.",
        )


def _own_bolts(packing: Packing) -> Iterator[tuple[str, str]]:
    """Which of two torques is that of the bolts that lie in the kit."""
    if packing.bolts:
        theirs = "first, dry, unless you oil them" if packing.bolts == "plain" else "second, the lower one"
        yield (
            "of this kit",
            f"{packing.bolts_words}, as they come. Where two torques stand, theirs is the {theirs}.",
        )


def _packed_rows(packing: Packing) -> tuple[tuple[str, str], ...]:
    """Every bag of a kit, box by box, and what lies loose."""
    rows = []
    for box in packing.boxes:
        there = f", in box {box.number}" if len(packing.boxes) > 1 else ""
        rows += [(f"{packing.head(bag)}{there}", _things(bag.things)) for bag in box.bags]
        if box.loose:
            rows.append((f"Loose{there}", _things(box.loose)))
    return tuple(rows)


def _things(things: Sequence[Thing]) -> str:
    """All of a bag in one line: which hose it is, and what a thing is for that is no part of the job."""
    return "; ".join(
        f"{thing.sized}{_use(thing.kind, thing.uses)}{f' ({thing.apart})' if thing.apart else ''}"
        for thing in things
    )


def _use(kind: ThingKind | None, use: str) -> str:
    return f" ({use})" if kind in ("hose", "clamp") and use else ""


def _bill_rows(items: Sequence[Item]) -> tuple[tuple[str, str], ...]:
    """The bags of the bill."""
    bags: dict[str, list[str]] = {}
    for item in items:
        use = _use(item.kind, ", ".join(item.uses))
        if item.kind == "end":
            use = f" ({item.size})"
        if item.kind == "cylinder" and item.size.startswith("bore "):
            # two masters that look alike are told apart by it
            use = f" ({item.size.partition('; ')[0]})"
        apart = f" ({item.apart})" if item.apart else ""
        bags.setdefault(item.bag, []).append(f"{item.quantity} × {item.item}{use}{apart}")
    return tuple((bag, "; ".join(what)) for bag, what in bags.items())


def tool_rows(
    sets: Sequence[FastenerSet], units: UnitSystem = "metric", locker_in: str = ""
) -> Iterator[tuple[str, str]]:
    """Spanners and the range of the torque wrench; ``locker_in`` is where thread locker lies in the kit."""
    spanners = spanner_words(sets)
    if not spanners:
        return
    torques = [made.tighten.torque_nm for made in sets if made.tighten.torque_nm is not None]
    wrench = ""
    if torques:
        # plated and oiled bolts take less: the wrench has to go down to that
        least, most = min(torques) * NUT_FACTOR_SLIPPERY / NUT_FACTOR_DRY, max(torques)
        ends = dict.fromkeys((torque_text(least, units), torque_text(most, units)))
        wrench = f"; torque wrench for {' to '.join(ends)}, and what the locking nut takes to turn on top"
    locked = any(made.into in INTO_THREAD for made in sets)
    lies = f" (in {locker_in})" if locker_in else ""
    locker = f"; thread locker{lies}" if locked else ""
    yield "bolts", f"two spanners of each: {spanners}{wrench}{locker}"
