"""Letters etched on blanks that lie on a sheet: they go along, turned as the blank is, and are read back."""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from plates import box, nested, shop, wedge

from generators.drawing.dxf.nest import write_nest_dxf
from generators.nesting.nest import Nest
from generators.verify.dxf.nest import NestHead, read_nest_dxf
from generators.verify.dxf.nest_blanks import Wanted


def made() -> Nest:
    """Two wedges head to tail, so that one is turned, with letters, and a box without."""
    return nested([replace(wedge("w", 2), etch="W-1 A"), box("b", 200.0, 120.0)], shop())


def written(path: Path, of: str) -> tuple[str, ...]:
    """Problems of the first sheet, written in a profile."""
    at, nest = shop(profile=of), made()
    sheet = nest.sheets[0]
    write_nest_dxf(nest, sheet, path, job="toy", revision="abc1234", cutting=at.cutting, rules=at.nest)
    return problems(path, of)


def problems(path: Path, of: str = "polylines") -> tuple[str, ...]:
    at, nest = shop(profile=of), made()
    counts = Counter(laid.part for laid in nest.sheets[0].laid)
    wanted = [Wanted(plan=b.plan, least_mm=b.least_mm, count=counts[b.plan.name]) for b in nest.blanks]
    rack = nest.sheets[0].rack
    head = NestHead(job="toy", revision="abc1234", number=1, sheets=len(nest.sheets))
    return read_nest_dxf(path, wanted, rack, head=head, cutting=at.cutting, rules=at.nest, rel="x").problems


@pytest.mark.parametrize("profile", ["polylines", "exploded", "r12"])
def test_letters_lie_on_their_blanks(tmp_path: Path, profile: str) -> None:
    path = tmp_path / "n_mm.dxf"
    assert written(path, profile) == ()
    assert any(e.dxf.layer == "ETCH" for e in ezdxf.readfile(path).modelspace())


def test_letters_left_out_moved_or_beside_are_seen(tmp_path: Path) -> None:
    path = tmp_path / "n.dxf"
    for change, said in ((-1.0, "does not spell"), (500.0, "beside the blanks")):
        written(path, "polylines")
        doc = ezdxf.readfile(path)
        letters = [e for e in doc.modelspace() if e.dxf.layer == "ETCH"]
        letters[-1].translate(change, 700.0 if change > 0 else 0.0, 0)
        doc.saveas(path)
        assert any(said in p for p in problems(path)), (change, problems(path))
    written(path, "polylines")
    doc = ezdxf.readfile(path)
    for e in [e for e in doc.modelspace() if e.dxf.layer == "ETCH"]:
        doc.modelspace().delete_entity(e)
    doc.saveas(path)
    assert any("0 lines are etched" in p for p in problems(path))


def test_a_file_that_does_not_say_that_letters_are_not_cut_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "n.dxf"
    written(path, "polylines")
    text = path.read_text()
    assert "w: layer ETCH: W-1 A etched on the upper side. MARK ONLY, NEVER CUT THROUGH." in text
    path.write_text(text.replace("NEVER CUT THROUGH", "CUT THROUGH"))
    assert any("NEVER CUT THROUGH" in p for p in problems(path))


def test_equal_blanks_are_told_apart_by_their_letters(tmp_path: Path) -> None:
    at, path = shop(), tmp_path / "n.dxf"

    def of(first: int, second: int) -> Nest:
        plans = (box("a", 200.0, 150.0, first), box("b", 200.0, 150.0, second))
        return nested([replace(plan, etch=plan.name.upper()) for plan in plans], at)

    asked = of(1, 2)
    wanted = [Wanted(plan=b.plan, least_mm=b.least_mm, count=b.count) for b in asked.blanks]
    head = NestHead(job="toy", revision="abc1234", number=1, sheets=1)
    for made, said in ((asked, ""), (of(2, 1), "1 of b, 2 are wanted")):
        sheet = made.sheets[0]
        write_nest_dxf(made, sheet, path, job="toy", revision="abc1234", cutting=at.cutting, rules=at.nest)
        found = read_nest_dxf(
            path, wanted, sheet.rack, head=head, cutting=at.cutting, rules=at.nest, rel="x"
        ).problems
        assert (said in found) if said else not found, found
