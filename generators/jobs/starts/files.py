"""The files of a spec to begin with, and of the demos: what is written under which name."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import generators
from generators.jobs.starts.names import DEMOS, Start
from generators.parts import KINDS
from generators.reading.schema import job_schema, readings_schema, shelf_schema, shop_schema, vehicle_schema

_SCHEMA = re.compile(r"^#:schema [.]/([a-z]+)[.]schema[.]json$", re.MULTILINE)
"""What a file asks an editor to complete it by."""


def schemas(*names: str) -> dict[str, str]:
    """The schemas an editor reads beside the files of these names."""
    made = {
        "pedalplate": lambda: job_schema({kind.name: kind.parameters for kind in KINDS}),
        "shop": shop_schema,
        "shelf": shelf_schema,
        "readings": readings_schema,
        "vehicle": vehicle_schema,
    }
    return {f"{name}.schema.json": _json(made[name]()) for name in names}


def _json(schema: dict[str, Any]) -> str:
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def start_files(name: str, like: Start) -> dict[str, str]:
    """Texts by file name of a spec called ``name``, the spec first; it ends with how vehicles differ."""
    here = files("generators.cli") / "starts"
    job, spread = ((here / f"{one}.toml").read_text(encoding="utf-8") for one in (like, "spread"))
    return {
        f"{name}.toml": job.replace("@NAME@", name) + spread,
        f"{name}_shop.toml": (here / "shop.toml").read_text(encoding="utf-8"),
        **schemas("pedalplate", "shop"),
    }


def demo_files(demo: str) -> dict[str, str]:
    """Texts by file name of a demo with all it is read with, the spec first. Raises ``KeyError``."""
    spec = DEMOS[demo]
    folder = demo_folder()
    there = sorted(one.name for one in folder.iterdir() if one.name.endswith(".toml"))
    first = spec.partition("_")[0]
    names = [f"{spec}.toml", "shop.toml", "shelf.toml"]
    names += [name for name in there if name.startswith(f"{first}_") and name.endswith("_readings.toml")]
    texts = {name: (folder / name).read_text(encoding="utf-8") for name in names}
    asked = {match for text in texts.values() for match in _SCHEMA.findall(text)}
    return {**texts, **schemas(*sorted(asked))}


def demo_folder() -> Traversable:
    """Where the demos lie: in the package as it is installed, or beside it where it is worked on."""
    packed = files("generators.cli") / "demos"
    return packed if packed.is_dir() else Path(generators.__file__).parents[1] / "specs"
