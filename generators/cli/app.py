"""The command group, and the one place where errors become exit codes."""

from __future__ import annotations

import io
import re
import signal
import sys
from typing import Any

import click

import generators
from generators.cli import stopping, terminal
from generators.cli.commands.asdrilled import asdrilled
from generators.cli.commands.board import board
from generators.cli.commands.calibrate import calibrate
from generators.cli.commands.check import check
from generators.cli.commands.draft import draft
from generators.cli.commands.explain import explain
from generators.cli.commands.field.fits import fits
from generators.cli.commands.field.form import form
from generators.cli.commands.field.spread import spread
from generators.cli.commands.forms.compare import compare
from generators.cli.commands.forms.sweep import sweep
from generators.cli.commands.kinds import kinds
from generators.cli.commands.make import make
from generators.cli.commands.measure import measure
from generators.cli.commands.new import new
from generators.cli.commands.pages.manual import manual
from generators.cli.commands.rack.nest import nest
from generators.cli.commands.selling.issue import issue
from generators.cli.commands.selling.kit import kit
from generators.cli.commands.selling.sold import sold
from generators.cli.commands.size import size
from generators.cli.commands.stiffness import stiffness
from generators.cli.commands.verify import verify
from generators.cli.output import EXIT_FILES, EXIT_SPEC, EXIT_USAGE, print_json, say
from generators.errors import (
    ExportError,
    LookupFault,
    ReadBackError,
    SolverFault,
    SolverMissing,
    SpecError,
    printable,
)

MESSAGE_LIMIT = 2000
KNOWN = 30
"""Known words that are listed beside one that is not; where there are more, how many."""

RENAMED_COMMANDS = {"families": "kinds"}
"""Commands by an older name, and what they are called now."""


class Unclear(Exception):
    """An ending that click would take for a closed pipe or a key pressed; its cause says what it was."""


class Commands(click.Group):
    """The group: click is kept from ending the run over what is no affair of the terminal, and a command
    it does not know is answered with the one that was meant.
    """

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except (BrokenPipeError, EOFError) as error:
            raise Unclear(type(error).__name__) from error

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that ``args`` begin with. Raises ``UsageError`` (exit code 2) for none."""
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            raise click.UsageError(f"no such command '{printable(name, 40)}': {self._meant(ctx, name)}", ctx)
        return super().resolve_command(ctx, args)

    def _meant(self, ctx: click.Context, name: str) -> str:
        from generators.reading.toml.words import nearest

        if name in RENAMED_COMMANDS:
            return f"it is now `{RENAMED_COMMANDS[name]}`"
        known = self.list_commands(ctx)
        near = nearest(name.lower(), known)
        return f"did you mean `{near}`?" if near else f"there are {', '.join(known)}"


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(generators.__version__, prog_name="pedalplate")
def commands() -> None:
    """Pedal brackets and drill templates from one spec.

    \b
    pedalplate make specs/wrenfield_van.toml     every file of the demo, read back
    pedalplate check specs/wrenfield_van.toml    findings of the rules, nothing written
    pedalplate size specs/wrenfield_van.toml     will the pedal release, where must it stop
    pedalplate stiffness specs/wrenfield_van.toml  will the hanger flex
    pedalplate nest specs/wrenfield_van.toml     its blanks on the shop's sheets
    pedalplate verify templates_out/wrenfield_van
    pedalplate measure specs/wrenfield_readings.toml     where holes are, from tape and caliper
    pedalplate asdrilled specs/wrenfield_van.toml specs/wrenfield_hanger_readings.toml
    pedalplate compare specs/ferrow_bus.toml --variant left_hand_drive
    pedalplate spread specs/ferrow_bus.toml     how likely the kit goes together first time
    pedalplate calibrate specs/wrenfield_van.toml --test scale_test.pdf
    pedalplate explain hole-edge-distance
    pedalplate manual FOLDER                     every key, rule, kind and command on one page
    pedalplate new my_van                        a commented spec to start from

    The work can hurt someone. Sheets carry cautions; follow local codes and have brakes, clutch and
    drilled structure checked by a licensed mechanic.
    """


for command in (
    make,
    nest,
    kit,
    issue,
    sold,
    check,
    draft,
    board,
    size,
    stiffness,
    verify,
    explain,
    kinds,
    manual,
    new,
    calibrate,
    measure,
    asdrilled,
    compare,
    sweep,
    spread,
    form,
    fits,
):
    commands.add_command(command)


_FILE_ERRORS = ((ReadBackError, "read-back"), (ExportError, "export"), (SolverFault, "solver"))


def _wants_json() -> bool:
    return "--json" in sys.argv[1:]


def _report_spec_error(error: SpecError) -> None:
    from generators.reading import faults_json, load_sources, render

    if _wants_json():
        print_json({"ok": False, "faults": faults_json(error.faults)})
        return
    say(render(error.faults, load_sources(error.faults)), err=True)
    count = len(error.faults)
    say(f"{count} fault{'s' if count > 1 else ''}; nothing was written.", err=True)


def _report(kind: str, message: str, **more: str) -> None:
    if _wants_json():
        print_json({"ok": False, "error": {"kind": kind, "message": message, **more}})
    else:
        say(printable(f"{kind}: {message}", MESSAGE_LIMIT), err=True)


def _looked_up(error: LookupFault) -> str:
    """What was not found, with the word that was likely meant, and the others that are known."""
    from generators.reading.toml.words import listed, nearest, quoted

    near = nearest(error.key.lower(), error.known)
    if near:
        meant = f"did you mean {near}? Known: {listed(error.known, KNOWN)}"
        return f"no {error.table} {quoted(error.key)}: {meant}"
    return f"no {error.table} {quoted(error.key)}; known: {listed(error.known, KNOWN)}"


_NO_CHOICE = re.compile(r"'(.*?)' is not one of ")


def _with_choice(error: click.ClickException) -> click.ClickException:
    """The same with the word that was likely meant, for one that is no choice of its option."""
    from generators.reading.toml.words import nearest

    match = _NO_CHOICE.match(error.message)
    kind = getattr(error.param, "type", None) if isinstance(error, click.BadParameter) else None
    if not (isinstance(error, click.BadParameter) and isinstance(kind, click.Choice) and match):
        return error
    near = nearest(match[1].lower(), [str(choice) for choice in kind.choices])
    meant = f" Did you mean '{near}'?" if near else ""
    return click.BadParameter(f"{error.message}{meant}", error.ctx, error.param, error.param_hint)


def _report_usage(error: click.ClickException) -> None:
    error = _with_choice(error)
    if _wants_json():
        _report("usage", error.format_message())
        return
    shown = io.StringIO()
    error.show(shown)
    for line in shown.getvalue().splitlines():
        say(printable(line, MESSAGE_LIMIT), err=True)


def _report_stop(number: int) -> int:
    if _wants_json():
        _report("stopped", stopping.sentence(number))
    else:
        if number == signal.SIGINT and sys.stderr.isatty():
            say(err=True)  # the terminal has just shown ^C on this line
        say(stopping.sentence(number), err=True)
    return stopping.exit_code(number)


def _report_surprise(error: BaseException) -> int:
    from generators.cli import surprise

    words = surprise.message(error)
    path = surprise.write_report(error)
    if _wants_json():
        _report("unexpected", words, report=str(path or ""))
    else:
        where = f"a file to send is at {path}" if path else "no file to send could be written"
        say(printable(f"something this program did not expect: {words}; {where}"), err=True)
    return EXIT_FILES


def run() -> int:
    """Run the command line and return its exit code; whatever happens, it is said in words."""
    try:
        return _run()
    except stopping.Stopped as stop:
        return _report_stop(stop.number)
    except KeyboardInterrupt:
        return _report_stop(signal.SIGINT)
    except BaseException as error:  # a library's SystemExit as well
        number = stopping.asked()
        return _report_surprise(error) if number is None else _report_stop(number)


def _invoke() -> int:
    """What the command returns, or raises; ``Stopped`` for anything it raises after it was told to stop."""
    try:
        return int(commands.main(standalone_mode=False) or 0)
    except Exception:  # a library may have made an error of its own of the stop
        stopping.check()
        raise


def _run() -> int:
    try:
        return _invoke()
    except click.exceptions.Abort:
        return _report_stop(signal.SIGINT)
    except click.ClickException as error:
        _report_usage(error)
        return error.exit_code
    except SpecError as error:
        _report_spec_error(error)
        return EXIT_SPEC
    except LookupFault as error:
        _report("usage", _looked_up(error))
        return EXIT_USAGE
    except SolverMissing as error:
        _report("usage", str(error))
        return EXIT_USAGE
    except (ReadBackError, ExportError, SolverFault) as error:
        _report(next(word for kind, word in _FILE_ERRORS if isinstance(error, kind)), str(error))
        return EXIT_FILES


def finish(code: int) -> int:
    """Flush both streams; the exit code, which is another one when results could not be written out."""
    why = terminal.lost()
    if not why:
        return code
    say(f"export: the results could not be written out: {why.lower()}", err=True)
    terminal.lost()
    return EXIT_FILES
