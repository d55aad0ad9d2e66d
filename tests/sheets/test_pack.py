"""The pack one prints: what is in it, in which order, at which size, read by libraries that did not write it."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from drawing.page_circles import page_circles
from issue.finished import Finished
from jobs.paper_jobs import drawn_job, released
from made_once import solved
from pdfminer.pdftypes import resolve1
from pdfplumber.page import Page

from generators.drawing.pack.choice import Folded, Head, marked_from, sheet_sets
from generators.drawing.pack.entries import numbers_in_words
from generators.drawing.pack.tables import tabled
from generators.drawing.paper.sizes import paper_choice, paper_choices
from generators.issue.work import Order, carry_out
from generators.jobs.make.pack_files import packs_of
from generators.jobs.make.run import artefacts
from generators.model.words import FACES, Face
from generators.solve.job import Prepared
from generators.solve.wrapping import wrapped_names, wrapped_sheet

MM = 25.4 / 72
TRIPLE = re.compile(r"(rim of [A-Z]+|[0-9]+) (rim of [A-Z]+|[0-9]+) ([0-9]+\.[0-9]{2}) ([0-9]+\.[0-9]{3})")
"""A check distance: from, to, mm, inches: decimals all, as a column of them is read."""

LENGTHS = re.compile(r"across ([^,]+), up ([^,]+), diagonal ([^;.]+?)[;.] ")

FRONT = ("PRINT ME", "NOT TO DRILL BY", "CAB FACE", "ENGINE FACE", "HOLE TABLE")
MOST_BEFORE_THE_STEPS = 14
"""Pages of the main demo before its install sheet: what we ask of it."""


@pytest.fixture(scope="module")
def van(demo_spec: Path) -> Prepared:
    return solved("wrenfield_van")


@pytest.fixture(scope="module")
def packs(van: Prepared, finished_van: Finished, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The van's packs by file name: on A4 alone as its folder has it, and on both papers."""
    folder = tmp_path_factory.mktemp("packs")
    for k, one in enumerate(artefacts(van, "both")):
        if one.entry.kind == "print_me_pdf":
            done = carry_out(one, Order(index=k, folder=folder, revision=van.file.revision, found=folder))
            assert done.reading.problems == ()
    found = {path.name: path for path in folder.iterdir()}
    return {**found, "print_me.pdf": finished_van.folder / "print_me.pdf"}


@pytest.fixture(scope="module")
def pages(packs: dict[str, Path]) -> Iterator[list[Page]]:
    """Those of the pack on A4: what a page holds is looked up once."""
    with pdfplumber.open(packs["print_me.pdf"]) as pdf:
        yield pdf.pages


@pytest.fixture(scope="module")
def texts(pages: list[Page]) -> list[str]:
    return [page.extract_text() for page in pages]


def kind(text: str) -> str:
    return next((name for name in FRONT if name in text), "install")


def test_the_pages_come_in_the_order_they_are_used(texts: list[str]) -> None:
    kinds = [kind(text) for text in texts]
    assert kinds[0] == "PRINT ME"
    runs = [name for k, name in enumerate(kinds) if k == 0 or kinds[k - 1] != name]
    assert runs == [name for name in (*FRONT, "install") if name in runs]
    assert runs[-1] == "install"
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)} of the pack" in text


def test_the_scale_test_is_there_once_with_lines_to_write_on(texts: list[str]) -> None:
    assert [k for k, text in enumerate(texts) if "SCALE TEST" in text] == [0]
    assert texts[0].count("measures") == 3 + 2  # three lengths, a bar in mm and one in inch


def test_the_steps_name_the_three_lengths_of_page_one(packs: dict[str, Path], finished_van: Finished) -> None:
    """By hand: A4 holds legs of 12 times 15 and 20 mm; letter, 17.6 mm less tall, and what fits both, 11 times."""
    whole, both = ["180 mm", "240 mm", "300 mm"], ["165 mm", "220 mm", "275 mm"]
    for name, lengths in (("print_me", whole), ("print_me_a4", both), ("print_me_letter", both)):
        pdf = pypdfium2.PdfDocument(packs[f"{name}.pdf"])
        found = [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]
        for leg, length in zip(("across", "up", "diagonal"), lengths, strict=True):
            assert f"{leg}, drawn {length}, measures" in found[0]
        said = LENGTHS.findall(" ".join(found[1:]))
        assert [list(one) for one in said] == [lengths]
    page = (finished_van.folder / "install.html").read_text(encoding="utf-8")
    step = page[page.index('id="step-3"') : page.index('id="step-4"')]
    assert re.findall(r'data-said="([0-9]+ mm)"', step)[:3] == whole
    assert "A4" in step


def test_page_one_names_the_page_for_a_phone(texts: list[str]) -> None:
    assert "install.html on a phone: the same steps" in " ".join(texts[0].split())


def test_few_pages_come_before_the_steps(texts: list[str]) -> None:
    assert sum(kind(text) != "install" for text in texts) <= MOST_BEFORE_THE_STEPS


def test_it_asks_for_one_side_and_no_scaling(packs: dict[str, Path]) -> None:
    # ISO 32000-1, table 150
    for path in packs.values():
        with pdfplumber.open(path) as pdf:
            wanted = resolve1(pdf.doc.catalog["ViewerPreferences"])
        assert {name: value.name for name, value in wanted.items()} == {
            "Duplex": "Simplex",
            "PrintScaling": "None",
        }


def test_every_hole_that_is_punched_is_on_one_sheet_at_its_size(
    van: Prepared, pages: list[Page], texts: list[str]
) -> None:
    sheets: dict[Face, list[Any]] = {face: [] for face in FACES}
    for page, text in zip(pages, texts, strict=True):
        name = kind(text)
        if name in ("CAB FACE", "ENGINE FACE"):
            sheets["cab" if name == "CAB FACE" else "engine"].append(page_circles(page))
    marked = [(layout, h) for layout in van.layouts for h in layout.holes if marked_from(h)]
    assert len(marked) >= 8
    for layout, hole in marked:
        # a hole is known by where the next one of its part is: both are on one sheet
        near = min(
            (
                h
                for _, h in marked
                if h is not hole and h in layout.holes and h.owners == hole.owners != ("panel",)
            ),
            key=lambda h: math.hypot(h.u_mm - hole.u_mm, h.v_mm - hole.v_mm),
            default=None,
        )
        found = 0
        face = marked_from(hole)
        assert face is not None
        for circles in sheets[face]:
            mine = [c for c in circles if abs(c[2] - hole.final_dia_mm) < 0.01]
            if near is None or math.hypot(near.u_mm - hole.u_mm, near.v_mm - hole.v_mm) > 120:
                found += bool(mine)
                continue
            other = [c for c in circles if abs(c[2] - near.final_dia_mm) < 0.01]
            du, dv = near.u_mm - hole.u_mm, near.v_mm - hole.v_mm
            du = du if marked_from(hole) == "cab" else -du
            found += any(
                math.hypot(b[0] - a[0] - du, b[1] - a[1] - dv) < 0.01
                for a in mine
                for b in other
                if a is not b
            )
        assert found >= 1, hole.number


def test_both_papers_carry_one_layout_about_their_middles(packs: dict[str, Path]) -> None:
    """A4 is 210 × 297 mm (ISO 216), letter 215.9 × 279.4 mm (ASME Y14.1): 2.95 mm right, 8.8 mm down."""
    words, size = {}, {}
    for name in ("print_me_a4.pdf", "print_me_letter.pdf"):
        with pdfplumber.open(packs[name]) as pdf:
            size[name] = {(round(float(p.width) * MM, 2), round(float(p.height) * MM, 2)) for p in pdf.pages}
            words[name] = [
                [(w["text"], float(w["x0"]) * MM, float(w["top"]) * MM) for w in page.extract_words()]
                for page in pdf.pages
            ]
    assert size["print_me_a4.pdf"] == {(210.0, 297.0)}
    assert size["print_me_letter.pdf"] == {(215.9, 279.4)}
    one, other = words["print_me_a4.pdf"], words["print_me_letter.pdf"]
    assert len(one) == len(other)
    moved = 0
    for a, b in zip(one, other, strict=True):
        for (text, x, y), (same, x2, y2) in zip(a, b, strict=True):
            if text == "A4":
                assert same == "letter"
            elif text == same:
                moved += abs(x2 - x - 2.95) < 0.01 and abs(y2 - y + 8.8) < 0.01
    # the name of the paper, set flush right, is longer on one of them
    assert moved > 0.97 * sum(map(len, one))


@pytest.mark.parametrize(
    ("order", "said"),
    [
        (lambda n: [0, 1, 3, 2, *range(4, n)], "page 3 of"),
        (lambda n: [0, 1, *range(3, n)], "page 1 lists pages"),
        (lambda n: [0, *range(n)], "scale test on pages"),
    ],
)
def test_pages_left_out_twice_or_in_another_order_are_found(
    van: Prepared, packs: dict[str, Path], tmp_path: Path, order, said: str
) -> None:
    source = pypdfium2.PdfDocument(packs["print_me.pdf"])
    new = pypdfium2.PdfDocument.new()
    new.import_pages(source, order(len(source)))
    new.save(tmp_path / "print_me.pdf")
    read = next(one.read for one in artefacts(van, "A4") if one.entry.kind == "print_me_pdf")
    assert read is not None
    assert any(said in text for text in read(tmp_path / "print_me.pdf").problems)


def test_the_fewest_pages_that_can_be_laid_are_chosen(van: Prepared) -> None:
    folds = [
        Folded(panels=pair, layouts={face: wrapped_sheet(van, *pair, face) for face in FACES})
        for pair in wrapped_names(van)
    ]
    head = Head(job="j", revision="a1b2c3d")
    for paper in ("A4", "letter", "A3", "roll:610 mm"):
        sets = sheet_sets(van.layouts, folds, paper_choice(paper), head)
        marks = Counter(number for found in sets for number in found.marks)
        assert marks == Counter(h.number for x in van.layouts for h in x.holes if marked_from(h))
        for found in sets:
            counted = [int(n) for n in re.findall(r"(\d+) (?:loose|joined) sheets(?! \()", found.why)]
            assert len(found.way.leaves) <= min(counted, default=99)
    # off a roll one sheet goes round the fold, where two panels would take two
    assert [len(found.way.leaves) for found in sets] == [1]
    assert sets[0].way.name == "sheets round the fold"


def test_a_hole_has_one_line_where_a_panel_is_alone_on_one_face_and_round_the_fold_on_the_other(
    tmp_path: Path,
) -> None:
    """Off a roll the firewall's cab holes take one sheet, those of both panels' engine faces one round the fold."""
    drawn = drawn_job(2_000_021)
    prepared = released(drawn, tmp_path)
    assert prepared is not None
    assert drawn.paper == "roll:24 in"
    (pack,) = packs_of(prepared, (), drawn.paper)
    sets = pack.sets
    assert {found.panels for found in sets} == {("firewall",), ("firewall", "toe_board")}
    numbers = [h.number for layout in tabled(prepared.layouts, sets) for h in layout.holes]
    assert sorted(numbers) == sorted(h.number for layout in prepared.layouts for h in layout.holes)
    sheet = next(a for a in artefacts(prepared, drawn.paper) if a.entry.kind == "print_me_pdf")
    done = carry_out(sheet, Order(index=0, folder=tmp_path, revision=prepared.file.revision, found=tmp_path))
    assert done.reading.problems == ()


def test_one_layout_serves_both_papers(van: Prepared) -> None:
    head = Head(job="j", revision="a1b2c3d")
    a4, letter = (sheet_sets(van.layouts, (), choice, head) for choice in paper_choices("both"))
    boxes = [[leaf.box for found in sets for leaf in found.way.leaves] for sets in (a4, letter)]
    assert boxes[0] == boxes[1]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((), ""),
        (("1",), "1"),
        (("1", "2"), "1 and 2"),
        (("3", "4", "5", "9"), "3 to 5 and 9"),
        (("1", "3", "5"), "1, 3 and 5"),
        (("9", "10", "11", "F2"), "9 to 11 and F2"),
        (("A", "B", "C"), "A, B and C"),
    ],
)
def test_numbers_are_told_in_runs(numbers: tuple[str, ...], words: str) -> None:
    assert numbers_in_words(numbers) == words


def test_each_hole_has_two_distances_to_what_determines_it(van: Prepared, texts: list[str]) -> None:
    """Worked by hand from the plan: a rule lies from the rim of what is there to the middle of a mark."""
    said: dict[frozenset[str], float] = {}
    for line in (line for t in texts if "CHECK DISTANCES" in t for line in t.splitlines()):
        if re.fullmatch(rf"(?:{TRIPLE.pattern} ?)+", line):
            said |= {frozenset(found.group(1, 2)): float(found[3]) for found in TRIPLE.finditer(line)}
    holes = {h.number: h for layout in van.layouts for h in layout.holes}
    for layout in van.layouts:
        for hole in (h for h in layout.holes if h.status == "drill"):
            mine = [pair for pair in said if hole.number in pair]
            assert len(mine) >= 2, hole.number
            for pair in mine:
                (other,) = pair - {hole.number}
                far = holes[other.removeprefix("rim of ")]
                middles = math.dist((hole.u_mm, hole.v_mm), (far.u_mm, far.v_mm))
                there = other.startswith("rim of ")
                assert there == (far.status != "drill")
                assert said[pair] == pytest.approx(
                    middles - (far.final_dia_mm / 2 if there else 0), abs=0.0051
                )
    # the two holes each part is bolted on with, which a reader looked for
    assert {frozenset(p) for p in (("1", "2"), ("3", "9"), ("10", "12"), ("15", "18"))} <= set(said)


def test_a_hole_opened_with_the_part_off_has_its_face_in_the_table(van: Prepared, texts: list[str]) -> None:
    text = " ".join(" ".join(t.split()) for t in texts if "HOLE TABLE" in t)
    late = [h for x in van.layouts for h in x.holes if h.work.bared(h.final_dia_mm)]
    assert late
    squeezed = text.replace(" ", "")
    assert len(re.findall("opened|off,(?:cab|engine)side", squeezed)) >= len(late)
