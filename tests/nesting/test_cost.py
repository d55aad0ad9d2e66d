"""Times and prices by hand, nothing without a rate, and the overview read back."""

from __future__ import annotations

import math
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from plates import BIG, RATES, box, nested, shop

from generators.drawing.nest import overview
from generators.drawing.nest.overview import write_nest_overview
from generators.drawing.nest.words import clock
from generators.model.findings import Waived
from generators.model.spec.tools.rates import Rates
from generators.nesting.cost import nest_work
from generators.nesting.nest import Nest
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.nest import NestWanted, read_nest_overview
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack

PLATE = box("a", 100, 100, 4, "along_u")
OPENINGS = math.pi * 9 + math.pi * 6 + 2 * 8
"""A hole of 9 and a slot of 6 x 8."""


def test_by_hand() -> None:
    made = nested([PLATE], shop(rates=RATES))
    work = nest_work(made, RATES)
    length = 4 * (400 + OPENINGS)
    assert work.sheets[0].length_mm == pytest.approx(length)
    assert work.sheets[0].pierces == 12
    seconds = length / 50 + 12 * 1.5
    assert work.sheets[0].cut_s == pytest.approx(seconds)
    assert work.cut_s == pytest.approx(seconds + 300)
    assert work.cut_price == pytest.approx((seconds + 300) * 90 / 3600)
    # one column of four boxes of 108: cut across at 10 + 108, 1250 wide, 4 mm of 7850 kg/m3
    used = 118 * 1250 * 4 * 7850e-9
    assert work.sheets[0].used_kg == pytest.approx(used, rel=1e-4)
    assert work.metal_price == pytest.approx(1.5 * used, rel=1e-4)
    assert (work.bends, work.bend_price) == (0, 0.0)
    assert work.price == pytest.approx((seconds + 300) * 90 / 3600 + 1.5 * used, rel=1e-4)
    assert work.missing == ()


@pytest.mark.parametrize(
    ("lacking", "gone"),
    [
        ({"cut": ()}, {"cut_s", "cut_price", "price"}),
        ({"cutter_hour": None}, {"cut_price", "price"}),
        ({"sheet_setup_s": None}, {"cut_s", "cut_price", "price"}),
        ({"brake_hour": None, "bend_s": None}, set()),  # nothing is bent
    ],
)
def test_nothing_without_its_rate(lacking: dict[str, object], gone: set[str]) -> None:
    rates = replace(RATES, **lacking)
    work = nest_work(nested([PLATE], shop()), rates)
    assert {
        n for n in ("cut_s", "cut_price", "metal_price", "bend_price", "price") if getattr(work, n) is None
    } == gone
    assert bool(work.missing) == bool(gone)


def written(made: Nest, rates: Rates, path: Path, shown: Rates | None = None) -> Path:
    write_nest_overview(
        made,
        path,
        work=nest_work(made, rates),
        rates=shown or rates,
        job="toy",
        job_title="Toy job, Öl",
        revision="abc1234",
    )
    return path


def read(made: Nest, rates: Rates, path: Path) -> ReadBack:
    wanted = NestWanted(
        plans={b.plan.name: b.plan for b in made.blanks},
        least_mm={b.plan.name: b.least_mm for b in made.blanks},
        pieces={b.plan.name: b.count for b in made.blanks},
        sheets=[(s.rack, Counter(laid.part for laid in s.laid)) for s in made.sheets],
        remnants=[s.remnant for s in made.sheets],
        sets=made.sets,
        kerf_mm=None,
        rates=rates,
    )
    return read_nest_overview(path, wanted, job_title="Toy job, Öl", revision="abc1234", rel="x")


def test_a_sheet_the_customer_brings_costs_nothing_and_says_so(tmp_path: Path) -> None:
    made = nested([PLATE], shop(replace(BIG, per_kg=0.0), rates=RATES))
    path = written(made, RATES, tmp_path / "n.pdf")
    assert read(made, RATES, path).problems == ()
    text = " ".join(" ".join(w.text for w in page.words) for page in read_pdf(path).pages)
    assert text.count("Metal 0.00 EUR") == 2


@pytest.mark.parametrize(
    "rates", [RATES, replace(RATES, currency="Fr."), Rates(), replace(RATES, cutter_hour=None)]
)
def test_the_overview_reads(rates: Rates, tmp_path: Path) -> None:
    made = nested([PLATE, box("b", 700, 400, 9)], shop(rates=rates), sets=2)
    path = written(made, rates, tmp_path / "n.pdf")
    assert read(made, rates, path).problems == ()
    text = " ".join(w.text for page in read_pdf(path).pages for w in page.words)
    assert ("TOTAL" in text) == (rates.cutter_hour is not None)
    assert ("for want of rates" in text) == (rates.cutter_hour is None)


def test_what_is_wrong_on_the_overview_shows(tmp_path: Path) -> None:
    made = nested([PLATE, box("b", 700, 400, 9)], shop(rates=RATES))
    dearer = replace(RATES, cutter_hour=90.5)
    assert any(
        "for cutting; by the rates" in p
        for p in read(made, RATES, written(made, dearer, tmp_path / "a.pdf")).problems
    )
    assert any(
        "without a rate" in p for p in read(made, Rates(), written(made, RATES, tmp_path / "b.pdf")).problems
    )
    fewer = nested([PLATE, box("b", 700, 400, 8)], shop(rates=RATES))
    assert read(made, RATES, written(fewer, RATES, tmp_path / "c.pdf")).problems
    metal = replace(made, sheets=tuple(replace(s, rack=replace(BIG, per_kg=1.6)) for s in made.sheets))
    assert any("metal" in p for p in read(made, RATES, written(metal, RATES, tmp_path / "d.pdf")).problems)


@pytest.mark.parametrize(
    ("of", "shown", "said"),
    [
        ("overview.sheet_lines", ("On the cutter 6 min", "On the cutter 7 min"), "s on the cutter"),
        ("overview.job_lines", ("On the cutter 6 min", "On the cutter 5 min"), "page 1 does not give"),
        ("overview.sheet_lines", ("kg of sheet; the", "kg of sheet: the"), "kg of sheet"),
        ("overview.sheet_lines", ("fill 27 %", "fill 28 %"), "% of it filled"),
        ("overview.sheet_lines", ("remnant, 2382 x", "remnant, 2383 x"), "does not keep the remnant"),
        ("overview.sheet_lines", ("along its length", "along its width"), "rolled along its length"),
        ("overview.job_lines", ("for each set", "each"), "for each set"),
    ],
)
def test_a_time_a_mass_or_a_share_of_another_nest_shows(
    of: str, shown: tuple[str, str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four plates of 100 x 100, by hand: 4 x (400 + 63.1) mm at 50 mm/s, 12 pierces of 1.5 s and 300 s of setting up
    are 355 s; 118 x 1250 mm of the sheet are used, of which 40 000 mm² are 27 %."""
    made = nested([box("a", 100, 100, 2, "along_u")], shop(rates=RATES), sets=2)
    module, name = of.split(".")
    whole = f"generators.drawing.nest.{module}.{name}"
    own = getattr(overview, name)
    lines: list[str] = []

    def changed(*args: object) -> list[str]:
        lines.extend(own(*args))
        return [line.replace(*shown) for line in own(*args)]

    monkeypatch.setattr(whole, changed)
    problems = read(made, RATES, written(made, RATES, tmp_path / "n.pdf")).problems
    assert any(shown[0] in line for line in lines), lines
    assert any(said in p for p in problems), problems


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(41.6, "42 s"), (59.9, "60 s"), (89.0, "1 min"), (3570.0, "1 h 00 min"), (4021.0, "1 h 07 min")],
)
def test_times_as_they_are_read(seconds: float, said: str) -> None:
    assert clock(seconds) == said


def test_waived_rules_are_on_every_page(tmp_path: Path) -> None:
    made, waived = nested([PLATE], shop(rates=RATES)), (Waived(code="bend-radius", reason="trial part"),)
    path = tmp_path / "n.pdf"
    write_nest_overview(
        made,
        path,
        work=nest_work(made, RATES),
        rates=RATES,
        job="toy",
        job_title="Toy job, Öl",
        revision="abc1234",
        waived=waived,
    )
    assert waiver_problems(path, waived) == []
    assert read(made, RATES, path).problems == ()
    assert waiver_problems(path, ())
    assert len(waiver_problems(written(made, RATES, tmp_path / "m.pdf"), waived)) >= 2
