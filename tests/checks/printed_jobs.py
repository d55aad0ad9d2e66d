"""Small printed guides to try rules on, with nothing wrong until a test makes it so."""

from __future__ import annotations

from collections.abc import Callable

from small_jobs import box, layout, old

from generators.checks.part.guides import check_guide
from generators.checks.part.part import check_part
from generators.geometry.contours import Placement, rectangle
from generators.model.contour import Contour
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.plan import Bush, Fitting, Flange, Hole, KeepOut, PanelHole, PartPlan, Peg
from generators.model.spec.shop import PartPrinter, Shop
from generators.model.words import Face

AT = Placement(200.0, 150.0)


def bore(u: float, v: float, diameter: float = 7.2, *, drill: float = 4.0, length: float = 12.0) -> Hole:
    return Hole(
        name="bore_1",
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter,
        purpose="panel hole 1",
        fitting=Fitting(kind="bore", label="bush"),
        bush=Bush(drill_mm=drill, outside_mm=diameter - 0.2, length_mm=length),
    )


def peg(name: str, u: float, v: float, diameter: float = 9.7, hole: float = 10.0) -> Peg:
    return Peg(
        name=name,
        u_mm=u,
        v_mm=v,
        diameter_mm=diameter,
        height_mm=4.0,
        chamfer_mm=1.0,
        hole_mm=hole,
        purpose=f"hole {name}",
    )


def guide(*holes: Hole, pegs: tuple[Peg, ...] = (), contour: Contour | None = None) -> PartPlan:
    """A block 200 × 100 × 12 about the origin, by itself with pegs in holes of 10 and 15 mm at ±50."""
    pegs = pegs or (peg("P", -50, 0), peg("Q", 50, 0, 14.7, 15.0))
    block = Flange(name="block", contour=contour or rectangle(-100, -50, 100, 50), holes=holes, pegs=pegs)
    return PartPlan(
        name="p",
        kind="drill_guide",
        title="t",
        material="PLA",
        thickness_mm=12.0,
        flanges=(block,),
        printed=True,
        tool=True,
    )


def printed(plan: PartPlan, **printer: float) -> list[Finding]:
    return check_part(plan, Limits(), Shop(printer=PartPrinter(**printer)))


def lying(
    plan: PartPlan,
    *holes: PanelHole,
    keepouts: tuple[KeepOut, ...] = (),
    place: Placement = AT,
    face: Face = "cab",
) -> list[Finding]:
    """The guide on the middle of a panel with holes under its pegs."""
    under = [
        old(p.name, *place.apply(p.u_mm, p.v_mm), p.hole_mm, name=f"hole_{p.name}")
        for p in plan.flanges[0].pegs
    ]
    return list(check_guide(plan, place, face, layout(*under, *holes, keepouts=keepouts)))


PRINTED_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "print-wall": (
        lambda: printed(guide(bore(0, 50 - 5 - 1.5, 10.0))),
        lambda: printed(guide(bore(0, 50 - 5 - 1.6, 10.0))),
    ),
    "peg-near-bore": (
        lambda: printed(guide(bore(-50 + 4.85 + 5 + 1.5, 0, 10.0))),
        lambda: printed(guide(bore(-50 + 4.85 + 5 + 1.6, 0, 10.0))),
    ),
    "peg-thin": (
        lambda: printed(guide(pegs=(peg("P", -50, 0, 2.9, 3.2), peg("Q", 50, 0)))),
        lambda: printed(guide(pegs=(peg("P", -50, 0, 3.0, 3.3), peg("Q", 50, 0)))),
    ),
    "print-bed": (
        lambda: printed(guide(contour=rectangle(-110.1, -50, 110, 50))),
        lambda: printed(guide(contour=rectangle(-110, -50, 110, 50))),
    ),
    "bush-length": (
        lambda: printed(guide(bore(0, 20, length=5.9))),
        lambda: printed(guide(bore(0, 20, length=6.0))),
    ),
    # play of 0.5 mm at both pegs: carried out to one and a half times their distance it is 0.5 to each side
    "guide-play": (
        lambda: printed(guide(bore(61, 0), pegs=(peg("P", -60, 0, 9.5), peg("Q", 20, 0, 9.5)))),
        lambda: printed(guide(bore(59.9, 0), pegs=(peg("P", -60, 0, 9.5), peg("Q", 20, 0, 9.5)))),
    ),
    "guide-no-room": (
        lambda: lying(guide(), keepouts=(box(200, 190, 250, 250),)),
        lambda: lying(guide(), keepouts=(box(200, 201, 250, 250),)),
    ),
    "guide-reversible": (
        lambda: lying(guide(pegs=(peg("P", -50, 0), peg("Q", 50, 0)))),
        lambda: lying(guide()),
    ),
}
