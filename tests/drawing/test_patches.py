"""Patch sheets and sheets round a fold: every hole on a small page, read back, by a second reader too."""

import itertools
import math
import re
from dataclasses import replace

import pdfplumber
import pypdfium2
import pytest
from drawing.page_circles import page_circles
from drawing.sample import JOB, REVISION, firewall, new
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.drawing.template.hole_groups import hole_groups
from generators.drawing.template.patches import write_patches
from generators.drawing.template.pdf import write_template
from generators.errors import ExportError
from generators.geometry.contours import rectangle
from generators.layout.distances import checks
from generators.model.folds import Wrap
from generators.verify.pdf.template.pages import read_template_pdf

MORE = {"job": JOB, "revision": REVISION}


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.floats(0, 900), st.floats(0, 430), st.sampled_from([4.5, 9.0, 30.0]), st.integers(0, 3)),
        min_size=1,
        max_size=25,
    )
)
def test_every_hole_to_drill_is_whole_on_a_sheet_of_its_own_group(rows):
    holes = tuple(
        new(str(i), f"h{i}", u, v, d, "bolt", "bolt", owners=("panel" if k == 0 else f"part{k}",))
        for i, (u, v, d, k) in enumerate(rows, 1)
    )
    groups = hole_groups(replace(firewall(), holes=holes), 170, 220)
    listed = [h.number for g in groups for h in g.holes]
    assert sorted(listed) == sorted(h.number for h in holes)
    for group in groups:
        for h in group.holes:
            r = h.final_dia_mm / 2
            assert group.box[0] <= h.u_mm - r
            assert h.u_mm + r <= group.box[2]
            assert group.box[1] <= h.v_mm - r
            assert h.v_mm + r <= group.box[3]


@pytest.mark.parametrize("paper", ["A4", "letter", "roll:610 mm"])
@pytest.mark.parametrize("face", ["cab", "engine"])
def test_patches_read_back(tmp_path, paper, face):
    path = tmp_path / "p.pdf"
    sheets = write_patches(firewall(), path, face=face, paper=paper, **MORE)
    result = read_template_pdf(path, firewall(), face=face, rel="p", tables=False, **MORE)
    assert result.problems == ()
    assert sheets.unlabelled == ()
    with pdfplumber.open(path) as pdf:
        assert len(pdf.pages) == len(sheets.pages)
        solid = []
        for page in pdf.pages[1:]:
            # distances of the drawn circles are those of the layout: a second reader's word for it
            circles = [(x, y, d) for x, y, d, line, _ in page_circles(page) if 0.3 < line < 0.5]
            assert circles
            solid += [d for _, _, d, line, dashed in page_circles(page) if 0.3 < line < 0.5 and not dashed]
            for k, p in enumerate(circles):
                for q in circles[:k]:
                    wanted = [
                        math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)
                        for a in firewall().holes
                        for b in firewall().holes
                        if abs(p[2] - a.final_dia_mm) < 0.02 and abs(q[2] - b.final_dia_mm) < 0.02
                    ]
                    assert min(abs(math.dist(p[:2], q[:2]) - w) for w in wanted) < 0.02
    # each new hole is drilled by one sheet and by no other
    new_holes = sorted(h.final_dia_mm for h in firewall().holes if h.status == "drill")
    assert sorted(solid) == pytest.approx(new_holes, abs=0.02)


def test_a_patch_says_how_far_its_holes_are_from_what_is_there(tmp_path):
    path = tmp_path / "p.pdf"
    write_patches(firewall(), path, face="cab", paper="A4", **MORE)
    with pdfplumber.open(path) as pdf:
        text = " ".join(page.extract_text_simple() for page in pdf.pages)
    column, stop = (next(h for h in firewall().holes if h.name == n) for n in ("column_bore", "stop"))
    # a column sits in the bore: to its rim, by hand the centre distance less half the bore
    wanted = math.hypot(column.u_mm - stop.u_mm, column.v_mm - stop.v_mm) - column.final_dia_mm / 2
    assert f"hole {stop.number}: " in text
    assert f"{wanted:.1f} mm from the rim of {column.number}" in text
    assert f"{column.number} = {column.purpose}" in text  # a letter alone is nothing on the metal


def _text(path):
    with pdfplumber.open(path) as pdf:
        return " ".join(" ".join(page.extract_text_simple() for page in pdf.pages).split())


@pytest.mark.parametrize(("face", "side"), [("cab", "left"), ("engine", "right")])
def test_without_existing_holes_it_is_laid_by_the_edges(tmp_path, face, side):
    # 900 x 430 mm, upper right corner cut: by hand, the hole is 120 from the left and 80 from the lower edge
    alone = replace(firewall(), holes=(new("1", "a", 120.0, 80.0, 9.0, "bolt", "bolt"),), witness_hole="")
    path = tmp_path / "p.pdf"
    write_patches(alone, path, face=face, paper="A4", **MORE)
    assert f"hole 1: 80.0 mm from the lower edge, 120.0 mm from the {side} edge." in _text(path)
    assert read_template_pdf(path, alone, face=face, rel="p", tables=False, **MORE).problems == ()
    wrong = replace(alone, contour=rectangle(-5, -3, 900, 430))
    problems = read_template_pdf(path, wrong, face=face, rel="p", tables=False, **MORE).problems
    assert sum("which is not so" in p for p in problems) == 2


def test_one_existing_hole_is_helped_out_by_an_edge(tmp_path):
    holes = (new("1", "a", 120.0, 80.0, 9.0, "bolt", "bolt"), firewall().holes[-1])
    path = tmp_path / "p.pdf"
    layout = replace(firewall(), holes=holes)
    write_patches(layout, path, face="cab", paper="A4", **MORE)
    assert re.search(r"hole 1: [\d.]+ mm from the rim of [A-Z], 80.0 mm from the lower edge", _text(path))
    assert read_template_pdf(path, layout, face="cab", rel="p", tables=False, **MORE).problems == ()


def test_an_unknown_edge_is_not_measured_from(tmp_path):
    alone = replace(
        firewall(),
        holes=(new("1", "a", 120.0, 80.0, 9.0, "bolt", "bolt"),),
        witness_hole="",
        edge_known=False,
    )
    path = tmp_path / "p.pdf"
    write_patches(alone, path, face="cab", paper="A4", **MORE)
    assert "lay it by the large template" in _text(path)
    assert read_template_pdf(path, alone, face="cab", rel="p", tables=False, **MORE).problems == ()


def test_a_distance_that_is_not_so_is_caught(tmp_path):
    path = tmp_path / "p.pdf"
    write_patches(firewall(), path, face="cab", paper="A4", **MORE)
    column = next(h for h in firewall().holes if h.name == "column_bore")
    moved = [replace(h, u_mm=h.u_mm + 0.3) if h.name == "column_bore" else h for h in firewall().holes]
    other = replace(firewall(), holes=tuple(moved))
    problems = read_template_pdf(path, other, face="cab", rel="p", tables=False, **MORE).problems
    assert any(f"mm from the rim of {column.number}, which is not so" in p for p in problems)


def test_long_part_names_stay_under_their_pictures(tmp_path):
    long = [
        replace(h, owners=(f"a_very_long_part_name_of_the_kind_people_write_{i // 3}",))
        if h.status == "drill"
        else h
        for i, h in enumerate(firewall().holes)
    ]
    layout, path = replace(firewall(), holes=tuple(long)), tmp_path / "p.pdf"
    write_patches(layout, path, face="cab", paper="letter", **MORE)
    assert read_template_pdf(path, layout, face="cab", rel="p", tables=False, **MORE).problems == ()
    with pdfplumber.open(path) as pdf:
        rows = {}
        for line in pdf.pages[0].extract_text_lines(x_tolerance=2, return_chars=True):
            if line["text"].startswith("page 2:") or line["text"].startswith("page 5:"):
                rows[line["text"][:7]] = line["chars"]
        assert len(rows) == 2
        for chars in rows.values():
            for a, b in itertools.pairwise(chars):
                assert b["x0"] > a["x0"], "captions run into each other"
            assert chars[-1]["x1"] < pdf.pages[0].width - 25 * 72 / 25.4  # clear of the upright bar


def test_nothing_to_mark_is_said(tmp_path):
    kept = tuple(h for h in firewall().holes if h.status == "datum")
    with pytest.raises(ExportError, match="nothing to mark"):
        write_patches(replace(firewall(), holes=kept), tmp_path / "p.pdf", face="cab", paper="A4", **MORE)


# --- round a fold -----------------------------------------------------------------------------
WRAP = Wrap(
    start=(0.0, 230.0),
    end=(900.0, 230.0),
    far_start=(0.0, 222.0),
    far_end=(900.0, 222.0),
    angle_rad=math.pi / 4,
    inside_radius_mm=6.0,
    toward="cab",
    check=((440.0, 270.0), (440.0, 182.0)),
)


def _changed(path, target, change):
    document = pypdfium2.PdfDocument(path)
    hits = 0
    for page in document:
        hits += change(page)
        pypdfium2.raw.FPDFPage_GenerateContent(page)
    document.save(target)
    document.close()
    return hits


@pytest.mark.parametrize(
    ("face", "type_scale"), [("cab", 1.0), ("engine", 1.0), ("cab", 1.4), ("engine", 1.4)]
)
def test_a_fold_and_its_check_length_read_back(tmp_path, face, type_scale):
    layout = replace(firewall(), wraps=(WRAP,))
    path = tmp_path / "w.pdf"
    write_template(layout, path, face=face, paper="A4", type_scale=type_scale, **MORE)
    result = read_template_pdf(path, layout, face=face, rel="w", **MORE)
    assert result.problems == ()
    assert not any("over the fold" in f for f in result.facts)
    with pdfplumber.open(path) as pdf:
        text = " ".join(page.extract_text() for page in pdf.pages)
        lengths = [
            ln["bottom"] - ln["top"] for page in pdf.pages for ln in page.lines if ln["x0"] == ln["x1"]
        ]
    assert any(abs(x - 88.0 * 72 / 25.4) < 0.02 for x in lengths)
    assert "45°" in text


@pytest.mark.parametrize(("length", "said"), [(88.4, "check length"), (0.7, "line of the fold")])
def test_a_moved_fold_or_check_length_is_caught(tmp_path, length, said):
    layout = replace(firewall(), wraps=(WRAP,))
    path = tmp_path / "w.pdf"
    write_template(layout, path, face="cab", paper="A4", **MORE)

    def change(page):
        hits = 0
        for item in page.get_objects():
            if item.type != 2:
                continue
            x0, y0, x1, y1 = item.get_bounds()
            tall = abs((y1 - y0) * 25.4 / 72 - length) < 0.5
            if tall and (length > 1 or x1 - x0 > 2000):
                pypdfium2.raw.FPDFPageObj_Transform(item, 1, 0, 0, 1, 0, 0.5)
                hits += 1
        return hits

    assert _changed(path, tmp_path / "c.pdf", change) >= 1
    problems = read_template_pdf(tmp_path / "c.pdf", layout, face="cab", rel="w", **MORE).problems
    assert any(said in p for p in problems)


@pytest.mark.parametrize("change", [{"angle_rad": math.radians(50)}, {"inside_radius_mm": 6.5}])
def test_another_angle_or_radius_in_words_is_caught(tmp_path, change):
    path = tmp_path / "w.pdf"
    write_template(replace(firewall(), wraps=(WRAP,)), path, face="cab", paper="A4", **MORE)
    layout = replace(firewall(), wraps=(replace(WRAP, **change),))
    problems = read_template_pdf(path, layout, face="cab", rel="w", **MORE).problems
    assert problems
    assert all("says its fold is 45°" in p for p in problems)


def test_no_rule_distance_goes_round_a_fold(tmp_path):
    layout = replace(firewall(), wraps=(WRAP,))
    above = {h.number for h in layout.holes if h.v_mm > 226}
    assert 3 < len(above) < len(layout.holes) - 3
    assert len(checks(layout.holes)) > len(checks(layout.holes, layout.wraps)) > 10
    for c in checks(layout.holes, layout.wraps):
        assert (c.a.number in above) == (c.b.number in above)
    # and one that does is caught: a sheet made as if it were flat
    path = tmp_path / "w.pdf"
    write_template(firewall(), path, face="cab", paper="A4", **MORE)
    problems = read_template_pdf(path, layout, face="cab", rel="w", **MORE).problems
    assert any("runs round the fold" in p for p in problems)
