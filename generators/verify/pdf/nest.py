"""The overview of a nest, read from the PDF: pieces counted, lengths, times and prices worked out anew."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import LinearRing

from generators.geometry.contours import polyline
from generators.model.plan import PartPlan
from generators.model.spec.tools.rates import RackSheet, Rates
from generators.sheetmetal.folding import flat_pattern
from generators.standards import material
from generators.verify.pdf.content import Content, UnreadablePdfError, read_pdf
from generators.verify.readback import ReadBack

CAUTION = "have the work checked by a licensed mechanic and follow local codes"
GLOVES = "Cut edges are sharp"
MONEY = 0.006
METRES = 0.0051
CHORD_MM = 0.0005
CUTS = re.compile(r"Cuts (?P<metres>[\d.]+) m, (?P<pierces>\d+) pierces\.")
PRICE = re.compile(r"(?P<what>Cutting|Metal|Bending|TOTAL) (?P<price>\d+\.\d\d)")
REMNANT = re.compile(r"Keep the remnant, (?P<long>\d+) x (?P<wide>\d+) mm")
BEGINNING = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class NestWanted:
    """What the overview tells of: plans with pieces in all, and sheets with pieces of each part."""

    plans: Mapping[str, PartPlan]
    least_mm: Mapping[str, float]
    pieces: Mapping[str, int]
    sheets: Sequence[tuple[RackSheet, Mapping[str, int]]]
    rates: Rates


def read_nest_overview(
    path: Path, wanted: NestWanted, *, job_title: str, revision: str, rel: str
) -> ReadBack:
    """Read a finished overview; a file that cannot be read is a problem, not an exception."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    pages = [_text(page) for page in pdf.pages]
    problems: list[str] = []
    if len(pages) != 1 + len(wanted.sheets):
        problems.append(f"{len(pages)} pages for {len(wanted.sheets)} sheets")
    for number, text in enumerate(pages, 1):
        for word in (job_title, f"revision {revision}", CAUTION, GLOVES, f"page {number} of {len(pages)}"):
            if not _says(text, word):
                problems.append(f"page {number} does not say {word!r}")
    sums: dict[str, float] = {}
    known: dict[str, bool] = {"Cutting": True, "Metal": True}
    for number, ((rack, pieces), text) in enumerate(zip(wanted.sheets, pages[1:], strict=False), 1):
        faults, prices = _sheet(text, rack, pieces, wanted)
        problems += [f"sheet {number} {fault}" for fault in faults]
        for what, so_far in known.items():
            known[what] = so_far and what in prices
            sums[what] = sums.get(what, 0.0) + prices.get(what, 0.0)
    if pages:
        problems += _first(pages[0], wanted, sums, known)
    total = sum(wanted.pieces.values())
    fact = f"{total} pieces on {len(wanted.sheets)} sheets, lengths, times and prices worked out again"
    return ReadBack(path=rel, facts=(fact,), problems=tuple(dict.fromkeys(problems)))


def _text(page: Content) -> str:
    return " ".join(" ".join(word.text.split()) for word in page.words if word.text.strip())


def _says(text: str, word: str) -> bool:
    shown = "".join(c if c.encode("cp1252", "ignore") else "\0" for c in word[:BEGINNING])
    plain = "".join(text.split())
    return all("".join(piece.split()) in plain for piece in shown.split("\0"))


def cut_work(plan: PartPlan, least_mm: float) -> tuple[float, int]:
    """Length of all cuts, mm, and pierces, measured along fine chords, not by the writer's formula."""
    flat = flat_pattern(plan)
    lengths = [LinearRing(polyline(flat.contour, CHORD_MM)).length]
    lengths += [math.pi * h.diameter_mm for h in flat.holes if h.diameter_mm >= least_mm]
    lengths += [2 * s.travel_mm + math.pi * s.width_mm for s in flat.slots if s.width_mm >= least_mm]
    return math.fsum(lengths), len(lengths)


def _sheet(
    text: str, rack: RackSheet, pieces: Mapping[str, int], wanted: NestWanted
) -> tuple[list[str], dict[str, float]]:
    """What is wrong with the page of a sheet, and the prices on it."""
    problems: list[str] = []
    works = [(cut_work(wanted.plans[part], wanted.least_mm[part]), count) for part, count in pieces.items()]
    length, pierces = sum(w[0] * n for w, n in works), sum(w[1] * n for w, n in works)
    for part, count in pieces.items():
        if f"{part} {count} {wanted.pieces[part]}" not in text:
            problems.append(f"does not count {count} of {wanted.pieces[part]} {part}")
    if rack.name and f"MARKED {rack.name}" not in text:
        problems.append(f"does not name the remnant {rack.name!r} it is cut from")
    said = CUTS.search(text)
    if said is None or abs(float(said["metres"]) - length / 1000) > METRES or int(said["pierces"]) != pierces:
        problems.append(f"does not give {length / 1000:.2f} m of cuts and {pierces} pierces")
    prices = {m["what"]: float(m["price"]) for m in PRICE.finditer(text)}
    rates = wanted.rates
    cut = next(
        (
            c
            for c in rates.cut
            if c.material == rack.material and abs(c.thickness_mm - rack.thickness_mm) < 0.021
        ),
        None,
    )
    price = None
    if cut is not None and rates.sheet_setup_s is not None and rates.cutter_hour is not None:
        seconds = length / cut.speed_mm_per_s + pierces * cut.pierce_s + rates.sheet_setup_s
        price = seconds * rates.cutter_hour / 3600
    problems += _price_problems("Cutting", prices, price, MONEY)
    metal, slack = None, 0.0
    if rack.per_kg is not None:
        kept = REMNANT.search(text)
        left = float(kept["long"]) * float(kept["wide"]) if kept else 0.0
        each = rack.per_kg * rack.thickness_mm * material(rack.material).density_kg_m3 * 1e-9
        metal = each * (rack.length_mm * rack.width_mm - left)
        # a remnant's sides are printed rounded down to 1 mm
        slack = each * (rack.length_mm + rack.width_mm) if kept else 0.0
    problems += _price_problems("Metal", prices, metal, MONEY + slack)
    return problems, prices


def _price_problems(
    what: str, prices: Mapping[str, float], wanted: float | None, slack: float
) -> Iterator[str]:
    said = prices.get(what)
    if wanted is None and said is not None:
        yield f"prices {what.lower()} at {said:.2f} without a rate for it"
    elif wanted is not None and (said is None or abs(said - wanted) > slack):
        yield f"gives {said} for {what.lower()}; by the rates it is {wanted:.2f}"


def _first(
    text: str, wanted: NestWanted, sums: Mapping[str, float], known: Mapping[str, bool]
) -> Iterator[str]:
    """Page one: every part in its quantity, and sums of what the sheets say."""
    laid: dict[str, int] = {}
    for _, pieces in wanted.sheets:
        for part, count in pieces.items():
            laid[part] = laid.get(part, 0) + count
    for part, count in wanted.pieces.items():
        if laid.get(part, 0) != count:
            yield f"{laid.get(part, 0)} of {count} {part} are on the sheets"
        plan = wanted.plans[part]
        if f"{part} {plan.material}, {plan.thickness_mm:g} mm {count} " not in text:
            yield f"page 1 does not list {count} {part}"
    prices = {m["what"]: float(m["price"]) for m in PRICE.finditer(text)}
    slack = MONEY * (len(wanted.sheets) + 2)
    for what, all_known in known.items():
        yield from (
            f"page 1 {p}" for p in _price_problems(what, prices, sums[what] if all_known else None, slack)
        )
    rates = wanted.rates
    bent = {part: plan for part, plan in wanted.plans.items() if plan.bends}
    bending: float | None = None
    if bent and rates.bend_s is not None and rates.bend_setup_s is not None and rates.brake_hour is not None:
        bends = sum(len(plan.bends) * wanted.pieces[part] for part, plan in bent.items())
        bending = (bends * rates.bend_s + len(bent) * rates.bend_setup_s) * rates.brake_hour / 3600
    yield from (f"page 1 {p}" for p in _price_problems("Bending", prices, bending, MONEY))
    whole = all(known.values()) and (bending is not None or not bent)
    total = sum(sums.values()) + (bending or 0.0)
    yield from (f"page 1 {p}" for p in _price_problems("TOTAL", prices, total if whole else None, slack))
