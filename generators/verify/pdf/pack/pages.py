"""What each page of a pack is, as its own band or head says; and the list on page one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from generators.model.words import Face
from generators.verify.pdf.content import Content, Word, plain

BAND_MM = 26.0  # from the upper edge: margin and band
PAPER = " · paper "
BANDS = {
    "PRINT ME": "first",
    "CAB FACE": "cab",
    "ENGINE FACE": "engine",
    "HOLE TABLE": "tables",
    "SHEETS, continued": "list",
}
NOT_TO_DRILL = "NOT TO DRILL BY"
NUMBER = re.compile(r"page (\d+) of (\d+) of the pack")
PAGES = re.compile(r"(\d+)(?: to (\d+))?")
HEADS = ("page", "sheet", "panel", "side", "for")
SIDES: dict[str, Face] = {"cab": "cab", "engine bay": "engine"}
RUN = re.compile(r"(\D*)(\d+) to (\D*)(\d+)")
COLUMN_MM = 0.5
ONE_LINE = (
    0.9  # of the height of "page": a dash stands higher than a letter with a tail, lines lie farther apart
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page of the pack: its number in it, what it is, and for a sheet the words of its band."""

    number: int
    kind: str
    name: str
    content: Content

    @property
    def face(self) -> Face | None:
        """The face a sheet is for; None of a page one reads."""
        return SIDES.get("engine bay" if self.kind == "engine" else self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A line of the list on page one."""

    first: int
    last: int
    name: str
    panel: str
    side: str
    use: str

    @property
    def holes(self) -> tuple[str, ...]:
        """Numbers of the holes it says are marked from this sheet."""
        if not self.use.startswith("mark hole"):
            return ()
        text = self.use.split(";")[0].removeprefix("mark holes").removeprefix("mark hole")
        out: list[str] = []
        for piece in re.split(r",| and ", text):
            run = RUN.fullmatch(piece.strip())
            if run is None:
                out.append(piece.strip())
            else:
                out += [f"{run[1]}{n}" for n in range(int(run[2]), int(run[4]) + 1)]
        return tuple(out)


def may_be_measured(words: Sequence[Word]) -> bool:
    """False for a page of the install sheet: of it the words are read, its pictures are not to scale."""
    said = {word.text.strip() for word in words}
    return not said.isdisjoint(BANDS) or NOT_TO_DRILL in " ".join(" ".join(w.text for w in words).split())


def pages_of(contents: Sequence[Content]) -> list[Page]:
    """Each page with what it is."""
    out = []
    for number, content in enumerate(contents, 1):
        top = [w for w in content.words if w.box[1] > content.height - BAND_MM]
        kind = next((BANDS[w.text.strip()] for w in top if w.text.strip() in BANDS), "")
        if not kind:
            kind = "overview" if NOT_TO_DRILL in content.text else "install"
        where = next((w.text.split(PAPER)[0].strip() for w in top if PAPER in w.text), "")
        out.append(Page(number=number, kind=kind, name=where.removeprefix("patch: "), content=content))
    return out


def numbering_problems(pages: Sequence[Page]) -> list[str]:
    """Pages that say another number than they have, or another count."""
    problems = []
    for page in pages:
        said = NUMBER.findall(page.content.text)
        if said != [(str(page.number), str(len(pages)))]:
            found = ", ".join(f"page {a} of {b}" for a, b in said) or "no number"
            problems.append(f"page {page.number} of {len(pages)}: says {found}")
    return problems


def listed(page: Content) -> list[Listed]:
    """The lines of the list on one page, read by its columns."""
    heads = [w.box[3] - w.box[1] for w in page.words if w.text.strip() == HEADS[0]]
    lines = _lines(page.words, ONE_LINE * max(heads, default=0.0))
    head = next((ln for ln in lines if [w.text.strip() for w in ln] == list(HEADS)), None)
    if head is None:
        return []
    lefts = [w.box[0] for w in head]
    under = [ln for ln in lines if ln[0].box[3] < head[0].box[1]]
    out: list[Listed] = []
    for line in under:
        cells = ["".join(w.text for w in line if abs(w.box[0] - left) < COLUMN_MM).strip() for left in lefts]
        pages = PAGES.fullmatch(cells[0])
        if pages is not None and all(cells[1:]):
            first = int(pages[1])
            out.append(
                Listed(
                    first=first,
                    last=int(pages[2] or first),
                    name=cells[1],
                    panel=cells[2],
                    side=cells[3],
                    use=cells[4],
                )
            )
        elif out and not cells[0] and any(cells[1:]) and all(_in_column(w, lefts) for w in line):
            last = out[-1]
            more = [f"{a} {b}".strip() for a, b in zip(_cells(last), cells[1:], strict=True)]
            out[-1] = Listed(
                first=last.first, last=last.last, name=more[0], panel=more[1], side=more[2], use=more[3]
            )
        elif out:
            break
    return out


def _cells(line: Listed) -> tuple[str, str, str, str]:
    return line.name, line.panel, line.side, line.use


def _in_column(word: Word, lefts: Sequence[float]) -> bool:
    return any(abs(word.box[0] - left) < COLUMN_MM for left in lefts[1:])


def _lines(words: Sequence[Word], apart: float) -> list[list[Word]]:
    """Words whose feet stand within ``apart`` mm, from the top down and from left to right."""
    flat = [w for w in words if w.box[2] - w.box[0] >= (w.box[3] - w.box[1]) * 0.3 and w.text.strip()]
    lines: list[list[Word]] = []
    for word in sorted(flat, key=lambda w: -w.box[1]):
        if lines and abs(lines[-1][0].box[1] - word.box[1]) < apart:
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda w: w.box[0]) for line in lines]


def list_problems(pages: Sequence[Page], lines: Sequence[Listed]) -> list[str]:
    """Where the list and the pages that follow say another thing."""
    problems = []
    told = [n for line in lines for n in range(line.first, line.last + 1)]
    if told != [page.number for page in pages]:
        problems.append(f"page 1 lists pages {_ends(told)}, the pack has 1 to {len(pages)}")
    by_number = {page.number: page for page in pages}
    for line in lines:
        for number in range(line.first, line.last + 1):
            page = by_number.get(number)
            if page is not None:
                problems += [f"page 1 {text} on page {number}" for text in _contradictions(line, page)]
    return problems


def _contradictions(line: Listed, page: Page) -> Iterator[str]:
    wanted = {
        "this page": ("first", "list"),
        "overview": ("overview",),
        "hole table": ("tables",),
        "install sheet": ("install",),
    }.get(line.name)
    if wanted is not None:
        if page.kind not in wanted:
            yield f"lists {line.name!r}, but there is {page.kind!r}"
        return
    if page.kind not in ("cab", "engine"):
        yield f"lists the sheet {line.name!r}, but there is {page.kind!r}"
        return
    if plain(line.name) != plain(page.name):
        yield f"lists the sheet {line.name!r}, but there is {page.name!r}"
    if SIDES.get(line.side) != page.face:
        yield f"says the side is {line.side!r}, the sheet is of the {page.kind} face,"
    if plain(line.panel) not in plain(page.content.text):
        yield f"says the panel is {line.panel!r}, which the sheet does not,"


def _ends(numbers: Sequence[int]) -> str:
    """``1 to 4, 6``."""
    runs = [
        [n for _, n in group] for _, group in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0])
    ]
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)
