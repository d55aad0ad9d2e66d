"""What a sheet must say of rigid lines that do not go between two tight fittings, each in its own step."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from generators.figures import fixed
from generators.model.hose_path import Point3
from generators.model.install import InstallOrder
from generators.model.spec.lines import Component, Hose
from generators.model.spec.titles import within
from generators.verify.pdf.content import plain
from generators.verify.steps.text import says, steps_of

FLARE_DEG = 37.0
"""Half the cone of the seats a job can give (SAE J514), which stand out of their fitting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseEnd:
    """A line whose seats face ``apart_deg`` apart; ``fitting`` stays loose until it is on, ``held`` by what.

    ``joined`` is a line put on that fitting before, which is taken off again. All of them in words.
    ``plain`` where it has locking nuts: plain ones hold it till then.
    """

    line: str
    apart_deg: float
    fitting: str
    held: str
    joined: str
    plain: bool = False


def loose_ends(
    hoses: Sequence[Hose],
    components: Iterable[Component],
    order: InstallOrder,
    ways: Mapping[str, Point3],
    deciding: Container[str] = (),
    locked: Container[str] = (),
    studded: Container[str] = (),
) -> tuple[LooseEnd, ...]:
    """The lines that have no way onto both their seats; ``ways`` out of the ports, fitted in that ``order``.

    Hoses that are ``deciding`` where something goes come before it, so nothing is tight by then. What is
    ``locked`` has locking nuts, which are turned on once; what is
    ``studded`` has studs of its own, so that nuts alone come off it.
    Loose stays what no other line is on yet; of two such a bulkhead, else what is fitted last.
    """
    when = {task.key: index for index, task in enumerate(order.tasks)}
    known = {component.name: component for component in components}
    found = []
    for hose in hoses:
        ends = _fittings(hose)
        at = when.get(f"hose:{hose.name}", -1)
        fitted = [when.get(f"component:{name}", len(when)) for name in ends]
        if hose.kind != "rigid" or hose.name in deciding or not {hose.from_, hose.to} <= ways.keys():
            continue
        if max(fitted) > at:
            continue  # a fitting that is not there when the line comes is put up to it
        a, b = np.array(ways[hose.from_]), np.array(ways[hose.to])
        turn = float(np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)))
        if turn <= 2 * FLARE_DEG + 1e-6:  # noise of the last bit asks for nothing
            continue
        before = {
            name: [h for h in hoses if name in _fittings(h) and when.get(f"hose:{h.name}", at) < at]
            for name in ends
        }
        free = [name for name in ends if not before[name]] or list(ends)
        nuts = [name for name in free if known[name].kind == "bulkhead"] or free
        name = max(nuts, key=lambda one: when[f"component:{one}"])
        found.append(
            LooseEnd(
                line=_said(hose),
                apart_deg=turn,
                fitting=_said(known[name]),
                held="nut" if known[name].kind == "bulkhead" else "nuts" if name in studded else "bolts",
                joined=_said(before[name][0]) if before[name] else "",
                plain=name in locked and known[name].kind != "bulkhead",
            )
        )
    return tuple(found)


def _fittings(hose: Hose) -> tuple[str, str]:
    return hose.from_.split(".")[0], hose.to.split(".")[0]


def _said(thing: Hose | Component) -> str:
    return within(thing.title or thing.name.replace("_", " ").capitalize())


def loose_problems(pages: Iterable[str], loose: Iterable[LooseEnd]) -> Iterator[str]:
    """What the text of all ``pages`` of an install sheet lacks of them, in the steps that put them on."""
    steps = steps_of(pages)
    for end in loose:
        still = f"the {end.fitting} is still loose"
        if end.joined:
            still = f"take the {end.joined} off the {end.fitting} again"
        of_line: tuple[str, ...] = (
            f"face {fixed(end.apart_deg, 0)} degrees apart",
            still,
            f"Last of all tighten the {end.held} of the {end.fitting}",
        )
        if end.plain:
            of_line = (*of_line, "a locking nut in place of each plain one")
        # what another line is on already is tight, and is slackened in the step of this one
        of_fitting: tuple[str, ...] = (
            () if end.joined else (f"Leave its {end.held} finger tight for now: the {end.line}",)
        )
        if end.plain:
            held = "With plain nuts for now" if end.joined else "Till then plain nuts hold it"
            of_fitting = (*of_fitting, held)
        for head, words in ((f"Fit the {end.line},", of_line), (f"Fit the {end.fitting} ", of_fitting)):
            own = [step for step in steps if step.startswith(plain(head))]
            for word in words:
                if not any(says(step, word) for step in own):
                    yield f"does not say {word!r} in the step {head.rstrip(' ,')!r}"
