"""Two states of a job side by side: what was typed otherwise is what is told, and nothing else."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, partial
from pathlib import Path
from typing import Any

import pytest

from generators.errors import ReadBackError
from generators.jobs.compare.compare import Compared, compare, data, rows_of, state_of
from generators.jobs.compare.files import sheet_of, write_comparison
from generators.jobs.compare.words import hole_does, screen
from generators.jobs.verify import verify
from generators.layout.mounting import PlacedPart
from generators.model.plan import Hole, Slot
from generators.sheets.compared.sheet import sheet_words, write_compared
from generators.solve.comparing.holes import hole_changes, same_holes
from generators.solve.comparing.things import part_changes
from generators.solve.job import Prepared, prepare
from generators.standards import CUT_HOLE
from generators.verify.compared import read_compared

BUS = Path(__file__).parents[2] / "specs" / "ferrow_bus.toml"
OTHER = '\n[[variant]]\nname = "other_hand"\nmirror = "vehicle"\n'


@cache
def bus(*swaps: tuple[str, str], variant: str = "") -> Prepared:
    """The bus with texts of its spec swapped."""
    text = BUS.read_text(encoding="utf-8").partition("[[variant]]")[0]
    for was, now in swaps:
        assert was in text
        text = text.replace(was, now, 1)
    return prepare(BUS, text=text + OTHER, variant=variant)


SHELF = ('u = "110 mm", v = "95 mm"', 'u = "140 mm", v = "55 mm"')
BOLT = ('bolt_thread = "M4"', 'bolt_thread = "M5"')


def moved() -> Compared:
    return compare(bus(), bus(SHELF, BOLT))


def test_a_job_is_the_same_as_itself() -> None:
    said = compare(bus(), bus())
    assert said.same
    assert {thing.verdict for thing in (*said.parts, *said.hoses)} == {"same"}
    # four holes of the blanking plate, three of the bulkhead
    assert sum(said.kept_holes.values()) == 7
    assert any("Nothing that is made or bought differs" in line for line in screen(said))


def test_what_was_moved_is_told_with_how_far() -> None:
    said = moved()
    shelf = {c.name: c for c in said.holes if c.name.startswith("clutch_reservoir")}
    assert {c.kind for c in shelf.values()} == {"moved"}
    # 30 mm right and 40 mm down are 50 mm: 3-4-5
    assert {round(c.far_mm, 6) for c in shelf.values()} == {50.0}
    assert {c.was for c in shelf.values()} == {(160.0, 205.0), (220.0, 205.0)}
    assert not any(c.overlaps for c in shelf.values())
    plate = [c for c in said.holes if c.name.startswith("rod_blank.bolt")]
    # ISO 273 medium: 4.5 mm for M4, 5.5 mm for M5; the wider bolts sit further in, over the holes that were
    assert {(c.was_dia_mm, c.now_dia_mm, c.resized, c.overlaps) for c in plate} == {(4.5, 5.5, True, True)}
    assert len(plate) + len(shelf) == len(said.holes)


def test_parts_and_hoses_that_serve_on_are_listed() -> None:
    said = moved()
    assert {p.name: p.verdict for p in said.parts} == {
        "clutch_hanger": "same",
        "clutch_reservoir": "same",
        "rod_blank": "again",
    }
    verdicts = {h.name: h.verdict for h in said.hoses}
    assert verdicts["slave_hose"] == verdicts["cab_line"] == "same"
    assert verdicts["feed_hose"] == "again"
    usable = said.usable()
    assert "part Clutch reservoir bracket" in usable
    assert "hose Hose to the slave" in usable
    assert "1 drilled hole of the engine bulkhead" in usable
    assert not any("blanking" in line.lower() or "feed" in line.lower() for line in usable)


def test_numbers_of_the_hydraulics_that_read_otherwise_are_told() -> None:
    said = compare(bus(), bus(('bore = "7/8 in"', 'bore = "3/4 in"')))
    assert not said.holes
    told = {n.what for n in said.numbers}
    assert any(what.startswith("pad effort") for what in told)
    assert any(what.startswith("pressure") for what in told)
    # lengths of the pedal have nothing to do with a bore
    ratio = "ratio by lengths; at rest; pressed"
    assert ratio in rows_of(bus().pedals[0])
    assert ratio not in told
    back = compare(bus(('bore = "7/8 in"', 'bore = "3/4 in"')), bus())
    assert {(f.code, f.where) for f in said.won} == {(f.code, f.where) for f in back.lost}


def test_the_other_hand_is_told_as_a_mirror_shows_it() -> None:
    said = compare(bus(), bus(variant="other_hand"))
    assert said.other_hand
    assert said.holes == ()
    assert said.kept_holes == {}
    assert {p.name: (p.verdict, p.why) for p in said.parts} == {
        # its plate for the master hangs on one of its cheeks, so its blank is not its own mirror image; those
        # of the others are
        "clutch_hanger": ("again", ("of the other hand",)),
        "clutch_reservoir": ("same", ()),
        "rod_blank": ("same", ()),
    }
    # the rigid line has all its bends in one plane, so it is its own mirror image
    assert {h.name: (h.verdict, h.why) for h in said.hoses} == {
        "slave_hose": ("same", ()),
        "cab_line": ("same", ()),
        "feed_hose": ("same", ()),
    }


PIVOT = 'pivot_bore = "16.2 mm"'
HANGER = 'thickness = "4 mm"\n\n  [part.parameters]\n  mounting'
PAINT = "deburr; bare for trial fit, then zinc phosphate primer, black enamel, 80 to 120 µm in all"
PAINTED = f'finish = "{PAINT}"\nthickness = "4 mm"'


@pytest.mark.parametrize(
    ("before", "after", "why"),
    [
        (
            f'{PIVOT}\n  pivot_build = "reamed"',
            f'{PIVOT}\n  pivot_build = "reamed"\n  pivot_class = "H8"',
            "finish of",
        ),
        (HANGER, HANGER.replace("\n", '\netch = "CH-2"\n', 1), "letters etched: CH-2, was none"),
        (PAINTED, 'finish = "zinc"\nthickness = "4 mm"', "finish: zinc, was deburr; bare for trial fit"),
    ],
)
def test_a_part_that_is_finished_otherwise_is_made_again(before: str, after: str, why: str) -> None:
    was = next(text for text in (PIVOT, HANGER, PAINTED) if text in before)
    one, two = bus((was, before)), bus((was, after))
    for said in (compare(one, two), compare(two, one)):
        hanger = next(p for p in said.parts if p.name == "clutch_hanger")
        assert hanger.verdict == "again"
        assert not any("hanger" in line for line in said.usable())
    (told,) = next(p for p in compare(one, two).parts if p.name == "clutch_hanger").why
    assert why in told


def test_another_fitting_tolerance_or_way_of_a_slot_is_another_opening() -> None:
    (part,) = [p for p in bus().parts if p.spec.name == "rod_blank"]
    (root,) = part.plan.flanges
    hole = root.holes[0]
    slot = Slot(
        name="long",
        u_mm=0.0,
        v_mm=0.0,
        width_mm=6.0,
        travel_mm=10.0,
        angle_rad=0.0,
        purpose="",
        fitting=hole.fitting,
    )

    def told(first: Hole, long: Slot) -> tuple[str, ...]:
        def with_(a: Hole, b: Slot) -> PlacedPart:
            flange = replace(root, holes=(a, *root.holes[1:]), slots=(b,))
            return replace(part, plan=replace(part.plan, flanges=(flange,)))

        (change,) = part_changes([with_(hole, slot)], [with_(first, long)])
        return change.why

    assert told(hole, slot) == ()
    assert told(replace(hole, fitting=replace(hole.fitting, kind="tapped")), slot) == (
        f"another fitting in {hole.name}",
    )
    assert told(replace(hole, tolerance=CUT_HOLE), slot) == (f"another tolerance of {hole.name}",)
    # half of a 10 mm travel swings 0.006 mm at 0.0012 rad, 0.004 mm at 0.0008 rad; half a turn changes nothing
    assert told(hole, replace(slot, angle_rad=0.0012)) == ("turned long",)
    assert told(hole, replace(slot, angle_rad=0.0008)) == ()
    assert told(hole, replace(slot, angle_rad=math.pi)) == ()


def test_names_of_the_spec_have_no_other_hand() -> None:
    def named(text: tuple[tuple[str, str], ...], variant: str = "") -> Prepared:
        spec = BUS.read_text(encoding="utf-8").partition("[[variant]]")[0]
        for was, now in text:
            spec = re.sub(rf"\b{was}\b", now, spec)
        return prepare(BUS, text=spec + OTHER, variant=variant)

    names = (("rod_blank", "left_thing"), ("line_out", "left_line"))
    said = compare(named(names), named(names, "other_hand"))
    assert said.other_hand
    assert said.holes == ()


@pytest.mark.parametrize(("by_mm", "count"), [(0.006, 1), (0.004, 0)])
def test_what_reads_the_same_is_the_same(by_mm: float, count: int) -> None:
    """Sheets print hundredths of a millimetre: half of one is where a place reads otherwise."""
    (layout, *_) = bus().layouts
    first, *rest = layout.holes
    after = replace(layout, holes=(replace(first, u_mm=first.u_mm + by_mm), *rest))
    assert len(hole_changes([layout], [after])) == count
    wider = replace(layout, holes=(replace(first, final_dia_mm=first.final_dia_mm + by_mm), *rest))
    assert len(hole_changes([layout], [wider])) == count


@pytest.mark.parametrize(
    "other", [{"kind": "countersunk"}, {"thread": "M5"}, {"head_mm": 9.0}, {"status": "blank"}]
)
def test_a_panel_hole_for_another_thing_is_not_as_it_was(other: dict[str, Any]) -> None:
    (layout, *_) = bus().layouts
    first = next(h for h in layout.holes if h.status == "drill")
    changed = replace(first, **other)
    after = replace(layout, holes=tuple(changed if h is first else h for h in layout.holes))
    (told,) = hole_changes([layout], [after])
    assert (told.name, told.kind) == (first.name, "made otherwise")
    assert told.was_done != told.now_done
    kept, all_ = same_holes([layout], [after]), same_holes([layout], [layout])
    assert kept[layout.panel] == all_[layout.panel] - 1


def test_holes_that_come_and_go() -> None:
    (layout, *_) = bus().layouts
    less = replace(layout, holes=layout.holes[1:])
    (gone,) = hole_changes([layout], [less])
    (new,) = hole_changes([less], [layout])
    assert (gone.kind, new.kind) == ("gone", "new")
    assert (gone.name, new.name) == (layout.holes[0].name, layout.holes[0].name)
    assert [c.kind for c in hole_changes([layout], [])] == ["gone"] * len(layout.holes)


def test_the_sheet_shows_where_holes_went(tmp_path: Path) -> None:
    said = moved()
    sheet, path = sheet_of(said), tmp_path / "compared.pdf"
    write_compared(path, sheet=sheet, subject="A bus", revision="0123abc", paper="A4")
    moves = [
        [(c.was, c.now) for c in changes if c.was is not None and c.now is not None and c.moved]
        for _, changes, _ in sheet.panels
    ]
    look = partial(
        read_compared, path, rel="compared.pdf", title="A bus", revision="0123abc", words=sheet_words(sheet)
    )
    assert look(moves=moves).problems == ()
    # a hole told to be 3 mm from where it is drawn
    wrong = [
        [(was, (now[0] + 3.0, now[1])) if k == 0 else (was, now) for k, (was, now) in enumerate(moves[0])]
    ]
    assert "no picture that shows" in look(moves=wrong).problems[0]
    assert look(moves=[]).problems == ()
    unsaid = read_compared(
        path, rel="compared.pdf", title="A bus", revision="0123abc", words=["moved to Sunday"], moves=[]
    )
    assert unsaid.problems == ("does not say 'moved to Sunday'",)


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


def test_a_comparison_is_a_folder_that_is_proven(plate: Path) -> None:
    wider = plate.with_name("wider.toml")
    wider.write_text(plate.read_text(encoding="utf-8").replace('"40 mm"', '"44 mm"'), encoding="utf-8")
    said = compare(state_of(plate), state_of(wider))
    made = write_comparison(said, plate.parent / "out", paper="A4", progress=quiet).folder
    told = json.loads((made / "compared.json").read_text(encoding="utf-8"))
    assert told == json.loads(json.dumps(data(said)))
    assert [(p["name"], p["verdict"]) for p in told["parts"]] == [("cover", "again")]
    # 40 + 2 · 20 and 44 + 2 · 20 mm across
    assert "blank 84.00 x 84.00 mm, was 80.00 x 80.00 mm" in told["parts"][0]["why"]
    assert [r.problems for r in verify(made, progress=quiet) if r.problems] == []
    with pytest.raises(ReadBackError, match="a folder of make, or a spec, is compared"):
        state_of(made)
    (made / "after" / "wider.toml").write_text(plate.read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(ReadBackError, match="was changed: it is the spec after"):
        verify(made, progress=quiet)


def test_words_of_a_line_are_plain() -> None:
    lines: Sequence[str] = list(screen(moved()))
    assert any("from 160 mm right, 205 mm up to 190 mm right, 165 mm up: 50 mm" in line for line in lines)
    assert all(line.isprintable() or line.startswith("\n") for line in lines)


def test_a_hole_that_is_drilled_already_is_told_as_drilled_and_not_to_be_closed() -> None:
    """As a revised spec has it: 3 mm off where it was designed, by hand a place of the spec's own."""
    van = BUS.with_name("wrenfield_van.toml")
    text = van.read_text(encoding="utf-8")
    last = '  at = { from = "heater_pipe", u = "74 mm", v = "-64 mm" }\n'
    assert last in text
    drilled = (
        '\n  [[panel.existing]]\n  name = "plate_1"\n  at = ["479 mm", "110 mm"]\n  diameter = "5.5 mm"\n'
        '  action = "reuse"\n  what = "drilled for the plate"\n  serves = "fitting_plate"\n'
        '  serves_hole = "mount_2"\n'
    )
    # designed at 170 - 24 mm right of the heater pipe's hole at u 330: u 476
    before, after = prepare(van), prepare(van, text=text.replace(last, last + drilled))
    (change,) = hole_changes(before.layouts, after.layouts)
    assert (change.was, change.now) == (pytest.approx((476.0, 110.0)), pytest.approx((479.0, 110.0)))
    assert change.now_done == "drilled already"
    assert hole_does(change, "metric") == "moved; drill becomes drilled already"
