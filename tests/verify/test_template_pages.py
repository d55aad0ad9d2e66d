"""Pages of finished templates exchanged, left out or shuffled: read-back says so."""

from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from drawing.sample import JOB, REVISION, firewall, new

from generators.drawing.paper.furniture import Live
from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.template.callouts import Placer
from generators.drawing.template.page import _marks
from generators.drawing.template.patches import write_patches
from generators.drawing.template.pdf import write_template
from generators.drawing.template.view import View
from generators.geometry.printing import scale_test
from generators.model.spec.shop import PaperPrinter
from generators.verify.pdf.content import Word, as_circle, read_pdf
from generators.verify.pdf.template.cover import cover_problems
from generators.verify.pdf.template.pages import read_template_pdf
from generators.verify.pdf.template.pose import labelled_marks

MORE = {"job": JOB, "revision": REVISION}
PRINTER = PaperPrinter(name='Bob\'s  "hall"  B\u00fcro', x_scale=1.01, y_scale=0.99, skew_rad=0.003)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    for face in ("cab", "engine"):
        write_template(firewall(), folder / f"template_{face}.pdf", face=face, paper="A4", **MORE)
        write_patches(firewall(), folder / f"patches_{face}.pdf", face=face, paper="A4", **MORE)
    return folder


def _mixed(files, target, *pages):
    """Problems of a cab template made of pages of other files, beside those of any file rebuilt so."""
    new = pypdfium2.PdfDocument.new()
    for name, index in pages:
        source = pypdfium2.PdfDocument(files / f"{name}.pdf")
        new.import_pages(source, [index])
        source.close()
    new.save(target)
    new.close()
    tables = not pages[-1][0].startswith("patches")
    problems = read_template_pdf(target, firewall(), face="cab", rel="x", tables=tables, **MORE).problems
    return [p for p in problems if not any(x in p for x in ("PrintScaling", "PDF version", "Duplex"))]


def test_rebuilt_as_it_was_nothing_is_said(files, tmp_path):
    assert _mixed(files, tmp_path / "x.pdf", *(("template_cab", k) for k in range(9))) == []
    assert _mixed(files, tmp_path / "x.pdf", *(("patches_cab", k) for k in range(6))) == []


@pytest.mark.parametrize(
    ("cover", "said"), [("template_engine", "ENGINE FACE"), ("patches_cab", "page 2: row 1, column 1")]
)
def test_the_cover_of_another_file_is_found(files, tmp_path, cover, said):
    problems = _mixed(files, tmp_path / "x.pdf", (cover, 0), *(("template_cab", k) for k in range(1, 9)))
    assert problems
    assert all(p.startswith("page 1: ") for p in problems)
    assert any(said in p for p in problems)


def test_pages_out_of_order_or_left_out_are_found(files, tmp_path):
    order = _mixed(files, tmp_path / "x.pdf", *(("template_cab", k) for k in (0, 2, 1, *range(3, 9))))
    assert any(p.startswith("page 2: its page number") for p in order)
    short = _mixed(files, tmp_path / "x.pdf", *(("template_cab", k) for k in (0, 1, 2, 3, 4, 6, 7, 8)))
    assert any("lists 6 sheets, but 5 follow" in p for p in short)


def test_patches_of_the_other_face_are_found(files, tmp_path):
    problems = _mixed(files, tmp_path / "x.pdf", *(("patches_engine", k) for k in range(6)))
    assert any("is mirrored" in p for p in problems)
    assert sum("ENGINE FACE" in p for p in problems) == 6


@pytest.mark.parametrize("write", [write_template, write_patches])
def test_a_printer_of_any_name_reads_back_and_page_one_says_it_is_corrected(tmp_path, write):
    path = tmp_path / "p.pdf"
    write(firewall(), path, face="cab", paper="letter", printer=PRINTER, **MORE)
    tables = write is write_template
    read = read_template_pdf(path, firewall(), face="cab", rel="x", printer=PRINTER, tables=tables, **MORE)
    assert read.problems == ()
    text = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_range()
    assert "corrected already" in text
    assert "Give the readings to" not in text  # they would undo the correction


@pytest.mark.parametrize("write", [write_template, write_patches])
def test_the_smallest_holes_a_spec_may_have_read_back(tmp_path, write):
    small = (
        new("30", "rivet", 700.0, 300.0, 2.4, "rivet", "rivet"),
        new("31", "pin", 720.0, 300.0, 1.0, "pin", "plain"),
    )
    layout = replace(firewall(), holes=(*firewall().holes, *small))
    path, tables = tmp_path / "p.pdf", write is write_template
    # on A4 from the engine bay a hole beside the frame has its clipped cross over an end of a check bar
    write(layout, path, face="engine", paper="A4", **MORE)
    assert read_template_pdf(path, layout, face="engine", rel="x", tables=tables, **MORE).problems == ()


def test_a_line_cut_away_by_a_frame_is_not_taken_for_a_leg_of_the_scale_test(files):
    """A panel's edge, cut away by the frame of a little picture, lay nearer to the label: a good file was refused."""
    page = read_pdf(files / "patches_cab.pdf").pages[0]
    test = scale_test(210.0, 297.0)
    words = (firewall().title, JOB)
    assert cover_problems(page, test, words=words) == []
    label = next(w for w in page.words if w.text.startswith("ACROSS "))
    middle, level = (label.box[0] + label.box[2]) / 2, (label.box[1] + label.box[3]) / 2
    hidden = replace(
        next(s for s in page.shapes if len(s.points) == 2 and s.stroked and not s.filled and not s.curves),
        points=((middle - 93.0, level), (middle + 93.0, level)),
    )
    assert cover_problems(replace(page, shapes=(*page.shapes, hidden)), test, words=words) == []
    # and a test that is not as long as it says is still found
    other = replace(test, across_mm=test.across_mm + 1)
    assert cover_problems(page, other, words=words)


@pytest.mark.parametrize(
    ("off", "high", "taken"),
    [(6.3, 2.1, True), (7.5, 2.1, True), (8.1, 2.1, False), (8.9, 2.9, True), (9.1, 2.9, False)],
)
def test_a_label_at_the_corner_of_the_outer_ring_belongs_to_its_mark(files, off, high, taken):
    """Large type sent labels there, and a good patch sheet was refused; further off a label is nobody's."""
    page = read_pdf(files / "patches_cab.pdf").pages[1]
    circles = [c for c in map(as_circle, page.shapes) if c is not None]
    (x, y), (u, v) = labelled_marks(page, circles)[0]
    moved = Word(
        text=f"u {u} v {v}", box=(x + off / 2**0.5, y + off / 2**0.5, x + 40.0, y + off / 2**0.5 + high)
    )
    found = labelled_marks(replace(page, words=(moved,)), circles)
    assert found == ([((x, y), (u, v))] if taken else [])


def test_labels_that_the_inner_places_shut_out_are_read_at_the_outer_ones(tmp_path):
    """Four marks, each with the nearer places beside it taken: a good sheet was refused for labels 7.4 mm off."""
    marks = ((20, 20), (140, 20), (20, 100), (140, 100))
    pen = PdfPen(tmp_path / "a.pdf", title="t", subject="s")
    pen.page(180.0, 140.0)
    placer = Placer((0.0, 0.0, 180.0, 140.0))
    for u, v in marks:
        for du in (-3.0, 3.0):
            for dv in (-3.0, 3.0):
                placer.keep_clear(np.array([[u + du, v + dv]]))
        # above, below and at either side
        for du, dv in ((0.0, 5.8), (0.0, -5.8), (8.0, 0.0), (-8.0, 0.0)):
            placer.keep_clear(np.array([[u + du, v + dv]]))
    _marks(
        pen,
        View(live=Live(x=0.0, y=0.0, width=180, height=140), box=(0, 0, 180, 140), mirror=False),
        marks,
        placer,
    )
    pen.finish()
    (page,) = read_pdf(tmp_path / "a.pdf").pages
    circles = [c for c in map(as_circle, page.shapes) if c is not None]
    assert sorted(at for _, at in labelled_marks(page, circles)) == sorted(marks)
