"""The rules by what they are about, and what can be done where one fails."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from dataclasses import dataclass

import generators.checks
from generators.checks.register import RULES
from generators.checks.rule import Rule
from generators.model.spec.fields import toml_key

ALONE = "Rules on forms of a job"


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a group of rules is about, and its rules in the order they are registered."""

    title: str
    rules: tuple[Rule, ...]


def subjects() -> list[Subject]:
    """Every rule once, by the room it is written in."""
    title = _titles()
    found: dict[str, list[Rule]] = {}
    for rule in RULES:
        found.setdefault(title[rule.code], []).append(rule)
    return [Subject(title=name, rules=tuple(rules)) for name, rules in found.items()]


def _titles() -> dict[str, str]:
    """For each code the title of its room: what the package that holds its module says of itself."""
    out: dict[str, str] = {}
    for info in pkgutil.walk_packages(generators.checks.__path__, "generators.checks."):
        module = importlib.import_module(info.name)
        room = info.name.split(".")[2]
        package = importlib.import_module(f"generators.checks.{room}")
        first = (inspect.getdoc(package) or "").partition("\n")[0].rstrip(".")
        for rule in getattr(module, "RULES", ()) if info.name != "generators.checks.register" else ():
            out.setdefault(rule.code, first if hasattr(package, "__path__") else ALONE)
    return out


def waived(rule: Rule) -> list[str]:
    """What can be done about a finding of the rule beside mending it, as lines for the user to type."""
    lines = [f'pedalplate make SPEC --accept {rule.code} --because "your reason"']
    if rule.limit_key:
        lines.insert(0, f"[limits] {toml_key(rule.limit_key)} = …")
    return lines
