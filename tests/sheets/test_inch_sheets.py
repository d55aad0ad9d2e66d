"""Inches first on the install sheet, where the job or its shop measures in inches."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from made_once import solved

from generators.jobs.make.line_sheets import job_guide
from generators.parts import KINDS
from generators.reading import read_job
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
ANY_MM = re.compile(r"[\d.]+ mm\b")


def van(folder: Path, job: str = "", shop: str = "") -> Path:
    """The demo van's spec with a line more in ``[job]`` and one in the shop file."""
    text = (SPECS / "wrenfield_van.toml").read_text(encoding="utf-8")
    path = folder / "wrenfield_van.toml"
    path.write_text(
        text.replace('name = "wrenfield_van"\n', f'name = "wrenfield_van"\n{job}\n', 1), encoding="utf-8"
    )
    rack = (SPECS / "shop.toml").read_text(encoding="utf-8")
    (folder / "shop.toml").write_text(f"{shop}\n{rack}", encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def inch_van(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    return prepare(van(tmp_path_factory.mktemp("inch"), job='units = "inch"'))


@pytest.mark.parametrize(
    ("job", "shop", "units"),
    [
        ("", "", "metric"),
        ("", 'units = "inch"', "inch"),
        ('units = "metric"', 'units = "inch"', "metric"),
        ('units = "inch"', 'units = "metric"', "inch"),
    ],
)
def test_the_job_says_before_the_shop(tmp_path: Path, job: str, shop: str, units: str) -> None:
    file = read_job(van(tmp_path, job, shop), {f.name: f.parameters for f in KINDS})
    assert file.units == units


def test_the_van_is_drilled_with_inch_drills(inch_van: Prepared) -> None:
    holes = {h.name: h for layout in inch_van.layouts for h in layout.holes}
    # ISO 273 medium, H13, in 64ths: M8 9.00 to 9.22 mm, M6 6.60 to 6.82, M5 5.50 to 5.68; M4 4.50 to 4.68 has
    # none, and #15 (0.180 in) is 4.572; 5/16 and #10 are ASME B18.2.8: 11/32 in and #2
    wanted = {
        "clutch_hanger.mount_1": "twist drill 23/64 in",
        "clutch_hanger.master_1": "twist drill 11/32 in",
        "clutch_hanger.master_bore": "step drill 1 1/4 in",
        "clutch_reservoir.mount_1": "twist drill 17/64 in",
        "fitting_plate.mount_1": "twist drill 7/32 in",
        "linkage_blank.bolt_1": "twist drill #15",
        "clamp_foot": "twist drill #2",
        "line_out": "step drill 15/32 in",
    }
    assert {name: holes[name].tool for name in wanted} == wanted
    assert holes["line_out"].pilot_dia_mm == pytest.approx(3.175)
    assert "in left" in holes["line_out"].position_note


def test_no_millimetre_stands_first_on_the_install_sheet(inch_van: Prepared) -> None:
    guide = job_guide(inch_van, "0000000")
    texts = [*guide.before]
    tables = [listing.table for listing in guide.lists]
    for step in guide.steps:
        texts += [step.do, step.how]
        tables += step.tables
    texts += [cell for table in tables for row in table.rows for cell in row]
    # what the spec says of metal outside the job stands as it was typed
    typed = re.findall(r'^ *ends_on = "(.*)"$', (SPECS / "wrenfield_van.toml").read_text("utf-8"), re.M)
    assert typed
    for text in texts:
        # what a floor is said to be by is the panel's own u and v, as the spec's numbers
        # and a metric nut keeps the name of its spanner
        alone = re.sub(r"\(u [^()]*\)|spanners of each: [^;]*", "", text)
        for words in typed:
            alone = alone.replace(words, "")
        for found in ANY_MM.finditer(alone):
            before = alone[: found.start()]
            inside = before.count("(") > before.count(")")
            after_inches = "from rest" in alone[found.end() : found.end() + 12]
            assert inside or after_inches, text


def test_the_metric_van_has_no_inch_first(demo_spec: Path) -> None:
    guide = job_guide(solved("wrenfield_van"), "0000000")
    for step in guide.steps:
        assert not re.search(r"\d in \([^)]*mm", f"{step.do} {step.how}")
