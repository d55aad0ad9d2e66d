"""Adapters between a port and a hose: where the seat goes, which sizes go together, what is bought."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.jobs.make.line_sheets import lines_sheet
from generators.model.findings import Finding, Severity
from generators.sheets.bill import bill
from generators.sheets.hose_words import LinesSheet
from generators.sheets.install.hoses import hose_steps
from generators.solve.job import Prepared, prepare

# Two ports that look at each other, 400 mm apart along x. Invented.
JOB = """
[job]
name = "toy"
title = "Toy job, invented"
[[component]]
name = "left"
kind = "line_end"
on = { at = ["0 mm", "0 mm", "500 mm"], facing = "cab" }
[[component.port]]
name = "a"
at = ["0 mm", "0 mm", "0 mm"]
facing = "out"
LEFT
[[component]]
name = "right"
kind = "line_end"
on = { at = ["400 mm", "0 mm", "500 mm"], facing = "engine" }
[[component.port]]
name = "b"
at = ["0 mm", "0 mm", "0 mm"]
facing = "out"
dash = 4
[[hose]]
name = "line"
service = "pressure"
from = "left.a"
to = "right.b"
dash = 4
"""
METRIC = 'from_adapter = { port_thread = "M10x1", dash = 4, length = "30 mm" }\n'


def solved(tmp_path: Path, hose: str = "", left: str = "") -> Prepared:
    spec = tmp_path / "toy.toml"
    spec.write_text(JOB.replace("LEFT", left) + hose, encoding="utf-8")
    return prepare(spec)


def sizes(job: Prepared) -> list[Finding]:
    return [f for f in job.findings if f.code == "hose-dash-size"]


def path_mm(job: Prepared) -> float:
    (line,) = job.lines.hoses
    assert line.length is not None
    return line.length.path_mm


def test_an_adapter_moves_the_seat_along_its_port(tmp_path: Path) -> None:
    assert path_mm(solved(tmp_path)) == pytest.approx(400.0)
    # straight from seat to seat: 400 less 30, and less 20 at the other end
    one = solved(tmp_path, METRIC)
    assert path_mm(one) == pytest.approx(370.0)
    assert one.lines.hoses[0].run.start.position == pytest.approx((30.0, 0.0, 500.0))
    both = solved(tmp_path, METRIC + 'to_adapter = { port_dash = 4, dash = 4, length = "20 mm" }\n')
    assert path_mm(both) == pytest.approx(350.0)
    assert both.lines.hoses[0].run.end.position == pytest.approx((380.0, 0.0, 500.0))
    # the port itself stays where it is
    assert both.lines.ports["right.b"].position == pytest.approx((400.0, 0.0, 500.0))


@pytest.mark.parametrize(
    ("left", "adapter", "found"),
    [
        # AN924: a dash size is the tube's outside diameter in 1/16 in; -3 does not go on -4
        ("dash = 3", "", ["-4 on the -3 port left.a"]),
        ("dash = 3", 'from_adapter = { port_dash = 3, dash = 4, length = "30 mm" }', []),
        (
            "dash = 3",
            'from_adapter = { port_dash = 4, dash = 4, length = "30 mm" }',
            ["a -4 to -4 adapter on the -3 port left.a"],
        ),
        ("dash = 3", METRIC, ["a M10x1 to -4 adapter on the -3 port left.a"]),
        ("", METRIC, []),
        (
            "",
            'from_adapter = { port_thread = "M10x1", dash = 3, length = "30 mm" }',
            ["-4 on the M10x1 to -3 adapter at left.a"],
        ),
    ],
)
def test_sizes_from_port_to_adapter_to_hose(
    tmp_path: Path, left: str, adapter: str, found: list[str]
) -> None:
    findings = sizes(solved(tmp_path, adapter, left))
    assert [f.found for f in findings] == found
    assert all(f.severity is Severity.FAIL for f in findings)


@pytest.mark.parametrize("keys", ["", 'port_dash = 3, port_thread = "M10x1", '])
def test_an_adapter_says_once_what_it_is_screwed_to(tmp_path: Path, keys: str) -> None:
    with pytest.raises(SpecError) as caught:
        solved(tmp_path, f'from_adapter = {{ {keys}dash = 4, length = "30 mm" }}\n')
    (fault,) = caught.value.faults
    assert fault.path == "hose[0].from_adapter.port_dash"
    assert "exactly one" in fault.found


def test_an_adapter_is_bought(tmp_path: Path) -> None:
    job = solved(tmp_path, METRIC)
    lines = lines_sheet(job.lines, job.file.job, job.file.units)
    assert isinstance(lines, LinesSheet)
    (item,) = (i for i in bill([], [], lines) if "adapter" in i.item)
    assert (item.item, item.kind, item.quantity) == ("M10x1 to -4 adapter", "fitting", 1)


def test_an_elbow_on_a_hose_is_bought_and_turned(tmp_path: Path) -> None:
    """One straight end and one elbow: two lines of the bill; the step says which way the leg points."""
    elbow = '[hose.to_end]\nangle = "90 deg"\ndrop = "25 mm"\ntoward = "up"\n'
    prepared = solved(tmp_path, elbow)
    sheet = lines_sheet(prepared.lines, prepared.file.job, prepared.file.units)
    ends = {i.item: i.quantity for i in bill([], [], sheet) if i.kind == "end"}
    assert ends == {"-4 hose end, 37 degree swivel": 1, "-4 hose end, 37 degree swivel, 90 degree elbow": 1}
    (fit,) = (s for s in hose_steps(sheet.hose("line"), sheet) if s.do.startswith("Fit"))
    assert "At the right (b) turn its 90 degree elbow so that the hose leaves it upward" in fit.how
    assert "counts from the axis of the elbow's seat" in fit.how
