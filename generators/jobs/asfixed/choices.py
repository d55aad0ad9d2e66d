"""What could be done again when a thing sits in the wrong place: choices in the words of the bench.

None of them is known to help: each is written into the spec and solved before it is told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.figures import fixed
from generators.jobs.asfixed.case import FixedCase, back_to, kind_of, spot_of
from generators.model.changes import Change, Proposal, Shift
from generators.model.findings import Finding
from generators.model.spec.lines import Clamp, Component, Hose
from generators.model.words import ASIDES
from generators.reading.keys.lines import split_port
from generators.solve.hoses.lines import HoseAnswer

TURN_WORDS = "turn the leg of the {title} to point {way}; it points {was}"
SHARES = (1.0, 0.5)
"""What is not fixed yet is moved as far as what sits wrong, or half as far."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Redo:
    """What a choice costs: holes to blank, new holes to drill for it, hoses to buy, fittings to turn."""

    blank: int = 0
    drill: int = 0
    buy: int = 0
    turn: int = 0

    @property
    def rank(self) -> tuple[int, int, int, int]:
        """Metal first: a hole blanked is never gone; then new holes, then money, then a spanner."""
        return self.blank, self.drill, self.buy, self.turn

    def with_(self, other: Redo) -> Redo:
        """Both done."""
        pairs = zip(self.rank, other.rank, strict=True)
        blank, drill, buy, turn = (a + b for a, b in pairs)
        return Redo(blank=blank, drill=drill, buy=buy, turn=turn)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Something to do again; ``back`` names the things taken off and fixed where the spec has them.

    ``bought`` names the hoses had in another length.
    """

    proposal: Proposal
    redo: Redo
    back: tuple[str, ...] = ()
    bought: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What is done."""
        return self.proposal.words


def choices(case: FixedCase, troubles: Sequence[Finding]) -> tuple[tuple[Choice, ...], tuple[Choice, ...]]:
    """Single things to do, and pairs of those that cut no metal; either the least to do first."""
    hoses = _troubled(case, troubles)
    turns = [*_turns(case, hoses)]
    buys = [*_buys(case, hoses)]
    moves = [*_moves(case, hoses)]
    backs = [*_backs(case)]
    pairs = [_both(a, b) for a in turns for b in buys]
    pairs += [_both(a, b) for a in moves for b in (*turns, *buys)]
    singles = _sorted((*turns, *buys, *moves, *backs))
    return singles, _sorted(pairs)


def _sorted(found: Sequence[Choice]) -> tuple[Choice, ...]:
    once = {choice.words: choice for choice in found}
    return tuple(sorted(once.values(), key=lambda c: c.redo.rank))


def _both(a: Choice, b: Choice) -> Choice:
    return Choice(
        proposal=Proposal(words=f"{a.words}, and {b.words}", steps=(*a.proposal.steps, *b.proposal.steps)),
        redo=a.redo.with_(b.redo),
        back=(*a.back, *b.back),
        bought=(*a.bought, *b.bought),
    )


def _troubled(case: FixedCase, troubles: Sequence[Finding]) -> list[HoseAnswer]:
    """Hoses a finding names, and those that end on or are held by what sits wrong."""
    wrong = {thing.name for thing in case.wrong}
    job = case.design.file.job
    things: list[Component | Clamp] = [*job.component, *job.clamp]
    wrong |= {c.name for c in things if c.on.part in wrong}
    out = []
    for answer in case.base.lines.hoses:
        hose = answer.spec
        touches = wrong & {_end(hose.from_), _end(hose.to), *hose.clamps}
        if touches or any(hose.name in f.where for f in troubles):
            out.append(answer)
    return out


def _end(port: str) -> str:
    return split_port(port)[0]


def _component(case: FixedCase, name: str) -> Component:
    return next(c for c in case.design.file.job.component if c.name == name)


def title_of(case: FixedCase, name: str) -> str:
    """What a person calls a component, part or clamp, within a sentence."""
    job = case.design.file.job
    titles = {thing.name: thing.title for thing in job.component}
    titles |= {part.name: part.title for part in job.part}
    return (titles.get(name) or name.replace("_", " ")).lower()


def _turns(case: FixedCase, hoses: Sequence[HoseAnswer]) -> Iterator[Choice]:
    """Legs at the ends of the hoses turned: slackened, turned and tightened, nothing cut."""
    ends = dict.fromkeys(_end(port) for answer in hoses for port in (answer.spec.from_, answer.spec.to))
    for name in ends:
        component = _component(case, name)
        for key, elbow in (("elbow", component.elbow), ("other_elbow", component.other_elbow)):
            for way in ASIDES if elbow is not None else ():
                if elbow is None or way == elbow.toward:
                    continue
                words = TURN_WORDS.format(title=title_of(case, name), way=way, was=elbow.toward)
                step = Change(path=f"component[{name}].{key}.toward", word=way, unit="")
                yield Choice(proposal=Proposal(words=words, steps=(step,)), redo=Redo(turn=1))


def _buys(case: FixedCase, hoses: Sequence[HoseAnswer]) -> Iterator[Choice]:
    """Another length of a hose that is in hand: those that can be had, or what its path asks for."""
    for answer in hoses:
        hose = answer.spec
        if hose.made_up_mm is None or hose.kind == "rigid":
            continue
        stock = [row.length_mm for row in case.file.readings.stock_hose if row.hose == hose.name]
        for length in dict.fromkeys((*stock, *_wanted(case, answer))):
            if math.isclose(length, hose.made_up_mm, abs_tol=0.05):
                continue
            how = (
                f"take a hose of {length:g} mm"
                if length in stock
                else f"have a hose of {length:g} mm made up"
            )
            words = f"{how} for the {_hose_title(hose)}, in place of the one of {hose.made_up_mm:g} mm"
            step = Change(path=f"hose[{hose.name}].made_up", to=length, rounding="exact")
            yield Choice(proposal=Proposal(words=words, steps=(step,)), redo=Redo(buy=1), bought=(hose.name,))


def _hose_title(hose: Hose) -> str:
    return (hose.title or hose.name.replace("_", " ")).lower()


def _wanted(case: FixedCase, answer: HoseAnswer) -> list[float]:
    """What a hose on this path is made up to: path and slack, to the shop's step up."""
    if answer.path is None:
        return []
    step = case.design.file.shop.hose_step_mm
    slack = case.design.file.job.limits.hose_slack_ratio
    least = answer.path.length_mm * (1 + slack)
    return [math.ceil(round(least / step, 6)) * step, math.ceil(round(least * 1.02 / step, 6)) * step]


def _moves(case: FixedCase, hoses: Sequence[HoseAnswer]) -> Iterator[Choice]:
    """What the hoses end on or are held by and is not fixed yet, put elsewhere: the same way or half."""
    fixed = {thing.name for thing in case.fixed}
    ends = [_end(port) for answer in hoses for port in (answer.spec.from_, answer.spec.to)]
    held = [clamp for answer in hoses for clamp in answer.spec.clamps]
    for name in dict.fromkeys((*ends, *held)):
        spot = spot_of(case.design, name)
        if spot is None or name in fixed or spot.part in fixed or spot.at is not None:
            continue
        for thing in case.wrong:
            for share in SHARES:
                right, up = thing.right_mm * share, thing.up_mm * share
                if not (right or up):
                    continue
                way = way_words(right, up)
                words = (
                    f"fix the {title_of(case, name)}, which is not fixed yet, {way} of where the spec has it"
                )
                step = Shift(thing=f"{kind_of(case.design, name)}:{name}", u=right, v=up)
                yield Choice(proposal=Proposal(words=words, steps=(step,)), redo=Redo())


def way_words(right_mm: float, up_mm: float) -> str:
    """``12 mm right and 5 mm below``."""
    said = []
    if right_mm:
        said.append(f"{fixed(abs(right_mm), 1)} mm {'right' if right_mm > 0 else 'left'}")
    if up_mm:
        said.append(f"{fixed(abs(up_mm), 1)} mm {'above' if up_mm > 0 else 'below'}")
    return " and ".join(said)


def _backs(case: FixedCase) -> Iterator[Choice]:
    """What sits wrong taken off and fixed where the spec has it, one thing or all."""
    each = [(thing.name,) for thing in case.wrong]
    for names in dict.fromkeys([*each, tuple(thing.name for thing in case.wrong)]):
        count = sum(len(holes_of(case, name)) for name in names)
        titles = " and the ".join(title_of(case, name) for name in names)
        it = "it" if len(names) == 1 else "them"
        holes = "no new hole"
        if count:
            holes = f"{count} new hole{'s' if count > 1 else ''}, and as many old to blank"
        words = f"take the {titles} off and fix {it} where the spec has {it}: {holes}"
        steps = [step for t in case.wrong if t.name in names for step in back_to(case.design, t)]
        yield Choice(
            proposal=Proposal(words=words, steps=tuple(steps)),
            redo=Redo(blank=count, drill=count),
            back=names,
        )


def holes_of(case: FixedCase, name: str) -> tuple[str, ...]:
    """Names of the panel's holes that hold a thing, as the layout has them; none for what is on no panel."""
    kind = kind_of(case.design, name)
    spot = spot_of(case.design, name)
    part = name if kind == "part" else spot.part if spot is not None else ""
    if part:
        return tuple(
            h.name for x in case.base.layouts for h in x.holes if part in h.owners and h.status == "drill"
        )
    return spot.holes if spot is not None and spot.panel else ()
