"""The ``[kit]`` table of a spec: what goes into which box when the job is sold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from generators.model.spec import fields as key

Serves = Literal["", "sealant", "edge_paint", "fluid", "thread_locker", "templates"]
"""What steps ask for that no bag of the bill has, and that may go along in a kit; empty for none of it."""

SERVES: tuple[Serves, ...] = get_args(Serves)

BoltsCome = Literal["", "plain", "plated", "waxed", "oiled"]
"""How bolts, nuts and washers of a kit are as they come; empty where nobody says."""

BOLTS_COME: tuple[BoltsCome, ...] = get_args(BoltsCome)

SERIAL_LETTERS = 12
MOST_SETS = 1000
"""Of a job: cut and ordered at a time (ours)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KitBox:
    """A box of the kit."""

    name: str = key.name("Name used by `box`")
    title: str = key.text("In words, printed on the packing list", lo=1, hi=60)


@dataclass(frozen=True, slots=True, kw_only=True)
class KitBag:
    """Where one bag goes; the bags are those of `bag` in the spec and of bom.csv."""

    bag: str = key.text("The bag, as bom.csv calls it", lo=1, hi=60)
    box: str = key.name("Box it goes into; without it the first one", default="")
    note: str = key.text("How it is packed, printed with it", hi=80, default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class KitExtra:
    """Something that goes along and is no part of the job: sealant, a drill, paper."""

    item: str = key.text("What it is", lo=2, hi=80)
    quantity: int = key.integer("How many", lo=1, hi=999, default=1)
    size: str = key.text("Its size", hi=60, default="")
    for_: str = key.text("What it is for", hi=60, default="")
    serves: Serves = key.choice(
        "What the steps ask for that it is, so that the kit's sheets do not ask for it again: sealant under "
        "what closes a hole, paint for bare edges, fluid, thread locker, print_me.pdf "
        "printed (templates)",
        SERVES,
        default="",
    )
    bag: str = key.text(
        "Bag it goes into, of the bill or its own; without it loose in the box", hi=60, default=""
    )
    box: str = key.name("Box it lies in loose, or that of its own bag; without it the first one", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """How the job is packed when it is sold."""

    serial: str = key.text(
        "Letters of its serial numbers, before the running number; without it the job's name",
        hi=SERIAL_LETTERS,
        default="",
    )
    bolts: BoltsCome = key.choice(
        "How its bolts, nuts and washers come: bare steel and dry, plated, waxed or oiled. It stands on the "
        "packing list, and says which of two torques is theirs",
        BOLTS_COME,
        default="",
    )
    bench_s: float | None = key.time(
        "Time at the bench for one kit: picking, making up hoses, packing", hi=360_000.0, default=None
    )
    box: tuple[KitBox, ...] = key.tables("Boxes; without any, one", KitBox, hi=20)
    bag: tuple[KitBag, ...] = key.tables("Which bag goes into which box", KitBag, hi=200)
    extra: tuple[KitExtra, ...] = key.tables("What goes along besides", KitExtra, hi=100)
