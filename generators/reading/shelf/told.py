"""Which things of the shelf a finding is about, for who has to look at them again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from generators.model.findings import Finding
from generators.reading.shelf.taken import Taken

_ROOT = re.compile(r"([a-z_]+)\[([^\]]*)\]")
_NAME = re.compile(r"[a-z][a-z0-9_]*")


def taken_in(finding: Finding, taken: Iterable[Taken]) -> tuple[Taken, ...]:
    """What a finding's place takes of the shelf: each thing once, in the order of the shelf."""
    names = set(_NAME.findall(finding.where))
    found: dict[tuple[str, int], Taken] = {}
    for one in taken:
        match = _ROOT.match(one.at)
        kind, name = (match[1], match[2]) if match else ("", one.at)
        # pedals have names of their own: a part may be called as one
        if f"{kind}:{name}" in re.split(r"[ .,]", finding.where) or (kind != "pedal" and name in names):
            found.setdefault((one.file, one.line), one)
    return tuple(one for _, one in sorted(found.items()))


def said_of(taken: Sequence[Taken]) -> str:
    """Where things of the shelf are written: ``master_7_8 (shelf.toml:9, measured 2026-02-11)``."""
    return ", ".join(f"{one.thing} ({one.file}:{one.line}, measured {one.measured})" for one in taken)
