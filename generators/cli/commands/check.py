"""``pedalplate check``: findings only, without the solid modeller."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.output import EXIT_CHECK, EXIT_OK, NO_SHOP, print_findings, print_json, say, say_cautions
from generators.cli.paths import InputPath


@click.command()
@click.argument("spec", type=InputPath())
@click.option("--no-mends", is_flag=True, help="Findings only: try no changes that would clear them.")
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout, without mends.")
def check(spec: Path, no_mends: bool, as_json: bool) -> int:
    """Print the findings of the rules for SPEC, each with a change that clears it; writes nothing.

    A change is printed as it is typed into the spec. It was tried: the job was solved again with it, the
    finding was gone and no new warning or fail had come.

    \b
    pedalplate check specs/wrenfield_van.toml
    """
    from generators.issue.manifest import finding_json
    from generators.solve.job import prepare

    prepared = prepare(spec)
    if not (no_mends or as_json):
        from generators.solve.mends.tries import with_mends

        prepared = with_mends(prepared, lambda finding: True)
    if as_json:
        print_json(
            {
                "ok": not prepared.blocked,
                "job": prepared.file.job.job.name,
                "revision": prepared.file.revision,
                "findings": [finding_json(f) for f in prepared.findings],
            }
        )
    else:
        print_findings(prepared.findings)
        if prepared.file.shop_path is None:
            say(f"note {NO_SHOP}")
        say_cautions()
    return EXIT_CHECK if prepared.blocked else EXIT_OK
