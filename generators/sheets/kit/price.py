"""What a lot of kits costs the shop, line by line, by its own rates; nothing without a rate."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generators.drawing.nest.words import clock, money
from generators.figures import fixed
from generators.model.findings import Waived
from generators.model.spec.selling.kit import Kit
from generators.model.spec.tools.rates import HoseRate, Rates
from generators.model.words import PricedService
from generators.nesting.cost import HOUR_S, nest_work
from generators.nesting.nest import Nest, stock_name
from generators.sheets.bill import Item
from generators.sheets.document import (
    TITLE,
    body_width,
    gap,
    heading,
    paragraph,
    table,
    waived_story,
    write_document,
)
from generators.sheets.hose_words import HoseLine, hose_item
from generators.solve.hoses.made_up import bought_as_it_is
from generators.units import UnitSystem

HEAD = "PRICE OF THE KIT"
COLUMNS = ("what", "how much", "rate", "price")
SHARES = (0.34, 0.34, 0.18, 0.14)
NO_RATE = "no rate"
OWN_RATES = (
    "Worked out from the rates in the shop's own file and nothing else. It is what the shop spends, no "
    "offer: profit, taxes, postage and what went wrong are not in it."
)
BOUGHT = ("fastener", "insert", "grommet", "fitting", "cylinder", "clamp")
"""Kinds of the bill with a price each; hoses go by the metre, their ends by the end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line of the sum; ``price`` is None where the shop file has no rate, which ``rate`` then names."""

    what: str
    amount: str
    rate: str
    price: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """All lines for a lot of ``sets`` kits."""

    lines: tuple[PriceLine, ...]
    sets: int
    rates: Rates

    @property
    def known(self) -> float:
        """Sum of the lines that have a price, each as it is printed: who adds them up finds the same."""
        return math.fsum(float(fixed(line.price, 2)) for line in self.lines if line.price is not None)

    @property
    def missing(self) -> tuple[PriceLine, ...]:
        """Lines without a rate."""
        return tuple(line for line in self.lines if line.price is None)

    def rows(self) -> tuple[tuple[str, ...], ...]:
        """As printed, in the order of ``COLUMNS``."""
        return tuple(
            (x.what, x.amount, x.rate, NO_RATE if x.price is None else fixed(x.price, 2)) for x in self.lines
        )

    def sums(self) -> tuple[str, ...]:
        """The last lines."""
        lot = f"all {self.sets} kits" if self.sets > 1 else "one kit"
        word = "TOTAL" if not self.missing else "SUM OF WHAT HAS A RATE"
        out = [f"{word}, {lot}: {money(self.known, self.rates)}"]
        if self.sets > 1:
            out.append(f"{word}, each kit: {money(self.known / self.sets, self.rates)}")
        if self.missing:
            count = len(self.missing)
            out.append(
                f"NOT IN IT: {count} line{'s' if count > 1 else ''} without a rate. It costs more than this."
            )
        return tuple(out)


def price_of(
    nest: Nest | None,
    sets: int,
    rates: Rates,
    *,
    hoses: Sequence[HoseLine],
    items: Sequence[Item],
    kit: Kit,
    printed: Sequence[str] = (),
    units: UnitSystem = "metric",
) -> Price:
    """Every line of the sum for ``sets`` kits.

    ``items`` are one kit's bill, ``printed`` the titles of parts a printer makes; ``nest`` is None for a shop
    that has not said what sheets it has.
    """
    lines = (
        *(_no_nest() if nest is None else (*_cut(nest, rates), *_bent(nest, rates))),
        *(
            PriceLine(what=x, amount="printed part", rate="none for printed parts", price=None)
            for x in printed
        ),
        *_hoses(hoses, rates, sets, units),
        *_bought(items, kit, rates, sets),
        _bench(kit, rates, sets),
    )
    return Price(lines=lines, sets=sets, rates=rates)


def _no_nest() -> Iterator[PriceLine]:
    yield PriceLine(
        what="Cutting, metal and bending", amount="no nest", rate="[[sheet]]: none given", price=None
    )


def _cut(nest: Nest, rates: Rates) -> Iterator[PriceLine]:
    work = nest_work(nest, rates)
    for sheet, done in zip(nest.sheets, work.sheets, strict=True):
        stock = stock_name(sheet.rack)
        cuts = f"{fixed(done.length_mm / 1000, 2)} m of cuts, {done.pierces} pierces"
        time = "" if done.total_s is None else f", {clock(done.total_s)} with setting up"
        missing = [] if done.cut_s is not None else [f"[[rates.cut]] of {stock}"]
        missing += [] if done.setup_s is not None else ["[rates] sheet_setup"]
        rate = "; ".join(missing) or _hourly(rates.cutter_hour, "cutter_hour", rates)
        yield PriceLine(
            what=f"Cutting, sheet {sheet.number}, {stock}",
            amount=cuts + time,
            rate=rate,
            price=done.cut_price,
        )
        per_kg = sheet.rack.per_kg
        yield PriceLine(
            what=f"Metal, sheet {sheet.number}, {stock}",
            amount=f"{fixed(done.used_kg, 2)} kg of sheet, waste in it",
            rate=f"[[sheet]] per_kg of {stock}" if per_kg is None else f"{money(per_kg, rates)} a kg",
            price=done.metal_price,
        )


def _hourly(price: float | None, key: str, rates: Rates) -> str:
    return f"[rates] {key}" if price is None else f"{money(price, rates)} an hour"


def _bent(nest: Nest, rates: Rates) -> Iterator[PriceLine]:
    work = nest_work(nest, rates)
    if not work.bends:
        return
    kinds = sum(bool(blank.plan.bends) for blank in nest.blanks)
    time = "" if work.bend_s is None else f", {clock(work.bend_s)}"
    missing = [
        f"[rates] {k}" for k, v in (("bend", rates.bend_s), ("bend_setup", rates.bend_setup_s)) if v is None
    ]
    yield PriceLine(
        what="Bending",
        amount=f"{work.bends} bends, {kinds} part{'s' if kinds > 1 else ''} to set up for{time}",
        rate="; ".join(missing) or _hourly(rates.brake_hour, "brake_hour", rates),
        price=work.bend_price,
    )


def hose_rate(rates: Rates, hose: HoseLine) -> HoseRate | None:
    """The shop's price of that hose or tube."""
    wanted = (hose.spec.dash, hose.spec.kind, _priced(hose))
    return next((r for r in rates.hose if (r.dash, r.kind, r.service) == wanted), None)


def _priced(hose: HoseLine) -> PricedService:
    """A hose that is pushed on costs as one: other hose, and clips in place of fittings."""
    return "feed" if hose.spec.pushed_on else "pressure"


def _hoses(hoses: Sequence[HoseLine], rates: Rates, sets: int, units: UnitSystem) -> Iterator[PriceLine]:
    for hose in hoses:
        spec, row = hose.spec, hose_rate(rates, hose)
        what = f"-{spec.dash} {'tube' if spec.kind == 'rigid' else 'hose'}: {hose.title}"
        missing = f"[[rates.hose]] of -{spec.dash} {spec.kind}" + (
            ", feed" if _priced(hose) == "feed" else ""
        )
        if hose.length is None or hose.measure_why:
            yield PriceLine(
                what=what, amount="length is measured on the vehicle", rate="not known yet", price=None
            )
            continue
        if bought_as_it_is(spec):
            yield _piece(what, hose_item(hose, units), sets, rates)
        else:
            metres = sets * hose.length.cut_mm / 1000
            yield PriceLine(
                what=what,
                amount=f"{fixed(metres, 3)} m",
                rate=missing if row is None else f"{money(row.per_m, rates)} a metre",
                price=None if row is None else metres * row.per_m,
            )
        each = None if row is None else row.end
        yield PriceLine(
            what=f"Ends of {hose.title}",
            amount=f"{2 * sets} ends",
            rate=f"end in {missing}" if each is None else f"{money(each, rates)} each",
            price=None if each is None else 2 * sets * each,
        )


def _bought(items: Sequence[Item], kit: Kit, rates: Rates, sets: int) -> Iterator[PriceLine]:
    counts: dict[str, int] = {}
    for item in items:
        if item.kind in BOUGHT:
            counts[item.item] = counts.get(item.item, 0) + item.quantity
    for extra in kit.extra:
        counts[extra.item] = counts.get(extra.item, 0) + extra.quantity
    for thing, count in counts.items():
        yield _piece(thing, thing, count * sets, rates)


def _piece(what: str, item: str, count: int, rates: Rates) -> PriceLine:
    """So many of a thing that is bought by the piece; ``item`` is what the bill calls it."""
    each = next((row.each for row in rates.bought if row.item == item), None)
    return PriceLine(
        what=what,
        amount=f"{count} pieces" if count > 1 else "1 piece",
        rate="[[rates.bought]] of it" if each is None else f"{money(each, rates)} each",
        price=None if each is None else count * each,
    )


def _bench(kit: Kit, rates: Rates, sets: int) -> PriceLine:
    missing = [] if kit.bench_s is not None else ["[kit] bench"]
    missing += [] if rates.bench_hour is not None else ["[rates] bench_hour"]
    price = (
        None
        if kit.bench_s is None or rates.bench_hour is None
        else kit.bench_s * sets * rates.bench_hour / HOUR_S
    )
    return PriceLine(
        what="Picking, making up hoses, packing",
        amount="–" if kit.bench_s is None else clock(kit.bench_s * sets),
        rate="; ".join(missing) or _hourly(rates.bench_hour, "bench_hour", rates),
        price=price,
    )


def write_price(
    path: Path,
    *,
    price: Price,
    facts: Sequence[str],
    subject: str,
    revision: str,
    paper: str,
    waived: Sequence[Waived] = (),
) -> None:
    """Write the sheet. Raises ``OSError``."""
    width = body_width(paper)
    unit = f" in {price.rates.currency}" if price.rates.currency else ""
    story: list[Any] = [paragraph(HEAD, TITLE), *map(paragraph, facts), gap(1), paragraph(OWN_RATES), gap(2)]
    story.append(table((*COLUMNS[:3], f"price{unit}"), price.rows(), [width * s for s in SHARES]))
    story += heading("Sum")
    story += map(paragraph, price.sums())
    story += waived_story(waived, width)
    write_document(
        path,
        story,
        title=f"{subject}: {HEAD.lower()}",
        subject=subject,
        revision=revision,
        paper=paper,
        waived=waived,
    )
