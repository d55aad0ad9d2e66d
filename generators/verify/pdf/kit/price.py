"""Reads the price of a kit: every line worked out from the rates, the sum added up from what is printed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from generators.model.spec.tools.rates import Rates
from generators.standards import material
from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.told import read_told
from generators.verify.pdf.nest import NestWanted
from generators.verify.readback import ReadBack

NO_RATE = "norate"
MONEY, ADDED = 0.00501, 0.001
_SUM = re.compile(r"(TOTAL|SUMOFWHATHASARATE),(?:all\d+kits|onekit):(\d+\.\d\d)")
_EACH = re.compile(r"(?:TOTAL|SUMOFWHATHASARATE),eachkit:(\d+\.\d\d)")
_MISSING = re.compile(r"NOTINIT:(\d+)line")
_AMOUNT = re.compile(r"(norate|\d+\.\d\d)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class HosePriced:
    """One hose: title, dash, kind, whether it is pushed on with clips, and its cut length, None where it is
    measured first; ``bought`` is what the bill calls one that is bought as it is.
    """

    title: str
    dash: int
    kind: str
    cut_mm: float | None
    pushed: bool = False
    bought: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceWanted:
    """What the price is of: the nest, hoses, bought things with their count in a kit, bench time."""

    nest: NestWanted | None
    rates: Rates
    hoses: Sequence[HosePriced]
    bought: Mapping[str, int]
    bench_s: float | None
    printed: Sequence[str]
    sets: int

    def lines(self) -> Iterator[tuple[str, float | None]]:
        """How each line begins, and its price."""
        yield from self._metal() if self.nest is not None else [("Cutting, metal and bending", None)]
        yield from ((title, None) for title in self.printed)
        rows = {(row.dash, str(row.kind), row.service == "feed"): row for row in self.rates.hose}
        for hose in self.hoses:
            begins = f"-{hose.dash} {'tube' if hose.kind == 'rigid' else 'hose'}: {hose.title}"
            if hose.cut_mm is None:
                yield begins, None
                continue
            row = rows.get((hose.dash, hose.kind, hose.pushed))
            if hose.bought:
                each = {row.item: row.each for row in self.rates.bought}.get(hose.bought)
                yield begins, None if each is None else self.sets * each
            else:
                yield begins, None if row is None else self.sets * hose.cut_mm / 1000 * row.per_m
            end = None if row is None else row.end
            yield f"Ends of {hose.title}", None if end is None else 2 * self.sets * end
        prices = {row.item: row.each for row in self.rates.bought}
        for item, count in self.bought.items():
            yield item, prices[item] * count * self.sets if item in prices else None
        hour = self.rates.bench_hour
        known = self.bench_s is not None and hour is not None
        bench = (self.bench_s or 0.0) / 3600 * (hour or 0.0) * self.sets if known else None
        yield "Picking, making up hoses, packing", bench

    def _metal(self) -> Iterator[tuple[str, float | None]]:
        nest = self.nest
        if nest is None:
            return
        for number, (rack, _) in enumerate(nest.sheets, 1):
            stock = f"{rack.material}, {rack.thickness_mm:g} mm"
            seconds, hour = nest.cutter_s(number), self.rates.cutter_hour
            cut = None if seconds is None or hour is None else seconds / 3600 * hour
            yield f"Cutting, sheet {number}, {stock}", cut
            kg = nest.metal_mm2(number) * rack.thickness_mm * material(rack.material).density_kg_m3 * 1e-9
            yield f"Metal, sheet {number}, {stock}", None if rack.per_kg is None else kg * rack.per_kg
        if nest.bends:
            brake, hour = nest.brake_s, self.rates.brake_hour
            yield "Bending", None if brake is None or hour is None else brake / 3600 * hour


def read_price(path: Path, *, rel: str, title: str, revision: str, wanted: PriceWanted) -> ReadBack:
    """The finished sheet, line by line."""
    lines = list(wanted.lines())
    facts = (f"{len(lines)} lines worked out again from the rates, and their sum",)
    problems = partial(_problems, lines=lines, wanted=wanted)
    return read_told(path, problems, rel=rel, title=title, revision=revision, facts=facts)


def _columns(rates: Rates) -> str:
    """The table's head, which is repeated where it goes on on a new page."""
    return plain("what how much rate price" + (f" in {rates.currency}" if rates.currency else ""))


def _problems(text: str, lines: Sequence[tuple[str, float | None]], wanted: PriceWanted) -> Iterator[str]:
    sums, sets = _SUM.search(text), wanted.sets
    if sums is None:
        yield "has no sum"
        return
    table = text[: text.rindex("Sum", 0, sums.start())]
    begins = [plain(what) for what, _ in lines]
    at = table.find(begins[0]) if begins else -1
    printed: list[float | None] = []
    for k, (what, price) in enumerate(lines):
        start = table.find(begins[k], at)
        if start < 0:
            yield f"has no line {what!r}"
            return
        at = start + len(begins[k])
        end = table.find(begins[k + 1], at) if k + 1 < len(lines) else len(table)
        row = table[at : end if end >= 0 else len(table)]
        found = _AMOUNT.search(row.removesuffix(_columns(wanted.rates)))
        said = None if found is None or found[1] == NO_RATE else float(found[1])
        printed.append(said)
        if found is None:
            yield f"gives no price for {what!r}"
        elif (said is None) != (price is None):
            yield f"says {found[1]} for {what!r}, by the rates it is {price}"
        elif said is not None and price is not None and abs(said - price) > MONEY:
            yield f"gives {said:.2f} for {what!r}, by the rates it is {price:.2f}"
    total = math.fsum(said for said in printed if said is not None)
    missing = sum(price is None for _, price in lines)
    if abs(float(sums[2]) - total) > ADDED:
        yield f"adds up to {sums[2]}, its lines to {total:.2f}"
    if (sums[1] == "TOTAL") != (missing == 0):
        yield f"calls its sum {sums[1]}, and {missing} lines have no rate"
    said_missing = _MISSING.search(text)
    if (int(said_missing[1]) if said_missing else 0) != missing:
        yield f"does not say that {missing} lines have no rate"
    each = _EACH.search(text)
    if (each is not None) != (sets > 1) or (each is not None and abs(float(each[1]) - total / sets) > MONEY):
        yield f"does not give {total / sets:.2f} for each kit"
