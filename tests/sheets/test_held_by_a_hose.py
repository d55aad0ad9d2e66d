"""Where a made-up hose decides a place, each step can be done after the one before, on the face it is done on.

Distances are worked out from the places of the job's holes, bolts told by the numbers the sheet has used before.
"""

from __future__ import annotations

import math
import re

from finished_words import Sheet, starting

ROW = re.compile(r"(?<![0-9.,])([0-9]{1,2}) ([0-9]{1,2}) ([0-9.]+) mm")


def decided_parts(sheet: Sheet) -> list[tuple[str, str, str]]:
    """Of each such place: the part's title within a sentence, the component's, and the panel."""
    titles = {p.spec.name: p.plan.title for p in sheet.job.parts}
    names = {c.name: c.title for c in sheet.job.file.job.component}
    return [
        (titles[d.part][:1].lower() + titles[d.part][1:], names[d.component].lower(), d.panel)
        for d in sheet.job.lines.decided
        if d.part and d.panel
    ]


def test_nothing_stands_on_holes_while_they_are_drilled_through_their_part(sheet: Sheet) -> None:
    for part, component, _panel in decided_parts(sheet):
        (off,) = [k for k, s in enumerate(sheet.steps) if f"take the {component} off it" in s[:160]]
        assert sheet.steps[off].startswith(f"Clamp the {part} there")
        drilled = [
            k for k, s in enumerate(sheet.steps) if re.match(rf"Drill hole.* the (clamped )?{part},", s)
        ]
        (on,) = [k for k, s in enumerate(sheet.steps) if s.startswith(f"Fit the {component} ")]
        assert drilled
        assert off < min(drilled)
        assert max(drilled) < on
        # till then it is tied to the part, and its hose goes on while it is
        hung = [s for s in sheet.steps[:off] if f"The {component} is still loose" in s]
        assert len(hung) == 1
        assert f"Tie it to the {part}" in hung[0]
        assert "Its hose is on it already." in sheet.steps[on]


def test_a_place_is_compared_on_the_face_where_the_part_is_held(sheet: Sheet) -> None:
    for part, _component, panel in decided_parts(sheet):
        layout = next(x for x in sheet.job.layouts if x.panel == panel)
        holes = {h.number: h for h in layout.holes}
        (number,) = [k for k, s in enumerate(sheet.steps) if s.startswith(f"Hold the {part} where")]
        step = sheet.steps[number]
        mine = [h for h in layout.holes if h.work.how == "hose"]
        papered = {h.work.pilot_from or h.drill_face for h in layout.holes if h.work.punched}
        off = [s for s in sheet.steps if s.startswith("Take the paper off the") and "prick" in s]
        if mine[0].drill_face in papered:
            assert off
            continue
        # a mark on the other face is not seen here: none is made, and none is spoken of
        assert "prick" not in step
        assert not off
        assert "a pricked mark" not in sheet.text
        assert f"read on the {mine[0].drill_face} face" in step
        rows = ROW.findall(step.partition("middle to middle")[2])
        assert len(rows) == 4
        assert len({own for own, _bolt, _mm in rows}) == 2
        for own, bolt, mm in rows:
            a, b = holes[own], holes[bolt]
            assert holes[own] in mine
            assert abs(math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm) - float(mm)) <= 0.51
            made = [
                k for k, s in enumerate(sheet.steps[:number]) if re.search(rf"holes? [0-9, ]*\b{bolt}\b", s)
            ]
            assert made
            assert bolt not in {h.number for h in mine}


def test_a_pushed_on_hose_that_is_bought_made_up_says_rubber_and_whole(sheet: Sheet) -> None:
    for answer in sheet.job.lines.hoses:
        spec = answer.spec
        if spec.made_up_mm is None or not spec.pushed_on:
            continue
        (step,) = starting(sheet, f"Fit the {spec.title[:1].lower()}{spec.title[1:]},")
        whole, rubber = spec.made_up_mm, spec.made_up_mm - 2 * spec.end_mm
        assert f"the hose itself {rubber:.2f} mm" in step
        assert re.search(rf"makes {whole:.0f}(\.00)? mm from body to body", " ".join(step.split()))
        assert "fittings" not in step.replace("so it has no fittings", "")
        assert "on both fittings" not in sheet.text


def test_no_hole_is_drilled_for_a_line_that_goes_elsewhere(sheet: Sheet) -> None:
    """A fitting nothing goes through is not packed, and a demo has no hole that is only plugged again."""
    assert not starting(sheet, "Plug the holes that stay empty")
    if sheet.job.file.job.component:
        assert "or a blanking plug" not in sheet.text
