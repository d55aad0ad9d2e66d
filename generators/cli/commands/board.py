"""``pedalplate board``: the live page of a spec."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from generators.cli.options import OUT, input_argument, json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.cli.paths import InputPath
from generators.issue.manifest import NAME


@click.command()
@input_argument()
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, help="Port to listen on; 0 takes a free one."
)
@click.option("--no-open", is_flag=True, help="Only print the address; open no browser.")
@click.option(
    "--against",
    type=InputPath(),
    multiple=True,
    help="A spec or a finished folder to compare with on the page; may be repeated. The job's own folder in "
    "templates_out is there without it.",
)
@json_option("The address as JSON on stdout.")
def board(spec: Path, port: int, no_open: bool, against: tuple[Path, ...], as_json: bool) -> int:
    """Show SPEC in a browser, drawn anew at every save, and change it by hand on the picture.

    The page is for this machine alone: another one gets no answer, nor does who does not know the address.
    Ctrl+C ends it.

    \b
    pedalplate board specs/wrenfield_van.toml
    """
    # here: every command is imported to run one, and these take long to load
    import asyncio
    import webbrowser

    try:
        from generators.board.server import served
    except ImportError as error:
        raise click.UsageError(f"the board needs {error.name}: pip install 'pedalplate[board]'") from error

    def begun(address: str) -> None:
        if as_json:
            print_json({"ok": True, "address": address})
        else:
            say(address)
            say("Ctrl+C ends it.", err=True)
        if not no_open:
            webbrowser.open(address)

    others = against or tuple(path for path in [OUT / spec.stem] if (path / NAME).is_file())

    async def run(told: Callable[[str], None]) -> None:
        async with served(spec, port, others) as (address, _board):
            told(address)
            await asyncio.Event().wait()

    asyncio.run(run(begun))
    return EXIT_OK
