"""Steps in the order a workshop can do them, read from the finished install sheets of all demos.

Tubes: a nut does not pass a bend; a -4 nut with its sleeve is about 19 mm and a flaring bar grips about 20 mm
(common practice, no source). A mark taken from the cut end lies further on by what is left over there and what
the flare takes: (0.359 - 0.250) / 2 in, times 1 / sin 37 less 1 / tan 37 (MS33584, from memory).
"""

from __future__ import annotations

import math
import re

from finished_words import FLARE_MM, Sheet, starting

SPARE = 20.0
NUT_AND_BAR = 19.05 + 20.0
ENDS = re.compile(r"flare the end for the ([^,;]*?), before anything is bent")
BENT = re.compile(r"([0-9.]+) mm +([0-9.]+) deg")


def test_a_tube_is_cut_long_flared_bent_and_trimmed_in_that_order(sheet: Sheet) -> None:
    for hose in sheet.job.lines.hoses:
        if hose.spec.kind != "rigid":
            continue
        title = hose.spec.title[:1].lower() + hose.spec.title[1:]
        (step,) = starting(sheet, f"Fit the {title},")
        order = re.findall(r"\(([0-9])\) (.*?)(?=; \([0-9]\)|\. )", step)
        assert [int(number) for number, _ in order] == list(range(1, len(order) + 1))
        said = [words.split()[0] for _, words in order]
        late = [words for _, words in order if "and trim" in words]
        # a tube of which nothing is trimmed after bending is tried in wire before any of it is cut
        wired = order[0][1].startswith("try a wire")
        assert not (wired and late)
        assert said[int(wired)] == "cut"
        early = ENDS.search(step)
        if hose.length is not None and not hose.measure_why:
            cut = float(re.findall(r"cut it ([0-9.]+) mm \(", step)[0])
            final = float(re.findall(r"ube ([0-9.]+) mm (?:in the end|\(least)", step)[0])
            ends = 0 if not late else 2 if "trim each end" in late[0] else 1
            assert abs(cut - final - SPARE * ends) < 0.02
        table = step[step.index("Along the middle of the tube") :] if "Along the middle" in step else ""
        bends = [(float(at), float(by)) for at, by in BENT.findall(table) if float(by) >= 5.0]
        if not bends:
            continue
        if early:
            # the end flared first is the one the table counts from, and the first bend is why
            assert f"from its seat in the {early[1].split(' and the end')[0]}" in table
            assert bends[0][0] < NUT_AND_BAR
            assert said.index("nut") < said.index("bend")
        else:
            assert bends[0][0] >= NUT_AND_BAR - 0.06
            shift = float(re.findall(r"every mark lies ([0-9.]+) mm further on", step)[0])
            assert abs(shift - SPARE - FLARE_MM[hose.spec.dash]) < 0.06
            # a mark made by hand is no finer than 0.1 mm; spare and flare as printed add up to it
            assert round(shift, 1) == shift
            flare = float(re.findall(r"([0-9.]+) mm more for the flare", step)[0])
            assert shift == round(SPARE + flare, 1)
        if late:
            assert said.index("bend") < said.index("try")
            assert order[-1][1].startswith("nut and sleeve on and flare")


def test_a_brace_that_is_counted_on_goes_on_before_the_pedal_is_loaded(sheet: Sheet) -> None:
    counted = {
        m.opening.replace("_", " ")
        for m in sheet.job.fasteners
        if m.held and m.held.absent and m.held.counted
    }
    steps = starting(sheet, "Before the pedal is loaded, fit the")
    assert bool(counted) == bool(steps)
    for hole in counted:
        (step,) = [s for s in steps if hole in s[:200]]
        assert "have it made" in step
        assert "sound metal of the body" in step
        loaded = [k for k, s in enumerate(sheet.steps) if re.match(r"(Bleed|Fill|Press|Set the pushrod)", s)]
        assert loaded
        assert sheet.steps.index(step) < loaded[0]
    if not counted:
        assert "before the pedal is loaded" not in sheet.text


def test_every_step_that_opens_holes_measures_them_and_says_what_over_its_limit_means(sheet: Sheet) -> None:
    tools = sheet.text[sheet.text.index("At hand before you begin") :]
    opened = [s for s in sheet.steps if "; may be " in s]
    close = [h for x in sheet.job.layouts for h in x.holes if h.tool and 0 < h.most_mm - h.least_mm < 0.5]
    assert bool(close) == ("caliper" in tools[:4000])
    for step in opened:
        assert re.search(r"stop, fit nothing in it and ask ", step), step[:120]


def test_nothing_is_clamped_where_bolts_hold_it(sheet: Sheet) -> None:
    for step in sheet.steps:
        assert "the part clamped" not in step
        assert "the plate clamped" not in step
    for step in starting(sheet, "Bolt the "):
        assert "that bolt holds the part" in step or "they hold it" in step
    for step in starting(sheet, "Close hole"):
        if "Drill through plate and panel" in step:
            assert "for the first hole" in step
    nuts = sheet.text[sheet.text.index("At hand before you begin") :]
    assert ("A plain nut will do for now" in sheet.text) == ("plain nuts for their bolts" in nuts)


def test_a_rim_is_the_edge_of_the_metal(sheet: Sheet) -> None:
    for step in (*starting(sheet, "Check that your "), *starting(sheet, "Centre-punch")):
        assert "A rim is the edge of the metal" in step


def test_free_play_says_what_it_is_set_by(sheet: Sheet) -> None:
    for step in starting(sheet, "Set the free play"):
        assert "set by the length of the rod" in step or "set by the spacer" in step


def test_what_the_steps_use_is_at_hand(sheet: Sheet) -> None:
    tools = sheet.text[sheet.text.index("At hand before you begin") :]
    assert ("hose clips" in " ".join(sheet.steps)) <= ("screwdriver or key for the hose clips" in tools)
    assert "stands and chocks; plugs and caps" in tools
    for layout in sheet.job.layouts:
        for hole in layout.holes:
            if hole.work.when == "close" and hole.work.part:
                assert any(f"round hole {hole.number}, between plate and panel" in s for s in sheet.steps)


def test_a_drill_without_room_and_a_rule_without_way_on_the_van(sheet: Sheet) -> None:
    """By hand: the steering box begins at u 565 and stands 160 mm off the engine face; hole 12 is at u 524, so
    41 mm from it, hole 11 at u 500, so 65 mm. The heater box ends at v 280, hole 1 is at v 315 above it: 35 mm.
    The air duct ends at u 230, 50 mm beside hole 1. A hand drill wants about 45 mm (common practice, no source).
    Drilled through a part, its own flanges count: cheeks 108 mm apart about u 520 stand 107 mm off the panel,
    32 mm from holes 4, 8, 9 and 25 mm from the master's 5, 7; a shelf 92 mm deep is 31.5 mm above hole 2.
    """
    if sheet.job.file.job.job.name != "wrenfield_van":
        return
    said = re.findall(r"stands too near to holes? ([0-9, ]+) for the body", sheet.text)
    assert said == ["1", "12", "2", "9", "4, 8", "5, 7"]
    # at the step in which it is drilled for the first time
    pilot, _ = starting(sheet, "Pilot drill 3 mm")
    assert "The heater box stands too near to hole 1 for" in pilot
    # and what helps once more where it is opened to size: between the two lies another step
    final, _ = starting(sheet, "Open to final size")
    assert "Hole 1: long drill or angle drill here too" in final
    (step,) = starting(sheet, "Open hole 2 through")
    assert "The clutch reservoir bracket stands too near to hole 2" in step
    (step,) = starting(sheet, "Drill holes 4, 8 through")
    assert "The clutch pedal hanger stands too near to holes 4, 8" in step
    (step,) = starting(sheet, "Open hole 12 through")
    assert "The steering box stands too near to hole 12" in step


def test_a_pedal_is_hung_with_where_it_rests_and_the_covering_goes_back_once(sheet: Sheet) -> None:
    """Where the pad rests is told as three distances and the straight one a tape can check: Pythagoras."""
    pedals = starting(sheet, "Fit the ")
    told = [step for step in pedals if "Put that stop where it holds the arm" in step]
    assert len(told) == len(sheet.job.pedals)
    for step in told:
        near = step[step.index("middle of the pad's face") :]
        legs = [float(d) for d in re.findall(r"([0-9]+) mm (?:rearward|forward|right|left|up|down)", near)]
        (straight,) = re.findall(r"; ([0-9]+) mm straight across", near)
        # each is told to a millimetre
        assert abs(math.hypot(*legs) - float(straight)) <= 0.5 * sum(legs) / math.hypot(*legs) + 0.5
    (finish,) = starting(sheet, "Clear up and put back")
    assert "floor covering back where it is still up" in finish
