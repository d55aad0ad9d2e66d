"""``print_me.pdf``: one file to print for the whole job, on one paper or on both."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from generators.drawing.pack.choice import Folded, Head, SheetSet, sheet_sets
from generators.drawing.pack.first_page import FirstPage
from generators.drawing.pack.laid import laid_of, scale_lengths
from generators.drawing.paper.sizes import PaperChoice, paper_choices
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs.make.asked import asked_of
from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.jobs.make.space_sheet import space_sheet
from generators.model.install import Laid
from generators.model.sold.packing import NOT_PACKED, ON_HOSE, Packing
from generators.model.words import FACES, BillKind
from generators.sheets.bill import Item
from generators.sheets.pack.write import READING, first_sheet, write_pack
from generators.sheets.pedal.words import sheet_words
from generators.sheets.space.stand import picture_words
from generators.solve.job import Prepared
from generators.solve.wrapping import wrapped_names, wrapped_sheet
from generators.verify.pdf.made_holes import made_words
from generators.verify.pdf.pack.read import read_pack_pdf

NAME = "print_me"
KIND_NAMES: dict[BillKind, str] = {
    "part": "Made parts",
    "cylinder": "Cylinders",
    "fitting": "Fittings",
    "clamp": "Clamps",
    "hose": "Hoses and lines",
    "end": "Ends of hoses and lines",
}
"""Of what lies in the box; bolts are too many for page one and stand in the install sheet."""

NAMED: tuple[BillKind, ...] = ("part", "cylinder", "end")
"""Kinds whose items have names of their own; the others are told by what they are for."""


BY_BAG = (
    "Bolts, nuts, washers, shafts, caps",
    "bag by bag on the packing list, and under Parts by bag below",
)
"""Of a kit: too many for page one, and all of them counted there."""

BESIDES = "Besides"
"""Of what goes along in a kit and is no part of the job."""


def box_words(items: Sequence[Item], packing: Packing = NOT_PACKED) -> tuple[tuple[str, str], ...]:
    """What lies in the box, kind by kind, with how many of each where there are more.

    Of a kit it says which ends are on their hoses already, and what goes along besides.
    """
    on = {(thing.item, thing.size) for thing in packing.things if thing.on_hose}
    out = []
    for kind, name in KIND_NAMES.items():
        mine = [x for x in items if x.kind == kind]
        if not mine:
            continue
        counts: dict[str, int] = {}
        for item in mine:
            if kind not in (*NAMED, "fitting") and len(item.uses) == item.quantity:
                # one for each: a count behind two names would be read as that many of the last
                counts |= {use: counts.get(use, 0) + 1 for use in item.uses}
                continue
            what = item.item if kind in NAMED else "; ".join(item.uses)
            if kind == "fitting":
                what = item.item.split(",")[0]
            if item.kind == "end" and (item.item, item.size) in on:
                what = f"{what} ({ON_HOSE})"
            counts[what] = counts.get(what, 0) + item.quantity
        out.append((name, _counted(counts)))
    if packing.boxes:
        out.append(BY_BAG)
    besides: dict[str, int] = {}
    for thing in packing.things:
        if thing.kind is None:
            besides[thing.item] = besides.get(thing.item, 0) + thing.quantity
    return (*out, (BESIDES, _counted(besides, "; "))) if besides else tuple(out)


def _counted(counts: Mapping[str, int], between: str = ", ") -> str:
    """``hose clip ×2, tube nut``; what has commas of its own has something else ``between``."""
    return between.join(f"{what} ×{n}" if n > 1 else what for what, n in counts.items())


def packed_words(packing: Packing) -> tuple[str, ...]:
    """What read-back must find of a kit: every bag by its number, and what goes along besides."""
    besides = (thing.words for thing in packing.things if thing.kind in (None, "list", "label"))
    lies = packing.holding("templates")
    printed = (f"comes printed, in {lies}",) if lies else ()
    return (*(packing.head(bag) for bag in packing.bags), *besides, *printed)


def first_words(packing: Packing) -> tuple[str, ...]:
    """What page one must say of a kit: how many boxes, where bolts are counted, whether it comes printed."""
    if not packing.boxes:
        return ()
    lies = packing.holding("templates")
    printed = (f"comes printed, in {lies}", "It came printed.") if lies else ()
    boxes = (f"IN THE {len(packing.boxes)} BOXES",) if len(packing.boxes) > 1 else ()
    return (*printed, *boxes, "bag by bag on the packing list")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """The sheets chosen for one paper, once for the pack and for the steps that tell how to lay them."""

    choice: PaperChoice
    folds: tuple[Folded, ...]
    head: Head
    page: FirstPage
    sets: tuple[SheetSet, ...]
    laid: tuple[Laid, ...]


def packs_of(prepared: Prepared, items: Sequence[Item], paper: str) -> tuple[Pack, ...]:
    """The sheets of the pack on each paper; none for a job with no panel."""
    if not any(layout.holes for layout in prepared.layouts):
        return ()
    folds = tuple(
        Folded(panels=pair, layouts={face: wrapped_sheet(prepared, *pair, face) for face in FACES})
        for pair in wrapped_names(prepared)
    )
    head = Head(
        job=prepared.file.job.job.title,
        revision=prepared.marked(PLACEHOLDER),
        waived=tuple(prepared.waived),
        printer=prepared.printer,
        units=prepared.file.units,
    )
    titles = {layout.panel: layout.title for layout in prepared.layouts}
    out = []
    for choice in paper_choices(paper):
        page = FirstPage(
            box=box_words(items, prepared.packing),
            reading=READING if choice.is_roll else "",
            type_scale=prepared.type_scale,
            boxes=len(prepared.packing.boxes),
            printed=prepared.packing.holding("templates"),
        )
        sets = sheet_sets(prepared.layouts, folds, choice, head)
        laid = laid_of(sets, first_sheet(prepared.layouts, sets, choice, head, page), titles)
        out.append(Pack(choice=choice, folds=folds, head=head, page=page, sets=sets, laid=laid))
    return tuple(out)


def pack_files(prepared: Prepared, packs: Sequence[Pack]) -> list[Artefact]:
    """The pack on each paper."""
    lines = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units)
    out = []
    for pack in packs:
        choice = pack.choice
        rel = f"{NAME}_{choice.name.lower()}.pdf" if len(packs) > 1 else f"{NAME}.pdf"
        tests = scale_lengths((choice,), prepared.file.units)
        guide = job_guide(prepared, prepared.marked(PLACEHOLDER), pack.laid, tests)
        body: partial[Any] = partial(
            write_pack,
            layouts=prepared.layouts,
            sets=pack.sets,
            paper=choice,
            head=pack.head,
            page=pack.page,
            guide=guide,
            lines=lines,
            space=space_sheet(prepared),
        )
        read = partial(
            read_pack_pdf,
            layouts=prepared.layouts,
            rounds={face: tuple(fold.layouts[face] for fold in pack.folds) for face in FACES},
            job=pack.head.job,
            revision=prepared.shown,
            rel=rel,
            used=choice.used_mm,
            printer=prepared.printer,
            waived=tuple(prepared.waived),
            words=(
                *(words for pedal in prepared.pedals for words in sheet_words(pedal.sheet())),
                *made_words(prepared.layouts),
                *picture_words(guide),
                *packed_words(prepared.packing),
            ),
            on_first=first_words(prepared.packing),
            asked=asked_of(prepared),
        )
        out.append(Artefact(entry=Entry(path=rel, kind="print_me_pdf", units="mm"), body=body, read=read))
    return out
