"""The order of work as plain data: what is done, and why nothing of it may be done earlier."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.words import TaskKind

KINDS = ("drill", "part", "pedal", "component", "clamp", "decided", "hose", "bleed")
"""What can be done, in the order it is done where nothing else says so.

``drill`` marks and drills a panel, ``decided`` drills where a made-up hose has put a component.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to do. ``name`` is the panel, part, component, clamp, hose or pedal; ``title`` says it."""

    kind: TaskKind
    name: str
    title: str

    @property
    def key(self) -> str:
        """Its name among all tasks."""
        return f"{self.kind}:{self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """``task`` waits for ``before`` (keys of tasks), because of ``why``: words that end a sentence."""

    task: str
    before: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InstallOrder:
    """Tasks in an order that meets every need.

    ``loop`` is empty, or the needs that go round in a circle; then ``tasks`` holds only what can be done
    without any of them.
    """

    tasks: tuple[Task, ...]
    needs: tuple[Need, ...]
    loop: tuple[Need, ...] = ()

    def place(self, key: str) -> int | None:
        """Where a task comes, from 0; None when it is not in the order."""
        return next((index for index, task in enumerate(self.tasks) if task.key == key), None)
