"""Rules on the room a foot needs: between pads, over the floor, beside the column, and for its toe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.checks.rule import SAME_MM, Rule, finding
from generators.checks.space.swing import place_words, sideways
from generators.figures import fixed
from generators.geometry.frames import Matrix
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.space.body import Body
from generators.space.distance import Space
from generators.space.motion import Motion, Mover, least_gap_both
from generators.space.sweep import Sweep

PAD_SPACING = Rule(
    code="pad-spacing",
    title="Two pads are too near each other",
    meaning=(
        "A shoe that presses one pad must not take the other along. Measured between the pads' edges, "
        "wherever the two pedals are on their ways. Pads that overlap fail."
    ),
    formula="distance between pads, in any combination of travels, >= pad_apart; fail at contact",
    source="50 mm: UN R35 annex 4, distances F and E, from memory; MIL-STD-1472F asks 100 mm, from memory",
    trust="M-med",
    mend="Shift one pad sideways with pad_side, or make it narrower.",
    limit_key="pad_apart_mm",
)

PAD_COLUMN = Rule(
    code="pad-column",
    title="A pad is too near the steering column",
    meaning=(
        "A shoe stands out beside its pad and must pass the column on the whole travel. A pad that meets the "
        "column fails."
    ),
    formula="distance from pad to steering over the whole travel >= pad_column; fail at contact",
    source="50 mm: as UN R35 annex 4 asks beside a pedal, from memory",
    trust="M-med",
    mend="Shift the pad sideways with pad_side, or move the hanger.",
    limit_key="pad_column_mm",
)

PAD_HEIGHT = Rule(
    code="pad-height",
    title="A pad is higher over the floor than the ball of a foot",
    meaning=(
        "With the heel on the floor the ball of the foot comes no higher than its distance from the heel. "
        "Over that the heel leaves the floor, and a pedal cannot be held half way for long."
    ),
    formula="pad's middle at rest over the floor straight under it, covering on, <= pad_over_floor",
    source="203 mm from heel to ball: SAE J826 manikin, from memory",
    trust="M-med",
    mend="Hang the pad lower, or take a longer arm.",
    limit_key="pad_over_floor_mm",
)

FOOT_ROOM = Rule(
    code="foot-room",
    title="A shoe on the pad meets something",
    meaning=(
        "The front of the driver's shoe, from the ball to the toe, lies on the pad and is carried along to "
        "the end of its travel. What it meets it is caught by."
    ),
    formula="shoe on pad, rest to the end of travel: no contact; shoe sizes in [driver]",
    source="shoe: [driver], from memory; that it must be free: common practice, no source",
    trust="CP",
    mend="Move what is in the way, or the pad.",
)

RULES = (PAD_SPACING, PAD_COLUMN, PAD_HEIGHT, FOOT_ROOM)

_DROP_MM = 1000.0


@dataclass(frozen=True, kw_only=True)
class Footed:
    """A pad with its way, the shoe on it, and a ball in the middle of its face."""

    pedal: str
    pad: Mover
    shoe: Mover
    middle: Body
    apart: frozenset[str] = frozenset()


def check_spacing(pads: Sequence[Footed], limit_mm: float) -> Iterator[Finding]:
    """Every two pads, in any combination of places."""
    space = Space([p.pad.body for p in pads])
    for k, one in enumerate(pads):
        for two in pads[k + 1 :]:
            met = least_gap_both(space, one.pad, two.pad, limit_mm)
            if met is None or met.gap.gap_mm >= limit_mm - SAME_MM:
                continue
            travels = (met.turns_rad[0] * one.pad.pad_mm, met.turns_rad[1] * two.pad.pad_mm)
            yield finding(
                PAD_SPACING,
                Severity.FAIL if met.gap.gap_mm <= SAME_MM else Severity.WARN,
                f"pedal:{one.pedal} and {two.pedal}",
                value=met.gap.gap_mm,
                limit=limit_mm,
                found=f"{fixed(max(met.gap.gap_mm, 0.0), 1)} mm from {one.pad.body.title} to "
                f"{two.pad.body.title}, at {travels[0]:.0f} and {travels[1]:.0f} mm of their travel",
                wanted=f"{limit_mm:g} mm",
                advice=f"shift one pad {fixed(limit_mm - met.gap.gap_mm, 1)} mm sideways (pad_side), or "
                "make it narrower (pad_width)",
                proposals=(
                    *sideways(one.pedal, limit_mm - met.gap.gap_mm),
                    *sideways(two.pedal, limit_mm - met.gap.gap_mm),
                ),
            )


def check_column(pad: Footed, steering: Sequence[Body], limit_mm: float) -> Iterator[Finding]:
    """A pad beside everything that steers, over its whole travel."""
    space = Space([pad.pad.body, *steering])
    sweep = Sweep(space, 0, pad.pad.motion, range(1, len(space.bodies)), limit_mm)
    for k, body in enumerate(steering, start=1):
        met = sweep.least(k, limit_mm)
        if met is None or met.gap.gap_mm >= limit_mm - SAME_MM:
            continue
        travel = met.turn_rad * pad.pad.pad_mm
        yield finding(
            PAD_COLUMN,
            Severity.FAIL if met.gap.gap_mm <= SAME_MM else Severity.WARN,
            f"pedal:{pad.pedal} and {body.owner}",
            value=met.gap.gap_mm,
            limit=limit_mm,
            found=f"{fixed(max(met.gap.gap_mm, 0.0), 1)} mm from {pad.pad.body.title} to {body.title} at "
            f"{travel:.0f} mm of pad travel ({place_words(met.gap.to)})",
            wanted=f"{limit_mm:g} mm",
            advice="shift the pad away from it (pad_side), or move the hanger",
            proposals=sideways(pad.pedal, limit_mm - met.gap.gap_mm),
        )


def height_over(middle: Body, floors: Sequence[tuple[Body, float]]) -> tuple[float, Body] | None:
    """How high a small body is over ``floors``, each with its covering, mm; None over nothing."""
    down = Motion(pose=_down, end_rad=_DROP_MM, speed_mm=1.0)
    space = Space([middle, *(body for body, _ in floors)])
    sweep = Sweep(space, 0, down, range(1, len(space.bodies)), 0.0)
    heights = []
    for k, (body, covering) in enumerate(floors, start=1):
        found = sweep.first({k: 0.0})
        if found is not None:
            met, _ = found
            heights.append((met.turn_rad + met.gap.gap_mm - covering, k, body))
    if not heights:
        return None
    height, _, body = min(heights, key=lambda h: h[:2])
    return height, body


def check_height(pad: Footed, floors: Sequence[tuple[Body, float]], limit_mm: float) -> Iterator[Finding]:
    """The pad's middle at rest over the panel under it."""
    found = height_over(pad.middle, floors)
    if found is None or found[0] <= limit_mm + SAME_MM:
        return
    height, body = found
    yield finding(
        PAD_HEIGHT,
        Severity.WARN,
        f"pedal:{pad.pedal} pad",
        value=height,
        limit=limit_mm,
        found=f"middle of the pad {height:.0f} mm over {body.title}",
        wanted=f"{limit_mm:g} mm at most",
        advice=f"hang the pad {height - limit_mm:.0f} mm lower, or set pad_over_floor for a pedal worked "
        "with the heel off the floor",
        proposals=(
            Proposal(
                words=f"hang the pad of {pad.pedal} lower by {{by}}",
                steps=(Change(path=f"pedal[{pad.pedal}].pad[1]", by=-(height - limit_mm)),),
            ),
        ),
    )


def _down(way_mm: float) -> Matrix:
    pose = np.eye(4)
    pose[2, 3] = -way_mm
    return pose


def check_foot(foot: Footed, standing: Sequence[Body]) -> Iterator[Finding]:
    """The shoe on the pad against everything that stands still; once for each thing of the spec."""
    space = Space([foot.shoe.body, *(body for body in standing if body.name not in foot.apart)])
    sweep = Sweep(space, 0, foot.shoe.motion, range(1, len(space.bodies)), 0.0)
    said: set[str] = set()
    for k in sorted(sweep.near):
        body = space.bodies[k]
        found = None if body.owner in said else sweep.first({k: 0.0})
        if found is None:
            continue
        met, _ = found
        said.add(body.owner)
        travel = met.turn_rad * foot.shoe.pad_mm
        yield finding(
            FOOT_ROOM,
            Severity.WARN,
            f"pedal:{foot.pedal} and {body.owner}",
            found=f"{foot.shoe.body.title} meets {body.title} at {travel:.0f} mm of pad travel "
            f"({place_words(met.gap.to)})",
            wanted="room for the shoe of [driver]",
            advice=f"move {body.title} or the pad",
        )
