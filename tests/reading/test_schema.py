"""The schemas are sound, and never refuse what the reader takes."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft7Validator

from generators.errors import SpecError
from generators.reading import read_job
from generators.reading.schema import job_schema, shop_schema
from specs import BASE, KINDS, VALUES, Broken

VALIDATOR = Draft7Validator(job_schema(KINDS))
SHOP = 'name = "Toy"\n[[stock]]\nmaterial = "S235 steel"\nthickness = "3 mm"\ninside_radius = "3 mm"\n'

# What a schema cannot say: the bounds of a text with a unit, a number that is none, which characters a printed
# line may hold, and whether a word after a number is a name that [sizes] gives.
ONLY_THE_READER = {
    "too-wide",
    "too-wide-in-inches",
    "tilted-over",
    "negative-thickness",
    "nan-number",
    "name-with-line-break",
    "text-turned-about",
    "text-of-blanks",
    "unknown-unit",
    "fraction-for-count",  # 4.0 is a whole number to JSON Schema since its draft 6
}


@pytest.mark.parametrize("schema", [job_schema(KINDS), job_schema({}), shop_schema()])
def test_they_are_draft_7(schema: dict[str, object]) -> None:
    Draft7Validator.check_schema(schema)
    assert schema["$schema"] == "http://json-schema.org/draft-07/schema#"


def test_the_sound_spec_and_shop_pass() -> None:
    assert list(VALIDATOR.iter_errors(tomllib.loads(BASE))) == []
    assert list(Draft7Validator(shop_schema()).iter_errors(tomllib.loads(SHOP))) == []


@pytest.mark.parametrize("broken", VALUES, ids=lambda broken: broken.id)
def test_schema_and_reader_agree(tmp_path: Path, broken: Broken) -> None:
    assert isinstance(broken.text, str)
    spec = tmp_path / "spec.toml"
    spec.write_text(broken.text, encoding="utf-8")
    with pytest.raises(SpecError):
        read_job(spec, KINDS)
    assert VALIDATOR.is_valid(tomllib.loads(broken.text)) == (broken.id in ONLY_THE_READER)


def test_every_key_is_described_and_no_other_is_allowed() -> None:
    waiting = [job_schema(KINDS)]
    tables = 0
    while waiting:
        schema = waiting.pop()
        if "properties" in schema and schema.get("type") == "object":
            tables += 1
            assert schema["additionalProperties"] is False
            for child in schema["properties"].values():
                assert child["description"]
        waiting += schema.get("properties", {}).values()
        waiting += schema.get("anyOf", ())
        items = schema.get("items", [])
        waiting += items if isinstance(items, list) else [items]
    assert tables > 12


def test_a_default_is_shown_as_it_would_be_written() -> None:
    limits = job_schema(KINDS)["properties"]["limits"]["properties"]
    assert limits["ligament"]["default"] == "3 mm"
    assert limits["hole_edge_ratio"]["default"] == 2.0
    mount = job_schema(KINDS)["properties"]["part"]["items"]["properties"]["mount"]["properties"]
    assert mount["rotate"]["default"] == "0 deg"
