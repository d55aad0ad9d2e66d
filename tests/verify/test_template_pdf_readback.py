"""Read-back of templates: sound files pass, every way of spoiling one is caught."""

from dataclasses import replace

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from drawing.sample import REVISION, firewall, new, old
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from spoiled_templates import PT, changed, finals, read_one, transform, write_one

from generators.geometry.contours import rectangle
from generators.model.plan import PanelLayout
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.template.words import bar_problems

NO_SHRINK = (Phase.explicit, Phase.reuse, Phase.generate)  # an example costs a second


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    path = tmp_path_factory.mktemp("sound") / "template_cab.pdf"
    write_one(path)
    return path


@pytest.mark.parametrize("paper", ["A4", "A3", "letter", "tabloid", "roll:610 mm", "roll:24 in"])
@pytest.mark.parametrize("face", ["cab", "engine"])
def test_what_we_write_reads_back(tmp_path, paper, face):
    path = tmp_path / "t.pdf"
    write_one(path, face=face, paper=paper)
    result = read_one(path, face=face)
    assert result.problems == ()
    assert "whole on one page" in result.facts[2]


def test_saving_by_another_program_changes_nothing(sound, tmp_path):
    path = changed(sound, tmp_path, lambda page: None)
    assert [p for p in read_one(path).problems if "version" not in p] == []


@pytest.mark.parametrize("shift", [0.05, 0.02, -0.02])
def test_a_circle_moved_by_a_hair_is_caught(sound, tmp_path, shift):
    path = changed(sound, tmp_path, lambda page: transform(finals(page)[0], 1, 0, 0, 1, shift * PT, 0))
    problems = read_one(path).problems
    assert any("has no Ø" in p for p in problems)
    assert any("is no hole of the plan" in p for p in problems)


def test_a_missing_circle_is_caught(sound, tmp_path):
    path = changed(sound, tmp_path, lambda page: page.remove_obj(finals(page)[0]))
    assert any("has no Ø" in p for p in read_one(path).problems)


@pytest.mark.parametrize("scale", [0.97, 1.0001, 1.12])
def test_a_scaled_page_is_caught(sound, tmp_path, scale):
    def change(page):
        for item in page.get_objects():
            transform(item, scale, 0, 0, scale, 5, 5)

    problems = read_one(changed(sound, tmp_path, change)).problems
    assert any("its scale along u" in p for p in problems)
    assert any("100 mm bar measures" in p for p in problems)


def test_a_page_scaled_one_way_only_is_caught(sound, tmp_path):
    def change(page):
        for item in page.get_objects():
            transform(item, 1, 0, 0, 0.998, 0, 0)

    problems = read_one(changed(sound, tmp_path, change)).problems
    assert any("its scale along v" in p for p in problems)
    assert not any("its scale along u" in p for p in problems)


def test_a_mirrored_page_is_caught(sound, tmp_path):
    def change(page):
        for item in page.get_objects():
            transform(item, -1, 0, 0, 1, page.get_width(), 0)

    assert any("is mirrored" in p for p in read_one(changed(sound, tmp_path, change)).problems)


def test_a_turned_drawing_is_caught(sound, tmp_path):
    def change(page):
        for item in page.get_objects():
            transform(item, 1, 0.001, -0.001, 1, 0, 0)

    assert any("is turned by" in p for p in read_one(changed(sound, tmp_path, change)).problems)


def test_a_page_turned_as_a_whole_is_caught(sound, tmp_path):
    path = changed(sound, tmp_path, lambda page: page.set_rotation(90))
    assert any("is turned by 90" in p for p in read_one(path).problems)


def test_another_paper_is_caught(sound, tmp_path):
    path = changed(sound, tmp_path, lambda page: page.set_mediabox(0, 0, 612, 792))
    assert any("is not A3" in p for p in read_one(path).problems)


def test_a_cropped_page_is_caught(sound, tmp_path):
    path = changed(sound, tmp_path, lambda page: page.set_cropbox(20, 20, 400, 400))
    assert any("is cropped" in p for p in read_one(path).problems)


def test_something_painted_over_a_hole_is_caught(sound, tmp_path):
    def change(page):
        x0, y0, x1, y1 = finals(page)[0].get_bounds()
        box = pdfium.FPDFPageObj_CreateNewRect((x0 + x1) / 2, y0 - 3, 30, y1 - y0 + 6)
        pdfium.FPDFPageObj_SetFillColor(box, 255, 255, 255, 255)
        pdfium.FPDFPath_SetDrawMode(box, pdfium.FPDF_FILLMODE_WINDING, 0)
        pdfium.FPDFPage_InsertObject(page, box)

    assert any("is painted over" in p for p in read_one(changed(sound, tmp_path, change)).problems)


def test_an_added_circle_is_caught(sound, tmp_path):
    def change(page):
        k = 0.5522847498
        path = pdfium.FPDFPageObj_CreateNewPath(220, 200)
        for a, b, c in (
            ((220, 200 + 20 * k), (200 + 20 * k, 220), (200, 220)),
            ((200 - 20 * k, 220), (180, 200 + 20 * k), (180, 200)),
            ((180, 200 - 20 * k), (200 - 20 * k, 180), (200, 180)),
            ((200 + 20 * k, 180), (220, 200 - 20 * k), (220, 200)),
        ):
            pdfium.FPDFPath_BezierTo(path, *a, *b, *c)
        pdfium.FPDFPath_Close(path)
        pdfium.FPDFPageObj_SetStrokeWidth(path, 1.0)
        pdfium.FPDFPath_SetDrawMode(path, pdfium.FPDF_FILLMODE_NONE, 1)
        pdfium.FPDFPage_InsertObject(page, path)

    assert any("is no hole of the plan" in p for p in read_one(changed(sound, tmp_path, change)).problems)


def _without_words(fragment):
    def change(page):
        words = page.get_textpage()
        for item in list(page.get_objects(textpage=words)):
            if item.type == pdfium.FPDF_PAGEOBJ_TEXT and fragment in item.extract():
                page.remove_obj(item)

    return change


@pytest.mark.parametrize(
    ("fragment", "complaint"),
    [
        ("UP", "does not say 'UP'"),
        ("CAB FACE", "does not say 'CAB FACE'"),
        (REVISION, f"does not say 'revision {REVISION}'"),
        ("Firewall", "does not say 'Firewall'"),
        ("fit-to-page", "no fit-to-page"),
        ("100 mm", "has no lying 100 mm bar"),
        ("4 in", "has no upright 4 in bar"),
        ("page 2 of", "its page number is missing"),
        ("paper A3", "does not name its paper"),
        ("u ", "labelled registration marks"),
    ],
)
def test_a_missing_word_is_caught(sound, tmp_path, fragment, complaint):
    problems = read_one(changed(sound, tmp_path, _without_words(fragment))).problems
    assert any(complaint in p for p in problems), problems


def test_a_table_that_lost_a_number_is_caught(sound, tmp_path):
    last = len(pypdfium2.PdfDocument(sound)) - 1
    path = changed(sound, tmp_path, _without_words("392.00"), last)
    assert any("the hole table says" in p for p in read_one(path).problems)


def test_scaling_by_the_viewer_must_be_forbidden(sound, tmp_path):
    data = sound.read_bytes()
    assert b"/PrintScaling /None" in data
    path = tmp_path / "scaling.pdf"
    path.write_bytes(data.replace(b"/PrintScaling /None", b"/PrintScaling /Some"))
    assert any("PrintScaling" in p for p in read_one(path).problems)


def test_printing_on_both_sides_must_be_forbidden(sound, tmp_path):
    # ISO 32000-1, table 150: Simplex is one page a sheet; a sheet is cut, and what is on its back with it
    data = sound.read_bytes()
    assert b"/Duplex /Simplex" in data
    path = tmp_path / "both_sides.pdf"
    path.write_bytes(data.replace(b"/Duplex /Simplex", b"/Duplex /Samplex"))
    assert any("Duplex" in p for p in read_one(path).problems)


def test_a_user_unit_is_caught(sound, tmp_path):
    path = tmp_path / "unit.pdf"
    path.write_bytes(sound.read_bytes().replace(b"/Rotate 0", b"/UserUnit 2 /Rotate 0"))
    assert any("UserUnit" in p for p in read_one(path).problems)


def test_another_plan_revision_or_face_is_caught(sound):
    layout = firewall()
    moved = replace(layout.holes[4], u_mm=layout.holes[4].u_mm + 0.02)
    assert not read_one(sound, replace(layout, holes=(*layout.holes[:4], moved, *layout.holes[5:]))).good
    bigger = replace(layout.holes[4], final_dia_mm=layout.holes[4].final_dia_mm + 0.02)
    assert not read_one(sound, replace(layout, holes=(*layout.holes[:4], bigger, *layout.holes[5:]))).good
    assert not read_one(sound, replace(layout, holes=layout.holes[1:])).good
    drill = replace(layout.holes[-1], status="drill")
    assert any(
        "should be solid" in p
        for p in read_one(sound, replace(layout, holes=(*layout.holes[:-1], drill))).problems
    )
    assert not read_one(sound, revision="fffffff").good
    assert not read_one(sound, job="another job").good
    assert any("the other face" in p for p in read_one(sound, face="engine").problems)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"%PDF-1.7\n",
        b"not a pdf at all",
        b"\x00" * 5000,
        b"%PDF-1.7\n1 0 obj\n<< /Type /Catalog >>\nendobj\n",
    ],
)
def test_no_pdf_is_a_problem_not_a_crash(tmp_path, data):
    path = tmp_path / "bad.pdf"
    path.write_bytes(data)
    assert not read_one(path).good


def test_a_missing_file_and_a_folder_are_problems(tmp_path):
    assert not read_one(tmp_path / "none.pdf").good
    assert not read_one(tmp_path).good


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_truncated_file_is_a_problem(sound, tmp_path, share):
    data = sound.read_bytes()
    path = tmp_path / "short.pdf"
    path.write_bytes(data[: int(len(data) * share)])
    result = read_one(path)
    # pdfium mends a lost tail; what it then reads must still be whole, or be called a problem
    assert result.problems or "20 of 20" in result.facts[2]


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**31), st.integers(1, 60))
def test_a_garbled_file_never_crashes(sound, tmp_path_factory, seed, count):
    data = bytearray(sound.read_bytes())
    for k in range(count):
        data[(seed * 7919 + k * 104729) % len(data)] = (seed >> (k % 24)) & 0xFF
    path = tmp_path_factory.mktemp("garbled") / "g.pdf"
    path.write_bytes(bytes(data))
    assert isinstance(read_one(path).problems, tuple)


cells = st.lists(
    st.tuples(
        st.integers(0, 14),
        st.integers(0, 7),
        st.floats(-12, 12).map(lambda x: round(x, 3)),
        st.sampled_from([3.0, 5.5, 6.6, 9.0, 11.11, 25.4, 32.0]),
        st.sampled_from(["drill", "drill", "drill", "datum", "blank", "reuse"]),
    ),
    min_size=1,
    max_size=40,
    unique_by=lambda c: c[:2],
)


def _random_layout(rows):
    holes = []
    for k, (i, j, off, dia, status) in enumerate(rows):
        u, v = 60.0 * i + off, 60.0 * j - off
        if status == "drill":
            holes.append(
                new(str(k + 1), f"h{k}", u, v, dia, f"purpose {k}", "bolt", position_note="somewhere")
            )
        else:
            holes.append(old(f"X{k}", f"h{k}", u, v, dia, f"was {k}", status))
    return PanelLayout(
        panel="random",
        title="Random panel",
        material="steel",
        thickness_mm=1.2,
        contour=rectangle(-40, -40, 900, 480, 10),
        holes=tuple(holes),
        keepouts=(),
        footprints=(),
        folds=(),
        datums=(),
    )


@settings(max_examples=10, deadline=None, phases=NO_SHRINK)
@given(cells, st.sampled_from(["cab", "engine"]), st.sampled_from(["A4", "letter", "A3", "roll:610 mm"]))
# two holes to close are enough to lie on, so the datum is on no sheet and distances start at the blanks
@example(
    [
        (14, 0, -9.5, 9.0, "drill"),
        (0, 3, 0.0, 3.0, "blank"),
        (4, 4, 11.0, 6.6, "blank"),
        (11, 4, -11.0, 6.6, "datum"),
    ],
    "cab",
    "roll:610 mm",
)
@example(
    [
        (0, 3, 0.0, 3.0, "blank"),
        (4, 4, 11.0, 6.6, "blank"),
        (11, 4, -11.0, 6.6, "datum"),
        (8, 1, 0.0, 6.6, "datum"),
    ],
    "engine",
    "A4",
)
# X1 is cut by the frame and, unseen, runs on under the arrow of a check bar in the margin
@example(
    [
        (5, 7, 0.0, 32.0, "blank"),
        (6, 7, 10.733, 25.4, "datum"),
        (11, 7, -8.906, 9.0, "blank"),
        (5, 0, 0.0, 9.0, "datum"),
        (14, 1, -7.523, 11.11, "reuse"),
        (3, 5, -11.789, 3.0, "reuse"),
        (3, 4, 0.0, 5.5, "drill"),
        (3, 6, -6.737, 6.6, "drill"),
        (10, 1, 3.053, 32.0, "reuse"),
        (0, 1, -4.531, 25.4, "datum"),
        (14, 3, 5.718, 11.11, "drill"),
        (1, 5, 1.003, 11.11, "drill"),
        (9, 6, 1.5, 11.11, "drill"),
        (5, 2, -9.021, 6.6, "reuse"),
        (7, 7, 1.475, 5.5, "drill"),
    ],
    "engine",
    "letter",
)
def test_random_layouts_read_back(tmp_path_factory, rows, face, paper):
    layout = _random_layout(rows)
    path = tmp_path_factory.mktemp("random") / "r.pdf"
    write_one(path, layout, face, paper)
    assert read_one(path, layout, face).problems == ()


def test_a_line_cut_away_between_a_bar_and_its_words_is_not_taken_for_the_bar(sound):
    """An outline clipped at the frame runs on, unseen, nearer to the words than the bar does."""
    page = read_pdf(sound).pages[1]
    word = next(
        w for w in page.words if w.text.strip() == "4 in" and w.box[2] - w.box[0] > w.box[3] - w.box[1]
    )
    u, v = (word.box[0] + word.box[2]) / 2, (word.box[1] + word.box[3]) / 2
    for length in (60.0, 101.6):
        unseen = replace(
            page.shapes[0],
            points=((u - length / 2, v), (u + length / 2, v)),
            curves=(),
            stroked=True,
            filled=False,
        )
        assert bar_problems(replace(page, shapes=(*page.shapes, unseen))) == []
    kept = tuple(s for s in page.shapes if len(s.points) != 2 or abs(s.points[0][1] - s.points[1][1]) > 0.01)
    assert "has no lying 4 in bar" in bar_problems(replace(page, shapes=(*kept, unseen)))


def test_titles_in_any_script_and_of_any_length_read_back(tmp_path):
    title = "Žluťoučký Øst 漢字 привет panel (left/right) " + "x" * 15
    layout = replace(firewall(), title=title, material="M" * 60)
    path = tmp_path / "t.pdf"
    for paper in ("A4", "letter"):
        write_one(path, layout, paper=paper, job="Ω job " + "wide W " * 7)
        assert read_one(path, layout, job="Ω job " + "wide W " * 7).problems == ()
