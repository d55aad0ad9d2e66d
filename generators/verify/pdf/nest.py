"""The overview of a nest, read from the PDF: pieces counted, lengths, times and prices worked out anew."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import LinearRing, Polygon

from generators.geometry.contours import polyline
from generators.model.plan import PartPlan
from generators.model.spec.tools.rates import RackSheet, Rates
from generators.sheetmetal.cut_file import cut_pattern
from generators.sheetmetal.folding import flat_pattern
from generators.standards import material
from generators.verify.pdf.content import UnreadablePdfError, read_pdf, says
from generators.verify.readback import ReadBack

CAUTION = "have the work checked by a licensed mechanic and follow local codes"
GLOVES = "Cut edges are sharp"
MONEY = 0.006
METRES = 0.0051
CHORD_MM = 0.0005
CUTS = re.compile(r"Cuts (?P<metres>[\d.]+) m, (?P<pierces>\d+) pierces\.")
PRICE = re.compile(r"(?P<what>Cutting|Metal|Bending|TOTAL) (?P<price>\d+\.\d\d)")
REMNANT = re.compile(r"Keep the remnant, (?P<long>\d+) x (?P<wide>\d+) mm")
USES = re.compile(r"Uses (?P<kg>\d+\.\d\d) kg of sheet; the blanks' outlines fill (?P<share>\d+) % of it")
CLOCK = r"(?:(?P<h>\d+) h (?P<hmin>\d\d) min|(?P<min>\d+) min|(?P<s>\d+) s)"
CUTTER = re.compile(rf"On the cutter {CLOCK}, setting up included")
BRAKE = re.compile(rf"On the brake {CLOCK} for (?P<bends>\d+) bends, setting up included")
EACH = re.compile(r"TOTAL \d+\.\d\d.{0,10}, (?P<price>\d+\.\d\d).{0,10} for each set")
FEWEST = re.compile(r"(?P<count>\d+) sheets?; by the blanks' area no nest takes fewer than (?P<least>\d+)\.")
KG, SHARE = 0.00501, 0.51
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class NestWanted:
    """What the overview tells of: plans with pieces in all, sheets with pieces of each part, and what is
    left of each."""

    plans: Mapping[str, PartPlan]
    least_mm: Mapping[str, float]
    pieces: Mapping[str, int]
    sheets: Sequence[tuple[RackSheet, Mapping[str, int]]]
    remnants: Sequence[Box | None]
    sets: int
    kerf_mm: float | None
    rates: Rates

    def metal_mm2(self, number: int) -> float:
        """What a sheet loses to the nest: all of it but the remnant."""
        rack, box = self.sheets[number - 1][0], self.remnants[number - 1]
        left = 0.0 if box is None else (box[2] - box[0]) * (box[3] - box[1])
        return rack.length_mm * rack.width_mm - left

    def outlines_mm2(self, number: int) -> float:
        """Area within the outlines on a sheet as they are cut."""
        return math.fsum(
            count * _outline_mm2(self.plans[part], self.kerf_mm, self.least_mm[part])
            for part, count in self.sheets[number - 1][1].items()
        )

    def work(self, number: int) -> tuple[float, int]:
        """Length of all cuts of a sheet, mm, and its pierces."""
        works = [
            (*cut_work(self.plans[part], self.least_mm[part]), count)
            for part, count in self.sheets[number - 1][1].items()
        ]
        return math.fsum(w[0] * w[2] for w in works), sum(w[1] * w[2] for w in works)

    def cutter_s(self, number: int) -> float | None:
        """Time of a sheet on the cutter, setting up included; None without a rate."""
        rack = self.sheets[number - 1][0]
        rate = next(
            (
                c
                for c in self.rates.cut
                if c.material == rack.material and abs(c.thickness_mm - rack.thickness_mm) < 0.021
            ),
            None,
        )
        if rate is None or self.rates.sheet_setup_s is None:
            return None
        length, pierces = self.work(number)
        return length / rate.speed_mm_per_s + pierces * rate.pierce_s + self.rates.sheet_setup_s

    @property
    def bends(self) -> int:
        """Bends of all pieces."""
        return sum(len(plan.bends) * self.pieces[part] for part, plan in self.plans.items())

    @property
    def brake_s(self) -> float | None:
        """Time on the brake, each bent part set up once; None without a rate."""
        bent, rates = sum(bool(plan.bends) for plan in self.plans.values()), self.rates
        if rates.bend_s is None or rates.bend_setup_s is None:
            return None
        return self.bends * rates.bend_s + bent * rates.bend_setup_s


def read_nest_overview(
    path: Path, wanted: NestWanted, *, job_title: str, revision: str, rel: str
) -> ReadBack:
    """Read a finished overview; a file that cannot be read is a problem, not an exception."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    pages = [page.text for page in pdf.pages]
    problems: list[str] = []
    if len(pages) != 1 + len(wanted.sheets):
        problems.append(f"{len(pages)} pages for {len(wanted.sheets)} sheets")
    for number, text in enumerate(pages, 1):
        for word in (job_title, f"revision {revision}", CAUTION, GLOVES, f"page {number} of {len(pages)}"):
            if not says(text, word):
                problems.append(f"page {number} does not say {word!r}")
    sums: dict[str, float] = {}
    known: dict[str, bool] = {"Cutting": True, "Metal": True}
    for number, text in enumerate(pages[1 : 1 + len(wanted.sheets)], 1):
        faults, prices = _sheet(text, number, wanted)
        problems += [f"sheet {number} {fault}" for fault in faults]
        for what, so_far in known.items():
            known[what] = so_far and what in prices
            sums[what] = sums.get(what, 0.0) + prices.get(what, 0.0)
    if pages:
        problems += _first(pages[0], wanted, sums, known)
    total = sum(wanted.pieces.values())
    fact = (
        f"{total} pieces on {len(wanted.sheets)} sheets, lengths, times, masses and prices worked out again"
    )
    return ReadBack(path=rel, facts=(fact,), problems=tuple(dict.fromkeys(problems)))


def cut_work(plan: PartPlan, least_mm: float) -> tuple[float, int]:
    """Length of all cuts, mm, and pierces, measured along fine chords, not by the writer's formula."""
    flat = flat_pattern(plan)
    lengths = [LinearRing(polyline(flat.contour, CHORD_MM)).length]
    lengths += [math.pi * h.diameter_mm for h in flat.holes if h.diameter_mm >= least_mm]
    lengths += [2 * s.travel_mm + math.pi * s.width_mm for s in flat.slots if s.width_mm >= least_mm]
    return math.fsum(lengths), len(lengths)


def _outline_mm2(plan: PartPlan, kerf_mm: float | None, least_mm: float) -> float:
    return float(Polygon(polyline(cut_pattern(flat_pattern(plan), kerf_mm, least_mm).contour, CHORD_MM)).area)


def _sheet(text: str, number: int, wanted: NestWanted) -> tuple[list[str], dict[str, float]]:
    """What is wrong with the page of a sheet, and the prices on it."""
    problems: list[str] = []
    rack, pieces = wanted.sheets[number - 1]
    length, pierces = wanted.work(number)
    for part, count in pieces.items():
        if f"{part} {count} {wanted.pieces[part]}" not in text:
            problems.append(f"does not count {count} of {wanted.pieces[part]} {part}")
    if rack.name and f"MARKED {rack.name}" not in text:
        problems.append(f"does not name the remnant {rack.name!r} it is cut from")
    if f"rolling direction along its {rack.grain}." not in text:
        problems.append(f"does not say that it is rolled along its {rack.grain}")
    said = CUTS.search(text)
    if said is None or abs(float(said["metres"]) - length / 1000) > METRES or int(said["pierces"]) != pierces:
        problems.append(f"does not give {length / 1000:.2f} m of cuts and {pierces} pierces")
    area = wanted.metal_mm2(number)
    weight = rack.thickness_mm * material(rack.material).density_kg_m3 * 1e-9
    kg, share = area * weight, 100 * wanted.outlines_mm2(number) / area
    uses = USES.search(text)
    if uses is None or abs(float(uses["kg"]) - kg) > KG or abs(float(uses["share"]) - share) > SHARE:
        problems.append(f"does not give {kg:.2f} kg of sheet, {share:.0f} % of it filled")
    problems += _clock_problems("on the cutter", CUTTER.search(text), wanted.cutter_s(number))
    problems += _remnant_problems(text, wanted.remnants[number - 1])
    prices = {m["what"]: float(m["price"]) for m in PRICE.finditer(text)}
    problems += _price_problems("Cutting", prices, _cutting(wanted, number), MONEY)
    metal = None if rack.per_kg is None else rack.per_kg * kg
    problems += _price_problems("Metal", prices, metal, MONEY)
    return problems, prices


def _cutting(wanted: NestWanted, number: int) -> float | None:
    seconds, hour = wanted.cutter_s(number), wanted.rates.cutter_hour
    return None if seconds is None or hour is None else seconds * hour / 3600


def _remnant_problems(text: str, box: Box | None) -> Iterator[str]:
    """The remnant's sides as printed, rounded down to 1 mm."""
    said = REMNANT.search(text)
    if box is None:
        if said:
            yield "keeps a remnant, nothing is left"
        return
    sides = box[2] - box[0], box[3] - box[1]
    shown = (float(said["long"]), float(said["wide"])) if said else (-1.0, -1.0)
    if not all(-1e-3 <= side - word < 1 for side, word in zip(sides, shown, strict=True)):
        yield f"does not keep the remnant of {sides[0]:.1f} x {sides[1]:.1f} mm"


def _clock_problems(what: str, said: re.Match[str] | None, wanted: float | None) -> Iterator[str]:
    """A time as printed, to a second below a minute, to a minute from there on."""
    if wanted is None:
        if said:
            yield f"gives a time {what} without a rate for it"
        return
    seconds, slack = -1.0, 0.0
    if said and said["s"]:
        seconds, slack = float(said["s"]), 0.501
    elif said:
        seconds, slack = 3600 * float(said["h"] or 0) + 60 * float(said["hmin"] or said["min"]), 30.01
    if abs(seconds - wanted) > slack:
        yield f"does not give {wanted:.0f} s {what}"


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
    times = [wanted.cutter_s(number) for number in range(1, len(wanted.sheets) + 1)]
    all_s = None if any(t is None for t in times) else math.fsum(t for t in times if t is not None)
    yield from (f"page 1 {p}" for p in _clock_problems("on the cutter", CUTTER.search(text), all_s))
    brake = BRAKE.search(text)
    brake_s = wanted.brake_s if wanted.bends else None
    yield from (f"page 1 {p}" for p in _clock_problems("on the brake", brake, brake_s))
    if brake and int(brake["bends"]) != wanted.bends:
        yield f"page 1 says {brake['bends']} bends, {wanted.bends} are bent"
    hour = wanted.rates.brake_hour
    bending = None if brake_s is None or hour is None else brake_s * hour / 3600
    yield from (f"page 1 {p}" for p in _price_problems("Bending", prices, bending, MONEY))
    whole = all(known.values()) and (bending is not None or not wanted.bends)
    total = sum(sums.values()) + (bending or 0.0)
    yield from (f"page 1 {p}" for p in _price_problems("TOTAL", prices, total if whole else None, slack))
    each = EACH.search(text)
    if bool(each) != (whole and wanted.sets > 1) or (
        each and abs(float(each["price"]) - total / wanted.sets) > MONEY + slack / wanted.sets
    ):
        yield f"page 1 does not give {total / wanted.sets:.2f} for each set"
    yield from _fewest_problems(text, wanted)


def _fewest_problems(text: str, wanted: NestWanted) -> Iterator[str]:
    """Sheets of each stock, and the fewest it could be by the area of the outlines."""
    stocks: dict[tuple[str, float], list[int]] = {}
    for number, (rack, _) in enumerate(wanted.sheets, 1):
        stocks.setdefault((rack.material, rack.thickness_mm), []).append(number)
    shown = [(int(m["count"]), int(m["least"])) for m in FEWEST.finditer(text)]
    counts = []
    for numbers in stocks.values():
        racks = [wanted.sheets[number - 1][0] for number in numbers]
        largest = max(rack.length_mm * rack.width_mm for rack in racks)
        area = math.fsum(wanted.outlines_mm2(number) for number in numbers)
        counts.append((len(numbers), math.ceil(area / largest - 1e-6)))
    if shown != counts:
        yield f"page 1 counts sheets and the fewest possible as {shown}, they are {counts}"
