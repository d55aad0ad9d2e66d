"""Sheets and rolls."""

import pytest

from generators.drawing.paper.furniture import MARGIN_MM, live_area, page_for
from generators.drawing.paper.sizes import paper_choice, paper_choices
from generators.errors import LookupFault, UnitError


@pytest.mark.parametrize(
    ("name", "width", "height"),
    [("A4", 210.0, 297.0), ("a3", 297.0, 420.0), ("letter", 215.9, 279.4), ("Tabloid", 279.4, 431.8)],
)
def test_sheets_have_their_published_size(name, width, height):
    # ISO 216; ASME Y14.1 sizes A and B
    choice = paper_choice(name)
    assert (choice.width_mm, choice.height_mm) == pytest.approx((width, height), abs=1e-9)
    assert not choice.is_roll


@pytest.mark.parametrize(
    ("text", "width"), [("roll:610 mm", 610.0), ("roll:24 in", 609.6), ("roll: 3 ft", 914.4)]
)
def test_a_roll_has_a_width_and_no_length(text, width):
    choice = paper_choice(text)
    assert choice.is_roll
    assert choice.width_mm == pytest.approx(width, abs=1e-9)


@pytest.mark.parametrize("text", ["roll:610", "roll:", "roll:wide", "roll:50 mm", "roll:9 m", "roll:30 deg"])
def test_a_roll_width_without_unit_or_sense_is_refused(text):
    with pytest.raises(UnitError):
        paper_choice(text)


def test_an_unknown_paper_names_the_known_ones():
    with pytest.raises(LookupFault) as fault:
        paper_choice("A5")
    assert "letter" in fault.value.known


@pytest.mark.parametrize("name", ["A4", "A3", "letter", "tabloid"])
@pytest.mark.parametrize("lying", [False, True])
def test_the_live_area_keeps_the_margins(name, lying):
    choice = paper_choice(name)
    size = (choice.width_mm, choice.height_mm)
    width, height = size[::-1] if lying else size
    live = live_area(width, height)
    assert live.x >= MARGIN_MM
    assert live.y >= MARGIN_MM
    assert live.x + live.width <= width - MARGIN_MM + 1e-9
    assert live.y + live.height <= height - MARGIN_MM + 1e-9


def test_a_roll_is_cut_long_enough_for_what_is_on_it():
    width, height = page_for(640, 410)
    live = live_area(width, height)
    assert live.width >= 640
    assert live.height >= 410


def test_a_page_without_room_is_refused():
    with pytest.raises(ValueError, match="no room"):
        live_area(100.0, 100.0)


def test_both_papers_are_drawn_on_alike():
    # the smaller of ISO 216 A4 and ASME Y14.1 size A each way: 210 of 215.9, 279.4 of 297
    a4, letter = paper_choices("both")
    assert (a4.name, letter.name) == ("A4", "letter")
    assert a4.drawn_mm == letter.drawn_mm == (210.0, 279.4)
    assert a4.sheet_of(210.0, 279.4) == (210.0, 297.0)
    assert letter.sheet_of(279.4, 210.0) == (279.4, 215.9)


def test_one_paper_is_drawn_on_whole():
    (a3,) = paper_choices("A3")
    assert a3.drawn_mm == a3.sheet_of(297.0, 420.0) == (297.0, 420.0)
