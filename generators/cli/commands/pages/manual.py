"""``pedalplate manual``: everything the program knows about itself, on one page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

import generators
from generators.cli.options import json_option
from generators.cli.output import EXIT_OK, EXITS, print_json, say
from generators.cli.paths import OutputPath, require_folder_or_nothing, writing

if TYPE_CHECKING:
    from generators.sheets.manual.content import Command

EXAMPLES = "\b\n"
"""How click is told to leave the lines of a paragraph as they are: here these are examples."""


@click.command()
@click.argument("folder", type=OutputPath(), required=True)
@json_option()
@click.pass_context
def manual(ctx: click.Context, folder: Path, as_json: bool) -> int:
    """Write manual.html into FOLDER: commands, keys, rules, kinds with pictures, files, sources.

    One file made from the program itself, for a screen, a phone or paper; it needs no network. The one
    already there is replaced if it is a manual.

    \b
    pedalplate manual my_folder
    """
    from generators.errors import ExportError, ReadBackError
    from generators.sheets.manual.content import manual as content
    from generators.sheets.manual.page import NAME, write_manual
    from generators.verify.html.manual import read_manual

    path = folder / NAME
    require_folder_or_nothing(folder)
    with writing(path):
        if path.exists() and "data-manual=" not in path.read_text(encoding="utf-8", errors="replace")[:400]:
            raise ExportError(f"{path} is there and is no manual of this program; name another folder")
        group = ctx.find_root().command
        said = content(generators.__version__, tuple(_commands(ctx.find_root(), group)), EXITS)
        folder.mkdir(parents=True, exist_ok=True)
        write_manual(path, said)
        read = read_manual(
            path,
            commands=[c.name for c in said.commands],
            keys={f.name: [(t.place, k.name) for t in f.tables for k in t.keys] for f in said.forms},
            rules=[r.code for s in said.rules for r in s.rules],
            kinds={k.name: [key.name for key in k.tables[0].keys] for k in said.kinds},
        )
    if read.problems:
        raise ReadBackError(str(path), "; ".join(read.problems[:5]))
    if as_json:
        print_json({"ok": True, "file": str(path), "facts": list(read.facts)})
        return EXIT_OK
    say(str(path))
    for fact in read.facts:
        say(fact)
    return EXIT_OK


def _commands(root: click.Context, group: click.Command) -> Iterator[Command]:
    from generators.sheets.manual.content import Command, Option

    for name, command in group.commands.items() if isinstance(group, click.Group) else ():
        ctx = click.Context(command, info_name=name, parent=root)
        paragraphs = [p.strip(" \n") for p in (command.help or "").split("\n\n") if p.strip()]
        records = [param.get_help_record(ctx) for param in command.get_params(ctx)]
        yield Command(
            name=name,
            usage=" ".join(("pedalplate", name, *command.collect_usage_pieces(ctx))),
            words=tuple(" ".join(p.split()) for p in paragraphs if not p.startswith(EXAMPLES)),
            examples=tuple(
                line.strip()
                for p in paragraphs
                if p.startswith(EXAMPLES)
                for line in p.removeprefix(EXAMPLES).splitlines()
            ),
            options=tuple(Option(written=r[0], meaning=r[1]) for r in records if r and r[1]),
        )
