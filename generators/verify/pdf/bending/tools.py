"""What a setup sheet's figures are worked out from."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec.tools.folder import Folder
from generators.model.spec.tools.press import Brake, Die

PLAIN_FOLDER = Folder()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What the sheet's figures are worked out from: brake with its punches, dies, folder, the sheet's MPa.

    ``over_rad``: how much further than it says a bend may be pressed at worst. ``opening_mm``: of the die
    that the shop's test bend of the sheet was made over; ``springback_rad`` what that lost, 0 where it is not
    measured, None where it is not judged.
    """

    brake: Brake
    dies: tuple[Die, ...]
    tensile_mpa: float
    folder: Folder = PLAIN_FOLDER
    over_rad: float = 0.0
    opening_mm: float | None = None
    springback_rad: float | None = None
