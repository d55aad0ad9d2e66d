"""Changes a rule proposes, in terms of the user's own spec, and what came of trying them.

A rule names what it wants (``Proposal``); ``solve.mends`` writes it into a copy of the spec's text, solves
that and keeps what clears the finding (``Mend``). Paths are those of the spec with names in brackets,
``part[clutch_hanger].mount.at.u``; a bare number in brackets is a place in a list,
``clamp[upper].on.at[2]``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias, overload

Rounding: TypeAlias = Literal["up", "down", "near", "exact"]
BaseUnit: TypeAlias = Literal["mm", "deg", "N", "MPa", "cc", "mm/kN", ""]
"""Units a change may count in; empty for a whole number, a ratio or a word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One value of the spec: moved ``by`` so much, or set ``to`` a number, or to a ``word``.

    ``by`` and ``to`` count in ``unit``; they are written in the unit the user wrote. ``by`` is rounded away
    from zero, ``to`` as ``rounding`` says: the safe side is the rule's to know. ``word`` is a text, a whole
    number, true or false as it stands. Where the spec has no such value yet, it is added; ``by`` then
    begins at ``start``.
    """

    path: str
    by: float | None = None
    to: float | None = None
    word: str | int | bool | None = None
    unit: BaseUnit = "mm"
    rounding: Rounding = "near"
    start: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """Something the user placed, moved: which key of the spec that is, the spec says.

    ``thing`` is ``part:name``, ``hole:panel/name`` (a hole as the sheets name it, whatever brings it),
    ``clamp:name`` or ``component:name``. ``u`` and ``v`` are in the frame of its panel, ``up`` in the
    vehicle, mm.
    """

    thing: str
    u: float = 0.0
    v: float = 0.0
    up: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Insert:
    """A name put into a list of names of the spec, before ``before`` or at its end."""

    path: str
    name: str
    before: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTable:
    """A table ``[[kind]]`` put at the end of the spec; ``keys`` are TOML text by key."""

    kind: str
    keys: tuple[tuple[str, str], ...]


Step: TypeAlias = Change | Shift | Insert | NewTable


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Changes made together to mend one finding. In ``words``, ``{by}`` is how far the first value moves."""

    words: str
    steps: tuple[Step, ...]


class Later(Sequence[Proposal]):
    """Proposals that take longer to find than what they are to mend: looked for when first asked for.

    A job is solved many times over only to see what a change brings, and then nobody asks.
    """

    def __init__(self, look: Callable[[], Iterable[Proposal]]) -> None:
        self._look = look

    @cached_property
    def found(self) -> tuple[Proposal, ...]:
        """All of them."""
        return tuple(self._look())

    @overload
    def __getitem__(self, at: int) -> Proposal: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[Proposal]: ...

    def __getitem__(self, at: int | slice) -> Proposal | Sequence[Proposal]:
        return self.found[at]

    def __len__(self) -> int:
        return len(self.found)

    def __iter__(self) -> Iterator[Proposal]:
        return iter(self.found)

    def __reduce__(self) -> tuple[type[tuple[Proposal, ...]], tuple[tuple[Proposal, ...]]]:
        # to another process goes what was found: what is looked at stays here
        return tuple, (self.found,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One value as it is typed into the spec: ``text`` is TOML; ``was`` is empty for what is new.

    ``lent`` is what the shelf says there, for a value given in place of it, ``thing`` the bought thing that
    was measured so: with another value it is another one.
    ``line`` is where it stands, or the line it goes under; 0 for a table at the end. What is new is typed as
    ``key`` into the table ``into``, in ``braces`` where that is written so, within the line then.
    """

    path: str
    text: str
    was: str
    line: int
    lent: str = ""
    thing: str = ""
    key: str = ""
    into: str = ""
    braces: bool = False

    @property
    def moves_lines(self) -> bool:
        """True when lines that stand below it have other numbers once it is typed."""
        return self.text.count("\n") != self.was.count("\n") or bool(self.key and not self.braces)

    @property
    def words(self) -> str:
        """``part[hanger].mount.at.u = "-134 mm"  # line 221, was "-120 mm"``; a new table as it stands.

        A new key as it is typed: ``made_up = "16 in"  # new, under line 28, hose[feed]``.
        """
        if not self.line:
            return self.text
        within = f"in the braces of line {self.line}" if self.braces else f"under line {self.line}"
        there = f"line {self.line}, was {self.was}" if self.was else f"new, {within}, {self.into}"
        lent = f", in place of the shelf's {self.lent}" if self.lent else ""
        other = (
            f": that is another thing than {self.thing}, to be bought and measured; all else here stays as "
            f"measured of {self.thing}"
            if self.thing
            else ""
        )
        return f"{self.key or self.path} = {self.text}  # {there}{lent}{other}"


ORDER = "Lines are those of the spec as it stands: type a change in the order printed, its last line first."
"""What is said once below changes of which one moves lines."""


def in_order(edits: Sequence[Edit]) -> tuple[Edit, ...]:
    """Edits of one text from its last line upward, new tables last: each line number holds at its turn.

    What is replaced in a line comes before what goes under it.
    """
    return tuple(sorted(edits, key=lambda edit: (not edit.line, -edit.line, not edit.was)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """What came of trying the proposals of one finding, ``tries`` of them.

    With ``edits`` the spec so edited was solved again: the finding is gone and no new warning or fail came.
    Without, ``against`` says what stands against the best proposal, ``words``; with no ``tries`` those of the
    job were used up before it came to this finding.
    """

    words: str
    edits: tuple[Edit, ...] = ()
    tries: int = 1
    against: str = ""

    @property
    def holds(self) -> bool:
        """True when it was tried and clears its finding."""
        return bool(self.edits)
