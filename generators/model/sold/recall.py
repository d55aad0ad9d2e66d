"""A recall: kits that carry a hole, part, hose or bought thing that was changed since, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One thing of a kit that is otherwise now."""

    kind: str
    name: str
    words: str

    @property
    def line(self) -> str:
        """``hole 3 (line out) of the engine bulkhead: moved``."""
        return f"{self.kind} {self.name}: {self.words}"


@dataclass(frozen=True, slots=True, kw_only=True)
class RecalledKit:
    """One kit that has them; ``now`` is the issue its own form has now.

    ``head`` is that as every sheet of that form says it now; of a form that is made no more, as the kit's own
    sheets do.
    """

    serial: str
    order: str
    variant: str
    letter: str
    issued: str
    revision: str
    now: str
    head: str
    changed: tuple[Changed, ...]

    @property
    def issue_words(self) -> str:
        """``issue A of 2026-11-29, revision 7cdb7ba``."""
        return (
            f"issue {self.letter} of {self.issued}, revision {self.revision}"
            if self.letter
            else f"revision {self.revision}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Recall:
    """All of it; ``now`` says against what issue of the job as written, ``head`` the same as its sheets do.

    ``why`` and ``do`` are the shop's own words. ``uncompared`` are serials with the kinds of things whose
    numbers were not kept with the kit.
    """

    job: str
    title: str
    revision: str
    now: str
    head: str
    contact: str
    why: str
    do: str
    kits: tuple[RecalledKit, ...]
    looked_at: int
    uncompared: tuple[tuple[str, tuple[str, ...]], ...] = ()

    @property
    def against(self) -> str:
        """Against what: the job as written, and each other form that is recalled."""
        forms = {kit.variant: kit.now for kit in self.kits if kit.variant}
        others = [f"{name.replace('_', ' ')}: {now}" for name, now in forms.items()]
        return "; ".join([self.now, *others])

    @property
    def uncompared_words(self) -> tuple[str, ...]:
        """For each set of kinds, of which kits they are not compared."""
        groups: dict[tuple[str, ...], list[str]] = {}
        for serial, kinds in self.uncompared:
            groups.setdefault(kinds, []).append(serial)
        return tuple(
            f"Not compared, since its numbers were not kept when the kit was made: {', '.join(kinds)} of "
            f"{', '.join(serials)}. Look at what these have yourself."
            for kinds, serials in groups.items()
        )


def recall_data(recall: Recall) -> dict[str, Any]:
    """All of it for ``json.dumps``."""
    return asdict(recall)


def recall_of(data: Mapping[str, Any]) -> Recall:
    """From what ``recall_data`` gave. Raises ``KeyError``, ``TypeError`` for anything else."""
    kits = tuple(
        RecalledKit(**{**kit, "changed": tuple(Changed(**one) for one in kit["changed"])})
        for kit in data["kits"]
    )
    uncompared = tuple((serial, tuple(kinds)) for serial, kinds in data.get("uncompared", ()))
    return Recall(**{**data, "kits": kits, "uncompared": uncompared})
