"""``pedalplate issue``: fix the next drawing-office letter to the content of a spec."""

from __future__ import annotations

from pathlib import Path

import click

from generators.cli.commands.make import refused, waivers_of
from generators.cli.options import accept_option, because_option, input_argument, json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.cli.paths import SheetWords


@click.command()
@input_argument()
@click.option("--why", type=SheetWords(), required=True, metavar="REASON", help="Why it is issued.")
@click.option(
    "--date", "date", type=SheetWords(), required=True, metavar="YYYY-MM-DD", help="Date on the sheets."
)
@accept_option()
@because_option("Why the rule is accepted; one for all, or one for each --accept.")
@json_option()
def issue(
    spec: Path, why: str, date: str, accept: tuple[str, ...], because: tuple[str, ...], as_json: bool
) -> int:
    """Fix the next issue letter to SPEC as it stands, with all its variants.

    \b
    pedalplate issue specs/ferrow_bus.toml --date 2026-11-29 --why "first issue"

    Letters go A, B, C and so on without I, O, Q, S, X and Z (ASME Y14.35). From then on the sheets of
    make, nest and kit show letter, date and check value, and other numbers under that letter are
    refused. They are kept in
    SPEC's folder, in NAME.issues.
    """
    from generators.issue.manifest import finding_json
    from generators.jobs.issued.give import add_issue
    from generators.jobs.issued.standing import standing
    from generators.jobs.issued.store import is_date, issues_folder, issues_of
    from generators.jobs.settle import settled
    from generators.solve.job import prepare

    if not is_date(date):
        raise click.UsageError(f"--date takes a day like 2026-11-29, not {date!r}")
    if not 3 <= len(why.strip()) <= 300:
        raise click.UsageError("--why takes a reason in words, 300 letters at most")
    waivers = waivers_of(accept, because)
    first = prepare(spec, waivers)
    forms = [first, *(prepare(spec, waivers, variant=name) for name in first.file.variants)]
    for k, prepared in enumerate(forms):
        forms[k], remarks = settled(prepared, (), lambda what: say(what, err=True))
        if forms[k].blocked:
            found = [finding_json(f) for f in forms[k].findings]
            result = {"job": forms[k].file.job.job.name, "findings": found}
            return refused(forms[k], result, remarks, as_json=as_json)
    issues = issues_of(spec)
    if issues and date < issues[-1].date:
        raise click.UsageError(f"--date {date} is before issue {issues[-1].letter}, {issues[-1].date}")
    stand = [standing(form) for form in forms]
    if issues and all(s is not None and not s.differs for s in stand):
        raise click.UsageError(f"nothing differs from issue {issues[-1].letter}: there is nothing to issue")
    made = add_issue(spec, forms, why=why.strip(), date=date, last=issues[-1].letter if issues else "")
    if as_json:
        print_json(
            {
                "ok": True,
                "letter": made.letter,
                "date": made.date,
                "forms": {form.name: form.revision for form in made.form},
                "folder": str(issues_folder(spec)),
            }
        )
        return EXIT_OK
    for one in made.form:
        say(f"issue {made.letter} of {made.date}: {one.name or 'as written'}, revision {one.revision}")
    say(f"kept in {issues_folder(spec)}")
    return EXIT_OK
