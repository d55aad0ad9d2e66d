"""Bodies of bolts with head, shank, washers and nut, and of the room a spanner sweeps over the nut.

Length, washers and nut are those of the fastener set, which is what the bill and the sheets say as well.
Heads and nuts are round, as wide as the corners of the nut: they have to turn. Where the spec does not say
on which face the nut is, a head's height stands on both: so much stands there whichever way round it is put
in. What a flange or a clamp holds off the sheet is under head or nut on its side.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from generators.geometry.frames import Matrix, apply
from generators.layout.mounting import PlacedPart, part_matrix
from generators.layout.spots import point3
from generators.model.joints.fasteners import INTO_THREAD, FastenerSet, Side2
from generators.model.plan import Hole, PanelHole, PanelLayout, Slot
from generators.model.spec.job import Panel
from generators.sheetmetal.folding import folded_frames
from generators.sheetmetal.lying import lying
from generators.solve.bodies.components import bulkhead_in
from generators.solve.bodies.draft import Draft, flat_word
from generators.solve.bodies.fixings.stacks import Stack, panel_stack
from generators.solve.bodies.fixings.threads import WORDS, thread_name, thread_pieces
from generators.solve.bodies.sheets import part_name, part_title, part_word
from generators.solve.fasteners.choose import SIDES
from generators.solve.fasteners.joint import SAME_MM, bolt_name
from generators.solve.fasteners.standing import off_mm, rise_mm
from generators.space.pieces import Piece, Rod
from generators.standards import Fastener, bulkhead_rows, fastener

BOLTED = ("bolt", "insert", "weld_nut", "stud", "countersunk")
"""Kinds of holes of a panel whose bolt or nut is a body."""

RIDE = 0.3
"""Of a nut's height, how far off the face a spanner may ride (common practice)."""

Sets = Mapping[str, FastenerSet]
"""The fastener sets of a job by the name of their body."""


def _ends(stack: Stack) -> Iterator[tuple[Side2, Matrix, Matrix]]:
    """Both outer surfaces with the direction off each."""
    yield "low", np.array(stack.low), -stack.out
    yield "high", np.array(stack.high), stack.out


def bolt_pieces(made: FastenerSet, stack: Stack) -> Iterator[Piece]:
    """Head, shank, washers and nut of a bolt through a stack; of a stud the washer and nut on it."""
    row = fastener(made.thread)
    one_nut = len(made.nuts) == 1
    turned = one_nut and made.into in INTO_THREAD
    tips: dict[Side2, Matrix] = {}
    for side, at, way in _ends(stack):
        off = off_mm(made, side)
        mine = one_nut and side in made.nuts
        nut = mine and not turned
        rise = made.nut_height_mm if nut else row.head_height_mm
        seat = at + way * off
        if turned and not mine:
            tips[side] = seat + way * _past_sheets(made, row)
        elif one_nut and not mine and made.form in ("countersunk", "stud"):
            tips[side] = seat  # flush, or welded on the other face
        else:
            yield Rod(start=point3(seat), end=point3(seat + way * rise), radius_mm=row.nut_corners_mm / 2)
            tips[side] = seat + way * rise_mm(made, nut=nut)
        for disc in made.washers:
            if disc.side == side:
                flat = seat - way * disc.thickest_mm
                yield Rod(start=point3(flat), end=point3(seat), radius_mm=disc.outside_mm / 2)
    low, high = (tips[side] for side in SIDES)
    yield Rod(start=point3(low), end=point3(high), radius_mm=row.major_mm / 2)


def _past_sheets(made: FastenerSet, row: Fastener) -> float:
    """How far a bolt into a thread ends past the sheets under its head, mm."""
    if made.length_mm is None:
        return row.major_mm
    return max(made.length_mm - made.grip_mm - sum(off_mm(made, side) for side in SIDES), 0.0)


def room_pieces(made: FastenerSet, stack: Stack, circle_mm: float, side: Side2) -> Iterator[Piece]:
    """The disc a spanner sweeps on one side of a stack, over what it may ride on."""
    tall = fastener(made.thread).nut_height_mm
    for end, at, way in _ends(stack):
        if end == side:
            seat = at + way * off_mm(made, side)
            yield Rod(
                start=point3(seat + way * RIDE * tall),
                end=point3(seat + way * tall),
                radius_mm=circle_mm / 2,
            )


def panel_bolts(draft: Draft, panel: Panel, layout: PanelLayout, fitted: frozenset[str], sets: Sets) -> None:
    """Bolts and fittings through the holes of a panel; in those numbered ``fitted`` sits a component."""
    for hole in layout.holes:
        if hole.status not in ("drill", "reuse", "weld"):
            continue
        at = (hole.u_mm, hole.v_mm)
        stack = panel_stack(panel, layout, at)
        words = [flat_word(panel.name), *(part_word(o) for o in hole.owners)]
        own = bolt_name(panel.name, hole.number)
        said = f"hole {hole.number} ({hole.name})"
        owner = _owner(hole, own)
        if hole.kind in WORDS:
            held = thread_name(own)
            alone = panel_stack(panel, replace(layout, footprints=()), at)
            forms = thread_pieces(hole, fastener(hole.thread), stack, alone)
            draft.add(held, f"{WORDS[hole.kind]} in {said}", "bolt", owner, forms, words)
            draft.fix(held, [own, *stack.names])
        if hole.kind in BOLTED:
            made = sets.get(own)
            if made is None:
                continue
            draft.add(own, f"bolt in {said}", "bolt", owner, bolt_pieces(made, stack), words)
            _rooms(draft, made, said, hole, stack, words)
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
    draft: Draft, made: FastenerSet, said: str, hole: PanelHole, stack: Stack, words: list[str]
) -> None:
    owner = _owner(hole, made.key)
    for end in made.nuts:
        if hole.spanner_circle_mm > 0:
            room = f"{made.key}.{'engine' if end == 'low' else 'cab'}"
            pieces = room_pieces(made, stack, hole.spanner_circle_mm, end)
            draft.add(room, f"spanner on {said}", "room", owner, pieces, words)
            draft.fix(room, [made.key, thread_name(made.key), *stack.names])


def part_bolts(draft: Draft, part: PlacedPart, panel: Panel, sets: Sets) -> None:
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
            own = bolt_name(part.spec.name, opening.name)
            made = sets.get(own)
            # what goes through the root is the panel's own, or stands in it in some way of its own
            if made is None or (through and (part.mount.holes or not opening.mates)):
                continue
            deep = panel.thickness_mm + part.lift_mm if through else 0.0
            stack = _through(part, opening, pose @ frames[flange.name], deep)
            body = part_name(part.spec.name, flange.name if index else "")
            title = f"bolt {opening.name.replace('_', ' ')} of the {part_title(part)}"
            pieces = bolt_pieces(made, stack)
            draft.add(own, title, "bolt", part.spec.name, pieces, [part_word(part.spec.name)])
            draft.fix(own, [body])


def _through(part: PlacedPart, opening: Hole | Slot, frame: Matrix, deep_mm: float) -> Stack:
    ends = apply(
        frame,
        np.array([(opening.u_mm, opening.v_mm, w) for w in (-deep_mm, part.plan.thickness_mm)]),
    )
    return Stack(low=point3(ends[0]), high=point3(ends[1]), out=frame[:3, 2], names=())
