"""``pedalplate new``: a commented spec to start from."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import click

from generators.cli.output import EXIT_OK, print_json
from generators.model.spec.fields import NAME_PATTERN


@click.command()
@click.argument("name")
@click.option(
    "--dir",
    "folder",
    type=click.Path(path_type=Path),
    default=Path("specs"),
    show_default=True,
    help="Where to put it.",
)
@click.option("--json", "as_json", is_flag=True, help="Result as JSON on stdout.")
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
    target = folder / f"{name}.toml"
    if target.exists():
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
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, text in wanted.items():
            if not path.exists():
                path.write_text(text, encoding="utf-8")
                written.append(str(path))
    except OSError as error:
        raise click.ClickException(f"cannot write in {folder}: {error.strerror or error}") from error
    if as_json:
        print_json({"ok": True, "files": written})
    else:
        for line in written:
            click.echo(line)
        click.echo(f"next: pedalplate check {target}", err=True)
    return EXIT_OK
