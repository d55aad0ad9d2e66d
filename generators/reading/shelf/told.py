"""Which things of the shelf a finding is about, for who has to look at them again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from generators.model.findings import Finding
from generators.model.spec.shelf.things import ARM_KEY
from generators.reading.shelf.taken import Taken

_ROOT = re.compile(r"([a-z_]+)\[([^\]]*)\]")
_NAME = re.compile(r"[a-z][a-z0-9_]*")
_HOLES = {"master": r"master", "slave": r"nose|flange", "reservoir": r"reservoir"}
"""How a part's holes for a thing are called: all that the thing says of the part that carries it."""
_OF_BODIES = re.compile(r"\b(arm|pad|and)\b")
"""Words of a finding about a pedal's arm and pad in the vehicle: nothing that a cylinder or a line gives."""


def taken_in(finding: Finding, taken: Iterable[Taken]) -> tuple[Taken, ...]:
    """What a finding's place takes of the shelf: each thing once, in the order of the shelf.

    Only what the thing itself says of that place counts: of a part that carries a cylinder its holes for it,
    of a pedal what it does, or its arm.
    """
    found: dict[tuple[str, int], Taken] = {}
    for one in taken:
        if _is_about(finding.where, one):
            found.setdefault((one.file, one.line), one)
    return tuple(one for _, one in sorted(found.items()))


def _is_about(where: str, one: Taken) -> bool:
    match = _ROOT.match(one.at)
    kind, name = (match[1], match[2]) if match else ("", one.at)
    named = f"{kind}:{name}" in re.split(r"[ .,]", where)
    # pedals have names of their own: a part may be called as one
    if not named and (kind == "pedal" or name not in _NAME.findall(where)):
        return False
    if kind == "part":
        hole = rf"({_HOLES.get(one.kind, one.kind)})(_[a-z0-9_]+)?"
        own = rf"\b{name}[.]{hole}\b" if not named else rf"\bholes?\b.*\b{hole}\b"
        return re.search(own, where) is not None
    if kind == "pedal":
        bodies = _OF_BODIES.search(where) is not None
        return bodies if one.key == ARM_KEY else not bodies
    return True


def said_of(taken: Sequence[Taken]) -> str:
    """Where things of the shelf are written: ``master_7_8 (shelf.toml:9, measured 2026-02-11)``."""
    return ", ".join(f"{one.thing} ({one.file}:{one.line}, measured {one.measured})" for one in taken)
