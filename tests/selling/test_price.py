"""The price of a kit by hand, line by line; what has no rate is named and not guessed."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from nesting.plates import STEEL, plate

from generators.model.hose_results import HoseLength
from generators.model.spec.fittings import HoseEnd
from generators.model.spec.lines import Hose
from generators.model.spec.selling.kit import Kit, KitExtra
from generators.model.spec.shop import Shop
from generators.model.spec.tools.rates import BoughtRate, CutRate, HoseRate, RackSheet, Rates
from generators.nesting.job import nest_of
from generators.sheets.bill import Item
from generators.sheets.hose_words import HoseLine, end_pieces, spanner_words
from generators.sheets.kit.price import Price, PriceLine, price_of, write_price
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.kit.price import HosePriced, PriceWanted, read_price
from generators.verify.pdf.nest import NestWanted

RATES = Rates(
    currency="EUR",
    cutter_hour=90.0,
    brake_hour=70.0,
    bench_hour=48.0,
    sheet_setup_s=360.0,
    cut=(CutRate(material=STEEL, thickness_mm=4.0, speed_mm_per_s=50.0, pierce_s=2.0),),
    hose=(HoseRate(dash=4, kind="hose", per_m=10.0, end=4.0),),
    bought=(BoughtRate(item="bolt M8", each=0.25),),
)
RACK = RackSheet(material=STEEL, thickness_mm=4.0, length_mm=1000.0, width_mm=500.0, per_kg=1.5)
SQUARE = plate("square", [(0, 0), (100, 0), (100, 100), (0, 100)])
LENGTH = HoseLength(path_mm=480, made_up_mm=500, cut_mm=450, slack_ratio=0.04, spare_mm=10)
HOSE = HoseLine(
    spec=Hose(name="feed", title="Feed", service="pressure", from_="a.b", to="c.d", dash=4),
    path=None,
    length=LENGTH,
    outside_mm=9.0,
    radius_mm=50.0,
)
BOLT = Item(kind="fastener", item="bolt M8", size="", quantity=4, uses=("it",))
KIT = Kit(bench_s=1800.0, extra=(KitExtra(item="sealant"),))


def priced(rates: Rates = RATES, sets: int = 2, kit: Kit = KIT, hose: HoseLine = HOSE) -> Price:
    shop = Shop(sheet=(RACK,), rates=rates)
    return price_of(
        nest_of([SQUARE], {"square": 0.0}, shop, sets), sets, rates, hoses=[hose], items=[BOLT], kit=kit
    )


def test_every_line_by_hand() -> None:
    lines = {line.what: line.price for line in priced().lines}
    # 2 plates of 400 mm round, a hole of 9 (28.274) and a slot of 6 x 8 (18.850 + 16): 926.248 mm at 50 mm/s is
    # 18.525 s, 6 pierces 12 s, setting up 360 s: 390.525 s of 90 an hour
    assert lines["Cutting, sheet 1, S235 steel, 4 mm"] == pytest.approx(390.525 / 3600 * 90, abs=1e-3)
    assert lines["-4 hose: Feed"] == pytest.approx(2 * 0.45 * 10.0)
    assert lines["Ends of Feed"] == pytest.approx(2 * 2 * 4.0)
    assert lines["bolt M8"] == pytest.approx(2 * 4 * 0.25)
    assert lines["sealant"] is None
    assert lines["Picking, making up hoses, packing"] == pytest.approx(2 * 0.5 * 48.0)
    assert "Bending" not in lines


def test_what_has_no_rate_is_named_and_the_sum_is_no_total() -> None:
    price = priced()
    assert [line.what for line in price.missing] == ["sealant"]
    assert price.sums()[0].startswith("SUM OF WHAT HAS A RATE, all 2 kits: ")
    assert price.sums()[2] == "NOT IN IT: 1 line without a rate. It costs more than this."
    whole = priced(kit=replace(KIT, extra=()), sets=1)
    assert whole.missing == ()
    assert whole.sums() == (f"TOTAL, one kit: {whole.known:.2f} EUR",)
    bare = priced(Rates())
    # all but the metal, whose price is the sheet's own
    assert {line.rate for line in bare.missing} == {
        "[[rates.cut]] of S235 steel, 4 mm; [rates] sheet_setup",
        "[[rates.hose]] of -4 hose",
        "end in [[rates.hose]] of -4 hose",
        "[[rates.bought]] of it",
        "[rates] bench_hour",
    }
    measured = priced(hose=replace(HOSE, measure_why="it decides a place"))
    assert "length is measured on the vehicle" in {line.amount for line in measured.missing}


def test_a_hose_that_is_pushed_on_has_its_own_price_and_clips() -> None:
    feed = replace(HOSE, spec=replace(HOSE.spec, service="feed"))
    (line, ends) = priced(hose=feed).lines[2:4]
    assert (line.price, line.rate) == (None, "[[rates.hose]] of -4 hose, feed")
    assert (ends.what, ends.price) == ("Ends of Feed", None)
    own = replace(
        RATES, hose=(*RATES.hose, HoseRate(dash=4, kind="hose", service="feed", per_m=5.0, end=0.5))
    )
    # two kits of 0.45 m at 5.00, and 4 clips at 0.50
    assert [x.price for x in priced(own, hose=feed).lines[2:4]] == [pytest.approx(4.5), pytest.approx(2.0)]
    assert priced(own).lines[2].price == pytest.approx(9.0)


def test_feed_hose_with_a_fitting_on_an_end_has_hose_ends_and_no_clips() -> None:
    elbow = HoseEnd(angle_rad=math.radians(90), drop_mm=25.0)
    spec = replace(HOSE.spec, service="feed")
    ends = [
        {item: count for item, _size, count in end_pieces(replace(HOSE, spec=one))}
        for one in (spec, replace(spec, to_end=elbow), replace(spec, to_end=elbow, made_up_mm=380.0))
    ]
    straight = "-4 hose end, 37 degree swivel"
    assert ends == [{"hose clip": 2}, {straight: 1, f"{straight}, 90 degree elbow": 1}, {}]
    # and its nuts are turned with a spanner: 9/16 in across flats for -4 (AN818 Rev 20)
    turned = [spanner_words(replace(HOSE, spec=one)) for one in (spec, replace(spec, to_end=elbow))]
    assert turned == ["", "flare-nut spanner 9/16 in"]


def test_a_hose_that_is_bought_as_it_is_has_no_metres(tmp_path: Path) -> None:
    feed = replace(HOSE, spec=replace(HOSE.spec, service="feed", made_up_mm=380.0))
    rates = replace(
        RATES, bought=(*RATES.bought, BoughtRate(item="-4 hose, 9 mm outside, made up", each=7.0))
    )
    price = priced(rates, hose=feed)
    # two kits, one each
    assert (price.lines[2].amount, price.lines[2].price) == ("2 pieces", pytest.approx(14.0))
    path = tmp_path / "price.pdf"
    write_price(path, price=price, facts=(), subject="A job", revision="0a1b2c3", paper="A4")
    hose = HosePriced(
        title="Feed", dash=4, kind="hose", cut_mm=450.0, pushed=True, bought="-4 hose, 9 mm outside, made up"
    )
    read = read_price(
        path, rel="p", title="A job", revision="0a1b2c3", wanted=replace(wanted(rates), hoses=[hose])
    )
    assert read.problems == ()


def test_the_sum_is_that_of_the_printed_lines() -> None:
    # three of 1.004 are printed as 1.00 each: 3.00, where the unrounded ones make 3.01
    lines = tuple(PriceLine(what=w, amount="", rate="", price=1.004) for w in "abc")
    assert Price(lines=lines, sets=1, rates=Rates()).known == pytest.approx(3.0, abs=1e-9)
    # half a cent goes up, as it is printed: two of 0.125 are 0.13 each
    lines = tuple(PriceLine(what=w, amount="", rate="", price=0.125) for w in "ab")
    price = Price(lines=lines, sets=1, rates=Rates())
    assert price.known == pytest.approx(sum(float(row[-1]) for row in price.rows()), abs=1e-9)


def wanted(rates: Rates = RATES) -> PriceWanted:
    nest = NestWanted(
        plans={"square": SQUARE},
        least_mm={"square": 0.0},
        pieces={"square": 2},
        sheets=[(RACK, {"square": 2})],
        remnants=[nest_of([SQUARE], {"square": 0.0}, Shop(sheet=(RACK,)), 2).sheets[0].remnant],
        sets=2,
        kerf_mm=None,
        rates=rates,
    )
    return PriceWanted(
        nest=nest,
        rates=rates,
        hoses=[HosePriced(title="Feed", dash=4, kind="hose", cut_mm=450.0)],
        bought={"bolt M8": 4, "sealant": 1},
        bench_s=1800.0,
        printed=(),
        sets=2,
    )


@pytest.mark.parametrize(
    ("now", "problem"),
    [
        (wanted(), ""),
        (wanted(replace(RATES, bench_hour=49.0)), "gives 48.00 for 'Picking"),
        (wanted(replace(RATES, hose=())), "says 9.00 for '-4 hose: Feed'"),
        (replace(wanted(), bought={"bolt M8": 5, "sealant": 1}), "gives 2.00 for 'bolt M8'"),
        (replace(wanted(), bought={"bolt M8": 4, "sealant": 1, "nut": 1}), "has no line 'nut'"),
    ],
)
def test_the_sheet_is_worked_out_again(tmp_path: Path, now: PriceWanted, problem: str) -> None:
    path = tmp_path / "price.pdf"
    write_price(path, price=priced(), facts=("For 2 kits",), subject="A job", revision="0a1b2c3", paper="A4")
    read = read_price(path, rel="p", title="A job", revision="0a1b2c3", wanted=now)
    assert bool(read.problems) == bool(problem), read.problems
    assert problem in "; ".join(read.problems)


def test_a_price_of_two_pages_reads_back(tmp_path: Path) -> None:
    # each row is 5 mm or more, a page 297 mm: 80 things go over the page, where the columns' heads come again
    things = {f"Thing {k}": 1 for k in range(80)}
    kit = replace(KIT, extra=tuple(KitExtra(item=thing) for thing in things))
    rates = replace(RATES, bought=(*RATES.bought, *(BoughtRate(item=thing, each=1.0) for thing in things)))
    path = tmp_path / "price.pdf"
    write_price(path, price=priced(rates, kit=kit), facts=(), subject="A job", revision="0a1b2c3", paper="A4")
    now = replace(wanted(rates), bought={"bolt M8": 4, **things})
    read = read_price(path, rel="p", title="A job", revision="0a1b2c3", wanted=now)
    assert read.problems == ()
    assert len(read_pdf(path).pages) > 1


def test_a_sum_that_its_lines_do_not_make_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    price, path = priced(), tmp_path / "price.pdf"
    monkeypatch.setattr(Price, "known", property(lambda _: 100.02))
    write_price(path, price=price, facts=(), subject="A job", revision="0a1b2c3", paper="A4")
    read = read_price(path, rel="p", title="A job", revision="0a1b2c3", wanted=wanted())
    assert "adds up to 100.02, its lines to" in "; ".join(read.problems)


def test_a_price_needs_a_currency_and_comes_once(tmp_path: Path) -> None:
    from generators.reading.reader import shop_faults

    bare = b"[[rates.hose]]\ndash = 4\nper_m = 3.0\n"
    assert [f.path for f in shop_faults("shop.toml", bare)] == ["rates.hose[0].per_m"]
    twice = b'[rates]\ncurrency = "EUR"\n' + bare + bare
    assert [f.path for f in shop_faults("shop.toml", twice)] == ["rates.hose[1]"]
    thing = b'[[rates.bought]]\nitem = "nut"\neach = 1\n'
    assert [f.path for f in shop_faults("s", b'[rates]\ncurrency = "EUR"\n' + thing + thing)] == [
        "rates.bought[1].item"
    ]
