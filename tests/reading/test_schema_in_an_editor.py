"""What an editor with the schemas shows: one slip is one error at its place, and words are there to choose from."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator

from generators.errors import PedalplateError
from generators.model.spec.fields import spec_fields
from generators.parts import KINDS
from generators.reading.schema import job_schema, shelf_schema, shop_schema
from generators.solve.parts import sample_plan

ALL = {kind.name: kind.parameters for kind in KINDS}
SCHEMA = job_schema(ALL)
JOB = Draft7Validator(SCHEMA)
SPECS = Path(__file__).parents[2] / "specs"


def job(kind: str, **parameters: Any) -> dict[str, Any]:
    part = {
        "name": "one",
        "kind": kind,
        "material": "S235 steel",
        "thickness": "3 mm",
        "parameters": {**needed(kind), **parameters},
    }
    return {"job": {"name": "a", "title": "A"}, "part": [part]}


def needed(kind: str) -> dict[str, Any]:
    """What a kind must be told: holes of others, for those that follow them."""
    return {f.key: ["clamp"] for f in spec_fields(ALL[kind]) if f.required}


def places(spec: dict[str, Any]) -> list[tuple[Any, ...]]:
    return [tuple(error.absolute_path) for error in JOB.iter_errors(spec)]


def lengths(kind: str) -> list[str]:
    return [f.key for f in spec_fields(ALL[kind]) if f.spec.kind == "length"]


@pytest.mark.parametrize("kind", ALL)
def test_one_wrong_parameter_is_one_error_there(kind: str) -> None:
    assert places(job(kind)) == []
    for key in (lengths(kind)[0], lengths(kind)[-1]):
        assert places(job(kind, **{key: "12 mm?"})) == [("part", 0, "parameters", key)]
        assert places(job(kind, **{key: 12})) == [("part", 0, "parameters", key)]
    (error,) = JOB.iter_errors(job(kind, no_such_key="1 mm"))
    assert (*error.absolute_path,) == ("part", 0, "parameters")
    assert "no_such_key" in error.message


def test_two_wrong_parameters_are_two_errors() -> None:
    spec = job("pedal_hanger", web_above="wide?", web_below="narrow?")
    assert sorted(places(spec)) == [
        ("part", 0, "parameters", "web_above"),
        ("part", 0, "parameters", "web_below"),
    ]


def test_an_unknown_kind_is_one_error_at_the_kind() -> None:
    spec = job("pedal_hanger")
    spec["part"][0]["kind"] = "pedal_hangar"
    assert places(spec) == [("part", 0, "kind")]


def test_what_a_thing_of_the_shelf_gives_is_not_missed() -> None:
    pedal: dict[str, Any] = {"name": "p", "kind": "clutch", "pin": ["1 mm", "1 mm"], "pad": ["1 mm", "1 mm"]}
    spec = {"job": {"name": "a", "title": "A"}, "pedal": [{**pedal, "master": {"shelf": "m"}}]}
    assert places(spec) == []
    spec["pedal"] = [{**pedal, "master": {"stroke": "30 mm"}}]
    (error,) = JOB.iter_errors(spec)
    assert (*error.absolute_path,) == ("pedal", 0, "master")
    assert "'bore' is a required property" in error.message


@pytest.mark.parametrize("kind", ALL)
def test_threads_are_there_to_choose_and_no_other_makes_a_part(kind: str) -> None:
    keys = [f.key for f in spec_fields(ALL[kind]) if f.spec.kind == "text" and f.key.endswith("thread")]
    assert places(job(kind, **dict.fromkeys(keys, "M8"))) == []
    wrong = places(job(kind, **dict.fromkeys(keys, "M77")))
    assert sorted(wrong) == sorted(("part", 0, "parameters", key) for key in keys)
    for key in keys:
        with pytest.raises(PedalplateError):
            sample_plan(kind, ALL[kind](**{key: "M77"}))


def test_materials_are_there_to_choose_but_not_for_the_vehicle() -> None:
    assert places({**job("pedal_hanger")}) == []
    spec = job("pedal_hanger")
    spec["part"][0]["material"] = "S 235"
    assert places(spec) == [("part", 0, "material")]
    panel = SCHEMA["properties"]["panel"]["items"]["properties"]["material"]
    assert "enum" not in panel
    arm = SCHEMA["properties"]["pedal"]["items"]["properties"]["arm_material"]
    assert arm["enum"][-1] == ""  # the default, as one may write it
    stock = shop_schema()["properties"]["stock"]["items"]["properties"]["material"]
    assert "5052-H32" in stock["enum"]
    adapter = shelf_schema()["properties"]["adapter"]["items"]["properties"]["port_thread"]
    assert "enum" not in adapter


def test_a_hover_says_what_it_is_for_and_gives_an_example() -> None:
    pad = SCHEMA["properties"]["pedal"]["items"]["properties"]["pad"]["description"]
    assert pad.startswith("Middle of the pad's face at rest")
    assert 'like ["120 mm", "35 mm"]' in pad
    effort = SCHEMA["properties"]["pedal"]["items"]["properties"]["targets"]["properties"]["effort"]
    assert '"400 N" or "90 lbf"' in effort["description"]


def test_the_demo_shelf_is_as_its_schema_says_and_a_slip_is_one_error() -> None:
    shelf = tomllib.loads((SPECS / "shelf.toml").read_text(encoding="utf-8"))
    validator = Draft7Validator(shelf_schema())
    assert list(validator.iter_errors(shelf)) == []
    shelf["master"][0]["bolt_thread"] = "M77"
    assert [(*e.absolute_path,) for e in validator.iter_errors(shelf)] == [("master", 0, "bolt_thread")]
