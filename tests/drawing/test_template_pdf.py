"""Finished templates, measured by a second reader (pdfplumber) that shares no code with ours."""

import math
import re

import pdfplumber
import pytest
from drawing.page_circles import page_circles
from drawing.sample import JOB, REVISION, firewall
from waived_cases import WAIVED

from generators.drawing.template.patches import write_patches
from generators.drawing.template.pdf import write_template
from generators.errors import ExportError, LookupFault
from generators.model.words import CAUTIONS
from generators.verify.pdf.template.pages import read_template_pdf
from generators.verify.pdf.waivers import waiver_problems

PAPERS = ("A4", "A3", "letter", "tabloid", "roll:610 mm", "roll:24 in")
PT = 72 / 25.4
LABEL = re.compile(r"u (-?\d+) v (-?\d+)")


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("templates")
    out = {}
    for paper in PAPERS:
        for face in ("cab", "engine"):
            path = folder / f"{paper.replace(':', '_').replace(' ', '')}_{face}.pdf"
            sheets = write_template(firewall(), path, face=face, paper=paper, job=JOB, revision=REVISION)
            out[paper, face] = (path, sheets)
    return out


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("face", ["cab", "engine"])
def test_the_second_reader_finds_every_hole_where_the_tile_says(written, paper, face):
    path, sheets = written[paper, face]
    seen = set()
    with pdfplumber.open(path) as pdf:
        assert len(pdf.pages) == len(sheets.pages)
        for page, said in zip(pdf.pages, sheets.pages, strict=True):
            circles = [c for c in page_circles(page) if 0.3 < c[3] < 0.5]
            if said.kind != "tile":
                assert not circles
                continue
            # the frame is the one box of 0.35 mm line that is as large as the tile
            u0, v0, u1, v1 = said.box
            frame = next(
                r
                for r in page.rects
                if abs((r["x1"] - r["x0"]) / PT - (u1 - u0)) < 0.01
                and abs((r["bottom"] - r["top"]) / PT - (v1 - v0)) < 0.01
            )
            x0, y0 = frame["x0"] / PT, (page.height - frame["bottom"]) / PT
            for hole in firewall().holes:
                if not (u0 < hole.u_mm < u1 and v0 < hole.v_mm < v1):
                    continue
                x = x0 + (u1 - hole.u_mm if face == "engine" else hole.u_mm - u0)
                y = y0 + hole.v_mm - v0
                match = [
                    c
                    for c in circles
                    if math.dist(c[:2], (x, y)) < 0.01 and abs(c[2] - hole.final_dia_mm) < 0.01
                ]
                assert len(match) == 1, hole.number
                assert match[0][4] == (hole.status != "drill")
                seen.add(hole.number)
    wanted = {h.number for h in firewall().holes if h.status != "datum" or h.name == "column_bore"}
    assert wanted <= seen
    assert sheets.cut == ()
    assert sheets.unlabelled == ()


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        # ISO 216 in mm, ASME Y14.1 in inches; 72 points to the inch (ISO 32000-1 8.3.2.3)
        ("A4", (595.276, 841.890)),
        ("A3", (841.890, 1190.551)),
        ("letter", (612.0, 792.0)),
        ("tabloid", (792.0, 1224.0)),
    ],
)
def test_media_boxes_are_real_paper(written, paper, size):
    for face in ("cab", "engine"):
        with pdfplumber.open(written[paper, face][0]) as pdf:
            for page in pdf.pages:
                assert sorted(page.mediabox[2:]) == pytest.approx(size, abs=0.001)
                assert tuple(page.mediabox[:2]) == (0, 0)
                assert page.rotation == 0


@pytest.mark.parametrize(("paper", "width"), [("roll:610 mm", 610.0), ("roll:24 in", 609.6)])
def test_a_roll_gives_one_drawing_sheet_of_its_width(written, paper, width):
    path, sheets = written[paper, "cab"]
    assert [p.kind for p in sheets.pages].count("tile") == 1
    with pdfplumber.open(path) as pdf:
        for page in pdf.pages:
            sides = (float(page.width) / PT, float(page.height) / PT)
            assert min(abs(side - width) for side in sides) < 0.001
            assert max(sides) <= 5080


@pytest.mark.parametrize("paper", PAPERS)
def test_check_bars_are_true_in_points(written, paper):
    # 100 mm = 283.465 pt, 4 in = 288 pt
    with pdfplumber.open(written[paper, "cab"][0]) as pdf:
        for page in pdf.pages[1:]:
            lying = [ln["x1"] - ln["x0"] for ln in page.lines if abs(ln["top"] - ln["bottom"]) < 1e-3]
            upright = [ln["bottom"] - ln["top"] for ln in page.lines if abs(ln["x1"] - ln["x0"]) < 1e-3]
            for lengths in (lying, upright):
                assert min(abs(length - 283.465) for length in lengths) < 0.002
                assert min(abs(length - 288.0) for length in lengths) < 0.002


@pytest.mark.parametrize("paper", ["A4", "letter", "roll:610 mm"])
def test_the_faces_are_mirror_images(written, paper):
    def panel(face):
        found = {}
        path, sheets = written[paper, face]
        with pdfplumber.open(path) as pdf:
            for page, said in zip(pdf.pages, sheets.pages, strict=True):
                if said.kind == "tile":
                    turn = -1 if face == "engine" else 1
                    rows = [(turn * x, y, d) for x, y, d, line, _ in page_circles(page) if 0.3 < line < 0.5]
                    # to the lowest left circle: the strip of bars stands at the left on both faces
                    x0, y0 = min(r[0] for r in rows), min(r[1] for r in rows)
                    found[said.box] = sorted((y - y0, x - x0, d) for x, y, d in rows)
        return found

    cab, engine = panel("cab"), panel("engine")
    assert cab.keys() == engine.keys()
    for box, rows in cab.items():
        assert [v for r in rows for v in r] == pytest.approx([v for r in engine[box] for v in r], abs=0.01)


@pytest.mark.parametrize(
    ("paper", "pages"), [("A4", 9), ("A3", 5), ("letter", 9), ("tabloid", 5), ("roll:610 mm", 3)]
)
def test_no_more_pages_than_before(written, paper, pages):
    # a regression number of our own, not a reference
    for face in ("cab", "engine"):
        assert len(written[paper, face][1].pages) <= pages


@pytest.mark.parametrize("face", ["cab", "engine"])
def test_every_page_says_which_face_which_way_and_how_to_check(written, face):
    path, sheets = written["A4", face]
    words = {
        "cab": ("CAB FACE", "Printed side toward the driver. Tape to the panel from inside the cab."),
        "engine": ("ENGINE FACE", "Tape to the panel from the engine bay. Mirror image of the cab template."),
    }
    side = {"cab": "RIGHT", "engine": "LEFT"}[face]
    with pdfplumber.open(path) as pdf:
        for n, page in enumerate(pdf.pages[1:], 2):
            text = re.sub(r"\s", "", "".join(c["text"] for c in page.chars))
            for phrase in (
                *words[face],
                "Firewall",
                JOB,
                f"revision {REVISION}",
                f"page {n} of {len(pdf.pages)}",
                "Measure all four bars before drilling.",
                "print at 100 %, no fit-to-page",
                f"only if hole A (steering column bore) is to the {side} of the panel's middle",
            ):
                assert "".join(phrase.split()) in text, phrase
            assert all(re.sub(r"\s", "", caution) in text for caution in CAUTIONS)
            assert "UP" in text
    assert sheets.rows * sheets.columns == len(sheets.skipped) + [p.kind for p in sheets.pages].count("tile")


def test_keepouts_of_the_other_face_are_named_as_behind(written):
    with pdfplumber.open(written["roll:610 mm", "cab"][0]) as pdf:
        text = pdf.pages[1].extract_text_simple()
    assert "KEEP OUT: fuse panel" in text
    assert "heater box (engine side)" in text
    with pdfplumber.open(written["roll:610 mm", "engine"][0]) as pdf:
        text = pdf.pages[1].extract_text_simple()
    assert "KEEP OUT: heater box" in text
    assert "fuse panel (cab side)" in text
    assert "drill from the cab side" in text


def test_words_are_large_enough_to_read(written):
    for paper in ("A4", "letter"):
        with pdfplumber.open(written[paper, "cab"][0]) as pdf:
            lying = [c for page in pdf.pages for c in page.chars if c["matrix"][1] == 0]
            assert min(c["size"] for c in lying) / PT >= 2.2


def test_labels_cover_no_hole_and_no_other_label(written):
    for paper in ("A4", "letter", "roll:24 in"):
        for face in ("cab", "engine"):
            with pdfplumber.open(written[paper, face][0]) as pdf:
                for page in pdf.pages[1:-1]:
                    boxes = [
                        (r["x0"], r["top"], r["x1"], r["bottom"])
                        for r in page.rects
                        if r["fill"]
                        and r["stroke"]
                        and r["linewidth"] < 0.6
                        and r["x1"] - r["x0"] > 25
                        and r["top"] > 110
                    ]
                    for a, b in ((a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :]):
                        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                        assert apart, (paper, face, page.page_number)


def test_the_same_job_gives_the_same_bytes(tmp_path):
    files = []
    for name in ("one.pdf", "two.pdf"):
        write_template(firewall(), tmp_path / name, face="engine", paper="A3", job=JOB, revision=REVISION)
        files.append((tmp_path / name).read_bytes())
    assert files[0] == files[1]


@pytest.mark.parametrize("paper", ["A4", "letter", "A3", "roll:610 mm"])
@pytest.mark.parametrize("count", [1, 8])
@pytest.mark.parametrize("write", [write_template, write_patches])
def test_waived_rules_are_marked_on_every_page_and_listed_on_the_first(tmp_path, paper, count, write):
    path = tmp_path / "w.pdf"
    waived = WAIVED[:count]
    write(firewall(), path, face="cab", paper=paper, job=JOB, revision=REVISION, waived=waived)
    with pdfplumber.open(path) as pdf:
        texts = [page.extract_text_simple() for page in pdf.pages]
    assert all("WAIVED: see list" in text for text in texts)
    assert "WAIVED RULES" in texts[0]
    assert all(w.code in texts[0] for w in waived)
    assert waiver_problems(path, waived, on_first=True, reasons=False) == []
    tables = write is write_template
    read = read_template_pdf(path, firewall(), face="cab", job=JOB, revision=REVISION, rel="x", tables=tables)
    assert read.problems == ()


def test_what_cannot_be_written_is_said(tmp_path):
    common = {"job": JOB, "revision": REVISION}
    with pytest.raises(ExportError):
        write_template(firewall(), tmp_path / "no" / "x.pdf", face="cab", paper="A4", **common)
    with pytest.raises(ExportError):
        write_template(firewall(), tmp_path / "x.pdf", face="roof", paper="A4", **common)
    with pytest.raises(LookupFault):
        write_template(firewall(), tmp_path / "x.pdf", face="cab", paper="A9", **common)


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_large_type_is_larger_and_stays_inside_its_frame(tmp_path, written, paper):
    path = tmp_path / "large.pdf"
    write_template(firewall(), path, face="cab", paper=paper, job=JOB, revision=REVISION, type_scale=1.4)

    def labels(file):
        with pdfplumber.open(file) as pdf:
            return {
                c["size"]
                for page in pdf.pages[1:]
                for c in page.chars
                if c["text"] == "Ø" and c["matrix"][1] == 0
            }, [
                c["x1"] / PT
                for page in pdf.pages[1:]
                for c in page.chars
                if c["x1"] / PT > float(page.width) / PT - 10
            ]

    (plain, _), (large, outside) = labels(written[paper, "cab"][0]), labels(path)
    assert min(large) == pytest.approx(1.4 * min(plain), rel=1e-3)
    assert not outside
