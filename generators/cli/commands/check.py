"""``pedalplate check``: findings only, without the solid modeller."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.options import input_argument, json_option, variant_option
from generators.cli.output import EXIT_CHECK, EXIT_OK, NO_SHOP, print_findings, print_json, say, say_cautions

if TYPE_CHECKING:
    from generators.model.findings import Finding
    from generators.reading.shelf.taken import Taken
    from generators.solve.job import Prepared


@click.command()
@input_argument()
@variant_option()
@click.option("--no-mends", is_flag=True, help="Findings only: try no changes that would clear them.")
@json_option("Findings as JSON on stdout, without mends.")
def check(spec: Path, variant: str, no_mends: bool, as_json: bool) -> int:
    """Print the findings of the rules for SPEC, each with a change that clears it; writes nothing.

    All forms of the job are looked at, its [[variant]] tables after the job itself; with --variant just that.

    A change is printed as it is typed into the spec. It was tried: the job was solved again with it, the
    finding was gone and no new warning or fail had come.

    \b
    pedalplate check specs/wrenfield_van.toml
    """
    from generators.solve.job import prepare

    first = prepare(spec, variant=variant)
    others = [] if variant else list(_others(spec, first))
    blocked = any(form.blocked for form in (first, *others))
    if as_json:
        said = _json(first)
        print_json(
            {**said, "ok": not blocked, **({"variants": [_json(o) for o in others]} if others else {})}
        )
        return EXIT_CHECK if blocked else EXIT_OK
    if others:
        say(f"the job as written, {first.file.job.job.name}")
    _print(first, first.findings, mends=not no_mends)
    for other in others:
        own, same = _apart(other.findings, first.findings)
        gone, _ = _apart(first.findings, other.findings)
        say(f"\nvariant {other.file.form.name}, {other.file.job.job.name}")
        if same:
            say(f"{len(same)} as in the job as written")
        for finding in gone:
            say(f"without {finding.code}  {finding.where}: {finding.found}")
        _print(other, own, mends=not no_mends)
    if first.file.shop_path is None:
        say(f"note {NO_SHOP}")
    say_cautions()
    return EXIT_CHECK if blocked else EXIT_OK


def _others(spec: Path, first: Prepared) -> Iterator[Prepared]:
    """The other forms of a job. Raises ``SpecError`` whose faults name the form."""
    from generators.errors import SpecError
    from generators.solve.job import prepare

    for name in first.file.variants:
        try:
            yield prepare(spec, variant=name)
        except SpecError as error:
            said = f"in the variant {name}"
            raise SpecError(
                [replace(f, hint=f"{f.hint}; {said}" if f.hint else said) for f in error.faults]
            ) from error


def _apart(mine: Sequence[Finding], other: Sequence[Finding]) -> tuple[list[Finding], list[Finding]]:
    """Findings the other form has not, and those it has in the same words."""
    known = {(f.severity, f.code, f.where, f.found, f.wanted) for f in other}
    same = [f for f in mine if (f.severity, f.code, f.where, f.found, f.wanted) in known]
    return [f for f in mine if f not in same], same


def _print(form: Prepared, findings: Sequence[Finding], *, mends: bool) -> None:
    if mends:
        from generators.solve.mends.tries import with_mends

        mended = with_mends(form, lambda finding: finding in findings).findings
        findings = [m for m, plain in zip(mended, form.findings, strict=True) if plain in findings]
    print_findings(findings, form.file.taken)


def _lent_json(lent: Sequence[Taken]) -> dict[str, Any]:
    """What a finding is about that comes from the shelf; nothing where nothing does."""
    rows = [{"name": one.thing, "file": one.file, "line": one.line} for one in lent]
    return {"shelf": rows} if rows else {}


def _json(form: Prepared) -> dict[str, Any]:
    from generators.issue.manifest import finding_json
    from generators.reading.shelf.told import taken_in

    return {
        "ok": not form.blocked,
        "job": form.file.job.job.name,
        **({"variant": form.file.form.name} if form.file.form.name else {}),
        "revision": form.file.revision,
        "findings": [{**finding_json(f), **_lent_json(taken_in(f, form.file.taken))} for f in form.findings],
    }
