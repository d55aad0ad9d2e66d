"""What two places of the pack say of one thing does not go against each other, nor against the work.

Read from the finished install sheets of all demos; figures are worked out from the job's own holes and bolts.
"""

from __future__ import annotations

import re

from finished_words import Sheet, starting

from generators.jobs.make.line_sheets import job_bill
from generators.jobs.make.pack_files import box_words
from generators.layout.distances import checks
from generators.sheets.bolting.steps import bag_list
from generators.sheets.bolting.words import torque_text


def test_gearbox_and_engine_are_together_before_a_hose_to_a_ring_slave_is_measured(sheet: Sheet) -> None:
    rings = {p.spec.slave.kind for p in sheet.job.pedals if p.spec.slave is not None} == {"concentric"}
    together = [k for k, s in enumerate(sheet.steps) if s.startswith("Put gearbox and engine together")]
    assert bool(together) == rings
    for k in together:
        assert sheet.steps[k - 1].startswith("Fit the concentric slave")
        # its inlet cannot be measured from the firewall with the gearbox out
        assert "straight across" in sheet.steps[k]
        assert "straight across" not in sheet.steps[k - 1]
        hoses = [n for n, s in enumerate(sheet.steps) if re.match(r"(Fit|Measure) the \w+ hose", s)]
        assert hoses
        assert min(hoses) > k


def test_holes_of_a_guides_pegs_are_held_to_its_play_and_get_back_what_was_in_them(sheet: Sheet) -> None:
    guides = [p.plan for p in sheet.job.parts if p.plan.tool and p.spec.kind == "drill_guide"]
    assert ("Between holes" in sheet.text) == bool(guides)
    for plan in guides:
        pegs = plan.flanges[0].pegs
        play = sum(peg.hole_mm - peg.diameter_mm for peg in pegs) / 2
        assert len(pegs) == 2
        (check,) = [s for s in sheet.steps if "Between holes" in s]
        (lay,) = [s for s in sheet.steps if "pegs into the metal, and clamp it" in s]
        for step in (check, lay):
            assert f"leave {play:.2f}".rstrip("0") in step
        kept = [h for x in sheet.job.layouts for h in x.holes if h.status == "datum"]
        kept = [h for h in kept if any(peg.purpose == f"panel hole {h.number}, {h.purpose}" for peg in pegs)]
        (back,) = starting(sheet, "Clear up and put back.")
        for hole in kept:
            assert f"What is in hole {hole.number} ({hole.purpose}) stays part of the vehicle" in lay
            assert f"{hole.purpose} in hole {hole.number}" in back


def test_a_bolt_that_is_turned_less_than_its_like_says_why(sheet: Sheet) -> None:
    """Bolts of one size and class: the least and the most of them must not stand there as if by mistake."""
    sized: dict[str, set[float]] = {}
    for made in sheet.job.fasteners:
        if made.tighten.torque_nm is not None and made.standard:
            sized.setdefault(f"{made.thread} {made.grade}", set()).add(made.tighten.torque_nm)
    for made in sheet.job.fasteners:
        torque = made.tighten.torque_nm
        if torque is None or not made.standard or made.held is not None:
            continue
        if torque < max(sized[f"{made.thread} {made.grade}"]) * 0.99:
            said = torque_text(torque)
            assert re.search(re.escape(said) + r" dry[^|]*?not more: \S", sheet.text), said


def test_several_braces_are_counted_and_turned_at_their_step(sheet: Sheet) -> None:
    counted = [m for m in sheet.job.fasteners if m.held and m.held.absent and m.held.counted]
    for step in starting(sheet, "Before the pedal is loaded, fit the"):
        mine = [m for m in counted if m.opening.replace("_", " ") in step[:200]]
        assert mine
        if len(mine) > 1:
            assert f"{len(mine)} of them, one at each hole" in step
            assert f"{len(mine)} of them, one at each hole" in sheet.text[: sheet.text.index("1. Disconnect")]
        for made in mine:
            assert made.tighten.torque_nm is not None
            assert torque_text(made.tighten.torque_nm) in step


def test_tools_name_what_the_steps_ask_for(sheet: Sheet) -> None:
    head = sheet.text[: sheet.text.index("1. Disconnect")]
    listed = head[head.index("At hand before you begin") :]
    steps = " ".join(sheet.steps)
    for size in set(re.findall(r"its hole: twist drill ([0-9.]+ mm)", steps)):
        assert re.search(rf"measured on the vehicle twist drill [^;]*{re.escape(size)}", listed)
    asks = re.search(r"[Cc]lamp (it|the \S+ \S+ there)\b|Tape and a clamp", steps) is not None
    assert ("two clamps" in listed) == asks
    assert ("cable tie" in steps) == ("cable ties" in listed)


def test_each_hose_is_counted_by_its_own_name(sheet: Sheet) -> None:
    items = job_bill(sheet.job)
    titles = {h.title or h.name for h in sheet.job.file.job.hose if h.kind == "hose"}
    counted = dict(box_words(items)).get("Hoses and lines", "")
    assert "×" not in counted
    (bags,) = [x for x in bag_list(items) if x.title == "Parts by bag"]
    in_bags = " ".join(what for _bag, what in bags.table.rows)
    for title in titles:
        assert len(re.findall(rf"(?:^|, ){re.escape(title)}(?=,|$)", counted)) == 1, title
        assert title in in_bags


def test_no_distance_starts_at_a_hole_that_is_closed_by_then(sheet: Sheet) -> None:
    for layout in sheet.job.layouts:
        closed = {h.number for h in layout.holes if h.work.when == "close" and not h.work.part}
        late = {h.number for h in layout.holes if h.work.when == "last" and not h.work.punched}
        for check in checks(layout.holes, layout.wraps):
            ends = {check.a.number, check.b.number}
            assert not (ends & closed and ends & late), ends


def test_the_pack_tells_no_more_than_is_in_it(sheet: Sheet) -> None:
    """A guide is printed in plastic, by files the sheet names: it is no paper of the pack."""
    for plan in (p.plan for p in sheet.job.parts if p.plan.tool and p.plan.printed):
        (step,) = [s for s in sheet.steps if s.startswith("Have the ") and "pegs up" in s]
        assert "in plastic and not on paper" in step
        assert f"{plan.name}_drawing.pdf" in step


def test_holes_of_several_like_things_are_called_after_what_sits_in_them(sheet: Sheet) -> None:
    """A hanger's left master is the front one, a plate's third reservoir the clutch's: one name for each."""
    seated = [
        c for c in sheet.job.file.job.component if c.kind in ("master", "reservoir") and c.on.part and c.title
    ]
    for component in seated:
        title = component.title[:1].lower() + component.title[1:]
        if sum((c.kind, c.on.part) == (component.kind, component.on.part) for c in seated) < 2:
            continue
        openings = {f"{component.on.part}.{name}" for name in component.on.holes}
        mine = [h for x in sheet.job.layouts for h in x.holes if h.name in openings]
        assert mine
        for hole in mine:
            known = hole.purpose.rpartition(", ")[2].removesuffix(" nose")
            assert known in title, hole.purpose
        # what only the part calls it is on no sheet of who fits it
        assert not re.search(r"bolt, (left|right) brake master\b", sheet.text)
        assert not re.search(r"bolt, reservoir [0-9]", sheet.text)
