"""Bodies as they are made, and which of them are fixed to which."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from generators.model.words import BodyKind, KeptOff
from generators.space.body import Body, named
from generators.space.plates import Form

ARC_MM = 0.05
"""How far a chord of a drawn arc may lie off it."""


def flat_word(panel: str) -> str:
    """The word of all that lies flat on a panel or goes square through it: the paper rules look at these."""
    return f"flat on {panel}"


@dataclass(kw_only=True)
class Draft:
    """Bodies so far, and pairs of names that are fixed to each other."""

    bodies: list[Body] = field(default_factory=list)
    mates: set[tuple[str, str]] = field(default_factory=set)

    def add(
        self,
        name: str,
        title: str,
        what: BodyKind,
        owner: str,
        forms: Iterable[Form],
        joined: Iterable[str] = (),
        kept: KeptOff = "fixed",
    ) -> bool:
        """Add a body; False where it has no forms and so is none."""
        made = tuple(forms)
        if made:
            self.bodies.append(
                Body(
                    name=name,
                    title=title,
                    what=what,
                    owner=owner,
                    forms=made,
                    joined=frozenset(joined),
                    kept=kept,
                )
            )
        return bool(made)

    def fix(self, name: str, others: Iterable[str]) -> None:
        """Say that a body is fixed to others, there or not."""
        self.mates.update((name, other) for other in others if other != name)

    def finished(self) -> tuple[Body, ...]:
        """The bodies with a word for each pair. Raises ``ValueError`` for a name given twice."""
        known = named(self.bodies)
        words: dict[str, set[str]] = {}
        for one, two in self.mates:
            if one in known and two in known:
                word = " + ".join(sorted((one, two)))
                words.setdefault(one, set()).add(word)
                words.setdefault(two, set()).add(word)
        return tuple(
            replace(body, joined=body.joined | frozenset(words.get(body.name, ()))) for body in self.bodies
        )
