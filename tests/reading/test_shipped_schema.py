"""The schemas beside the specs are those of the model as it is now."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from generators.parts import KINDS
from generators.reading.schema import job_schema, readings_schema, shelf_schema, shop_schema, vehicle_schema

SPECS = Path(__file__).parents[2] / "specs"


def test_shipped_schemas_are_current() -> None:
    wanted = job_schema({f.name: f.parameters for f in KINDS})
    assert json.loads((SPECS / "pedalplate.schema.json").read_text(encoding="utf-8")) == json.loads(
        json.dumps(wanted)
    )
    assert json.loads((SPECS / "shop.schema.json").read_text(encoding="utf-8")) == json.loads(
        json.dumps(shop_schema())
    )
    assert json.loads((SPECS / "shelf.schema.json").read_text(encoding="utf-8")) == json.loads(
        json.dumps(shelf_schema())
    )
    assert json.loads((SPECS / "readings.schema.json").read_text(encoding="utf-8")) == json.loads(
        json.dumps(readings_schema())
    )
    assert json.loads((SPECS / "vehicle.schema.json").read_text(encoding="utf-8")) == json.loads(
        json.dumps(vehicle_schema())
    )


@pytest.mark.parametrize("path", sorted(SPECS.glob("*.toml")), ids=lambda p: p.stem)
def test_shipped_specs_agree_with_the_schema(path: Path) -> None:
    name = path.stem if path.stem in ("shop", "shelf") else "pedalplate"
    name = "readings" if path.stem.endswith("_readings") else name
    name = "vehicle" if path.stem.endswith("_vehicle_readings") else name
    schema = json.loads((SPECS / f"{name}.schema.json").read_text(encoding="utf-8"))
    text = path.read_text(encoding="utf-8")
    jsonschema.Draft7Validator(schema).validate(tomllib.loads(text))
    assert text.startswith(f"#:schema ./{name}.schema.json")
    assert "invented" in text.lower()
