"""How a hole of a part is finished after it was cut: what is cut first, and what is called out."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from generators.model.joints.ways import FinishKind, SheetSide
from generators.standards import HoleTolerance


@dataclass(frozen=True, slots=True, kw_only=True)
class Sink:
    """A countersink: ``head_mm`` wide at the face it is cut into, mm and rad; at most ``over_mm`` wider."""

    head_mm: float
    angle_rad: float
    over_mm: float

    def depth_mm(self, hole_mm: float) -> float:
        """From the face to where the cone is as wide as its hole, mm."""
        return (self.head_mm - hole_mm) / 2 / math.tan(self.angle_rad / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring round a hole that is one with the sheet: a drawn collar, or a tube ``welded`` on by ``weld_mm``.

    ``outside_mm`` across, it stands ``height_mm`` off the sheet's face; its bore is the hole's.
    """

    outside_mm: float
    height_mm: float
    welded: bool = False
    weld_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A nut or stud the shop fits into a hole. ``item`` is what is bought; sizes in mm.

    It is ``outside_mm`` across and stands ``height_mm`` off the sheet's face. ``edge_mm`` is the least from
    its middle to an edge (0 where no table says it), ``least_sheet_mm`` the thinnest sheet; ``source`` says
    where both come from.
    """

    item: str
    outside_mm: float
    height_mm: float
    edge_mm: float
    least_sheet_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleFinish:
    """What makes a hole that is cut ``cut_mm`` wide into what the part has in the end.

    ``tolerance`` is that of the finished diameter, None where a thread or a head decides. ``words`` is what
    the drawing calls out, without the hole's number. ``bent`` says that it is done after bending. ``thread``
    is the designation of one that is cut or formed in it, with its pitch. ``sink``, ``ring`` and ``fitted``
    are on the sheet's ``side``.
    """

    kind: FinishKind
    cut_mm: float
    words: str
    tolerance: HoleTolerance | None = None
    bent: bool = False
    thread: str = ""
    side: SheetSide = "upper"
    sink: Sink | None = None
    ring: Ring | None = None
    fitted: Fitted | None = None

    @property
    def stands_mm(self) -> float:
        """How far what is round the hole stands off the sheet's ``side``, mm."""
        return max(
            self.ring.height_mm if self.ring is not None else 0.0,
            self.fitted.height_mm if self.fitted is not None else 0.0,
        )

    @property
    def wide_mm(self) -> float:
        """How wide what stands there or is cut there is, mm; 0 where there is nothing but the hole."""
        return max(
            self.sink.head_mm if self.sink is not None else 0.0,
            self.ring.outside_mm if self.ring is not None else 0.0,
            self.fitted.outside_mm if self.fitted is not None else 0.0,
        )


def bore_span(finish: HoleFinish | None, thickness_mm: float) -> tuple[float, float]:
    """Between which w a hole's bore runs, mm: the sheet, and the ring on one of its sides."""
    if finish is None or finish.ring is None:
        return 0.0, thickness_mm
    high = finish.ring.height_mm
    return (0.0, thickness_mm + high) if finish.side == "upper" else (-high, thickness_mm)


def called_out(holes: Iterable[tuple[str, HoleFinish | None]]) -> list[str]:
    """``8, 9: pilot, cut Ø 14.5; …``: how numbered holes are finished, alike ones together."""
    said: dict[str, list[str]] = {}
    for number, finish in holes:
        if finish is not None:
            said.setdefault(finish.words, []).append(number)
    return [f"{', '.join(numbers)}: {words}." for words, numbers in said.items()]
