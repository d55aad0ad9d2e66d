"""The command group, and the one place where errors become exit codes."""

from __future__ import annotations

import os
import sys

import click

import generators
from generators.cli.commands.asdrilled import asdrilled
from generators.cli.commands.calibrate import calibrate
from generators.cli.commands.check import check
from generators.cli.commands.explain import explain
from generators.cli.commands.kinds import kinds
from generators.cli.commands.make import make
from generators.cli.commands.measure import measure
from generators.cli.commands.new import new
from generators.cli.commands.size import size
from generators.cli.commands.stiffness import stiffness
from generators.cli.commands.verify import verify
from generators.cli.output import EXIT_FILES, EXIT_SPEC, EXIT_USAGE, print_json
from generators.errors import ExportError, LookupFault, ReadBackError, SolverFault, SolverMissing, SpecError

RENAMED_COMMANDS = {"families": "kinds"}
"""Commands by an older name, and what they are called now."""


class Commands(click.Group):
    """The group; a command it does not know is answered with the one that was meant."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that ``args`` begin with. Raises ``UsageError`` (exit code 2) for none."""
        name = args[0]
        if self.get_command(ctx, name) is None and not name.startswith("-"):
            raise click.UsageError(f"no such command '{_printable(name)}': {self._meant(ctx, name)}", ctx)
        return super().resolve_command(ctx, args)

    def _meant(self, ctx: click.Context, name: str) -> str:
        from generators.reading.toml.words import nearest

        if name in RENAMED_COMMANDS:
            return f"it is now `{RENAMED_COMMANDS[name]}`"
        known = self.list_commands(ctx)
        near = nearest(name.lower(), known)
        return f"did you mean `{near}`?" if near else f"there are {', '.join(known)}"


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text[:40])


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(generators.__version__, prog_name="pedalplate")
def commands() -> None:
    """Pedal brackets and drill templates from one spec.

    \b
    pedalplate make specs/wrenfield_van.toml     every file of the demo, read back
    pedalplate check specs/wrenfield_van.toml    findings of the rules, nothing written
    pedalplate size specs/wrenfield_van.toml     will the pedal release, where must it stop
    pedalplate stiffness specs/wrenfield_van.toml  will the hanger flex
    pedalplate verify templates_out/wrenfield_van
    pedalplate measure specs/wrenfield_readings.toml     where holes are, from tape and caliper
    pedalplate asdrilled specs/wrenfield_van.toml specs/wrenfield_hanger_readings.toml
    pedalplate calibrate specs/wrenfield_van.toml --test scale_test.pdf
    pedalplate explain hole-edge-distance
    pedalplate new my_van                        a commented spec to start from

    The work can hurt someone. Sheets carry cautions; follow local codes and have brakes, clutch and
    drilled structure checked by a licensed mechanic.
    """


for command in (make, check, size, stiffness, verify, explain, kinds, new, calibrate, measure, asdrilled):
    commands.add_command(command)


_FILE_ERRORS = ((ReadBackError, "read-back"), (ExportError, "export"), (SolverFault, "solver"))


def _wants_json() -> bool:
    return "--json" in sys.argv[1:]


def _report_spec_error(error: SpecError) -> None:
    from generators.reading import faults_json, load_sources, render

    if _wants_json():
        print_json({"ok": False, "faults": faults_json(error.faults)})
        return
    click.echo(render(error.faults, load_sources(error.faults)), err=True)
    count = len(error.faults)
    click.echo(f"{count} fault{'s' if count > 1 else ''}; nothing was written.", err=True)


def _report(kind: str, message: str) -> None:
    if _wants_json():
        print_json({"ok": False, "error": {"kind": kind, "message": message}})
    else:
        click.echo(f"{kind}: {message}", err=True)


def run() -> int:
    """Run the command line and return its exit code."""
    try:
        result = commands.main(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped; nothing was written.", err=True)
        return 130
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except SpecError as error:
        _report_spec_error(error)
        return EXIT_SPEC
    except (LookupFault, SolverMissing) as error:
        _report("usage", str(error))
        return EXIT_USAGE
    except (ReadBackError, ExportError, SolverFault) as error:
        _report(next(word for kind, word in _FILE_ERRORS if isinstance(error, kind)), str(error))
        return EXIT_FILES
    except BrokenPipeError:
        # the reader of a pipe went away (`pedalplate kinds | head`): not our fault
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return int(result or 0)
