"""The ``[[variant]]`` tables of a spec: the same job in another form."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec import fields as key
from generators.model.words import MIRRORS, Mirror


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """Another form of the job: values that differ, and which hand of drive."""

    name: str = key.name("Name; its folder is the job's name with this after it")
    title: str = key.text("Title of the job in this form, as it is to be printed", hi=60, default="")
    mirror: Mirror = key.choice(
        "vehicle: all of it seen in a mirror left for right, as for the other hand of drive",
        MIRRORS,
        default="",
    )
    as_bought: tuple[str, ...] = key.names(
        "Components that are the same bought thing in both hands: their ports and bodies are not mirrored",
        hi=200,
        default=(),
    )
    set_: tuple[str, ...] = key.overrides(
        'Values in place of the job\'s, by key path, like "panel[firewall].hole[grommet].at.u"'
    )
