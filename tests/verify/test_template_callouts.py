"""Labels that lie: a writer is made to print the wrong words, and read-back must name the hole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from drawing.sample import firewall

from generators.drawing.template import labels as template_labels
from generators.drawing.template import page as template_page
from generators.drawing.template.hole_words import callout_texts
from generators.drawing.template.pdf import write_template
from generators.model.plan import PanelHole
from generators.model.words import Face
from generators.units import UnitSystem
from generators.verify.pdf.template.pages import read_template_pdf


def problems(tmp_path: Path, face: Face = "cab") -> list[str]:
    path = tmp_path / "t.pdf"
    write_template(firewall(), path, face=face, paper="A4", job="job", revision="a1b2c3d")
    reading = read_template_pdf(path, firewall(), face=face, job="job", revision="a1b2c3d", rel="t.pdf")
    return list(reading.problems)


def lying(monkeypatch: pytest.MonkeyPatch, change: Callable[[PanelHole], PanelHole]) -> None:
    """Make the writer label each hole as if it were ``change(hole)``."""

    def texts(hole: PanelHole, face: Face, *, witness: bool = False, units: UnitSystem = "metric") -> object:
        return callout_texts(change(hole), face, witness=witness)

    monkeypatch.setattr(template_labels, "callout_texts", texts)


@pytest.mark.parametrize("face", ["cab", "engine"])
def test_honest_labels_are_found_and_agree(tmp_path: Path, face: Face) -> None:
    assert problems(tmp_path, face) == []


def test_two_numbers_exchanged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = {"3": "7", "7": "3"}
    lying(monkeypatch, lambda h: replace(h, number=other.get(h.number, h.number)))
    said = " ".join(problems(tmp_path))
    assert "led from hole 3 says '7'" in said
    assert "led from hole 7 says '3'" in said


def test_a_wrong_final_diameter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lying(monkeypatch, lambda h: replace(h, final_dia_mm=20.0) if h.number == "4" else h)
    assert any("label of hole 4 says Ø20" in p for p in problems(tmp_path))


def test_a_wrong_pilot(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lying(monkeypatch, lambda h: replace(h, pilot_dia_mm=4.0) if h.status == "drill" else h)
    assert any("pilot Ø4" in p for p in problems(tmp_path))


def test_the_wrong_face_to_drill_from(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lying(monkeypatch, lambda h: replace(h, drill_face="engine"))
    assert any("drill from the engine side" in p for p in problems(tmp_path, "cab"))


def test_a_sheet_without_labels(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(template_page, "callouts", lambda *arguments: ())
    assert any(p.startswith("labels only 0 of") for p in problems(tmp_path))
