"""What a first reader of the printed sheets asked, and where he finds it: read from the finished PDF's text.

Practice (a mark moved with an angled punch, plain nuts till the last time, sealed rivets) is common practice,
no source. Spanners: AN818 Rev 20, across flats of the tube nut. Wander of a hand drill: a quarter of the first
drill (common practice), 0.75 mm for one of 3 mm, of which a steel rule shows half a millimetre.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from types import SimpleNamespace
from typing import cast
from unittest.mock import create_autospec

import pytest
from finished_words import FLARE_MM, Sheet, starting

from generators.drawing.paper.pen import Pen, text_width
from generators.drawing.paper.sizes import paper_choice
from generators.drawing.template.patches import patch_leaves, patch_paper
from generators.drawing.template.pdf import template_words
from generators.drawing.template.tiles import EXISTING
from generators.layout.closing import closings
from generators.model.joints.fasteners import FastenerSet
from generators.model.plan import PanelHole
from generators.model.spec.titles import within
from generators.model.words import FACES
from generators.sheets.bolting.words import tightness_words
from generators.sheets.install.drill import goes_up
from generators.sheets.install.tools import drills_between
from generators.sheets.panel_view import PanelView
from generators.solve.brackets.joints import hand_cases
from generators.units import UnitSystem

SIDES = r"(?:the (?:cab|engine) side|either face|the [a-z ]+|what it holds)"
HEADS = re.compile(rf"head on {SIDES}, nut (?:on|behind) ")
AN818 = {3: "7/16", 4: "9/16", 5: "5/8", 6: "11/16", 8: "7/8", 10: "1"}


def test_a_mark_that_is_out_is_left_or_moved_by_a_figure(sheet: Sheet) -> None:
    steps = starting(sheet, "Centre-punch through")
    assert steps
    for step in steps:
        numbers = re.findall(r"[0-9]+", re.findall(r"crosse?s? of holes? ([0-9, ]+) only", step)[0])
        first = [h for x in sheet.job.layouts for h in x.holes if h.number in numbers]
        # common practice: a quarter of the drill that starts, told in the halves a rule shows
        wander = min(0.25 * (h.pilot_dia_mm or h.final_dia_mm) for h in first)
        assert f"Out by up to {max(math.floor(wander / 0.5) * 0.5, 0.5):g} mm," in step
        assert "set the punch in the old mark" in step or "do as with the marks of the" in step
    assert "set the punch in the old mark" in steps[0]


def test_a_plate_says_its_rivets_their_grip_and_from_where(sheet: Sheet) -> None:
    steps = {re.findall(r"Close holes? ([A-Z, ]+),", s)[0]: s for s in starting(sheet, "Close hole")}
    wanted = [(layout, done) for layout in sheet.job.layouts for done in closings(layout)]
    assert len(steps) == len(wanted)
    for layout, done in wanted:
        if done.plate:
            step = steps[", ".join(h.number for h in done.holes)]
            count, grip = re.findall(
                r"([0-9]+) blind rivets 3\.2 mm, closed end, for a grip of ([0-9.]+) mm", step
            )[0]
            assert int(count) >= 4
            assert float(grip) <= 2 * layout.thickness_mm + 1e-9
            assert f"rivet from the {done.room.face} side" in step
            assert "sealant" in step
            assert f"{count} blind rivets 3.2 mm" in sheet.text[: sheet.text.index("At hand before")]
            assert "blind rivet tool for 3.2 mm" in sheet.text
            assert "twist drill 3.3 mm" in sheet.text


def test_every_bolt_with_a_nut_says_where_its_head_goes(sheet: Sheet) -> None:
    lots = re.findall(r"[0-9]+ × M[0-9]+×[0-9]+ 8\.8, [^×]*?locking nut[^×]{0,300}", " ".join(sheet.steps))
    assert lots
    for lot in lots:
        assert HEADS.search(lot) or "nut on the" in lot, lot
    for step in starting(sheet, "Bolt the "):
        assert re.search(r"Holes? [0-9A-Z, ]+: M[0-9]+×[0-9]+ 8\.8, head on the (cab|engine) side, nut", step)


def test_one_nut_with_room_on_one_face_has_its_head_on_the_other(sheet: Sheet) -> None:
    for made in sheet.job.fasteners:
        if made.panel and made.into == "locking nut" and len(made.nuts) == 1 and made.head is not None:
            assert made.head != made.nuts[0]


def test_nuts_of_hoses_and_tubes_have_their_spanner(sheet: Sheet) -> None:
    tools = sheet.text[sheet.text.index("At hand before you begin") :]
    for hose in sheet.job.lines.hoses:
        if hose.spec.service == "feed":
            continue
        wanted = f"flare-nut spanner {AN818[hose.spec.dash]} in"
        title = hose.spec.title[:1].lower() + hose.spec.title[1:]
        assert any(wanted in s for s in starting(sheet, f"Fit the {title},"))
        assert f"{AN818[hose.spec.dash]} in (-{hose.spec.dash})" in tools


def test_a_length_is_told_once_with_what_it_is_made_of(sheet: Sheet) -> None:
    assert "plus the flares" not in sheet.text
    for hose in sheet.job.lines.hoses:
        title = hose.spec.title[:1].lower() + hose.spec.title[1:]
        step = next(s for s in sheet.steps if s.startswith(f"Fit the {title},"))
        if hose.measure_why or hose.spec.made_up_mm is not None:
            continue
        said = re.findall(
            r"(?:Cut the )?([Tt]ube|hose) ([0-9.]+) mm (?:\([^)]*\)|in the end, trimmed in place): (?:(?:with|pushed on "
            r"until) ([0-9.]+) mm of (?:pipe, from where it leaves its body, stay bare|fitting) at each end,? "
            r"that makes )?([0-9.]+) mm from (?:seat to seat|body to body)"
            r"(?:, and ([0-9.]+) mm for (each|its two))?",
            step,
        )
        ((kind, cut, end, whole, flare, of),) = said
        kind = kind.lower()
        flares = 0.0 if kind == "hose" else float(flare) * (2 if of == "each" else 1)
        parts = float(cut) + 2 * float(end) if kind == "hose" else float(cut) - flares
        # whoever adds the printed figures up by hand finds the printed sum
        assert f"{parts:.2f}" == f"{float(whole):.2f}"
        if kind == "tube":
            assert abs(flares / 2 - FLARE_MM[hose.spec.dash]) < 0.0051


def test_what_a_slave_sits_on_is_named_with_what_it_must_hold(sheet: Sheet) -> None:
    assert "the vehicle's own bracket and bolts" not in sheet.text
    own = sheet.text[sheet.text.index("Not in the box") : sheet.text.index("At hand before")]
    for component in sheet.job.file.job.component:
        if component.kind != "slave" or component.on.at is None:
            continue
        title = component.title[:1].lower() + component.title[1:]
        (step,) = starting(sheet, f"Fit the {title} ")
        pedal = next(p.sheet() for p in sheet.job.pedals if p.sheet().spec.slave is not None)
        slave = pedal.spec.slave
        assert slave is not None
        assert pedal.clutch is not None
        if slave.kind == "concentric":
            assert "rod to the fork" not in step + own
            assert "bell housing" in step
            continue
        assert "both bolts locked" not in step
        force = max(pedal.clutch.curves.pressure_mpa) * math.pi / 4 * slave.bore_mm**2
        # what a brace carries and what a foot presses with are other forces
        mine = (s for s in sheet.steps if "Make it to carry" not in s and not s.startswith("Press and hold"))
        others = " ".join(mine)
        said = [float(n) for n in re.findall(r"([0-9]+) N \([0-9]+ lbf\)", step + own + others)]
        assert said
        assert all(0 <= newton - force < 10 for newton in said)
        if any(p.spec.kind == "slave_bracket" for p in sheet.job.parts):
            assert starting(sheet, "Fit the slave bracket")
            assert "which this job does not bring" not in step
        else:
            assert "a bracket on the vehicle that holds" in own


def test_every_bolt_of_a_bag_is_used_in_some_step(sheet: Sheet) -> None:
    """Bolts of parts no panel carries too; those of a panel's own single holes are in their bag alone."""
    words = " ".join(sheet.steps)
    for made in sheet.job.fasteners:
        if made.length_text and made.thread.startswith("M") and not made.task.startswith("drill:"):
            assert f"{made.thread}×{made.length_text}" in words


def test_a_brace_is_counted_on_or_not_and_never_perhaps(sheet: Sheet) -> None:
    assert "may count on it" not in sheet.text
    for made in sheet.job.fasteners:
        if made.held is not None and made.held.absent:
            part = next(p for p in sheet.job.parts if p.spec.name == made.part)
            with_it = not part.spec.hold.holes or made.opening in part.spec.hold.holes
            said = "do not drive without it" if with_it else "are worked out without it"
            assert sheet.text.count(said) >= 2


def test_a_hole_opened_with_the_part_off_says_from_which_face(sheet: Sheet) -> None:
    for step in sheet.steps:
        if " to size, the part off" in step[:200]:
            assert re.match(r"Open holes? [0-9, ]+ to size, the part off, from the (cab|engine) side\.", step)


def test_what_comes_from_elsewhere_and_is_bolted_on_is_named(sheet: Sheet) -> None:
    own = sheet.text[sheet.text.index("Not in the box") : sheet.text.index("At hand before")].lower()
    for part in sheet.job.parts:
        for held in part.spec.held:
            if part.mount is not None:
                assert held.what.lower() in own


def test_a_brace_is_asked_for_with_the_force_it_has_to_carry(sheet: Sheet) -> None:
    """The force on its bolt in the worst case that is no structure-only one, up to the next 10 N."""
    asked = [s for s in sheet.steps if s.startswith("Before the pedal is loaded, fit the")]
    for step in asked:
        loads = [
            math.hypot(f.pull_n, f.shear_n) * joints.low
            for joints in sheet.job.joints
            for bracket in sheet.job.loaded
            if bracket.part.spec.name == joints.part and joints.title.lower() in step.lower()
            for case in hand_cases(bracket)
            if case.kind != "structure"
            for f in case.forces
            if f.hole.startswith("brace") and f.hole.replace("_", " ") in step
        ]
        (said,) = re.findall(r"Make it to carry ([0-9]+) N \([0-9]+ lbf\)", step)
        assert 0 <= float(said) - max(loads) < 10


BY_QUICK_ANSWER = (
    "bracket-yield",
    "bracket-deflection",
    "bolt-strength",
    "bolt-bearing",
    "bolt-pull-through",
)


def test_what_nobody_has_shown_to_hold_is_said_first(sheet: Sheet) -> None:
    """A part whose quick answer warns of a load that may come (not of a structure-only case) is not settled."""
    warned = {
        found.where.split()[0].removeprefix("part:")
        for found in sheet.job.findings
        if found.code in BY_QUICK_ANSWER
        and found.severity.value != "note"
        and "_structure" not in found.where
    }
    assert set(sheet.job.unsettled) == warned
    assert ("NOT SETTLED" in sheet.text) == bool(warned)


@pytest.mark.parametrize(
    ("final_mm", "pilot_mm", "up", "between"),
    [
        (6.0, 3.0, False, ()),
        (6.1, 3.0, True, ("5 mm",)),
        (7.0, 3.0, True, ("5 mm",)),
        (7.1, 3.0, True, ("5 mm", "7 mm")),
        (6.1, 0.0, False, ()),
    ],
)
def test_a_large_twist_drill_goes_up_by_steps(
    final_mm: float, pilot_mm: float, up: bool, between: tuple[str, ...]
) -> None:
    hole = PanelHole(
        number="1",
        name="a",
        u_mm=0.0,
        v_mm=0.0,
        final_dia_mm=final_mm,
        pilot_dia_mm=pilot_mm,
        purpose="bolt",
        tool=f"twist drill {final_mm} mm",
        drill_face="cab",
        status="drill",
        owners=("panel",),
        kind="bolt",
        tool_kind="twist drill",
    )
    assert goes_up(hole) is up
    assert drills_between([hole], "metric") == between
    assert not goes_up(replace(hole, tool_kind="step drill"))


def test_a_line_that_does_not_go_between_two_seats_has_one_fitting_loose(sheet: Sheet) -> None:
    """Where the seats' axes are more than twice 37 degrees apart (SAE J514), one end is left loose till last."""
    for hose in sheet.job.file.job.hose:
        if hose.kind != "rigid":
            continue
        title = within(hose.title)
        (step,) = starting(sheet, f"Fit the {title},")
        ways = [sheet.job.lines.ports[end].direction for end in (hose.from_, hose.to)]
        turn = math.degrees(
            math.acos(max(-1.0, min(1.0, math.fsum(a * b for a, b in zip(*ways, strict=True)))))
        )
        if turn <= 74.0:
            assert "degrees apart" not in step
            continue
        assert f"face {turn:.0f} degrees apart" in step
        name = re.findall(r"tight: the ([a-z ]+) is still loose", step)[0]
        assert re.search(rf"Last of all tighten the (nuts?|bolts) of the {name}", step)
        (fitted,) = starting(sheet, f"Fit the {name} ")
        assert re.search(rf"Leave its (nuts?|bolts) finger tight for now: the {title} ", fitted)
        assert sheet.steps.index(fitted) < sheet.steps.index(step)


def test_one_kind_of_distance_rules_where_two_disagree(sheet: Sheet) -> None:
    """What must fit a part rules over what only says where it sits: common practice, no source."""
    for step in starting(sheet, "Centre-punch through"):
        each, pair = re.findall(r"Out by up to ([0-9.]+) mm, between two marks ([0-9.]+) mm: leave it", step)[
            0
        ]
        assert float(pair) == 2 * float(each)
        assert "what that hole itself was out rim to rim" in step
        assert "the distance between two marks rules" in step or "do as with the marks of the" in step
    checked = starting(sheet, "Check that your ")
    assert all("Write down beside it what each is out" in step for step in checked)


def test_what_is_bolted_on_is_shown_in_its_place(sheet: Sheet) -> None:
    views = r", (from the vehicle's left|as the driver sees it) about 1 : [0-9.]+; picture only"
    job = sheet.job.file.job
    folded = [p.plan.title for p in sheet.job.parts if p.mount is not None and len(p.plan.flanges) > 1]
    bodied = [c.title for c in job.component if c.kind in ("master", "reservoir") and c.length_mm]
    for title in (*folded, *bodied):
        steps = " ".join(starting(sheet, f"Fit the {within(title)} "))
        assert re.search(re.escape(title) + views, steps), title
    for pedal in job.pedal:
        if pedal.hanger and starting(sheet, f"Fit the {within(pedal.title)} and its pivot"):
            (step,) = starting(sheet, f"Fit the {within(pedal.title)} and its pivot")
            assert re.search(re.escape(pedal.title) + views, step)


def test_a_brace_has_a_far_end(sheet: Sheet) -> None:
    """A bolt there carries what the one here does (equilibrium of a bar held at two ends): the same thread."""
    for step in starting(sheet, "Before the pedal is loaded, fit the"):
        near = re.findall(r"this end flat on the ([a-z -]+) face[a-z ]* of that sheet; (\S+?)×", step)
        far = re.findall(r"a bolt of the same thread and class \((\S+)", step)
        assert near
        assert far == [near[0][1]]
        made = [m for m in sheet.job.fasteners if m.held is not None and m.held.absent and m.thread == far[0]]
        assert made
        for tube in re.findall(r"Counted on: a tube [^,]+, ([0-9.]+) mm", step):
            assert f"{tube} mm from bolt to bolt" in step


def test_the_spring_and_the_stop_no_bag_holds_are_fitted_in_a_step(sheet: Sheet) -> None:
    own = sheet.text[sheet.text.index("Not in the box") : sheet.text.index("At hand before")]
    assert "return spring with its anchorage, and a stop it comes back against" in own
    for pedal in sheet.job.pedals:
        title = pedal.sheet().title
        (step,) = [s for s in sheet.steps if s.startswith("Fit ") and f"{within(title)} and its pivot" in s]
        assert "return spring" in step
        assert "stop" in step


def test_a_tube_is_blown_clean_before_the_words_that_put_it_in(sheet: Sheet) -> None:
    for hose in sheet.job.lines.hoses:
        if hose.spec.kind == "rigid":
            (step,) = starting(sheet, f"Fit the {within(hose.spec.title)},")
            # inverted flares are of 45 degrees and lie in a bore (SAE J512, from memory): asked before a cut
            said = (
                "Look at both seats first: its flares are of 37 degrees",
                "In this order",
                "Blow it clean",
            )
            order = [step.index(x) for x in (*said, "drop into both seats", "more with a")]
            assert order == sorted(order)
            assert "swing the two back" not in step
            if "draw it out of its hole" in step:
                assert "washer and nut on again" in step


@pytest.mark.parametrize(
    ("torque_nm", "units"), [(10.49, "metric"), (25.47, "metric"), (5.57, "metric"), (26.0, "inch")]
)
def test_the_share_for_plated_bolts_is_of_the_figure_printed(torque_nm: float, units: UnitSystem) -> None:
    """K 0.15 for 0.2 (NASA RP-1228) is 75 %, as the sheet says at its head; by hand 0.75 x 10 is 7.5."""
    made = SimpleNamespace(tighten=SimpleNamespace(torque_nm=torque_nm, bearing=""), held=None)
    said = tightness_words(cast(FastenerSet, made), units)
    dry, oiled = (float(x) for x in re.findall(r"(?:^|oiled )([0-9.]+) (?:N|lbf)", said))
    last = 0.5 if oiled >= 10 else 0.05
    assert abs(oiled - 0.75 * dry) <= last + 1e-9
    if torque_nm == 10.49:
        assert said.startswith("10 N·m (89 lbf·in) dry; plated, waxed or oiled 7.5 N·m")


def test_a_sheet_with_one_hole_on_it_is_not_laid_by_that_alone(sheet: Sheet) -> None:
    """Two things fix a sheet in its plane (geometry): one hole lets it turn."""
    for layout in sheet.job.layouts:
        words = template_words(layout, "cab", "job", "r", "A4", (), None)
        for leaf in patch_leaves(layout, patch_paper(paper_choice("A4")), "cab", words):
            there = [h.number for h in layout.holes if h.status in EXISTING and leaf.shows(h)]
            said = leaf.words.join
            assert ("by the existing holes on it" in said) == (len(there) > 1)
            assert (f"by hole {there[0]} and turn it" in said) if len(there) == 1 else "turn it" not in said
            if len(there) < 2:
                assert "distances above" in said


def test_no_name_lies_under_a_hole(sheet: Sheet) -> None:
    """A filled disc over letters hides them: the names are told clear of every hole, whatever is lit."""
    for layout in sheet.job.layouts:
        for face in FACES:
            for width in (82.0, 180.0):
                view = PanelView(layout, width_mm=width, face=face, name_all=False)
                pen = create_autospec(Pen, instance=True)
                view.paint(pen)
                reasons = {k.reason for k in layout.keepouts}
                discs = [call.args for call in pen.circle.call_args_list]
                for x, y, text, size in (call.args for call in pen.text.call_args_list):
                    if text not in reasons:
                        continue
                    half = text_width(text, size) / 2
                    for u, v, dia in discs:
                        off = math.hypot(
                            max(abs(u - x) - half, 0.0), max(abs(v - y - size / 3) - size / 3, 0)
                        )
                        assert off >= dia / 2, (text, face, width)
