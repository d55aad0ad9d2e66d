"""Bolted joints under load, and how far a panel gives."""

from __future__ import annotations

import math

from generators.strength.joint.bearing import bearing_n, proof_load_n, pull_through_n
from generators.strength.joint.group import Acting, GroupBolt, elastic, tilting
from generators.strength.joint.plate import Edges, Plate, compliance
from report.check import Check

INCH, KSI, LBF = 25.4, 6.894757293168, 4.4482216152605
BHANDARI = "Bhandari, Design of Machine Elements"
ROARK = "Roark's Formulas, table 11.4"
STUDS = "screw table of the steel stud trade, AISI S100 E4, safety factor 3.0, Fu 33 ksi"


def _bolts(places: tuple[tuple[float, float], ...]) -> list[GroupBolt]:
    return [GroupBolt(name=str(i), at=(x, y, 0.0), axis=(0.0, 0.0, 1.0)) for i, (x, y) in enumerate(places)]


def _eccentric() -> float:
    found = elastic(
        _bolts(((-100, 75), (100, 75), (-100, -75), (100, -75))),
        [Acting(at=(500.0, 0.0, 0.0), force=(0.0, -10_000.0, 0.0))],
    )
    return max(math.hypot(*force) for force in found.values())


def _tilted(rows: tuple[float, ...], load_n: float, arm_mm: float) -> float:
    bolts = _bolts(tuple((x, y) for y in rows for x in (-50.0, 50.0)))
    found = tilting(
        bolts, [Acting(at=(0.0, 100.0, arm_mm), force=(0.0, -load_n, 0.0))], (-100.0, 0.0, 100.0, 700.0)
    )
    return max(found.values())


def _middle(edges: Edges, ratio: float) -> float:
    plate = Plate(wide=100 * ratio, tall=100.0, thickness=1.0, e_mpa=200e3, poisson=0.3, edges=edges)
    return float(compliance(plate, [(50 * ratio, 50.0)])[0, 0]) * 200e3 / 100.0**2


CHECKS = (
    Check(
        room="joints",
        what="worst of four bolts 200 x 150, 10 kN at 500 mm across",
        source=f"{BHANDARI} ex. 7.3, by an open companion's data",
        reference=12_093,
        unit="N",
        ours=_eccentric,
        within=1.0,
        trust="R2",
    ),
    Check(
        room="joints",
        what="pull of four bolts, rows 50 and 550 from the edge, 25 kN at 500 mm",
        source=f"{BHANDARI} ex. 7.6, by an open companion's data",
        reference=11_270.5,
        unit="N",
        ours=lambda: _tilted((50.0, 550.0), 25_000.0, 500.0),
        within=0.1,
        trust="R2",
    ),
    Check(
        room="joints",
        what="pull of six bolts, rows 100, 200 and 300 from the edge, 50 kN at 250 mm",
        source=f"{BHANDARI} ex. 7.7, by an open companion's data",
        reference=13_392.9,
        unit="N",
        ours=lambda: _tilted((100.0, 200.0, 300.0), 50_000.0, 250.0),
        within=0.1,
        trust="R2",
    ),
    Check(
        room="joints",
        what="proof load of M8, class 8.8",
        source="ISO 898-1 table 5, prints 21 200 N",
        reference=21_200,
        unit="N",
        ours=lambda: proof_load_n(580.0, 36.6),
        within=50.0,
        trust="R2+",
    ),
    *(
        Check(
            room="joints",
            what=f"allowable pull-over, {sheet} in sheet, head {head} in",
            source=STUDS,
            reference=printed,
            unit="lbf",
            ours=lambda sheet=sheet, head=head: (  # type: ignore[misc]
                pull_through_n(sheet * INCH, head * INCH, 33 * KSI, punched_mm=head * INCH) / 0.5 / 3.0 / LBF
            ),
            within=1.0,
            trust="R2",
        )
        for sheet, head, printed in ((0.0188, 0.272, 84.0), (0.0188, 0.409, 127.0), (0.0283, 0.272, 127.0))
    ),
    Check(
        room="joints",
        what="bearing of M20 in 10 mm of S275 (fu 410), far from edges",
        source="closed form of EN 1993-1-8 table 3.4: 2.5 fu d t / 1.25",
        reference=164.0,
        unit="kN",
        ours=lambda: bearing_n(20.0, 10.0, 410.0, 200.0, 22.0) / 1000,
        within=0.01,
        trust="C",
    ),
    *(
        Check(
            room="joints",
            what=f"give of a plate's middle, edges {words}, a/b = {ratio}: alpha",
            source=f"{ROARK} case {case}",
            reference=alpha,
            unit="",
            ours=lambda edges=edges, ratio=ratio: _middle(edges, ratio),  # type: ignore[misc]
            within=0.0005,
            trust=trust,
        )
        for edges, words, case, ratio, alpha, trust in (
            ("rest", "resting", "1b", 1.0, 0.1267, "R2+"),
            ("rest", "resting", "1b", 1.4, 0.1621, "R2+"),
            ("rest", "resting", "1b", 2.0, 0.1805, "R2+"),
            ("clamped", "clamped", "8b", 1.0, 0.0611, "M-high"),
            ("clamped", "clamped", "8b", 1.6, 0.0777, "M-high"),
        )
    ),
)
