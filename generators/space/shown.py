"""What a picture or an assembly file shows of a scene: a body under a name for people, in a group."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from generators.model.words import BodyKind
from generators.space.body import Body
from generators.space.pieces import Piece

BOLTS, OBSTACLES, ZONES = "bolts", "obstacles", "zones"
AT_REST, AT_STOP = "pedals at rest", "pedals at their stop"
GROUPS: tuple[str, ...] = (BOLTS, OBSTACLES, ZONES, AT_REST, AT_STOP)


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A body as it is shown; ``name`` is unique, ``group`` one of ``GROUPS`` or empty.

    ``said`` is what it is called where no key of the spec may stand; empty where ``name`` holds none.
    """

    name: str
    kind: BodyKind
    pieces: tuple[Piece, ...]
    group: str = ""
    said: str = ""

    @property
    def ghost(self) -> bool:
        """True for what is seen through: what the vehicle has, zones, and a pedal where it will be."""
        return self.group in (OBSTACLES, ZONES, AT_STOP)


def uniquely(name: str, key: str, taken: Iterable[str]) -> str:
    """``name``, with its key where that is taken, and a number where that is as well."""
    used = set(taken)
    trials = [name, f"{name} ({key})"]
    count = 1
    while trials[0] in used:
        del trials[0]
        if not trials:
            count += 1
            trials = [f"{name} ({key}) {count}"]
    return trials[0]


def merged(bodies: Iterable[Body]) -> list[Body]:
    """Bodies with those named ``X.leg`` or ``X.flange`` put to their ``X``: an elbow is one fitting."""
    out: dict[str, Body] = {}
    for body in bodies:
        own = body.name.removesuffix(".leg").removesuffix(".flange")
        whole = out.get(own) if own != body.name else None
        if whole is None:
            out[body.name] = body
        else:
            out[own] = replace(whole, forms=(*whole.forms, *body.forms))
    return list(out.values())
