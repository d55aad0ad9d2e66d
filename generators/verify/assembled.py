"""What a finished assembly must hold: each body's name, group, solids and place; no kernel."""

from __future__ import annotations

from dataclasses import dataclass, field

from generators.geometry.frames import Matrix


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Extent:
    """One solid from ``low`` to ``high`` (3,) mm; its volume, 0 where nobody worked it out."""

    low: Matrix
    high: Matrix
    volume_mm3: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Expected:
    """A body as planned: its ``solids`` in its own frame, brought to the vehicle by ``matrix``.

    Boxes in a STEP file may miss by ``box_mm``. ``ghost`` is True for what is seen through.
    """

    name: str
    matrix: Matrix
    solids: tuple[Extent, ...]
    group: str = ""
    ghost: bool = False
    box_mm: float = field(default=1e-3)
