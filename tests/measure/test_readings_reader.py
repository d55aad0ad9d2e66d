"""The readings file: every fault at once with its place, and a schema that agrees with the reader."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from generators.errors import SpecError
from generators.reading import render
from generators.reading.readings import read_readings
from generators.reading.schema import readings_schema

ROOT = Path(__file__).parents[2]
GOOD = """
[measure]
name = "sample"
title = "Sample"

[[hole]]
name = "a"
diameter = "10 mm"

[[hole]]
name = "b"
diameter = "3/8 in"

[[line]]
name = "left"
kind = "vertical"
holes = "right"

[[reading]]
from = "a"
to = "b"
is = "4 1/2 in"

[[reading]]
kind = "inner"
from = "a"
to = "left"
is = "20 mm"
by = "caliper"
"""


def read(tmp_path: Path, text: str):
    path = tmp_path / "readings.toml"
    path.write_text(text, encoding="utf-8")
    return read_readings(path)


def faults(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        read(tmp_path, text)
    return [f"{f.path}: {f.found}" for f in caught.value.faults]


def test_units_are_read(tmp_path: Path) -> None:
    got = read(tmp_path, GOOD).readings
    assert got.reading[0].is_mm == pytest.approx(114.3)
    assert got.hole[1].diameter_mm == pytest.approx(9.525)
    assert got.instrument_mm("caliper") == 0.1


def test_revision_follows_numbers_not_comments(tmp_path: Path) -> None:
    first = read(tmp_path, GOOD).revision
    assert read(tmp_path, GOOD + "\n# a remark\n").revision == first
    assert read(tmp_path, GOOD.replace("4 1/2", "4 5/8")).revision != first


def test_every_fault_at_once_with_line_and_caret(tmp_path: Path) -> None:
    bad = (
        GOOD.replace('to = "b"', 'to = "bb"')
        .replace('"20 mm"', '"20"')
        .replace('holes = "right"', 'holes = "above"')
    )
    bad += '\n[[handed]]\nhole = "a"\nside = "left"\nfrom = "a"\nto = "z"\n'
    path = tmp_path / "readings.toml"
    path.write_text(bad, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_readings(path)
    paths = {f.path for f in caught.value.faults}
    assert {"reading[0].to", "reading[1].is", "line[0].holes", "handed[0].to", "handed[0]"} <= paths
    shown = render(caught.value.faults, bad)
    assert "^" in shown
    assert 'to = "bb"' in shown
    lines = {f.path: f.line for f in caught.value.faults}
    assert bad.split("\n")[lines["reading[0].to"] - 1] == 'to = "bb"'


@pytest.mark.parametrize(
    ("change", "path"),
    [
        (('to = "b"', 'to = "a"'), "reading[0].to"),
        (('is = "4 1/2 in"', 'is = "-4 in"'), "reading[0].is"),
        (('is = "4 1/2 in"', "is = 114"), "reading[0].is"),
        (('kind = "inner"', 'kind = "same_side"'), "reading[1].kind"),
        (('kind = "inner"', 'kind = "diameter"'), "reading[1].to"),
        (('kind = "inner"', 'kind = "offset_u"'), "reading[1].to"),
        (('name = "b"', 'name = "a"'), "hole[1].name"),
        (('name = "left"', 'name = "a"'), "line[0].name"),
        (('by = "caliper"', 'by = "laser"'), "reading[1].by"),
        (('diameter = "10 mm"', 'diameter = "10 mm"\nuncertainty = "1 mm"'), "hole[0].uncertainty"),
        (('by = "caliper"', 'accuracy = "1 mm"'), "reading[1].accuracy"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path: Path, change: tuple[str, str], path: str) -> None:
    assert any(f.startswith(f"{path}:") for f in faults(tmp_path, GOOD.replace(*change)))


def test_an_empty_survey_is_refused(tmp_path: Path) -> None:
    assert any("no [[hole]]" in f for f in faults(tmp_path, '[measure]\nname = "s"\ntitle = "S"\n'))


def test_schema_agrees_with_the_reader(tmp_path: Path) -> None:
    check = jsonschema.Draft7Validator(readings_schema())
    assert check.is_valid(tomllib.loads(GOOD))
    assert not check.is_valid(tomllib.loads(GOOD.replace('"20 mm"', "20")))
    assert not check.is_valid(tomllib.loads(GOOD.replace('by = "caliper"', 'with = "caliper"')))
    shipped = json.loads((ROOT / "specs" / "readings.schema.json").read_text(encoding="utf-8"))
    assert shipped == json.loads(json.dumps(readings_schema()))


def test_a_name_windows_keeps_for_a_device(tmp_path: Path) -> None:
    """The readings' name becomes a folder. Microsoft, Naming Files, Paths, and Namespaces: NUL is reserved."""
    path = tmp_path / "readings.toml"
    path.write_text(GOOD.replace('"sample"', '"nul"'), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_readings(path)
    assert [(f.path, f.expected) for f in caught.value.faults] == [
        ("measure.name", "a name every system can make a folder of")
    ]
