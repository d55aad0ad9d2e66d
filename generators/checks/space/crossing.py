"""The rule that nothing goes through metal that is not cut for it."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from generators.checks.rule import SAME_MM, Rule, finding, mm, mm_up
from generators.checks.space.clash import Meet
from generators.checks.space.ground import Ground, Sheet
from generators.checks.space.moves import moved_out
from generators.figures import fixed
from generators.geometry.frames import apply
from generators.model.changes import Change, Later, NewTable, Proposal
from generators.model.findings import Finding, Severity
from generators.model.words import BodyKind
from generators.space.body import Body
from generators.space.pieces import Rod

THROUGH_METAL = Rule(
    code="through-uncut-metal",
    title="Something goes through uncut metal",
    meaning=(
        "The axis of a cylinder, pushrod, fitting or bolt crosses a panel or a flange of another part where "
        "there is no opening, or a smaller one than it needs. A mount with holes = false drills nothing, so "
        "what goes through the panel there must find its openings already cut. Bolts and cylinders of one "
        "part that miss their openings are one finding."
    ),
    formula="opening >= D / cos a + t x tan a round the axis; a from square to the sheet, t its thickness",
    source="geometry: a round rod through a plate at an angle",
    trust="C",
    mend="Drill it (mount with holes = true, or [[panel.hole]]), list the opening it has, or move the part.",
)

RULES = (THROUGH_METAL,)

_GOES_THROUGH: frozenset[BodyKind] = frozenset({"cylinder", "rod", "fitting", "bolt"})
_FLAT = 1e-9
_SWINGS_MM = (0, 8, 16, 24)
"""By how much wider a hole is tried for a rod that swings in it."""


@dataclass(frozen=True, kw_only=True)
class Crossing:
    """A body whose axis crosses a sheet at (u, v), and the round opening it needs there, mm.

    ``metal`` is the sheet's own body.
    """

    body: Body
    sheet: Sheet
    u_mm: float
    v_mm: float
    needs_mm: float
    metal: Body | None = None

    @property
    def there_mm(self) -> float:
        """Diameter of the opening in which the axis lies; 0 for none."""
        return max(
            (d for u, v, d in self.sheet.openings if np.hypot(u - self.u_mm, v - self.v_mm) < d / 2),
            default=0.0,
        )

    def words(self, ground: Ground) -> str:
        """Where: in a panel's own u and v, to be drilled; a flange's place as it is found on the vehicle."""
        if self.sheet.panel:
            return f"u {fixed(self.u_mm, 1)} v {fixed(self.v_mm, 1)}"
        middle = (self.sheet.low_mm + self.sheet.high_mm) / 2
        x, y, z = apply(self.sheet.pose, np.array([[self.u_mm, self.v_mm, middle]]))[0].tolist()
        return ground.words((x, y, z))


def crossing_of(body: Body, sheet: Sheet, metal: Body | None = None) -> Crossing | None:
    """Where the axis of the body's thickest rod crosses the sheet; None where it does not."""
    best: Crossing | None = None
    for piece in body.pieces:
        if not isinstance(piece, Rod):
            continue
        a, b = sheet.local(piece.start), sheet.local(piece.end)
        middle = (sheet.low_mm + sheet.high_mm) / 2
        rise = float(b[2] - a[2])
        if abs(rise) < _FLAT or not 0 <= (middle - a[2]) / rise <= 1:
            continue
        u, v, _w = (a + (b - a) * (middle - a[2]) / rise).tolist()
        if not sheet.over(u, v):
            continue
        cosine = abs(rise) / float(np.linalg.norm(b - a))
        tangent = float(np.sqrt(max(1.0 - cosine**2, 0.0))) / cosine
        needs = 2 * piece.radius_mm / cosine + (sheet.high_mm - sheet.low_mm) * tangent
        if best is None or needs > best.needs_mm:
            best = Crossing(body=body, sheet=sheet, u_mm=u, v_mm=v, needs_mm=needs, metal=metal)
    return best


def split(found: Sequence[Meet], ground: Ground) -> tuple[list[Crossing], list[Meet]]:
    """Of the bodies that meet, those that go through a sheet, and the others."""
    sheets = {sheet.body: sheet for sheet in ground.sheets}
    through: list[Crossing] = []
    rest: list[Meet] = []
    for meet in found:
        crossing = None
        for body, other in ((meet.one, meet.two), (meet.two, meet.one)):
            if body.what in _GOES_THROUGH and other.name in sheets:
                crossing = crossing_of(body, sheets[other.name], other)
        if crossing is None:
            rest.append(meet)
        elif crossing.body.what != "bolt" or crossing.there_mm < crossing.needs_mm - SAME_MM:
            through.append(crossing)
        # a bolt through a hole larger than itself shifts in it: whether both holes let it is what mating asks
    return through, rest


def check_crossing(through: Sequence[Crossing], ground: Ground) -> Iterator[Finding]:
    """One finding for each sheet and each part whose things go through it uncut."""
    groups: dict[tuple[str, str], list[Crossing]] = {}
    for crossing in through:
        cause = ground.carrier.get(crossing.body.owner, crossing.body.owner)
        groups.setdefault((crossing.sheet.body, cause), []).append(crossing)
    for (_sheet, cause), group in groups.items():
        worst = max(group, key=lambda c: (c.needs_mm - c.there_mm, c.body.name))
        others = list(dict.fromkeys(c.body.title for c in group if c.body.title != worst.body.title))
        also = f", and {len(others)} more with it ({', '.join(others[:2])}{', …' if others[2:] else ''})"
        there = worst.there_mm
        yield finding(
            THROUGH_METAL,
            Severity.FAIL,
            f"space: {worst.body.title} through the {worst.sheet.title}",
            value=there,
            found=(f"an opening of {mm(there)}" if there else "no opening")
            + f" at {worst.words(ground)}"
            + (also if others else ""),
            limit=worst.needs_mm,
            wanted=f"{mm_up(worst.needs_mm)} there",
            advice="drill it, list the opening that is there, or move what goes through",
            proposals=Later(partial(_proposals, worst, group, cause, ground)),
        )


def _proposals(worst: Crossing, group: Sequence[Crossing], cause: str, ground: Ground) -> Iterator[Proposal]:
    if worst.sheet.panel:
        yield from _drilled(cause, ground)
    if len(group) == 1:
        yield from _opened(worst, ground)
    yield from _apart(group, ground)


def _opened(crossing: Crossing, ground: Ground) -> tuple[Proposal, ...]:
    """A hole for one thing that goes through a panel. A table at the end of a spec is of its last panel."""
    panels = [sheet for sheet in ground.sheets if sheet.panel]
    if not panels or crossing.sheet is not panels[-1] or crossing.there_mm:
        return ()
    what = crossing.body.title
    found = []
    # how far a rod swings is looked at when it is tried
    for more_mm in _SWINGS_MM if crossing.body.what == "rod" else _SWINGS_MM[:1]:
        whole = math.ceil(crossing.needs_mm) + more_mm
        keys = (
            ("name", json.dumps(f"for_{crossing.body.owner}")),
            ("kind", '"plain"'),
            ("diameter", f'"{whole} mm"'),
            ("purpose", json.dumps(what)),
            ("at", f'{{ u = "{fixed(crossing.u_mm, 1)} mm", v = "{fixed(crossing.v_mm, 1)} mm" }}'),
        )
        words = f"drill {whole} mm for the {what} in the {crossing.sheet.title}"
        found.append(Proposal(words=words, steps=(NewTable(kind="panel.hole", keys=keys),)))
    return tuple(found)


def _apart(group: Sequence[Crossing], ground: Ground) -> tuple[Proposal, ...]:
    """What goes through a part moved out of it, or the part; a panel stays where it is."""
    sheet = group[0].sheet
    pairs = [(c.body, c.metal) for c in group if c.metal is not None]
    if sheet.panel or not pairs:
        return ()
    one, two = (ground.movable.get(f"{body.what} {body.owner}") for body in pairs[0])
    if one is two:
        return ()
    return moved_out(pairs, [(thing, k == 0) for k, thing in enumerate((one, two)) if thing is not None])


def _drilled(part: str, ground: Ground) -> tuple[Proposal, ...]:
    """The holes of a part whose mount drills none, drilled."""
    if part not in ground.undrilled:
        return ()
    change = Change(path=f"part[{part}].mount.holes", word=True)
    return (Proposal(words=f"drill the holes of {part} in its panel", steps=(change,)),)
