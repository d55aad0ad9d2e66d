"""The order of work and the install sheet as plain data: what is done when, why not earlier, and how."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from generators.model.findings import Waived
from generators.model.hole_work import HoleWork
from generators.model.words import Face, HoseSide, TaskKind

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


# ------------------------------------------------------------------- the sheets a panel is marked from
LaidWay = Literal["one", "loose", "joined", "fold"]
"""One sheet; several laid one by one; several taped to each other; such that go round a fold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """The sheets one face of a panel is marked from, or of two panels round their fold.

    They are pages ``first`` to ``last`` of the file one prints. ``shows`` are the numbers of the existing
    holes that are whole on one of them, ``hung`` those of holes a made-up hose decides on whose rings are;
    ``in_words`` is True where a sheet gives distances in its head;
    ``cut`` says how the sheets are brought round what stands there.
    """

    panels: tuple[str, ...]
    titles: tuple[str, ...]
    face: Face
    way: LaidWay
    first: int
    last: int
    shows: tuple[str, ...] = ()
    hung: tuple[str, ...] = ()
    in_words: bool = False
    cut: str = ""

    @property
    def pages(self) -> str:
        """``page 7``, or ``pages 3 to 6``."""
        return f"page {self.first}" if self.first == self.last else f"pages {self.first} to {self.last}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleLengths:
    """The three lengths of the scale test on one paper, as they are printed there; ``right`` how true."""

    paper: str
    across: str
    up: str
    diagonal: str
    right: str

    @property
    def words(self) -> str:
        """``across 180 mm, up 240 mm, diagonal 300 mm``."""
        return f"across {self.across}, up {self.up}, diagonal {self.diagonal}"


# ------------------------------------------------------------------------------- the sheet of its steps
HoleRef = tuple[str, str]
"""A hole of the job: the name of its panel and its number there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPicture:
    """A panel at a glance, seen from ``face``, with the holes numbered ``lit`` filled.

    ``name_all`` puts a number to every hole, else only to the lit ones and those there already.
    """

    panel: str
    face: Face = "cab"
    lit: tuple[str, ...] = ()
    name_all: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HosePicture:
    """A hose in its place, from one side."""

    hose: str
    view: HoseSide


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacePicture:
    """A part, a component or a pedal in its place in the vehicle, with what carries it, from one side.

    ``thing`` is the name of its body, of a pedal its title within a sentence; ``carriers`` are names of
    bodies drawn with it. ``marks`` are words with the point they stand at: a port (``master.inlet``) or an
    opening of a part (``hanger.brace_1``). ``arc_mm`` is the radius of an arc about the first of them, 0 for
    none.
    """

    thing: str
    title: str
    view: HoseSide
    carriers: tuple[str, ...] = ()
    marks: tuple[tuple[str, str], ...] = ()
    arc_mm: float = 0.0


Picture = PanelPicture | HosePicture | PlacePicture
"""What to draw, by name: whoever draws it looks the thing up in the layouts and lines of the job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTable:
    """Rows under a head. ``shares`` of the width, one for each column; ``lead`` is a line above it."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    lead: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing to do and to tick off.

    ``do`` is the order, ``how`` the way, both in sentences. ``tasks`` are the keys of what it belongs to in
    the order of work (``drill:firewall``), none for paper and finish. ``holes`` are those it speaks of,
    ``drills`` those that have their final size when it is done. ``number`` is 0 until the guide is put
    together.
    """

    do: str
    how: str = ""
    number: int = 0
    tasks: tuple[str, ...] = ()
    holes: tuple[HoleRef, ...] = ()
    drills: tuple[HoleRef, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tables: tuple[StepTable, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """Steps of one kind of work under one heading; ``cautions`` stand in a frame before the first."""

    title: str
    steps: tuple[Step, ...]
    cautions: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A table with a heading that is no step: the cut list, the tools."""

    title: str
    table: StepTable
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """The whole install sheet: PDF and page are drawn from this alone.

    ``before`` are the cautions on top, ``loop`` says why there is no order of work, or nothing.
    """

    title: str
    revision: str
    before: tuple[str, ...]
    phases: tuple[Phase, ...]
    lists: tuple[Listing, ...] = ()
    loop: str = ""
    waived: tuple[Waived, ...] = ()

    @property
    def steps(self) -> Iterator[Step]:
        """All steps in their order."""
        return (step for phase in self.phases for step in phase.steps)


def first_steps(guide: Guide) -> Mapping[str, int]:
    """The number of the step at which each task begins, by the task's key."""
    found: dict[str, int] = {}
    for step in guide.steps:
        for key in step.tasks:
            found.setdefault(key, step.number)
    return found


def drilled_at(guide: Guide) -> Mapping[HoleRef, int]:
    """The number of the step that brings each hole to its final size, by panel and hole number.

    A hole that no step drills (one there already, one that is left closed) is not in it. The numbers depend
    on the panels, parts and lines of the job only, not on what is printed: they may be asked for before
    anything is drawn.
    """
    return {hole: step.number for step in guide.steps for hole in step.drills}


def closed_at(guide: Guide, hole: HoleRef, work: HoleWork) -> int | None:
    """The number of the step that closes a hole; None where none does, or where it is not closed.

    A plate of its own closes it with the last step of that plate, any other with the last step that names it.
    """
    if work.when != "close":
        return None
    steps = [s.number for s in guide.steps if work.task in s.tasks and (work.part or hole in s.holes)]
    return steps[-1] if steps else None


def waits_for(guide: Guide) -> Mapping[HoleRef, int]:
    """The number of the step after which a hole may be drilled: the one that settles where it goes.

    That is the one before its task first works at it: a part bolted on with two holes, or held where its hose
    puts it. Only holes drilled outside the drilling of their panel are in it.
    """
    first = first_steps(guide)
    out: dict[HoleRef, int] = {}
    for step in guide.steps:
        if not step.tasks or step.tasks[0].startswith("drill:"):
            continue
        key = step.tasks[0]
        # the step that bolts it on names the holes that locate it, and works at none of them
        mine = [s for s in guide.steps if key in s.tasks and s.number > first[key]]
        for hole in step.drills:
            at = next((s.number for s in mine if hole in (*s.holes, *s.drills)), first[key] + 1)
            out[hole] = at - 1
    return out
