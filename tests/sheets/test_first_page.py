"""Page one of a pack and its overview give their room to what has most to say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generators.drawing.pack.choice import Head
from generators.drawing.pack.entries import Entry
from generators.drawing.pack.first_page import (
    LEAST_LIST_MM,
    FirstPage,
    _rows,
    draw_first_page,
    nowhere,
)
from generators.drawing.paper.furniture import Words
from generators.drawing.paper.sizes import paper_choice
from generators.drawing.template.cover import cover_test, draw_readings


def entry(page: int, use: str) -> Entry:
    return Entry(first=page, last=page, name="row 1, column 1", panel="Firewall", side="cab", use=use)


def head() -> Head:
    return Head(job="A job", revision="0000000", waived=(), printer=None, units="metric")


BOX = tuple((f"Kind {k}", "a thing with a name that takes some room, " * 4) for k in range(5))


def left_over(rows: int) -> int:
    """Lines of a list that page one, on letter paper and with a full box, has no room for."""
    entries = [entry(k, "not from paper but through the part: 11, 12 and 19") for k in range(rows)]
    page = FirstPage(box=BOX)
    return len(draw_first_page(nowhere(), paper_choice("letter"), head(), page, (), entries, 9))


def test_a_list_of_a_dozen_sheets_stays_on_page_one() -> None:
    # by hand: of a width of 151 mm the four narrow columns need 6 + 20 + 13 + 7 with 2 mm between, so
    # the words (60 mm at 2.6 mm type) take one line; a row is 2.6 x 1.25 + 0.9 = 4.2 mm, twelve of them 50 mm
    assert LEAST_LIST_MM == 2.6
    assert left_over(12) == 0
    assert left_over(60) > 0


@pytest.mark.parametrize("size", [2.6, 2.95, 2.95 * 1.35])
def test_no_word_of_a_side_is_broken_in_large_type(size: float) -> None:
    # by hand: 9 % of 151 mm less the 2 mm between is 11.6; "engine" at 4 mm type is 12.4 wide
    there = replace(entry(4, "mark hole 3"), side="engine bay")
    rows = _rows([entry(3, "mark holes 1 and 2"), there], 151.0, size)
    assert [" ".join(cells[3]) for _, cells in rows] == ["cab", "engine bay"]


def test_lines_to_write_on_close_up_and_keep_room_for_a_pencil() -> None:
    words = Words(face="PRINT ME", job="", panel="", material="", revision="", paper="A4", witness_note="")
    test = cover_test(paper_choice("A4"))
    wide, close = (
        -draw_readings(nowhere(), words, test, 0.0, 0.0, 150.0, close=near) for near in (False, True)
    )
    # three lines 2 mm nearer to each other, and 3.5 mm of gaps
    assert wide - close == pytest.approx(9.5)
