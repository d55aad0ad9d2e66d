"""A pedal's lines are the layout's hoses: named once, as long as they are cut."""

from __future__ import annotations

import math
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.model.findings import Severity
from generators.solve.job import Prepared, prepare
from generators.standards import hose_expansion

INCH = 25.4
LINE = '  [[pedal.line]]\n  hose = "slave_hose"\n'
Changed = Callable[..., Prepared]


@pytest.fixture
def changed(tmp_path: Path, hose_van: Path) -> Changed:
    """The demo with texts changed; each must be there once."""
    shutil.copy(hose_van.with_name("shop.toml"), tmp_path)

    def made(*changes: tuple[str, str]) -> Prepared:
        text = hose_van.read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1
            text = text.replace(old, new)
        spec = tmp_path / "van.toml"
        spec.write_text(text, encoding="utf-8")
        return prepare(spec)

    return made


def fluid_and_swell(job: Prepared) -> tuple[float, float]:
    """Fluid between the pistons, mm3, and swell at the first pressure of the table, mm3."""
    clutch = job.pedals[0].clutch
    assert clutch is not None
    compliance = clutch.setup.compliance
    return compliance.fluid_mm3, compliance.swell[1][1]


def test_lengths_are_the_layouts(hose_van: Path) -> None:
    job = prepare(hose_van)
    hoses = {h.spec.name: h for h in job.lines.hoses}
    lines = {line.hose: line for line in job.pedals[0].spec.line}
    assert list(lines) == ["slave_hose", "cab_line", "master_hose"]
    assert [line.kind for line in lines.values()] == ["hose", "rigid", "hose"]
    # 18 in from seat to seat with 25 mm of fitting at each end
    assert lines["slave_hose"].length_mm == pytest.approx(18 * INCH - 50)
    path = hoses["cab_line"].path
    assert path is not None
    assert lines["cab_line"].length_mm == pytest.approx(path.length_mm)
    assert [f for f in job.findings if f.code == "hose-stated-length"] == []


def test_swell_and_fluid_follow_the_hose(hose_van: Path, changed: Changed) -> None:
    """One inch more of hose: π/4 d² of fluid and the table's swell per length, by hand."""
    before = fluid_and_swell(prepare(hose_van))
    after = fluid_and_swell(changed(('made_up = "18 in"', 'made_up = "19 in"')))
    assert after[0] - before[0] == pytest.approx(math.pi / 4 * (INCH / 8) ** 2 * INCH)
    row = hose_expansion(INCH / 8, "low")[0]
    assert after[1] - before[1] == pytest.approx(row.swell_mm2 * INCH)


@pytest.mark.parametrize(("length", "warned"), [("404 mm", False), ("461 mm", False), ("402 mm", True)])
def test_a_stated_length_must_agree(changed: Changed, length: str, warned: bool) -> None:
    """The hose is 407.2 mm, 457.2 mm from seat to seat: 1 % either way is let pass."""
    job = changed((LINE, f'{LINE}  length = "{length}"\n'))
    found = [f for f in job.findings if f.code == "hose-stated-length"]
    assert [f.severity for f in found] == [Severity.WARN] * warned
    # whatever is stated, the layout's length is used
    assert job.pedals[0].spec.line[0].length_mm == pytest.approx(18 * INCH - 50)
    if warned:
        assert found[0].where == "pedal:clutch slave_hose"


@pytest.mark.parametrize(
    ("old", "new", "path", "found"),
    [
        ('hose = "cab_line"\n', 'hose = "cab_lin"\n', "hose", "unknown name"),
        ('hose = "cab_line"\n', 'hose = "slave_hose"\n', "hose", "again"),
        ('hose = "cab_line"\n', 'hose = "feed_hose"\n', "hose", "feed hose"),
        ('hose = "cab_line"\n', 'hose = "cab_line"\n  kind = "hose"\n', "kind", "hose"),
        ('hose = "cab_line"\n  bore = "3.2 mm"\n', 'hose = "cab_line"\n', "hose", "no bore"),
        ('hose = "cab_line"\n', "", "length", "without a length"),
    ],
)
def test_faults_of_a_named_hose(changed: Changed, old: str, new: str, path: str, found: str) -> None:
    with pytest.raises(SpecError) as caught:
        changed((old, new))
    (fault,) = caught.value.faults
    assert fault.path == f"pedal[0].line[1].{path}"
    assert found in fault.found


def test_a_hose_of_the_table_brings_its_bore(changed: Changed) -> None:
    """AC 43.13-1B table 9-3: -4 is 3/16 in inside."""
    table = 'dash = 4\noutside = "9 mm"\nradius = "2 in"\nmade_up = "18 in"'
    job = changed(
        (table, 'dash = 4\nradius = "2 in"\nmade_up = "18 in"'),
        (f'{LINE}  bore = "1/8 in"\n', LINE),
    )
    assert job.pedals[0].spec.line[0].bore_mm == pytest.approx(3 / 16 * INCH)
