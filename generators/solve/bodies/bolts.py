"""Bodies of bolts with head, shank and nut, and of the room a spanner sweeps over the nut.

Sizes are the fastener table's. Heads and nuts are round, as wide as the corners of the nut: they have to
turn. A bolt is as long as its grip, its nut and two pitches. Where the spec does not say on which face the
nut is, a head's height stands on both: so much stands there whichever way round it is put in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.layout.mounting import PlacedPart, part_matrix
from generators.layout.spots import point3
from generators.model.plan import Hole, PanelHole, PanelLayout, Slot
from generators.model.spec.job import Panel
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.lying import lying
from generators.solve.bodies.components import bulkhead_in
from generators.solve.bodies.draft import Draft, flat_word
from generators.solve.bodies.sheets import part_name, part_title, part_word
from generators.solve.bodies.stacks import Stack, panel_stack
from generators.space.pieces import Piece, Rod
from generators.standards import Fastener, bulkhead_rows, fastener_rows

SAME_MM = 1e-6
PITCHES = 2.0
"""Thread past the nut, in pitches (common practice)."""

RIDE = 0.3
"""Of a nut's height, how far off the face a spanner may ride (common practice)."""


def bolt_of(shank_mm: float) -> Fastener | None:
    """The bolt of that diameter; None where the table has none."""
    return next((row for row in fastener_rows() if abs(row.major_mm - shank_mm) < SAME_MM), None)


def bolt_name(where: str, hole: str) -> str:
    """Name of a bolt's body: the panel and the hole's number, or the part and the hole's name."""
    return f"bolt:{where}.{hole}"


def bolt_pieces(row: Fastener, stack: Stack, nuts: frozenset[str]) -> Iterator[Piece]:
    """Head, shank and nut of a bolt through a stack; ``nuts`` has ``high``, ``low``, both or neither."""
    low, high = np.array(stack.low), np.array(stack.high)
    tall = row.nut_height_mm
    past = tall + PITCHES * row.pitch_mm
    one_nut = len(nuts) == 1
    rises = {side: tall if one_nut and side in nuts else row.head_height_mm for side in ("low", "high")}
    for side, at, way in (("low", low, -stack.out), ("high", high, stack.out)):
        yield Rod(start=point3(at), end=point3(at + way * rises[side]), radius_mm=row.nut_corners_mm / 2)
    tip_low = past if one_nut and "low" in nuts else rises["low"]
    tip_high = past if one_nut and "high" in nuts else rises["high"]
    yield Rod(
        start=point3(low - stack.out * tip_low),
        end=point3(high + stack.out * tip_high),
        radius_mm=row.major_mm / 2,
    )


def room_pieces(row: Fastener, stack: Stack, circle_mm: float, side: str) -> Iterator[Piece]:
    """The disc a spanner sweeps on one side of a stack, over what it may ride on."""
    at, way = (np.array(stack.high), stack.out) if side == "high" else (np.array(stack.low), -stack.out)
    yield Rod(
        start=point3(at + way * RIDE * row.nut_height_mm),
        end=point3(at + way * row.nut_height_mm),
        radius_mm=circle_mm / 2,
    )


_SIDES: Mapping[str, frozenset[str]] = {
    "cab": frozenset({"high"}),
    "engine": frozenset({"low"}),
    "both": frozenset({"high", "low"}),
    "none": frozenset(),
}


def panel_bolts(draft: Draft, panel: Panel, layout: PanelLayout, fitted: frozenset[str]) -> None:
    """Bolts and fittings through the holes of a panel; in those numbered ``fitted`` sits a component."""
    for hole in layout.holes:
        if hole.status not in ("drill", "reuse"):
            continue
        stack = panel_stack(panel, layout, (hole.u_mm, hole.v_mm))
        words = [flat_word(panel.name), *(part_word(o) for o in hole.owners)]
        own = bolt_name(panel.name, hole.number)
        said = f"hole {hole.number} ({hole.name})"
        owner = _owner(hole, own)
        if hole.kind == "bolt":
            row = bolt_of(hole.shank_mm)
            if row is None:
                continue
            nuts = _SIDES[hole.nut_face]
            draft.add(own, f"bolt in {said}", "bolt", owner, bolt_pieces(row, stack, nuts), words)
            _rooms(draft, own, said, hole, row, stack, words)
            draft.fix(own, stack.names)
        elif hole.kind == "bulkhead" and hole.number not in fitted:
            for fitting in bulkhead_rows():
                if abs(fitting.thread_major_mm - hole.shank_mm) < SAME_MM:
                    pieces = bulkhead_in(fitting, stack)
                    draft.add(own, f"fitting in {said}", "fitting", owner, pieces, words)
                    draft.fix(own, stack.names)


def _owner(hole: PanelHole, own: str) -> str:
    """The part a hole is moved with; one of the panel's own is moved alone."""
    return next((o for o in hole.owners if o not in ("panel", "existing")), own)


def _rooms(
    draft: Draft, own: str, said: str, hole: PanelHole, row: Fastener, stack: Stack, words: list[str]
) -> None:
    owner = _owner(hole, own)
    for side in sorted(_SIDES[hole.nut_face]):
        if hole.spanner_circle_mm > 0:
            room = f"{own}.{side}"
            pieces = room_pieces(row, stack, hole.spanner_circle_mm, side)
            draft.add(room, f"spanner on {said}", "room", owner, pieces, words)
            draft.fix(room, [own, *stack.names])


def part_bolts(draft: Draft, part: PlacedPart, panel: Panel) -> None:
    """Bolts of a mounted part that the layout of its panel does not have: through folded flanges, and
    through a panel that gets no holes for it (``holes = false``)."""
    if part.mount is None:
        return
    pose = part_matrix(panel, part.mount, part.lift_mm)
    frames = folded_frames(part.plan)
    on_panel = {flange.name for flange, _ in lying(part.plan)}
    for index, flange in enumerate(part.plan.flanges):
        for opening in flange.openings:
            through = flange.name in on_panel
            row = bolt_of(opening.fitting.shank_mm) if opening.fitting.kind == "bolt" else None
            # what goes through the root is the panel's own, or stands in it in some way of its own
            if row is None or (through and (part.mount.holes or not opening.mates)):
                continue
            deep = panel.thickness_mm + part.lift_mm if through else 0.0
            stack = _through(part, opening, pose @ frames[flange.name], deep)
            own = bolt_name(part.spec.name, opening.name)
            body = part_name(part.spec.name, flange.name if index else "")
            title = f"bolt {opening.name.replace('_', ' ')} of the {part_title(part)}"
            draft.add(
                own,
                title,
                "bolt",
                part.spec.name,
                bolt_pieces(row, stack, frozenset()),
                [part_word(part.spec.name)],
            )
            draft.fix(own, [body])


def _through(part: PlacedPart, opening: Hole | Slot, frame: Matrix, deep_mm: float) -> Stack:
    ends = apply(
        frame,
        np.array([(opening.u_mm, opening.v_mm, w) for w in (-deep_mm, part.plan.thickness_mm)]),
    )
    return Stack(low=point3(ends[0]), high=point3(ends[1]), out=frame[:3, 2], names=())
