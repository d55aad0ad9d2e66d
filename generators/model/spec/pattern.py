"""Hole patterns two things share: one definition, used by parts and panels."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generators.model.joints.ways import PATTERN_HOLES, SHEET_SIDES, PatternHoles, SheetSide
from generators.model.spec import fields as key
from generators.model.words import FITS, Fit


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A bolt pattern in its own frame: points, or a rectangle or a circle about its middle."""

    name: str = key.name("Name the parts and panels use")
    points: tuple[tuple[float, float], ...] | None = key.points(
        "The bolts, one by one", lo=1, hi=100, default=None
    )
    size: tuple[float, float] | None = key.point(
        "Width and height of a rectangle with a bolt at each corner; 0 for one row", hi=2_000.0, default=None
    )
    circle_mm: float | None = key.length("Diameter of a bolt circle", lo=1.0, hi=2_000.0, default=None)
    count: int = key.integer("Bolts on the circle", lo=1, hi=60, default=4)
    start_rad: float = key.angle(
        "First bolt of the circle, counter-clockwise from u", lo=-math.pi, hi=math.pi, default=0.0
    )
    thread: str = key.text("Thread of the bolts, like M6 or 1/4", lo=1, hi=10)
    fit: Fit = key.choice(
        "Clearance: ISO 273 fine, medium, coarse; or ASME B18.2.8 close, normal, loose",
        FITS,
        default="medium",
    )
    what: str = key.text("What it fastens, printed on the sheets", lo=3, hi=50)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPattern:
    """A pattern's holes in one flange of a part."""

    name: str = key.name("The pattern")
    label: str = key.name("Name of these holes, if not the pattern's", default="")
    flange: str = key.name("Flange; the root if none is named", default="")
    at: tuple[float, float] = key.point("Where the pattern's origin goes, in the flange's frame", hi=5_000.0)
    rotate_rad: float = key.angle("Turned counter-clockwise", lo=-math.pi, hi=math.pi, default=0.0)
    flip: bool = key.flag("Seen from the other side: u reversed before turning", default=False)
    holes: PatternHoles = key.choice(
        "Clearance holes; `countersunk` ones; `tapped` in the sheet, in an `extruded` or `flow_drilled` "
        "collar; or for nuts and studs the shop fits: `press_nut`, `weld_nut`, `press_stud`",
        PATTERN_HOLES,
        default="clearance",
    )
    side: SheetSide = key.choice(
        "Side of the sheet that countersunk heads lie on, and that collars, nuts and studs stand on; as on "
        "the drawing, the upper side is the one in view",
        SHEET_SIDES,
        default="upper",
    )
    stud_mm: float | None = key.length(
        "How far a stud stands off the sheet (press_stud)", lo=4.0, hi=200.0, default=None
    )
    drill: bool = key.flag("Drilled in the panel under the root flange as well", default=False)
