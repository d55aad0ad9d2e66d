"""``pedalplate new``: a commented spec to start from, or a demo."""

from __future__ import annotations

import os
import re
from pathlib import Path

import click

from generators.cli.options import json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.cli.paths import OutputPath, require_folder_or_nothing, writing
from generators.jobs.starts.names import DEMOS, FIRST, STARTS
from generators.model.spec.fields import DEVICE_NAMES, NAME_PATTERN


@click.command()
@click.argument("name", required=False)
@click.option("--like", type=click.Choice(STARTS), help="A whole job, with a list of what to measure.")
@click.option("--demo", type=click.Choice([*DEMOS]), help="One of the invented demos instead.")
@click.option(
    "--dir",
    "folder",
    type=OutputPath(),
    default=Path("specs"),
    show_default=True,
    help="Where to put it.",
)
@click.option(
    "--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Of the list."
)
@json_option()
def new(name: str | None, like: str | None, demo: str | None, folder: Path, paper: str, as_json: bool) -> int:
    """Write a starter spec NAME.toml, its shop file NAME_shop.toml, and the schemas for editors.

    With --like it is a whole job that passes `check`, every figure invented; its comments say what to
    measure, and NAME_measure.pdf is the same as a list to take along.

    \b
    pedalplate new my_van
    pedalplate new my_van --like hanging_clutch
    pedalplate new --demo van
    """
    from generators.jobs.starts.files import demo_files, start_files

    if (name is None) == (demo is None):
        raise click.UsageError("give the NAME of a new spec, or --demo")
    if demo is not None:
        if like is not None:
            raise click.UsageError("--like is for a spec of your own, --demo for one of ours")
        return _written(folder, demo_files(demo), as_json=as_json, known=True)
    _require_name(name or "", folder)
    start = next((one for one in STARTS if one == like), FIRST)
    listed = f"{name}_measure.pdf" if like is not None else ""
    return _written(folder, start_files(name or "", start), as_json=as_json, listed=listed, paper=paper)


def _require_name(name: str, folder: Path) -> None:
    if not re.fullmatch(NAME_PATTERN, name):
        raise click.UsageError(
            f"{name!r} is not a name: lower case letters, digits and _, beginning with a letter"
        )
    if name in DEVICE_NAMES:
        raise click.UsageError(f"{name!r} is a device on Windows, not a file; choose another name")
    target = folder / f"{name}.toml"
    if os.path.lexists(target):
        raise click.UsageError(f"{target} is already there; choose another name")


def _written(
    folder: Path,
    texts: dict[str, str],
    *,
    as_json: bool,
    known: bool = False,
    listed: str = "",
    paper: str = "A4",
) -> int:
    """Write the files that are not there, all of them or none; ``known`` ones must be as they would be.

    ``listed`` is the file of the measuring list, if one is wanted.
    """
    written: list[Path] = []
    target = folder / next(iter(texts))
    require_folder_or_nothing(folder)
    if known:
        _require_same(folder, texts)
    with writing(folder):
        folder.mkdir(parents=True, exist_ok=True)
        try:
            for name, text in texts.items():
                path = folder / name
                if not os.path.lexists(path):
                    written.append(path)
                    with path.open("x", encoding="utf-8", newline="\n") as out:
                        out.write(text)
            if listed:
                written.append(folder / listed)
                _write_list(target, folder / listed, paper)
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
        if listed:
            say(f"print {folder / listed} and take it along", err=True)
        say(f"next: pedalplate check {target}", err=True)
    return EXIT_OK


def _require_same(folder: Path, texts: dict[str, str]) -> None:
    """Raises a usage error for a file of a demo that is there and says something else."""
    for name, text in texts.items():
        path = folder / name
        if os.path.lexists(path) and (not path.is_file() or path.read_bytes() != text.encode()):
            raise click.UsageError(f"{path} is already there and is another; give another folder by --dir")


def _write_list(spec: Path, path: Path, paper: str) -> None:
    from generators.jobs.starts.measuring import measuring_list, write_list
    from generators.parts import KINDS
    from generators.reading import read_job

    file = read_job(spec, {kind.name: kind.parameters for kind in KINDS})
    write_list(path, measuring_list(spec.name, file.spec_bytes), revision=file.revision, paper=paper)
