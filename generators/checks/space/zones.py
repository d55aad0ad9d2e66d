"""Rules on what lies where stones fly, in road water and salt, in hot air, under the floor covering.

A zone is room and no body: nothing clashes with it. A hose is led round one that harms it
where a way is found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from generators.checks.rule import Rule, finding, mm, more
from generators.checks.space.clash import TOUCH_MM
from generators.checks.space.ground import Ground
from generators.checks.space.moves import moved_out
from generators.model.changes import Change, Later, Proposal
from generators.model.findings import Finding, Severity
from generators.model.words import ZoneKind
from generators.space.body import Body, Gap
from generators.space.distance import Space
from generators.space.inside import length_inside
from generators.space.pieces import Array

_FORMULA = "not in the zone by more than 0.1 mm: each body is drawn to 0.05 mm"

IN_STONES = Rule(
    code="in-stones",
    title="Where stones fly, without a guard",
    meaning=(
        "A wheel throws stones. A flexible hose, a rigid line or a reservoir in a zone of `stones` wants a "
        "sleeve or a guard, unless the spec says that it has one (guarded)."
    ),
    formula=_FORMULA,
    source="common practice, no source",
    trust="CP",
    mend="Lead it elsewhere, or give it a sleeve or a guard and say so: guarded = true.",
)

IN_SPRAY = Rule(
    code="in-spray",
    title="In road water and salt",
    meaning=(
        "In a zone of `spray` water is drawn in through the breather of a reservoir's cap, and wet fluid "
        "boils early. The cap is taken to be the upper end of the body; of one that lies within 45 degrees "
        "of level the whole body counts, of one without a body its ports. A steel line whose spec says no "
        "finish rusts: a note."
    ),
    formula=_FORMULA,
    source="common practice, no source",
    trust="CP",
    mend="Move the reservoir out of the spray; plate or paint a steel line and say so: finish.",
)

IN_HEAT = Rule(
    code="in-heat",
    title="In hot air",
    meaning=(
        "In a zone of `heat`, the hot air around an exhaust, the fluid in a reservoir boils and a hose "
        "hardens: a fail. A rigid line and a cylinder stand it better: a warning. Wet DOT 3 fluid boils at "
        "140 C. The hot pipe itself is an obstacle that is `hot`."
    ),
    formula=_FORMULA,
    source="common practice, no source; boiling point FMVSS 116, from memory",
    trust="CP",
    mend="Move it out of the hot air, or make the zone what a shield leaves of it.",
)

UNDER_COVERING = Rule(
    code="under-covering",
    title="Under the floor covering",
    meaning=(
        "In a zone of `covering`, under carpet and underlay, a fitting, a hose or the joint at its end "
        "cannot be looked at, leaks unseen and is trodden on: it chafes. A rigid line may pass, its joints "
        "may not."
    ),
    formula=_FORMULA,
    source="common practice, no source",
    trust="CP",
    mend="Lead the hose over the covering or outside the cab; put joints where they are seen.",
)

RULES = (IN_STONES, IN_SPRAY, IN_HEAT, UNDER_COVERING)

ThingKind = Literal["hose", "rigid", "reservoir", "cylinder", "fitting"]


@dataclass(frozen=True, kw_only=True)
class Zone:
    """Room with a name; its body is a Body only to be measured."""

    kind: ZoneKind
    body: Body


@dataclass(frozen=True, kw_only=True)
class Thing:
    """A hose, a line or a component as zones see it.

    ``bodies`` are all of it, ``parts`` what alone matters in some kinds of zone: the cap of a reservoir
    in spray, the joints of a rigid line under a covering. ``stations`` and ``points`` (mm) are the middle
    line of a hose. ``bare`` is a steel line without a finish; ``hot`` has what is hot and too near a hose in
    its own hot air, with the gap, mm. ``owner`` is its kind and name, ``path`` where it stands in the spec.
    """

    kind: ThingKind
    title: str
    bodies: tuple[Body, ...]
    parts: tuple[Body, ...] = ()
    guarded: bool = False
    bare: bool = False
    hot: tuple[tuple[str, float], ...] = ()
    owner: str = ""
    path: str = ""
    stations: Array | None = None
    points: Array | None = None


@dataclass(frozen=True, kw_only=True)
class _Verdict:
    """What a thing in a zone is: how grave, which of it counts, what to do."""

    severity: Severity
    bodies: tuple[Body, ...]
    advice: str
    part: str = ""


def _in_stones(thing: Thing) -> _Verdict | None:
    if thing.guarded or thing.kind not in ("hose", "rigid", "reservoir"):
        return None
    cover = "a guard" if thing.kind == "reservoir" else "a sleeve or a guard"
    advice = f"lead it elsewhere, or give it {cover}: guarded = true"
    return _Verdict(severity=Severity.WARN, bodies=thing.bodies, advice=advice)


def _in_spray(thing: Thing) -> _Verdict | None:
    if thing.kind == "reservoir":
        advice = "move the reservoir until its cap is out of the spray"
        return _Verdict(severity=Severity.WARN, bodies=thing.parts, advice=advice, part="cap of the ")
    if thing.bare:
        advice = "plate or paint it, and say so: finish"
        return _Verdict(severity=Severity.NOTE, bodies=thing.bodies, advice=advice)
    return None


def _in_heat(thing: Thing) -> _Verdict | None:
    if thing.kind == "fitting":
        return None
    grave = thing.kind in ("hose", "reservoir")
    return _Verdict(
        severity=Severity.FAIL if grave else Severity.WARN,
        bodies=thing.bodies,
        advice="move it out of the hot air, or shield it and make the zone what the shield leaves",
    )


def _under_covering(thing: Thing) -> _Verdict | None:
    if thing.kind == "rigid":
        advice = "put its joints where they are seen"
        return _Verdict(severity=Severity.WARN, bodies=thing.parts, advice=advice, part="joint of the ")
    if thing.kind == "hose":
        advice = "lead it over the covering, or outside the cab"
        return _Verdict(severity=Severity.WARN, bodies=thing.bodies, advice=advice)
    if thing.kind == "fitting":
        advice = "put it where it is seen"
        return _Verdict(severity=Severity.WARN, bodies=thing.bodies, advice=advice)
    return None


_RULE: dict[ZoneKind, tuple[Rule, Callable[[Thing], _Verdict | None]]] = {
    "stones": (IN_STONES, _in_stones),
    "spray": (IN_SPRAY, _in_spray),
    "heat": (IN_HEAT, _in_heat),
    "covering": (UNDER_COVERING, _under_covering),
}


def check_zones(zones: Sequence[Zone], things: Sequence[Thing], ground: Ground) -> Iterator[Finding]:
    """One finding for each thing in each zone that harms it, at the deepest place."""
    for zone in zones:
        rule, judged = _RULE[zone.kind]
        for thing in things:
            verdict = judged(thing)
            if verdict is not None and (worst := _deepest(zone.body, verdict.bodies)) is not None:
                changes = Later(partial(_out_of, zone, thing, verdict, ground))
                yield _finding(rule, zone, thing, verdict, worst, ground, changes)


def _out_of(zone: Zone, thing: Thing, verdict: _Verdict, ground: Ground) -> tuple[Proposal, ...]:
    """A component moved out of the zone; what stones hit given its guard."""
    out = moved_out(
        [(body, zone.body) for body in verdict.bodies],
        [(ground.movable[thing.owner], True)] if thing.owner in ground.movable else [],
    )
    if zone.kind == "stones" and thing.path:
        words = f"put {'a guard' if thing.kind == 'reservoir' else 'a sleeve or a guard'} over it"
        out = (*out, Proposal(words=words, steps=(Change(path=f"{thing.path}.guarded", word=True),)))
    return out


def _deepest(zone: Body, bodies: Sequence[Body]) -> Gap | None:
    """Where one of the bodies is deepest in the zone; None unless one is deeper than ``TOUCH_MM``."""
    space = Space([zone, *bodies])
    gaps = (space.gap(0, k + 1, -TOUCH_MM) for k in range(len(bodies)))
    inside = [gap for gap in gaps if gap is not None and gap.gap_mm < -TOUCH_MM]
    return min(inside, key=lambda gap: gap.gap_mm, default=None)


def _finding(
    rule: Rule,
    zone: Zone,
    thing: Thing,
    verdict: _Verdict,
    worst: Gap,
    ground: Ground,
    changes: Later,
) -> Finding:
    deep = -worst.gap_mm
    much = ""
    if thing.stations is not None and thing.points is not None and not verdict.part:
        length = length_inside(zone.body.pieces, thing.stations, thing.points)
        # a hose may only graze a zone: then its middle line is outside
        much = f", {mm(length)} of its middle line" if length > 0 else ", its middle line outside"
    beside = "".join(f"; {mm(gap)} from {name}" for name, gap in thing.hot) if zone.kind == "heat" else ""
    return finding(
        rule,
        verdict.severity,
        f"space: {verdict.part}{thing.title}, in {zone.body.title}",
        value=deep,
        found=f"{mm(deep)} deep in it{much}, deepest at {ground.words(worst.at)}{beside}",
        limit=0.0,
        wanted="outside it",
        advice=f"{verdict.advice}; there by {more(deep)} or more",
        about=zone.body.name,
        proposals=changes,
    )
