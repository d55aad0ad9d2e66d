"""What the install sheet says of a printed guide: print, lay on, drill, with the holes' own numbers."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from drawing.sample import new

from generators.model.install import StepTable
from generators.model.spec.titles import within
from generators.sheets.install.drill import named
from generators.sheets.install.guide_steps import guide_steps
from generators.solve.parts import sample_plan

PLAN, _ = sample_plan("drill_guide")


@pytest.fixture(scope="module")
def story():
    sizes = StepTable(head=("tool",), rows=(("twist drill 4.5 mm",),), shares=(1.0,))
    panel = SimpleNamespace(
        title="Firewall", panel="firewall", facing="", holes=(), units="metric", contact="the shop"
    )
    return list(guide_steps(PLAN, "engine", panel, (sizes,)))


def test_three_steps_and_a_table(story):
    assert [step.do.split(":")[0] for step in story] == [
        f"Have the {within(PLAN.title)} ready, printed in PLA, pegs up.",
        "Lay it on the engine side of the firewall, pegs into the metal, and clamp it.",
        "Drill holes 1, 2, 3 through it, then take it off.",
    ]
    (table,) = story[0].tables
    assert table.rows == (
        ("1", "bush 7 × 12, drill 4", "7.2 mm"),
        ("2", "bush 7 × 12, drill 4", "7.2 mm"),
        ("3", "bush 8 × 12, drill 5", "8.2 mm"),
    )


def test_what_the_panel_holes_may_be_stands_with_the_drilling(story):
    assert [table.rows for table in story[2].tables] == [(("twist drill 4.5 mm",),)]


def test_it_says_which_holes_to_empty_and_which_way_round(story):
    text = story[1].how
    assert text.startswith("Pegs go into hole A, existing hole, hole B, existing hole: empty these first.")
    assert "the peg for panel hole A (Ø 11.7) is on the left and the peg for panel hole B (Ø 19.7)" in text
    assert "Press the bushes in flush with the side to the metal." in text


def test_who_has_no_printer_is_not_left_alone(story):
    assert "Without a printer have it printed: these holes do not go through the paper." in story[0].how


def test_what_it_leads_the_drill_to_is_drilled_by_it(story):
    assert story[2].drills == story[2].holes == (("firewall", "1"), ("firewall", "2"), ("firewall", "3"))


@pytest.mark.parametrize(("count", "wanted"), [(1, "hole 1"), (2, "holes 1, 2")])
def test_one_hole_is_told_as_one(count, wanted):
    holes = [new(str(k), f"h{k}", 10.0 * k, 10.0, 9.0, "bolt", "bolt") for k in (1, 2)]
    assert named(holes[:count]) == wanted
