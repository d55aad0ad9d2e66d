"""Sheets that lack what each page must say, and certificates of meshes measured by hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
import trimesh
from reportlab.pdfgen.canvas import Canvas

from generators.verify.certificates import counted, mesh_certificate, solid_certificate
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.pdf.template.callouts import _edge_distance
from generators.verify.pdf.template.cover import _slanted
from generators.verify.readback import ReadBack

MM = 72 / 25.4
A4 = (210.0, 297.0)  # ISO 216
SAID = ("Report", "revision r7", "Mind local codes.", "Before drilling look behind.")


def written(
    path: Path, pages: Sequence[Sequence[str]], size: tuple[float, float] = A4, key: str = "stop 148.5 mm"
) -> ReadBack:
    canvas = Canvas(str(path), pagesize=(size[0] * MM, size[1] * MM))
    for lines in pages:
        for k, line in enumerate(lines):
            canvas.drawString(20 * MM, (200 - 8 * k) * MM, line)
        canvas.showPage()
    canvas.save()
    return read_sheet_pdf(path, title="Report", revision="r7", rel="report.pdf", words=(key,))


def test_a_sheet_that_says_everything(tmp_path: Path) -> None:
    back = written(tmp_path / "a.pdf", [(*SAID, "stop 148.5 mm"), SAID])
    assert back.problems == ()
    assert back.facts == ("2 pages, revision r7", "says 'stop 148.5 mm'")


@pytest.mark.parametrize("missing", range(4))
def test_every_page_says_title_revision_and_both_cautions(missing: int, tmp_path: Path) -> None:
    short = [line for k, line in enumerate(SAID) if k != missing]
    back = written(tmp_path / "a.pdf", [(*SAID, "stop 148.5 mm"), short])
    word = ("Report", "revision r7", "local codes", "Before drilling")[missing]
    assert back.problems == (f"page 2 does not say {word!r}",)


def test_a_key_number_stands_on_some_page(tmp_path: Path) -> None:
    assert written(tmp_path / "a.pdf", [SAID, SAID]).problems == ("does not say 'stop 148.5 mm'",)


@pytest.mark.parametrize(
    ("size", "known"),
    [(A4, True), ((210.005, 297.0), True), ((210.02, 297.0), False), ((210.0, 297.02), False)],
)
def test_paper_has_a_known_size_to_a_hundredth(
    size: tuple[float, float], known: bool, tmp_path: Path
) -> None:
    back = written(tmp_path / "a.pdf", [(*SAID, "stop 148.5 mm")], size)
    assert (back.problems == ()) is known
    if not known:
        assert "no known paper" in back.problems[0]


def test_no_pdf_at_all(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"no")
    back = read_sheet_pdf(path, title="t", revision="r", rel="a.pdf")
    assert back.problems[0].startswith("is not a readable PDF")


def test_a_mesh_s_certificate_by_hand() -> None:
    # 1.23455 × 2 × 3 mm: six faces of two triangles; volume 7.4073 mm³, told to a thousandth
    mesh = trimesh.creation.box(extents=(1.23455, 2.0, 3.0))
    marks = {m.key: m.value for m in mesh_certificate(mesh)}
    assert marks == {
        "watertight": True,
        "units": "mm",
        "bodies": 1,
        "triangles": 12,
        "volume_mm3": 7.407,
        "box_x_mm": pytest.approx(1.2346, abs=1e-4),
        "box_y_mm": 2.0,
        "box_z_mm": 3.0,
    }
    mesh.update_faces([k > 0 for k in range(12)])
    assert {m.key: m.value for m in mesh_certificate(mesh)}["watertight"] is False


@pytest.mark.parametrize(("solids", "valid", "sound"), [(1, True, True), (2, True, False), (1, False, False)])
def test_a_solid_s_certificate(solids: int, valid: bool, sound: bool) -> None:
    marks = {
        m.key: (m.value, m.words)
        for m in solid_certificate(
            solids=solids, valid=valid, volume_mm3=12.34567, round_faces=1, extents=(1.0, 2.0, 3.0), unit="mm"
        )
    }
    assert marks["valid_solid"][0] is sound
    assert marks["volume_mm3"] == (12.346, "volume 12.3 mm3")
    assert marks["round_faces"] == (1, "1 round face")
    assert marks["box_x_mm"] == (1.0, "1.00 x 2.00 x 3.00 mm")
    assert marks["box_y_mm"] == (2.0, "")


def test_one_and_many() -> None:
    assert [counted(n, "hole") for n in (0, 1, 2)] == ["0 holes", "1 hole", "2 holes"]


@pytest.mark.parametrize(
    ("point", "away"),
    [
        ((13.0, 14.0), 5.0),  # 3-4-5 off the upper right corner of 10 × 10
        ((-3.0, -4.0), 5.0),
        ((5.0, 12.0), 2.0),
        ((-2.0, 5.0), 2.0),
        ((1.0, 5.0), 1.0),
        ((9.0, 5.0), 1.0),
        ((5.0, 2.0), 2.0),
        ((5.0, 9.5), 0.5),
        ((0.0, 5.0), 0.0),
    ],
)
def test_distance_from_a_label_s_frame(point: tuple[float, float], away: float) -> None:
    assert _edge_distance(point, (0.0, 0.0, 10.0, 10.0)) == pytest.approx(away)
    moved = (point[0] + 30.0, point[1] - 70.0)
    assert _edge_distance(moved, (30.0, -70.0, 40.0, -60.0)) == pytest.approx(away)
    assert _edge_distance((2 * point[0], point[1]), (0.0, 0.0, 20.0, 10.0)) >= away - 1e-9


def test_slanted_lines() -> None:
    assert not _slanted((100.0, 100.0), (100.9, 250.0))
    assert not _slanted((100.0, 100.0), (250.0, 99.1))
    assert _slanted((100.0, 100.0), (101.1, 250.0))
    assert _slanted((-100.0, 100.0), (100.0, -100.0))
