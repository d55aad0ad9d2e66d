"""Both hands of a part from one table of the spec."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from generators.model.spec.job import Job, PartSpec


def with_opposites(job: Job) -> Job:
    """The job with a part of its own after each that asks for its ``opposite``.

    From here on the other hand is a part like any other: what the two share was written once, and no
    later step has to know.
    """
    parts: list[PartSpec[Any]] = []
    for part in job.part:
        parts.append(part)
        other = part.opposite
        if other is not None:
            parts.append(
                replace(
                    part,
                    name=other.name,
                    title=other.title or part.title,
                    quantity=other.quantity,
                    mount=other.mount,
                    mirror=not part.mirror,
                    opposite=None,
                    rework=(),  # holes were drilled wrong on one side, not on both
                )
            )
    return replace(job, part=tuple(parts))


def part_key_path(parts: Sequence[PartSpec[Any]], name: str, key: str = "") -> str:
    """The path of the table a part was read from, or of a key in it.

    ``key`` is one of the kind's parameters, or with a dot before it one of the part itself. Raises
    ``KeyError`` for no such part.
    """
    made = {p.opposite.name for p in parts if p.opposite is not None}
    for index, part in enumerate(p for p in parts if p.name not in made):
        path = f"part[{index}]"
        opposite = part.opposite is not None and part.opposite.name == name
        if part.name != name and not opposite:
            continue
        if key.startswith("."):
            return path + key
        if key:
            return f"{path}.parameters.{key}"
        return f"{path}.opposite" if opposite else path
    raise KeyError(name)
