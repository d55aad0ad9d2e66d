"""``pedalplate new``: a commented spec to start from."""

from __future__ import annotations

import json
import os
import re
from importlib.resources import files
from pathlib import Path

import click

from generators.cli.options import json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.cli.paths import OutputPath, require_folder_or_nothing, writing
from generators.model.spec.fields import DEVICE_NAMES, NAME_PATTERN


@click.command()
@click.argument("name")
@click.option(
    "--dir",
    "folder",
    type=OutputPath(),
    default=Path("specs"),
    show_default=True,
    help="Where to put it.",
)
@json_option()
def new(name: str, folder: Path, as_json: bool) -> int:
    """Write a starter spec NAME.toml, its shop file NAME_shop.toml, and the schemas for editors.

    \b
    pedalplate new my_van
    """
    from generators.parts import KINDS
    from generators.reading import job_schema, shop_schema

    if not re.fullmatch(NAME_PATTERN, name):
        raise click.UsageError(
            f"{name!r} is not a name: lower case letters, digits and _, beginning with a letter"
        )
    if name in DEVICE_NAMES:
        raise click.UsageError(f"{name!r} is a device on Windows, not a file; choose another name")
    target = folder / f"{name}.toml"
    if os.path.lexists(target):
        raise click.UsageError(f"{target} is already there; choose another name")
    here = files("generators.cli")
    wanted = {
        target: here.joinpath("starter.toml").read_text(encoding="utf-8").replace("@NAME@", name),
        folder / f"{name}_shop.toml": here.joinpath("starter_shop.toml").read_text(encoding="utf-8"),
        folder / "pedalplate.schema.json": json.dumps(
            job_schema({f.name: f.parameters for f in KINDS}), indent=2, ensure_ascii=False
        )
        + "\n",
        folder / "shop.schema.json": json.dumps(shop_schema(), indent=2, ensure_ascii=False) + "\n",
    }
    written: list[Path] = []
    require_folder_or_nothing(folder)
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
        try:
            for path, text in wanted.items():
                if not os.path.lexists(path):
                    written.append(path)
                    with path.open("x", encoding="utf-8", newline="\n") as out:
                        out.write(text)
        except BaseException:
            # all of it or none: a spec without its end would be taken for one
            for path in written:
                path.unlink(missing_ok=True)
            raise
    if as_json:
        print_json({"ok": True, "files": [str(path) for path in written]})
    else:
        for path in written:
            say(str(path))
        say(f"next: pedalplate check {target}", err=True)
    return EXIT_OK
