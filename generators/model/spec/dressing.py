"""What any part may have beside its kind: lightening holes, rounded corners, what else is bolted to it."""

from __future__ import annotations

from dataclasses import dataclass

from generators.errors import GeometryFault
from generators.model.spec import fields as key

ETCH = (
    "Number and issue etched on the upper side, never through: capitals, digits, blank and - . / _; "
    "a part that is cut"
)
FINISH = "deburr; bare for trial fit, then two-pack epoxy primer, 60 to 80 µm"
"""Unless a part says another; a usual thickness of one coat of such primer: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lightening:
    """Lightening holes of one flange: one, a row, a grid, or as many as fit.

    Places are in the flange's own u and v, as ``pedalplate kinds NAME`` shows them.
    """

    flange: str = key.name("Flange they are cut in; `pedalplate kinds NAME` lists them")
    diameter_mm: float = key.length("Diameter of each", lo=2.0, hi=400.0)
    from_: tuple[float, float] | None = key.point("Centre of the first hole, in u and v", default=None)
    to: tuple[float, float] | None = key.point("Centre of the last hole of the row", default=None)
    count: int = key.integer("Holes in the row, both ends counted", lo=1, hi=100, default=1)
    rows: int = key.integer(
        "Rows, each to the left of the last, walking from `from` to `to`", lo=1, hi=50, default=1
    )
    pitch_mm: float | None = key.length("Between rows, centre to centre", lo=1.0, hi=1000.0, default=None)
    fill: bool = key.flag("Fill the flange with level rows instead of placing them", default=False)
    margin_mm: float | None = key.length(
        "Metal a fill leaves to edges, bends and other holes, where that is more than the rules ask",
        hi=200.0,
        default=None,
    )
    gap_mm: float | None = key.length(
        "Metal a fill leaves between two of its holes, where that is more than the rules ask",
        hi=200.0,
        default=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FlangeFillet:
    """The corner radius of one flange, in place of the part's ``edge_fillet``."""

    flange: str = key.name("Flange; `pedalplate kinds NAME` lists them")
    radius_mm: float = key.length("Radius of its free outer corners; 0 leaves them sharp", hi=200.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldThing:
    """What is bolted to a part and is no part of the job: a brace, a pedal module."""

    holes: tuple[str, ...] = key.names("Holes of the part its bolts go through", lo=1, hi=20)
    thickness_mm: float = key.length("Its thickness there", lo=0.2, hi=100.0)
    what: str = key.text("What it is, printed on the sheets", lo=3, hi=40)
    material: str = key.text(
        "What it is made of, as of a part; without it, its bolts get no torque figure", hi=40, default=""
    )
    tube_mm: float | None = key.length(
        "Of a brace: its tube, outside; with wall and length it is judged as a strut",
        lo=3.0,
        hi=100.0,
        default=None,
    )
    wall_mm: float | None = key.length(
        "Of a brace: the wall of its tube; half of the outside for a solid bar", lo=0.3, hi=50.0, default=None
    )
    ends_on: str = key.text(
        "Of a brace: what its far end is bolted to and where that is, in your words; without it the sheets "
        "say to ask",
        hi=120,
        default="",
    )
    length_mm: float | None = key.length("Of a brace: from bolt to bolt", lo=10.0, hi=3000.0, default=None)

    def __post_init__(self) -> None:
        """Raise ``GeometryFault`` for a strut that is only half given, or of more wall than tube."""
        sizes = {"tube": self.tube_mm, "wall": self.wall_mm, "length": self.length_mm}
        missing = [name for name, size in sizes.items() if size is None]
        if missing and len(missing) < len(sizes):
            raise GeometryFault("a brace without its tube, wall and length together", missing[0])
        if self.tube_mm is not None and self.wall_mm is not None and 2 * self.wall_mm > self.tube_mm:
            raise GeometryFault("a wall of more than half the tube", "wall")
