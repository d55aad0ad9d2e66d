"""Reads a finished packing list and sheets of labels: every piece of the bill in its bag with its count."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from generators.model.plan import PartPlan
from generators.model.sold.code import read_code
from generators.model.spec.selling.labels import LabelFormat
from generators.verify.pdf.content import Content, UnreadablePdfError, plain, read_pdf
from generators.verify.pdf.kit.code import codes_of
from generators.verify.pdf.kit.made import TICK, part_problems
from generators.verify.pdf.kit.told import read_told
from generators.verify.readback import ReadBack

Bags = Mapping[str, Sequence[tuple[int, str]]]
"""What each bag holds: how many of what, by its title."""

LOOSE = "Loose in the box"
END = "Packed and checked"
_BAG, _BOX = re.compile(r"Bag(\d+)of(\d+):"), re.compile(r"Box\d+of\d+:")
EDGE_MM = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class KitWanted:
    """What a kit must hold: its bags, what lies loose, its boxes' titles, and how it is called.

    ``sizes`` are what its bags say of the sizes of bought things, ``written`` what whoever packs has to write
    in, ``notes`` how a bag is packed, ``parts`` the made parts in it, ``said`` what its head says.
    """

    bags: Bags
    loose: Sequence[tuple[int, str]]
    boxes: Sequence[str]
    serial: str
    letter: str
    order: str
    sizes: Mapping[str, Sequence[str]] = field(default_factory=dict)
    written: Mapping[str, Sequence[str]] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    parts: Mapping[str, Sequence[PartPlan]] = field(default_factory=dict)
    said: Sequence[str] = ()


def read_packing_list(path: Path, *, rel: str, title: str, revision: str, wanted: KitWanted) -> ReadBack:
    """The finished list against the bill's own rows, and its code as a camera reads it."""
    words = [w for w in (f"kit {wanted.serial}", *wanted.boxes, wanted.order, *wanted.said) if w]

    def problems(text: str) -> Iterator[str]:
        yield from _list_problems(text, wanted)
        yield from _code_problems(path, wanted, revision.rsplit(maxsplit=1)[-1])

    pieces = sum(count for things in wanted.bags.values() for count, _ in things)
    facts = (f"{len(wanted.bags)} bags, {pieces} pieces in them, counted again from the bill; code reads",)
    return read_told(path, problems, rel=rel, title=title, revision=revision, facts=facts, words=words)


def _list_problems(text: str, wanted: KitWanted) -> Iterator[str]:
    heads = list(_BAG.finditer(text))
    found: dict[str, str] = {}
    ends = [h.start() for h in heads[1:]] + [text.rindex(plain(END)) if plain(END) in text else len(text)]
    for number, (head, end) in enumerate(zip(heads, ends, strict=True), 1):
        if int(head[1]) != number:
            yield f"counts bag {head[1]} where bag {number} comes"
        if int(head[2]) != len(wanted.bags):
            yield f"counts bag {head[1]} of {head[2]}, there are {len(wanted.bags)}"
        section = text[head.end() : end].partition(plain(LOOSE))[0]
        title = next(
            (t for t in sorted(wanted.bags, key=len, reverse=True) if section.startswith(plain(t))), ""
        )
        if not title:
            yield f"has a bag {number} that the bill does not know"
            continue
        found[title] = section
    for title, things in wanted.bags.items():
        if title not in found:
            yield f"has no bag {title!r}"
            continue
        yield from (f"bag {title!r} {p}" for p in _things_problems(found[title], things))
        note = wanted.notes.get(title)
        for size in (*wanted.sizes.get(title, ()), *((note,) if note else ())):
            if plain(size) not in found[title]:
                yield f"bag {title!r} does not say {size!r}"
        for words, times in Counter(wanted.written.get(title, ())).items():
            if found[title].count(plain(words)) != times:
                yield f"bag {title!r} leaves no room for {words!r} {times} times"
        yield from (f"bag {title!r} {p}" for p in part_problems(found[title], wanted.parts.get(title, ())))
    loose = "".join(_BOX.split(part)[0] for part in text.split(plain(LOOSE))[1:])
    for count, item in wanted.loose:
        if plain(f"{count}×{item}") not in loose:
            yield f"does not list {count} × {item} loose in a box"


def _things_problems(section: str, things: Sequence[tuple[int, str]]) -> Iterator[str]:
    # a tick before each line that was not ticked twice: packed, and there
    lines = section.count(TICK) // 2
    if lines != len(things):
        yield f"has {lines} lines to tick, the bill has {len(things)}"
    for (count, item), times in Counter(things).items():
        # the tick stands before the count, so that 14 is not taken for 4
        if section.count(plain(f"{TICK}{count}×{item}")) < times:
            yield f"does not list {count} × {item}"


def _code_problems(path: Path, wanted: KitWanted, revision: str) -> Iterator[str]:
    codes = codes_of(path)
    if len(codes) != 1:
        yield f"has {len(codes)} codes that read on page 1, one is wanted"
        return
    code = read_code(codes[0])
    if code is None:
        yield f"has a code whose check does not agree: {codes[0]!r}"
    elif (code.serial, code.letter, code.revision) != (wanted.serial, wanted.letter, revision):
        yield f"has a code of {codes[0]!r}"


def read_labels(
    path: Path, *, rel: str, form: LabelFormat, revision: str, labels: Sequence[Sequence[str]], serial: str
) -> ReadBack:
    """Sheets of labels: each text whole within one label's edges, no label with words of two.

    ``labels`` are the words that must stand on one label, for each that must be there.
    """
    try:
        pages = read_pdf(path).pages
    except UnreadablePdfError as error:
        return ReadBack(path=rel, problems=(str(error),))
    problems: list[str] = []
    cells: list[str] = []
    for number, page in enumerate(pages, 1):
        size = (page.width, page.height)
        if max(abs(a - b) for a, b in zip(size, form.sheet, strict=True)) > 0.01:
            problems.append(f"page {number} is {size[0]:.1f} x {size[1]:.1f} mm, the labels' sheet is not")
        found, astray = _cells(page, form)
        cells += found
        problems += [f"page {number}: {word!r} is not within one label" for word in astray]
    for words in labels:
        if not any(all(plain(w) in cell for w in words) for cell in cells):
            problems.append(f"has no label that says {'; '.join(words)}")
    for cell in cells:
        if plain(serial) not in cell or plain(f"revision {revision}") not in cell:
            problems.append(f"has a label without serial or revision: {cell[:40]}")
    return ReadBack(
        path=rel, facts=(f"{len(cells)} labels, each within its edges",), problems=tuple(problems)
    )


def _cells(page: Content, form: LabelFormat) -> tuple[list[str], list[str]]:
    """What stands on each label of a page, without blanks, and words on none or over an edge."""
    across, down = form.pitch_mm
    texts: dict[tuple[int, int], list[str]] = {}
    astray = []
    for word in page.words:
        if not word.text.strip():
            continue
        x0, y0, x1, y1 = word.box
        column = int((x0 + EDGE_MM - form.left_mm) // across)
        row = int((page.height - y1 + EDGE_MM - form.top_mm) // down)
        left, top = form.left_mm + column * across, page.height - form.top_mm - row * down
        inside = (
            0 <= column < form.columns
            and 0 <= row < form.rows
            and x1 <= left + form.width_mm + EDGE_MM
            and y0 >= top - form.height_mm - EDGE_MM
        )
        if inside:
            texts.setdefault((row, column), []).append(word.text)
        else:
            astray.append(word.text)
    return [plain("".join(words)) for _, words in sorted(texts.items())], astray
