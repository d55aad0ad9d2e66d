"""A hose and the bolts it passes: told all along, but for the end that sits on what the bolt holds."""

from __future__ import annotations

from pathlib import Path

import pytest
from space_jobs import job, others
from test_hose_ends import LINE, OUTSIDE

from generators.jobs.make.space_sheet import space_sheet
from generators.model.findings import Severity
from generators.sheets.space.pages import pair_words
from generators.solve.job import Prepared
from generators.space.body import named

HOLE = '\n[[panel.hole]]\nname = "post"\nkind = "bolt"\nthread = "M8"\npurpose = "post of a bracket"\nat = { u = "400 mm", v = "100 mm" }\n'
HELD = "the hose is held there by its end and cannot rub"


def past(folder: Path, x: float, more: str = "") -> Prepared:
    """A line along the wall's engine face, y 100 to 500 at z 100, over a bolt of the wall at y 400."""
    line = LINE.format(more=more, z=100.0).replace("-300 mm", f"{x:.3f} mm")
    return job(folder, ("  # HOLES\n", HOLE), others(line))


def rubs(prepared: Prepared) -> list[tuple[str, Severity, float | None]]:
    return [
        (f.found.split(",")[0].split(" of ")[1], f.severity, f.value)
        for f in prepared.findings
        if f.code == "hose-clearance" and "bolt" in f.found
    ]


@pytest.fixture(scope="module")
def tip(tmp_path_factory: pytest.TempPathFactory) -> float:
    """How far the bolt stands off the engine face, x."""
    bodies = [b for b in past(tmp_path_factory.mktemp("tip"), -300.0).scene.bodies if "(post)" in b.title]
    (bolt,) = (b for b in bodies if b.what == "bolt")
    return float(bolt.box[0][0])


@pytest.mark.parametrize(("gap", "told"), [(2.9, True), (3.1, False), (0.2, True)])
def test_a_bolt_beside_the_run_of_a_hose(gap: float, told: bool, tip: float, tmp_path: Path) -> None:
    """3 mm to anything fixed, ours: the bolt's end is flat and square to the hose, half an outside off its axis."""
    prepared = past(tmp_path, tip - gap - OUTSIDE / 2)
    found = rubs(prepared)
    assert [(what, severity) for what, severity, _ in found] == (
        [("bolt in hole 10 (post)", Severity.WARN)] if told else []
    )
    if told:
        assert found[0][2] == pytest.approx(gap, abs=1e-3)


def test_a_change_is_proposed_that_takes_the_bolt_away(tip: float, tmp_path: Path) -> None:
    prepared = past(tmp_path, tip - 1.0 - OUTSIDE / 2)
    (told,) = (f for f in prepared.findings if f.code == "hose-clearance" and "bolt" in f.found)
    assert any("hole post" in p.words for p in told.proposals)


def on_reservoir(folder: Path, end: str) -> Prepared:
    return job(
        folder,
        ('at = ["12 mm", "36 mm", "0 mm"]', 'at = ["12 mm", "36 mm", "0 mm"]'),
        ('end = "20 mm"\n', f'end = "{end}"\n'),
    )


def test_an_end_on_what_the_bolt_holds_cannot_rub_on_it(tmp_path: Path) -> None:
    prepared = on_reservoir(tmp_path, "20 mm")
    (pair,) = (
        p
        for p in space_sheet(prepared).pairs
        if "bolt reservoir" in p.first + p.second and "feed" in (p.first + p.second).lower()
    )
    assert pair.gap.gap_mm < 3.0
    assert pair.held
    assert HELD in pair_words(pair)
    assert rubs(prepared) == []


def test_past_its_end_it_can(tmp_path: Path) -> None:
    """The same hose with nothing of it on the nipple: what was held is not."""
    prepared = on_reservoir(tmp_path, "0 mm")
    (told,) = rubs(prepared)
    assert told[1] is Severity.WARN
    assert named(prepared.scene.bodies)
    assert not any(p.held for p in space_sheet(prepared).pairs)
