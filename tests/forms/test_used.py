"""A spec of several files: whose line is at fault, what may be used, and what holds over what."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from generators.errors import Fault, SpecError
from generators.parts import KINDS
from generators.reading import JobFile, read_job

ALL = {kind.name: kind.parameters for kind in KINDS}
SECOND = """
[sizes]
wide = "50 mm"
lip = "12 mm"

[limits]
ligament = "4 mm"

[[part]]
name = "second"
kind = "blanking_plate"
material = "S235 steel"
thickness = "2 mm"
  [part.parameters]
  shape = "round"
  opening = "wide"
  overlap = "2 lip"
"""


def put(plate: Path, use: str, **files: str) -> Path:
    for name, text in files.items():
        (plate.parent / f"{name}.toml").write_text(text, encoding="utf-8")
    plate.write_text(f"use = {use}\n" + plate.read_text(encoding="utf-8"), encoding="utf-8")
    return plate


def read(spec: Path) -> JobFile:
    return read_job(spec, ALL)


def fault_of(spec: Path) -> Fault:
    with pytest.raises(SpecError) as caught:
        read(spec)
    assert len(caught.value.faults) == 1, caught.value.faults
    return caught.value.faults[0]


def test_tables_are_joined_and_the_spec_holds_over_what_it_uses(plate: Path) -> None:
    put(plate, '["second.toml"]', second=SECOND)
    text = plate.read_text(encoding="utf-8") + '\n[sizes]\nwide = "60 mm"\n'
    plate.write_text(text, encoding="utf-8")
    file = read(plate)
    assert [part.name for part in file.job.part] == ["second", "cover"]
    assert file.job.part[0].parameters.opening_mm == 60.0
    assert file.job.limits.ligament_mm == 4.0
    assert [used.name for used in file.used] == ["second.toml"]


def test_a_fault_names_the_file_it_is_in_and_its_line(plate: Path) -> None:
    put(plate, '["second.toml"]', second=SECOND.replace('opening = "wide"', 'opening = "wide * wide"'))
    fault = fault_of(plate)
    assert fault.file == str(plate.parent / "second.toml")
    assert SECOND.split("\n")[fault.line - 1].strip().startswith("opening")
    assert fault.path == "part[0].parameters.opening"


def test_a_fault_of_the_spec_beside_it_keeps_its_own_line(plate: Path) -> None:
    put(plate, '["second.toml"]', second=SECOND)
    text = plate.read_text(encoding="utf-8").replace('overlap = "20 mm"', 'overlap = "20 N"')
    plate.write_text(text, encoding="utf-8")
    fault = fault_of(plate)
    assert (fault.file, fault.path) == (str(plate), "part[0].parameters.overlap")
    assert text.split("\n")[fault.line - 1].strip().startswith("overlap")


@pytest.mark.parametrize(
    "name",
    ["../other.toml", "/etc/other.toml", "a\\\\b.toml", "c:x.toml", "./second.toml", "a//b.toml", "x.txt"],
)
def test_no_path_leads_outside(plate: Path, name: str) -> None:
    assert fault_of(put(plate, f'["{name}"]', second=SECOND)).path == "use[0]"


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
def test_no_link_leads_outside(plate: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside") / "second.toml"
    outside.write_text(SECOND, encoding="utf-8")
    (plate.parent / "second.toml").symlink_to(outside)
    assert "a link to another place" in fault_of(put(plate, '["second.toml"]')).found


def test_a_file_that_is_not_there_is_pointed_at_where_it_is_used(plate: Path) -> None:
    fault = fault_of(put(plate, '["none.toml"]'))
    assert (fault.file, fault.line, fault.path) == (str(plate), 1, "use[0]")
    assert "no such file" in fault.found


def test_files_that_use_each_other_are_a_circle(plate: Path) -> None:
    put(plate, '["one.toml"]', one='use = ["two.toml"]\n', two='use = ["one.toml"]\n')
    fault = fault_of(plate)
    assert (fault.file, fault.line) == (str(plate.parent / "two.toml"), 1)
    assert "one.toml uses two.toml uses one.toml" in fault.found


def test_the_spec_is_not_used_by_what_it_uses(plate: Path) -> None:
    assert "a circle" in fault_of(put(plate, '["plate.toml"]')).found


def test_a_file_used_twice_comes_once(plate: Path) -> None:
    put(
        plate,
        '["one.toml", "two.toml"]',
        one='use = ["second.toml"]\n',
        two='use = ["second.toml"]\n',
        second=SECOND,
    )
    assert [part.name for part in read(plate).job.part] == ["second", "cover"]


def test_two_files_must_not_say_different_things(plate: Path) -> None:
    put(plate, '["one.toml", "two.toml"]', one='[sizes]\na = "1 mm"\n', two='\n[sizes]\na = "2 mm"\n')
    fault = fault_of(plate)
    assert (fault.file, fault.line) == (str(plate.parent / "two.toml"), 3)
    assert "said otherwise by one.toml in line 2" in fault.found


def test_variants_belong_to_the_spec_itself(plate: Path) -> None:
    fault = fault_of(put(plate, '["one.toml"]', one='[[variant]]\nname = "left"\n'))
    assert (fault.file, fault.line) == (str(plate.parent / "one.toml"), 1)
