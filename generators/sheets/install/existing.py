"""Before anything is drilled: is each panel the one that was measured; what is in the way of the drill."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from generators.figures import format_length
from generators.geometry.determining import pinning_pairs
from generators.geometry.rims import rim_distance
from generators.geometry.sight import Reached, Standing, beside, first_face, reached
from generators.layout.distances import at_rim, checks
from generators.model.hole_work import ON_TOP, PANEL_OUT, RULES, mark_off_mm, out_words
from generators.model.install import PanelPicture, Phase, Step, StepTable
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import asked, within
from generators.model.words import Face

RIM = "A rim is the edge of the metal: lift or push aside the lip of a grommet that covers it."
MIDDLE = (
    "Where a nut or a flange covers a rim and stays on, measure from the middle of the thing itself: the "
    "distance and half of that hole's diameter."
)
"""Common practice, no source."""


BODY_MM = 45.0
"""From the middle of a hole to the side of a hand drill's body and the hand on it; a chuck is half of that.
Common practice, no source."""

TALL_MM = 60.0
"""What stands less off the panel lies beside the drill bit and its chuck. Common practice, no source."""


LONG_DRILL = "long drill or angle drill"
"""What helps where a drill's body has no room. Common practice, no source."""


Closer = tuple[str, str]
"""Numbers of holes a drill guide's pegs go into, in words, and how far out they may be between each other."""

NONE_CLOSER: Mapping[str, Closer] = MappingProxyType({})


def own_flanges(layout: PanelLayout, part: str) -> tuple[Standing, ...]:
    """What stands off a panel of a part that is on it, in words."""
    title = next((f.words for f in layout.footprints if f.part == part), part.replace("_", " "))
    return tuple((within(title), body) for body in layout.bodies if body.part == part)


def drill_room(
    layout: PanelLayout, holes: Sequence[PanelHole], fitted: Sequence[Standing] = (), *, pilot: bool = False
) -> str:
    """Which holes a drill's body has no room over, and what helps, in a sentence with a space before it.

    ``fitted`` is what the job has put on the panel by then; ``pilot`` where these are drilled the first time.
    """
    near: dict[str, list[str]] = {}
    for hole in holes:
        if what := _beside(layout, hole, fitted, pilot=pilot):
            near.setdefault(what, []).append(hole.number)
    return "".join(
        f" The {what} stands too near to hole{'' if len(those) == 1 else 's'} {', '.join(those)} for the "
        f"body of a hand drill: {LONG_DRILL}, held square."
        for what, those in near.items()
    )


def _beside(layout: PanelLayout, hole: PanelHole, fitted: Sequence[Standing], *, pilot: bool = False) -> str:
    face = first_face(hole) if pilot else hole.drill_face
    return beside(layout, hole, face, BODY_MM, TALL_MM, fitted)


def as_before(layout: PanelLayout, holes: Sequence[PanelHole], fitted: Sequence[Standing]) -> str:
    """Of holes whose pilot's step has said that a drill has no room: that it has none now, with a space."""
    those = [hole.number for hole in holes if _beside(layout, hole, fitted)]
    if not those:
        return ""
    several = "s" if len(those) > 1 else ""
    return f" Hole{several} {', '.join(those)}: {LONG_DRILL} here too, held square."


def check_phase(
    layouts: Sequence[PanelLayout], closer: Mapping[str, Closer] = NONE_CLOSER
) -> tuple[Phase, ...]:
    """All panels looked at before the first of them has a hole more; nothing where none can be checked.

    ``closer`` are by panel the holes that must be nearer right than the rest.
    """
    steps = tuple(step for layout in layouts for step in panel_check(layout, closer.get(layout.panel)))
    return (Phase(title="Every panel, before anything is drilled", steps=steps),) if steps else ()


def there_words(hole: PanelHole) -> str:
    """A hole that is there with what it is; of one used again, that the hole is, and what goes in is new."""
    what = f"hole used again, new {hole.purpose}" if hole.status == "reuse" else hole.purpose
    return f"{hole.number} ({what})"


def _covered(fixed: Sequence[PanelHole]) -> str:
    """What is done where a rim cannot be seen, by what stays in its hole; common practice, no source."""
    stays = [there_words(hole) for hole in fixed if hole.status == "datum"]
    which = f" (look at {', '.join(stays)})" if stays else ""
    return (
        f"Where a nut, a flange or a plate covers a rim{which}: take that off first; where it must stay on, "
        "measure to the middle of the thing itself, from centre to centre, if it sits in the middle of its "
        "hole. "
    )


def panel_check(layout: PanelLayout, closer: Closer | None = None) -> Iterator[Step]:
    """The few distances that show the right panel; ``closer`` as in ``check_phase``."""
    fixed = [h for h in layout.holes if h.status in ("datum", "blank", "reuse")]
    rows = []
    for i, j in pinning_pairs([(h.u_mm, h.v_mm) for h in fixed]):
        a, b = fixed[i], fixed[j]
        if not reached(layout, a, b):
            continue
        centres = math.hypot(a.u_mm - b.u_mm, a.v_mm - b.v_mm)
        ends = f"{there_words(a)} to {there_words(b)}"
        units = layout.units
        rows.append((ends, format_length(rim_distance(a, b), units), format_length(centres, units)))
    if rows:
        yield Step(
            do=f"Check that your {within(layout.title)} is the one these sheets were made for.",
            how="Nearest edges of the two holes, whatever sits in them; centres where both are empty. "
            f"{RIM} {_covered(fixed)}If one is more than {PANEL_OUT[layout.units]} out, stop and ask "
            f"{asked(layout.contact)}: these sheets are not for your panel until it has been measured again. "
            "Write down beside it what each is out: marks may be that much further from that hole."
            f"{_closer(closer)}",
            pictures=(PanelPicture(panel=layout.panel),),
            tables=(
                StepTable(
                    head=("existing holes", "edge to edge, nearest", "centre to centre"),
                    rows=tuple(rows),
                    shares=(0.44, 0.28, 0.28),
                ),
            ),
        )


def _closer(closer: Closer | None) -> str:
    """That two holes are held closer than the panel, in a sentence with a space before it."""
    if closer is None:
        return ""
    return (
        f" Between holes {closer[0]} the drill guide asks more: its pegs go into both and leave {closer[1]}. "
        "Further out the panel is still the right one, but the guide does not go in: ask before its step."
    )


def _which(layout: PanelLayout, face: Face) -> str:
    """Which one a face is, ``here the lower one``; nothing where the panel faces the driver."""
    if layout.facing in ("up", "down"):
        upper = (layout.facing == "up") == (face == "cab")
        return f"here the {'upper' if upper else 'lower'} one"
    return f"which looks {layout.facing}" if layout.facing and face == "cab" else ""


def side(layout: PanelLayout, face: Face) -> str:
    """``cab side``, with which one that is in brackets where it does not go without saying."""
    which = _which(layout, face)
    return f"{face} side{f' ({which})' if which else ''}"


def panel_ways(layout: PanelLayout) -> Iterator[Step]:
    """What to move and what to keep away from while a panel is drilled."""
    near = [k for k in layout.keepouts if not k.bead]
    for do, movable in (
        ("Move aside before drilling:", True),
        ("Find these on the metal and keep away from them:", False),
    ):
        there = [
            f"{k.reason} ({', '.join(filter(None, (f'{k.face} side', _which(layout, k.face))))})"
            for k in near
            if k.movable == movable
        ]
        if there:
            yield Step(do=do, how=f"{', '.join(there)}.")


ALONE = (
    "No rule reaches a mark here from another hole: see that the sheet has not slipped against what it was "
    "laid by."
)


def measurable(layout: PanelLayout) -> bool:
    """Whether the hole table has a distance to check a mark of the panel by.

    A lone hole has none, nor one at which something stands in the way of a rule.
    """
    found = checks(layout.holes, layout.wraps, Reached(layout))
    return any(not at_rim(hole) for check in found for hole in (check.a, check.b))


def marks_checked(layout: PanelLayout, holes: Sequence[PanelHole], told: str) -> str:
    """How far a mark may be out, and what is done with one that is further; common practice, no source."""
    if not measurable(layout):
        return ALONE
    units = layout.units
    said = (
        "Then check each mark with a steel rule by the distances of the hole table, which run from rims of "
        f"lettered holes to the middle of the mark. {RIM} {MIDDLE}"
    )
    off = mark_off_mm([h.work for h in holes], units)
    if not off:
        return f"{said} Where they differ, the rule is right."
    said = (
        f"{said} Out by up to {out_words(off, units)}, between two marks {out_words(2 * off, units)}: leave "
        f"it; from a rim {ON_TOP}."
    )
    if told:
        return f"{said} More: do as with the marks of the {told}."
    return (
        f"{said} More: measure both its distances again. {RULES} All marks of a sheet out the same way: the "
        "sheet has slipped, lay it again. One alone: find where both its distances hold; set the punch in "
        "the old mark, lean it so that the blow goes there, strike, straighten it with a second blow, "
        "measure again."
    )
