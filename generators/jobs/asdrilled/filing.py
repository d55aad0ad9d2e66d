"""What a rescue files or opens, hole by hole, and the sheet for the bench that shows it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from generators.drawing.bench.filing import write_filing
from generators.figures import fixed
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.asdrilled.weigh import AsDrilled
from generators.jobs.revised import shown
from generators.model.filing import Cut, Opening
from generators.model.plan import Hole, PartPlan, Slot
from generators.model.sold.letters import IssueMark
from generators.sheetmetal.lying import lying, moved, on_panel
from generators.solve.job import Prepared
from generators.verify.pdf.filing import read_filing_pdf

SHEET = "filing_sheet.pdf"
HOW = "as drilled"
SAME_MM = 1e-6
PART_SEEN = "from the side that looks away from the panel"
PANEL_SEEN = "from the cab"


def filing_cuts(answer: AsDrilled) -> tuple[Cut, ...]:
    """Every hole of the part, then of the panel, that the rescue makes larger; none where none is."""
    if answer.outcome is None or answer.outcome.prepared is None or answer.rescue is None:
        return ()
    if answer.rescue.new_blank:
        return ()  # the part is cut anew, with its holes where they belong
    revised = answer.outcome.prepared
    return (*_of_part(answer, revised), *_of_panel(answer, revised))


def filing_sheet(
    cuts: tuple[Cut, ...], *, paper: str, job: str, revision: str, owner: str, base: IssueMark | None
) -> Artefact:
    """The sheet as a file of a folder; ``base`` is the issue the part was made from."""
    head, said = shown(HOW, base, PLACEHOLDER), shown(HOW, base, revision)
    return Artefact(
        entry=Entry(path=SHEET, kind="filing_sheet", owner=owner, units="mm"),
        body=partial(write_filing, cuts, paper=paper, job=job, revision=head),
        read=partial(read_filing_pdf, cuts=cuts, job=job, revision=said, rel=SHEET),
    )


def _of_part(answer: AsDrilled, revised: Prepared) -> Iterator[Cut]:
    part = answer.part
    title = part.spec.title or part.spec.name
    after = next(p.plan for p in revised.parts if p.spec.name == part.spec.name)
    now, then = _openings(part.plan), _openings(after)
    outlines = tuple(flange.contour for flange in (moved(f, place) for f, place in lying(after)))
    for name, opening in then.items():
        was = now[name]
        if _same(was, opening):
            continue
        others = tuple(o for n, o in now.items() if n != name)
        yield Cut(
            thing=title,
            seen=PART_SEEN,
            order=_order("the part", was, opening),
            edge=_edge(was, opening),
            before=was,
            after=opening,
            outlines=outlines,
            others=others,
        )


def _of_panel(answer: AsDrilled, revised: Prepared) -> Iterator[Cut]:
    panel = next(p for p in revised.file.job.panel if p.name == answer.panel.name)
    layout = next(x for x in revised.layouts if x.panel == panel.name)
    drawn = {
        h.name: Opening(
            name=h.number,
            at=(h.u_mm, h.v_mm),
            width_mm=h.final_dia_mm,
            travel_mm=h.travel_mm,
            angle_rad=h.angle_rad,
        )
        for h in layout.holes
    }
    for spec in panel.existing:
        if spec.serves != answer.part.spec.name or not spec.open_to_mm:
            continue
        then = drawn[spec.name]
        was = Opening(name=then.name, at=then.at, width_mm=spec.diameter_mm)
        yield Cut(
            thing=f"{panel.title}, for {spec.serves_hole} of the {answer.part.spec.title or spec.serves}",
            seen=PANEL_SEEN,
            order=_order("the panel", was, then),
            edge=_edge(was, then),
            before=was,
            after=then,
            outlines=(layout.contour,),
            others=tuple(o for n, o in drawn.items() if n != spec.name),
        )


def _openings(plan: PartPlan) -> dict[str, Opening]:
    return {o.name: _opening(o) for o in on_panel(plan).openings}


def _opening(own: Hole | Slot) -> Opening:
    if isinstance(own, Hole):
        return Opening(name=own.name, at=(own.u_mm, own.v_mm), width_mm=own.diameter_mm)
    return Opening(
        name=own.name,
        at=(own.u_mm, own.v_mm),
        width_mm=own.width_mm,
        travel_mm=own.travel_mm,
        angle_rad=own.angle_rad,
    )


def _same(a: Opening, b: Opening) -> bool:
    return (
        math.dist(a.at, b.at) < SAME_MM
        and math.isclose(a.width_mm, b.width_mm)
        and a.travel_mm == b.travel_mm
    )


def _far(was: Opening, then: Opening) -> tuple[float, float]:
    """How far a hole is lengthened to one side, mm, and which way, rad."""
    return then.travel_mm, math.atan2(then.at[1] - was.at[1], then.at[0] - was.at[0])


def _order(where: str, was: Opening, then: Opening) -> str:
    if then.travel_mm > was.travel_mm:
        far, toward = _far(was, then)
        return f"File hole {was.name} of {where} longer by {fixed(far, 1)} mm, toward {clock(toward)}."
    return f"Open hole {was.name} of {where} from {fixed(was.width_mm, 2)} to {fixed(then.width_mm, 2)} mm."


def _edge(was: Opening, then: Opening) -> str:
    if then.travel_mm > was.travel_mm:
        far, toward = _far(was, then)
        return (
            f"The rim at {clock(toward)} only, {fixed(far, 1)} mm deep and as wide as the hole "
            f"({fixed(was.width_mm, 2)} mm); every other rim stays."
        )
    all_round = (then.width_mm - was.width_mm) / 2
    size = fixed(then.width_mm, 2)
    return f"All round alike, {fixed(all_round, 2)} mm; a drill or reamer of {size} mm does it."


def clock(angle_rad: float) -> str:
    """A direction as the hand of a clock on the sheet: ``half past 3``; to the nearest half hour."""
    halves = round((math.pi / 2 - angle_rad) / (math.pi / 12)) % 24
    hour = halves // 2 or 12
    return f"half past {hour}" if halves % 2 else f"{hour} o'clock"
