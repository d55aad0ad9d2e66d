"""Rules on two standing bodies that are in each other, and on the room of a spanner."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from generators.checks.joint.part_room import SPANNER_ON_PART
from generators.checks.rule import Rule, finding, mm, more
from generators.checks.space.ground import Ground, one_title
from generators.checks.space.moves import moved_out
from generators.model.changes import Later, Proposal
from generators.model.findings import Finding, Severity
from generators.model.words import BodyKind
from generators.space.body import Body, Gap
from generators.space.distance import Space

TOUCH_MM = 0.1
"""Bodies less deep in each other only touch: each is drawn to 0.05 mm."""

BODIES_MEET = Rule(
    code="bodies-meet",
    title="Two things in one place",
    meaning=(
        "Panels, folded parts with their bends, cylinders, reservoirs, fittings, clamps, bolts with head and "
        "nut, and what the vehicle has there are bodies in space. Two of them that are not bolted to each "
        "other may touch but not be in each other. What lies flat on one face of a panel, and what goes "
        "through its holes, is looked at on the panel; hoses keep clear by rules of their own. What "
        "can be moved aside is left out. Bolts are as long as grip, nut and two pitches; heads and nuts "
        "count as wide as their corners. The place is where they are deepest in each other."
    ),
    formula="gap >= 0, to 0.1 mm: each body is drawn to 0.05 mm",
    source="geometry; ISO 4017, 7040 and 7089, ASME B18.2.1, B18.16.6 and B18.21.1 for bolts",
    trust="C",
    mend="Move one of them; the finding says where they meet and how deep.",
)

NO_ROOM_FOR_NUT = Rule(
    code="no-room-for-nut",
    title="No room for a spanner",
    meaning=(
        "The circle a spanner's head sweeps round a nut, from 0.3 of the nut's height up to its top, meets "
        "something that stands there: an open spanner cannot turn it."
    ),
    formula="gap of the circle, 2.2 x across flats, >= 0",
    source="geometry; spanner circle is common practice, no source",
    trust="CP",
    mend="Use a socket, fit the nut before what is in the way, or move one of them.",
)

RULES = (BODIES_MEET, NO_ROOM_FOR_NUT)

_VEHICLE: frozenset[BodyKind] = frozenset({"panel", "obstacle"})
"""As the vehicle is: whether these were measured in each other is not for a rule on what is added."""

_SHEETS: frozenset[BodyKind] = frozenset({"panel", "part"})

_HOSE_MEETS: frozenset[BodyKind] = frozenset({"bolt", "fitting", "clamp"})
"""What routing does not look at."""

_ROOM_MEETS: frozenset[BodyKind] = frozenset({"part", "obstacle", "panel"})
"""What is there before a nut is turned, or whatever it is fitted after."""


@dataclass(frozen=True, kw_only=True)
class Meet:
    """Two bodies in each other, at the deepest place."""

    one: Body
    two: Body
    gap: Gap

    @property
    def deep_mm(self) -> float:
        """How deep."""
        return -self.gap.gap_mm

    @property
    def kinds(self) -> frozenset[BodyKind]:
        """What the two are."""
        return frozenset({self.one.what, self.two.what})


def looked_at(one: BodyKind, two: BodyKind) -> bool:
    """True for two kinds of bodies whose meeting is for these rules to find."""
    if {one, two} <= _VEHICLE:
        return False
    for kind, other in ((one, two), (two, one)):
        if kind == "hose":
            return other in _HOSE_MEETS
        if kind == "room":
            return other in _ROOM_MEETS
        if kind == "rod":
            return other in _SHEETS
    return True


def meets(space: Space) -> list[Meet]:
    """Pairs of bodies deeper in each other than ``TOUCH_MM``, those fixed to each other left out."""
    found = []
    for first, second in space.pairs(0.0):
        one, two = space.bodies[first], space.bodies[second]
        if one.joined & two.joined or not looked_at(one.what, two.what):
            continue
        gap = space.gap(first, second, -TOUCH_MM)
        if gap is not None and gap.gap_mm < -TOUCH_MM:
            found.append(Meet(one=one, two=two, gap=gap))
    return found


def check_clash(found: Sequence[Meet], ground: Ground) -> Iterator[Finding]:
    """One finding for each two owners whose bodies meet, at the deepest place."""
    owners: dict[tuple[str, str], list[Meet]] = {}
    for meet in found:
        first, second = sorted((_whose(meet.one), _whose(meet.two)))
        owners.setdefault((first, second), []).append(meet)
    for group in owners.values():
        # where the nut itself does not go, its spanner needs no word
        hard = [m for m in group if "room" not in m.kinds]
        yield _finding(hard or group, group, ground)


def _whose(body: Body) -> str:
    """The owner with its kind: a part and a component may have one name. Bolts move with their part, a
    spanner on a hose's nut is the nut's."""
    piped = body.what == "room" and body.name.startswith("hose:")
    kind = "fitting" if piped else "part" if body.what in ("part", "bolt", "room") else body.what
    return f"{kind} {body.owner}"


def _finding(group: Sequence[Meet], whole: Sequence[Meet], ground: Ground) -> Finding:
    """What is said of ``group``; ``whole`` has the spanners as well, which a move must free, too."""
    worst = max(group, key=lambda m: m.deep_mm)
    room = "room" in worst.kinds
    rule = BODIES_MEET
    if "part" in worst.kinds and worst.kinds & {"bolt", "room"}:
        rule = SPANNER_ON_PART
    elif room:
        rule = NO_ROOM_FOR_NUT
    first, second = worst.one, worst.two
    mine, theirs = _sides(group, _whose(first))
    # no socket goes over a nut with a hose or a tube in it
    piped = any(body.what == "room" and body.name.startswith("hose:") for body in (first, second))
    socket = (
        ""
        if not room
        else "turn its elbow, stand its seat further off, or "
        if piped
        else "use a socket, or "
    )
    one, two = (ground.movable.get(_whose(body)) for body in (first, second))
    # on one part neither can be moved: it is drawn anew
    drawn = one.label if one is two and one is not None else ""
    # the group is of the whole, and is it where no spanner is in the way
    freed = (whole,) if len(group) == len(whole) else (whole, group)
    return finding(
        rule,
        Severity.WARN if room else Severity.FAIL,
        f"space: {one_title([first, *mine])}, and {one_title([second, *theirs])}",
        value=worst.deep_mm,
        found=f"{mm(worst.deep_mm)} in each other at {ground.words(worst.gap.at)}",
        limit=0.0,
        wanted="apart, or touching",
        advice=f"{socket}take a smaller one, or draw {drawn} with {more(worst.deep_mm)} more between the two"
        if drawn
        else f"{socket}move one of them {more(worst.deep_mm)} or more out of the other",
        proposals=() if drawn else Later(partial(_moved, freed, _whose(first), ground)),
    )


def _sides(group: Sequence[Meet], whose: str) -> tuple[list[Body], list[Body]]:
    """The bodies of one owner, and those they meet."""
    mine = [m.one if _whose(m.one) == whose else m.two for m in group]
    theirs = [m.two if _whose(m.one) == whose else m.one for m in group]
    return mine, theirs


def _moved(freed: Sequence[Sequence[Meet]], whose: str, ground: Ground) -> tuple[Proposal, ...]:
    """Moves that end all meets of a group, those of the first group first, each once."""
    every = [_apart(list(zip(*_sides(meets, whose), strict=True)), ground) for meets in freed]
    return tuple(dict.fromkeys(move for moves in every for move in moves))


def _apart(pairs: Sequence[tuple[Body, Body]], ground: Ground) -> tuple[Proposal, ...]:
    """Either owner moved out of the other, where the user placed it."""
    one, two = (ground.movable.get(_whose(body)) for body in pairs[0])
    return moved_out(pairs, [(thing, k == 0) for k, thing in enumerate((one, two)) if thing is not None])
