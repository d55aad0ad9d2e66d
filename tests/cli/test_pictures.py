"""The README's pictures, from a finished folder."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from generators.cli.pictures import write_pictures
from generators.errors import ReadBackError
from generators.issue.manifest import FORMAT, NAME


def folder_with(path: Path, pages: tuple[str, ...]) -> Path:
    """A finished folder whose report has these words on its pages; a black bar marks the wanted one."""
    content = {"format": FORMAT, "files": [], "findings": [], "waivers": {}}
    (path / NAME).write_text(json.dumps(content), encoding="utf-8")
    canvas = Canvas(str(path / "report.pdf"), pagesize=(200, 200))
    for words in pages:
        canvas.drawString(20, 180, words)
        if "stress" in words:
            canvas.rect(0, 0, 200, 100, fill=1)
        canvas.showPage()
    canvas.save()
    return path


def test_the_page_of_stress_is_found_by_its_words(tmp_path):
    folder = folder_with(tmp_path, ("Clutch", "Shape and stress: hanger", "Hoses"))
    (folder / "stiffness.json").write_text("{}", encoding="utf-8")
    (written,) = write_pictures(folder, tmp_path / "pictures", ["stiffness.png"])
    assert written.name == "stiffness.png"
    picture = Image.open(written).convert("L")
    assert picture.getpixel((90, 170)) < 10
    assert picture.getpixel((90, 60)) > 245


def test_a_picture_the_folder_cannot_give_is_named(tmp_path):
    folder = folder_with(tmp_path, ("Clutch",))
    with pytest.raises(ReadBackError, match=r"gives no stiffness\.png"):
        write_pictures(folder, tmp_path / "pictures", ["stiffness.png"])
    (folder / "stiffness.json").write_text("{}", encoding="utf-8")
    with pytest.raises(ReadBackError, match="has no page"):
        write_pictures(folder, tmp_path / "pictures", ["stiffness.png"])
