"""A finished ``print_me.pdf``: what page one says of it, its sheets at 1:1, every hole, the words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from generators.geometry.printing import scale_test
from generators.model.findings import Waived
from generators.model.plan import PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.words import FACES, NEW, Face
from generators.verify.pdf.content import (
    Content,
    UnreadablePdfError,
    Word,
    as_circle,
    inner,
    printed,
    read_pdf,
)
from generators.verify.pdf.pack.holds import SHORT, TWO, Held, edges_on, held_problems, laid_in_words
from generators.verify.pdf.pack.overview import overview_problems
from generators.verify.pdf.pack.pages import (
    Listed,
    Page,
    list_problems,
    listed,
    may_be_measured,
    numbering_problems,
    pages_of,
)
from generators.verify.pdf.template.cover import TITLE, cover_problems
from generators.verify.pdf.template.laying import START, laying_problems
from generators.verify.pdf.template.pages import (
    file_problems,
    printer_problems,
    size_problems,
    tile_problems,
)
from generators.verify.pdf.template.pose import PAPER, frame, labelled_marks, page_pose, print_matrix
from generators.verify.pdf.template.words import bar_problems, says, table_problems, word_problems
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack
from generators.verify.steps.asked import NOTHING, Asked

CAUTIONS = ("local codes", "Before drilling")
FIRST_BARS = (("100 mm", 100.0), ("4 in", 101.6))
ONE_SIDE = "Print on one side of the paper only"


def read_pack_pdf(
    path: Path,
    *,
    layouts: Sequence[PanelLayout],
    rounds: Mapping[Face, Sequence[PanelLayout]],
    job: str,
    revision: str,
    rel: str,
    used: tuple[float, float] | None = None,
    printer: PaperPrinter | None = None,
    waived: Sequence[Waived] = (),
    words: Sequence[str] = (),
    on_first: Sequence[str] = (),
    asked: Asked = NOTHING,
) -> ReadBack:
    """Measure a finished pack.

    ``rounds`` are the layouts of panels round their folds, by face. ``used`` is what of each sheet is drawn
    on, mm, where that is less than the paper. ``words`` must be said by the install sheet, and its steps
    what they are ``asked``; ``on_first`` by page one. A file that cannot be
    read is a problem, not an exception.
    """
    try:
        pdf = read_pdf(path, may_be_measured)
    except UnreadablePdfError as fault:
        return ReadBack(path=rel, problems=(str(fault),))
    problems = file_problems(pdf)
    contents: list[Content] = []
    for number, drawn in enumerate(pdf.pages, 1):
        problems += [f"page {number}: {text}" for text in size_problems(drawn, named=False)]
        contents.append(drawn if used is None else inner(drawn, *used))
    pages = pages_of(contents)
    problems += numbering_problems(pages)
    reader = _Reader(layouts, rounds, job, revision, printer, on_first)
    for page in pages:
        problems += [f"page {page.number}: {text}" for text in reader.page(page, pdf.pages[page.number - 1])]
    problems += reader.overview(pages)
    lines = [line for page in pages if page.kind in ("first", "list") for line in listed(page.content)]
    problems += list_problems(pages, lines)
    problems += reader.marked(lines)
    tests = [page.number for page in pages if TITLE in page.content.text]
    if tests != [1]:
        problems.append(f"has its scale test on pages {tests}, not on page 1 alone")
    problems += reader.tables(pages)
    wanted = [
        (h.number, h.work.pilot_from or h.drill_face)
        for x in layouts
        for h in x.holes
        if h.status in NEW and h.work.punched
    ]
    problems += held_problems(reader.sheets, wanted)
    said = [page.content for page in pages if page.kind == "install"]
    problems += [f"does not say {text!r}" for text in words if not any(says(p, text) for p in said)]
    problems += asked.problems(p.text for p in said)
    problems += waiver_problems(path, waived, on_first=True, reasons=False)
    kinds = Counter(page.kind for page in pages)
    sheets = kinds["cab"] + kinds["engine"]
    facts = (
        f"{len(pages)} pages, {len(pages) - kinds['install']} of them before the install sheet",
        f"scale test once, {sheets} sheets at 1:1, {kinds['tables']} pages of tables",
        f"{len(wanted)} holes to mark, each whole on a sheet with two things to lay it by",
    )
    return ReadBack(path=rel, facts=facts if not problems else (), problems=tuple(problems))


class _Reader:
    """What is gathered from the pages one after the other."""

    def __init__(
        self,
        layouts: Sequence[PanelLayout],
        rounds: Mapping[Face, Sequence[PanelLayout]],
        job: str,
        revision: str,
        printer: PaperPrinter | None,
        on_first: Sequence[str],
    ) -> None:
        self.on_first = on_first
        self.layouts, self.rounds = layouts, rounds
        self.job, self.revision, self.printer = job, revision, printer
        self.sheets: list[Held] = []

    def overview(self, pages: Sequence[Page]) -> Iterator[str]:
        """What is wrong with the overview, on all its pages together."""
        found = [page for page in pages if page.kind == "overview"]
        if found:
            drawn = [page.content for page in found]
            yield from (f"page {found[0].number}: {text}" for text in overview_problems(drawn, self.tabled()))

    def page(self, page: Page, drawn: Content) -> Iterator[str]:
        """What is wrong with one page."""
        if page.kind in ("install", "overview"):
            content = page.content
            wanted = (self.job, f"revision {self.revision}", *CAUTIONS)
            yield from (f"does not say {text!r}" for text in wanted if not says(content, text))
            return
        content = page.content
        if PAPER.search(content.text) is None:
            yield "does not name its paper"
        yield from printer_problems(drawn, self.printer)
        if self.printer is not None:
            content = printed(content, print_matrix(content, self.printer))
        if page.kind == "first":
            yield from self.first(content)
        elif page.face is not None:
            yield from self.sheet(replace(page, content=content), page.face)
        else:
            wanted = (self.job, f"revision {self.revision}", *CAUTIONS)
            yield from (f"does not say {text!r}" for text in wanted if not says(content, text))

    def first(self, page: Content) -> Iterator[str]:
        """Page one: the scale test with its bars, the words."""
        named = PAPER.search(page.text)
        roll = named is not None and bool(named["roll"])
        units = self.layouts[0].units
        test = scale_test(page.width, 10 * page.width if roll else page.height, units)
        yield from cover_problems(
            page, test, words=(self.job, f"revision {self.revision}", ONE_SIDE, *self.on_first)
        )
        yield from bar_problems(page, upright=False)

    def sheet(self, page: Page, face: Face) -> Iterator[str]:
        """A sheet to mark from: measured as those of a template are."""
        content = page.content
        layout = self._of(content, face)
        if layout is None:
            yield "is of no panel of this job"
            return
        yield from word_problems(content, layout, face=face, job=self.job, revision=self.revision)
        yield from bar_problems(content)
        found: set[str] = set()
        whole: set[str] = set()
        yield from tile_problems(content, layout, face, found, whole, set(), Counter(), every=False)
        if START in content.text:
            yield from laying_problems(content, layout, face)
        circles = [c for c in map(as_circle, content.shapes) if c is not None]
        marks = labelled_marks(content, circles)
        pose, _ = page_pose(marks, face)
        rim = frame(content)
        new = {h.number for h in layout.holes if h.status in NEW}
        self.sheets.append(
            Held(
                title=layout.title,
                face=face,
                number=page.number,
                new=whole & new,
                old=whole - new,
                edges=edges_on(content, layout, pose, rim) if pose is not None and rim is not None else 0,
                laid=laid_in_words(content),
                marks=frozenset(at for _, at in marks),
                warned=SHORT in content.text and len(layout.holes) - len(new) < TWO,
            )
        )

    def _of(self, content: Content, face: Face) -> PanelLayout | None:
        """The layout whose title stands on a line of its own; one round a fold before its first panel."""
        lines = {word.text.strip() for word in content.words}
        every = (*self.rounds.get(face, ()), *self.layouts)
        return next((x for x in every if x.title in lines), None) or next(
            (x for x in every if says(content, x.title)), None
        )

    def tabled(self) -> list[PanelLayout]:
        """What must have a table and a picture: each panel with holes, two marked round a fold together."""
        folded: list[PanelLayout] = []
        for face in FACES:
            # flattened on the other face the panel behind the fold lies a little elsewhere
            sheets = {s.title for s in self.sheets if s.face == face} - {x.title for x in folded}
            folded += [x for x in self.rounds.get(face, ()) if x.title in sheets]
        inside = {h.number for x in folded for h in x.holes}
        alone = [x for x in self.layouts if x.holes and not any(h.number in inside for h in x.holes)]
        return [*folded, *alone]

    def marked(self, lines: Sequence[Listed]) -> Iterator[str]:
        """Each hole to mark must be named by the list once, on the page that shows it whole."""
        told = Counter(number for line in lines for number in line.holes)
        for layout in self.layouts:
            for hole in layout.holes:
                want = int(hole.status in NEW and hole.work.punched)
                if told[hole.number] != want:
                    yield f"page 1 names hole {hole.number} {told[hole.number]} times, not {want}"
        for line in lines:
            page = line.first
            shown = set().union(*(s.new for s in self.sheets if s.number == page))
            for number in line.holes:
                if number not in shown:
                    yield f"page 1 says hole {number} is marked from page {page}, which does not show it"

    def tables(self, pages: Sequence[Page]) -> Iterator[str]:
        """The hole table and the check distances of each panel, wherever they stand."""
        tables = [page.content for page in pages if page.kind == "tables"]
        if self.printer is not None:
            tables = [printed(page, print_matrix(page, self.printer)) for page in tables]
        for layout in self.tabled():
            mine = [part for page in tables for part in _parts(page, layout.title)]
            yield from (f"{layout.title}: {text}" for text in table_problems(mine, layout))


def _parts(page: Content, title: str) -> Iterator[Content]:
    """The tables of one panel on a page, each as a page of its own: from its title down to the next."""
    heads = sorted(
        (w for w in page.words if w.text.startswith(("HOLE TABLE: ", "CHECK DISTANCES: "))),
        key=lambda w: -w.box[1],
    )
    for k, head in enumerate(heads):
        name = head.text.split(": ", 1)[1].strip().removesuffix(", continued")
        if name != title:
            continue
        low = heads[k + 1].box[3] if k + 1 < len(heads) else 0.0
        yield replace(page, words=tuple(w for w in page.words if _between(w, head.box[3], low)))


def _between(word: Word, top: float, low: float) -> bool:
    return low < word.box[1] and word.box[3] <= top + 0.01
