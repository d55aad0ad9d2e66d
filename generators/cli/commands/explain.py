"""``pedalplate explain``: what a rule means, its source, and its usual cure."""

from __future__ import annotations

from dataclasses import asdict

import click

from generators.cli.options import json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.model.spec.fields import toml_key


@click.command()
@click.argument("code", required=False)
@json_option("As JSON on stdout.")
def explain(code: str | None, as_json: bool) -> int:
    """Explain the rule CODE; without CODE, list all rules.

    \b
    pedalplate explain hole-edge-distance
    """
    from generators.checks.register import RULES
    from generators.checks.register import explain as rule_of

    rules = RULES if code is None else (rule_of(code),)
    if as_json:
        print_json([asdict(r) | {"limit_key": toml_key(r.limit_key)} for r in rules])
        return EXIT_OK
    if code is None:
        for rule in rules:
            say(f"{rule.code:<24} {rule.title}")
        return EXIT_OK
    rule = rules[0]
    say(f"{rule.code}: {rule.title}\n")
    for label, text in (
        ("meaning", rule.meaning),
        ("formula", rule.formula),
        ("source", f"{rule.source} [{rule.trust}]"),
        ("cure", f"usually: {rule.mend}"),
        ("limit", f"[limits] {toml_key(rule.limit_key)}" if rule.limit_key else "fixed"),
    ):
        say(f"  {label:<9}{text}")
    return EXIT_OK
