"""A finished setup sheet, read from the file alone and held against the plan and the shop's tools.

Nothing of the writer or of the search is used: stops are measured on the flat blank, depth and force
are worked out anew, and the picture's legs must stand at half the bend.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.standards import material
from generators.verify.pdf.bending.beside import (
    finish_problems,
    grain_problems,
)
from generators.verify.pdf.bending.folder import FOLD
from generators.verify.pdf.bending.gauge.drawn_back import draw_back_problems
from generators.verify.pdf.bending.gauge.swings import swing_problems
from generators.verify.pdf.bending.gauged import gauge_problems
from generators.verify.pdf.bending.instead import instead_problems, k_problems, orders_of
from generators.verify.pdf.bending.machine import lean_problems, machine_problems
from generators.verify.pdf.bending.pictures.from_above import Picture, above_problems
from generators.verify.pdf.bending.pictures.layers import Drawn, befores, page_problems
from generators.verify.pdf.bending.pictures.letters import letter_problems
from generators.verify.pdf.bending.pictures.on_page import boxes, letters_on, step_pictures
from generators.verify.pdf.bending.squared import squared_problems
from generators.verify.pdf.bending.step_words import STEP, steps_in
from generators.verify.pdf.bending.steps import steps_problems
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import PdfFile, UnreadablePdfError, read_pdf, says
from generators.verify.pdf.inspecting.asked import title_problems
from generators.verify.readback import ReadBack

TITLE = "SETUP SHEET: BENDING"
NONE_FOUND = "NO ORDER OF BENDS WAS FOUND ON THIS BRAKE"
OFFSET_DIE = "OFFSET DIE: ask for one"
CAUTION = "have the work checked by a licensed mechanic and follow local codes"
HANDS = "Hands clear of punch and die"
HALVES = "Half of what S1 or S2 (inspection) is off goes on each stop at an edge."
LEAF = "Hands clear of the clamping beam"


def read_setup_sheet(
    path: Path,
    plan: PartPlan,
    *,
    tools: Tools,
    job_title: str,
    revision: str,
    rel: str,
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Read a finished setup sheet; a file that cannot be read is a problem, not an exception."""
    try:
        pdf = read_pdf(path)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    steps = [m for page in pdf.pages for m in steps_in(page.text)]
    hands = hands_for(steps)
    problems = [*_words(pdf, plan, job_title, revision, hands), *grain_problems(pdf.pages[0].text, plan)]
    problems += title_problems(pdf.pages, plan, contact, date)
    problems += finish_problems(pdf.pages[0].text, plan)
    offset = any(OFFSET_DIE in page.text for page in pdf.pages)
    in_a_row = [(a, b) for a in plan.bends for b in plan.bends if a.child == b.parent]
    if offset and not any(a.direction != b.direction for a, b in in_a_row):
        problems.append("the sheet asks for an offset die, and no bend follows another the other way")
    if offset or any(NONE_FOUND in page.text for page in pdf.pages):
        if steps:
            problems.append("the sheet says that no order was found, and gives one")
        return ReadBack(path=rel, facts=("no order of bends",), problems=tuple(problems))
    problems += steps_problems(steps, plan, tools)
    problems += instead_problems(pdf.pages[0].text, steps)
    problems += k_problems(pdf.pages[0].text, steps, plan, tools.opening_mm)
    problems += brake_problems(pdf.pages[0].text, steps, tools, plan)
    if steps:
        letters, wrong = letters_on(pdf.pages[0], flat_pattern(plan))
        problems += [*wrong, *letter_problems(steps, letters, plan)]
        problems += gauge_problems(steps, letters, plan, tools.brake)
        problems += swing_problems(steps, letters, plan, tools)
        problems += draw_back_problems(steps, letters, plan, tools)
        problems += squared_problems(steps, letters, plan, tools.dies)
    before = befores(steps, plan)
    if steps:
        problems += above_problems(dict(_pictures(pdf)), steps, letters, plan, tools)
    for number, page in enumerate(pdf.pages, 1):
        problems += step_pictures(page, steps_in(page.text), number, plan)
        here = steps_in(page.text)
        problems += page_problems(page, here, boxes(page, here), plan, tools, before)
    made = f"{len(orders_of(steps)[0])} of {len(plan.bends)} bends in order, stops measured on the blank"
    facts = (f"{made}; that nothing meets is the search's word",)
    return ReadBack(path=rel, facts=facts, problems=tuple(dict.fromkeys(problems)))


def _pictures(pdf: PdfFile) -> Iterator[tuple[str, Picture]]:
    """All that is drawn and written in the box of each step, by its number."""
    for page in pdf.pages:
        here = steps_in(page.text)
        for match, (low, high) in zip(here, boxes(page, here), strict=True):
            drawn = [
                Drawn(points=s.points, filled=s.filled, dashed=s.dashed)
                for s in sorted(page.shapes, key=lambda s: s.order)
                if low <= s.box[1] and s.box[3] <= high
            ]
            words = [w.text for w in page.words if low <= w.box[1] <= high]
            yield match["number"], Picture(drawn=drawn, words=words)


def brake_problems(text: str, steps: Sequence[re.Match[str]], tools: Tools, plan: PartPlan) -> list[str]:
    """What is wrong with the figures of the brake and the tools of the steps made on it."""
    on_brake = [m for m in steps if m.re is STEP]
    if not on_brake:
        return []
    on_edges = any(m["on"] == "straight edge" for m in on_brake)
    shared = HALVES in " ".join(text.split())
    return [
        *machine_problems(text, on_brake, tools.brake, tools.dies),
        *lean_problems(text, on_brake, tools.brake, plan),
        *(["it does not say rightly that stops share what the blank is off"] if on_edges != shared else []),
    ]


def _words(
    pdf: PdfFile, plan: PartPlan, job_title: str, revision: str, hands: Sequence[str]
) -> Iterator[str]:
    for number, page in enumerate(pdf.pages, 1):
        text = page.text
        for what, word in (
            ("title", TITLE),
            ("job", job_title),
            ("part", f"part {plan.name}"[:40]),
            ("revision", revision),
            ("caution", CAUTION),
            *(("caution", word) for word in hands),
            ("count", f"sheet {number} of {len(pdf.pages)}"),
        ):
            if not says(text, word):
                yield f"sheet {number} does not give the {what} {word!r}"
    ordered = material(plan.material).ordered(bent=True)
    if not any(says(page.text, ordered) for page in pdf.pages):
        yield f"no sheet gives the material {ordered!r}"


def hands_for(steps: Sequence[re.Match[str]]) -> list[str]:
    """The cautions there must be for the machines the steps are made on."""
    said = [LEAF] if any(m.re is FOLD for m in steps) else []
    return said + ([HANDS] if any(m.re is not FOLD for m in steps) or not steps else [])
