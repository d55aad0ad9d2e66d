"""Which profiles of a part are one drawn profile: the part, or the card, is laid on it for each of them.

A part that stands on its profile cannot be turned over on the paper, so a mirror image is no like of it: not
the left foot of a hanger beside the right one. A card cut out is turned over in the hand.
"""

from __future__ import annotations

from collections.abc import Sequence

from generators.drawing.bending.chains import Chain
from generators.drawing.bending.standing import Standing

DIGITS = 3
"""Lengths that differ by less than so many digits of a millimetre are alike. Ours."""


def lies(chain: Chain, stood: Standing | None, *, upper: bool) -> tuple[object, ...]:
    """What two chains share that lie on one drawn profile, whichever leg comes first.

    ``upper`` is the side of the sheet a card is held to where the part does not stand on it.
    """
    ahead: list[tuple[float, ...]] = []
    back: list[tuple[float, ...]] = []
    for index, leg in enumerate(chain.legs):
        spans = stood.spans[index] if stood is not None else ()
        grey = [x for span in spans for x in span]
        sizes = leg.outside_mm, leg.flat_mm
        ahead.append(_rounded(*sizes, *grey))
        back.append(_rounded(*sizes, *(leg.flat_mm - x for x in reversed(grey))))
    # as seen from above, or toward the card
    left = 1.0 if (not stood.mirrored if stood is not None else upper) else -1.0
    turns = [left * turn for turn in chain.turns]
    # walked from the other end a left turn is a right one, and toward the card stays toward it
    other = -1.0 if stood is not None else 1.0
    radii = _rounded(*(b.inside_radius_mm for b in chain.bends))
    forward = tuple(ahead), _rounded(*turns), radii
    backward = tuple(back[::-1]), _rounded(*(other * turn for turn in turns[::-1])), radii[::-1]
    return stood is not None, stood.over if stood is not None else (), min(forward, backward)


def same_words(likes: Sequence[tuple[Chain, Standing | None]]) -> str:
    """``THE SAME PROFILE: bend right brim, on its edge a to b.``; empty where a profile has no like."""
    said = []
    for chain, stood in likes:
        names = " and ".join(bend.name.replace("_", " ") for bend in chain.bends)
        on = f", on its edge {stood.on}" if stood is not None else ""
        said.append(f"bend{'s' if len(chain.bends) > 1 else ''} {names}{on}")
    return f"THE SAME PROFILE: {'; '.join(said)}." if said else ""


def _rounded(*sizes: float) -> tuple[float, ...]:
    # a zero has one sign
    return tuple(round(x, DIGITS) + 0.0 for x in sizes)
