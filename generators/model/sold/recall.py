"""A recall: kits that carry a hole, a part or a hose that was changed since, as plain data."""

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
    """One kit that has them; ``now`` is the issue its own form has now."""

    serial: str
    order: str
    variant: str
    letter: str
    issued: str
    revision: str
    now: str
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
    """All of it; ``now`` says against what issue of the job as written, ``why`` and ``do`` are the shop's own
    words.
    """

    job: str
    title: str
    revision: str
    now: str
    contact: str
    why: str
    do: str
    kits: tuple[RecalledKit, ...]
    looked_at: int


def recall_data(recall: Recall) -> dict[str, Any]:
    """All of it for ``json.dumps``."""
    return asdict(recall)


def recall_of(data: Mapping[str, Any]) -> Recall:
    """From what ``recall_data`` gave. Raises ``KeyError``, ``TypeError`` for anything else."""
    kits = tuple(
        RecalledKit(**{**kit, "changed": tuple(Changed(**one) for one in kit["changed"])})
        for kit in data["kits"]
    )
    return Recall(**{**data, "kits": kits})
