"""What the finished install sheet of every demo must never say, and what it must: read from the PDF's own text.

The rules of practice (battery, old parts, rod before bleeding, caps) are common practice, no source.
"""

from __future__ import annotations

import re

from finished_words import Sheet

from generators.model.spec.titles import NOBODY
from generators.solve.wrapping import wrapped_names, wrapped_sheet

MAKERS = re.compile(r"(?i)\bspec\b|new files|\btoml\b|asdrilled|pedalplate|shop file|\[[a-z_]+\]")
FILES = re.compile(r"parts/\S+")
HOLES = r"holes? ([0-9, ]+)"


def numbers(found: list[str]) -> set[str]:
    return {n for group in found for n in re.findall(r"[0-9]+", group)}


def at(sheet: Sheet, words: str) -> int:
    """Place of the first step that begins with these words."""
    return next(k for k, step in enumerate(sheet.steps) if step.startswith(words))


def test_no_key_and_no_word_for_the_maker_is_on_it(sheet: Sheet) -> None:
    text = FILES.sub("", sheet.text)
    assert re.findall(r"\S*[a-z0-9]_[a-z0-9]\S*", text) == []
    assert [m[0] for m in MAKERS.finditer(text)] == []


def test_it_says_who_is_asked(sheet: Sheet) -> None:
    contact = sheet.job.file.job.job.contact
    assert f"stop and ask {contact or NOBODY}" in sheet.text
    assert not contact or NOBODY not in sheet.text


def test_a_hole_led_by_a_guide_is_not_punched_and_none_is_made_twice(sheet: Sheet) -> None:
    punched = numbers(re.findall(rf"Centre-punch through the cross(?:es)? of {HOLES}", sheet.text))
    guided = numbers(re.findall(rf"Drill {HOLES} through it", sheet.text))
    assert punched.isdisjoint(guided)
    waiting = numbers(re.findall(rf"Do NOT drill {HOLES}", sheet.text))
    pilots = numbers(re.findall(rf"Leave the pilots? of {HOLES}", sheet.text))
    assert punched & waiting == pilots


def test_no_step_asks_for_a_sheet_the_pack_does_not_hold(sheet: Sheet) -> None:
    assert "checking from behind" not in sheet.text
    assert "must show" not in sheet.text


def test_nothing_lies_a_negative_length_above_or_aside(sheet: Sheet) -> None:
    ways = "above|below|up|down|left|right|forward|rearward|of pad|past"
    assert re.findall(rf"[-\u2212][0-9][0-9.]* (?:mm|in)(?: \([^)]*\))? (?:{ways})", sheet.text) == []


def test_a_component_with_several_holes_names_them_all(sheet: Sheet) -> None:
    order = sheet.job.lines.order
    for component in sheet.job.file.job.component:
        if component.on.holes and order.place(f"component:{component.name}") is not None:
            title = component.title[:1].lower() + component.title[1:]
            step = sheet.steps[at(sheet, f"Fit the {title} ")]
            named = re.search(r"(?:in|with its bolts in) (?:hole|holes) ([0-9, and]+) of the", step)
            if named is not None:
                assert len(re.findall("[0-9]+", named[1])) == len(component.on.holes)


def test_a_clamp_that_sits_in_no_hole_gets_one(sheet: Sheet) -> None:
    free = [c for c in sheet.job.file.job.clamp if c.on.at is not None]
    steps = [s for s in sheet.steps if s.startswith("Mark, drill and put up the clamp")]
    assert bool(free) == bool(steps)
    assert all("its hole:" in step for step in steps)


def test_never_more_than_six_distances_of_one_panel(sheet: Sheet) -> None:
    row = r"\b[A-Z]{1,2} \([^)]*\) to [A-Z]{1,2} \("
    checks = [s for s in sheet.steps if re.match("Check that your .* is the one these sheets", s)]
    assert checks
    assert all(1 <= len(re.findall(row, step)) <= 6 and "edge to edge" in step for step in checks)


def test_the_order_is_that_of_a_workshop(sheet: Sheet) -> None:
    assert sheet.steps[0].startswith("Disconnect the battery")
    first = at(sheet, "Tape the ")
    assert at(sheet, "Take out the old parts") < first
    clutches = sum(pedal.clutch is not None for pedal in sheet.job.pedals)
    throttle = any(part.spec.kind == "throttle_pedal_bracket" for part in sheet.job.parts)
    finish = ["Connect the battery again", *["Check the throttle pedal"] * throttle]
    finish += [*["Run the engine"] * clutches, "Prove before driving"]
    finish += ["Only when it has been inspected: at walking pace"] if sheet.job.pedals else []
    assert [
        step[: len(words)] for step, words in zip(sheet.steps[-len(finish) :], finish, strict=True)
    ] == finish
    for k, step in enumerate(sheet.steps):
        if step.startswith(("Bleed with", "Fill and bleed")):
            before = sheet.steps[:k]
            assert sum(s.startswith("Set the pushrod") for s in before) >= sum(
                s.startswith(("Bleed with", "Fill and bleed")) for s in sheet.steps[: k + 1]
            )


def test_every_panel_is_checked_before_the_first_is_marked(sheet: Sheet) -> None:
    checks = [
        k for k, s in enumerate(sheet.steps) if re.match("Check that your .* is the one these sheets", s)
    ]
    marked = [
        k for k, s in enumerate(sheet.steps) if s.startswith(("Tape the", "Centre-punch", "Pilot drill"))
    ]
    assert max(checks) < min(marked)
    fixed = [[h for h in p.holes if h.status in ("datum", "blank", "reuse")] for p in sheet.job.layouts]
    assert len(checks) == sum(len(holes) > 1 for holes in fixed)


def test_where_the_floor_is_the_stop_no_step_sets_or_backs_off_one(sheet: Sheet) -> None:
    clutches = [p.sheet().clutch for p in sheet.job.pedals]
    if clutches and all(c is None or c.window.by_floor for c in clutches):
        assert not re.search(r"(?i)pedal stop|stop is set|set the stop|to the stop", " ".join(sheet.steps))


def test_what_no_bag_holds_is_said_before_the_first_step(sheet: Sheet) -> None:
    start = sheet.text.index("Not in the box: have these yourself")
    own = sheet.text[start : sheet.text.index("At hand before you begin", start)]
    for word in ("return spring", "pushrod", "clevis", "Fluid fresh, from a sealed bottle: "):
        assert word in own
    for made in sheet.job.fasteners:
        if made.held is not None and made.held.absent:
            assert "this job has hole and bolt for it, not the thing" in own


def test_every_end_of_a_hose_or_line_is_in_a_bag(sheet: Sheet) -> None:
    bags = sheet.text[sheet.text.index("Parts by bag") : sheet.text.index("How tight")]
    for hose in sheet.job.file.job.hose:
        made = hose.made_up_mm is not None
        clips = hose.kind == "hose" and hose.service == "feed" and not (hose.from_end or hose.to_end)
        words = ["hose clip"] if clips else [] if made else [f"-{hose.dash} hose end"]
        if hose.kind == "rigid" and not made:
            words = [f"-{hose.dash} tube nut", f"-{hose.dash} tube sleeve"]
        for word in words:
            assert word in bags


def test_every_hose_stays_capped_until_it_is_joined(sheet: Sheet) -> None:
    for hose in sheet.job.lines.hoses:
        title = (hose.spec.title or hose.spec.name.replace("_", " ")).strip()
        step = next(s for s in sheet.steps if s.startswith(f"Fit the {title[:1].lower()}{title[1:]}, from"))
        assert "only when that end is joined" in step
        # what is pushed on and clipped has no ends to leave on
        made, clips = hose.spec.made_up_mm is not None, "Both hose clips past the bead" in step
        assert (
            "until the hose just bulges at the edge of the band" in step
        ) == clips  # common practice, no source
        assert ("leave its ends on and its plugs in" in step) == (made and not clips)
        assert ("so it has no fittings: leave its plugs in" in step) == (made and clips)


def test_a_clamp_of_a_rigid_line_holds_a_line(sheet: Sheet) -> None:
    assert "a washer for each face" not in sheet.text
    kinds = {name: hose.spec.kind for hose in sheet.job.lines.hoses for name in hose.spec.clamps}
    for step in (s for s in sheet.steps if "a clamp smaller than the" in s):
        held = [
            kinds[clamp.name] for clamp in sheet.job.file.job.clamp if clamp.name.replace("_", " ") in step
        ]
        word = re.search(r"a clamp smaller than the (.*?) chokes it", step)
        assert word is not None
        assert ("line" in word[1], "hose" in word[1]) == ("rigid" in held, "hose" in held)
        if "hose" not in held:
            assert "its fastener, line" in step or "its fastener" not in step


def test_one_number_per_hole_in_the_whole_job_and_on_the_sheets_round_a_fold(sheet: Sheet) -> None:
    every = [hole.number for layout in sheet.job.layouts for hole in layout.holes]
    assert len(every) == len(set(every))
    by_name = {(h.name, h.number) for layout in sheet.job.layouts for h in layout.holes}
    for first, second in wrapped_names(sheet.job):
        wrapped = wrapped_sheet(sheet.job, first, second, "cab")
        assert {(h.name, h.number) for h in wrapped.holes} <= by_name
