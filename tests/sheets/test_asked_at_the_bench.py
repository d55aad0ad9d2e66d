"""What was asked by people who had only the finished papers: read from the install sheets of all demos.

Common practice, no source: nobody opens a hole through taped paper; a tube that is trimmed at one end is put
on at the other one first, and what is fixed comes before what is loose.
"""

from __future__ import annotations

import re

from finished_words import Sheet, starting

SIDE = r"((?:cab|engine) side(?: \([^)]*\))?)"
TAPE = re.compile(rf"Tape the sheets of the ([^.]*?) to its {SIDE}\.")
OFF = re.compile(rf"Take the paper off the {SIDE} of the ([^.]*?)\. ")
ENDS = re.compile(r"Fit the [^,]*?, from the (.*?\)) to the (.*?\))\. ")


def test_paper_that_is_taped_on_comes_off_before_a_hole_is_opened(sheet: Sheet) -> None:
    on: tuple[str, ...] = ()
    seen = 0
    for step in sheet.steps:
        if taped := TAPE.match(step):
            assert on == (), step[:120]
            on = taped.groups()[::-1]
        elif step.startswith(("Open to final size", "Open hole", "Deburr", "Bolt the", "Fit the")):
            assert on == (), step[:120]
        elif off := OFF.match(step):
            assert off.groups() == on
            on, seen = (), seen + 1
        elif step.startswith(("Centre-punch", "Pilot drill")):
            assert on, step[:120]
    assert on == ()
    assert seen == len(starting(sheet, "Tape the "))
    punched = [h for layout in sheet.job.layouts for h in layout.holes if h.work.punched]
    assert bool(punched) == bool(seen)


def test_a_master_cylinder_says_from_which_side_it_goes_in(sheet: Sheet) -> None:
    masters = [c for c in sheet.job.file.job.component if c.kind == "master"]
    sides = {"cab": "from the cab side", "engine": "from the engine side"}
    for master in masters:
        title = master.title[:1].lower() + master.title[1:]
        (step,) = [s for s in starting(sheet, f"Fit the {title} ") if "from the " in s]
        head = step.partition(". ")[0]
        assert head.endswith(f", {sides[master.on.side]}")
        # forward is the engine's way in every demo: x counts rearward
        assert "flange lies on the face toward the front" in step or master.on.side != "engine"


def test_the_end_named_first_is_the_one_put_on_first(sheet: Sheet) -> None:
    found = 0
    for step in sheet.steps:
        ends = ENDS.match(step)
        if ends is None:
            continue
        found += 1
        first, last = ends.groups()
        assert f"The end at the {first} goes on first." in step
        assert "either one first" not in step
        still = re.search(r"tight: the (.*?) is still loose", step)
        if still is not None:
            assert last.startswith(still[1])
            assert not first.startswith(still[1])
        elif trimmed := re.search(r"trim the end for the (.*?\)) to where its seat is", step):
            assert trimmed[1] == last
    assert found == len(sheet.job.lines.hoses)
