"""Surveys and fits for the rules on measured holes: one that fires, the nearest that does not."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from generators.checks.part.finishing.etching import check_etching
from generators.checks.part.finishing.threads import check_threads
from generators.checks.part.hands import check_hands
from generators.checks.survey.asdrilled import check_asdrilled
from generators.checks.survey.inspected import check_inspected, check_unread
from generators.checks.survey.readings import check_survey
from generators.geometry.contours import rectangle
from generators.measure.fitting.chance import assembly_chance
from generators.measure.fitting.fit import Joint, fit
from generators.measure.fitting.names import doubted, other_names
from generators.measure.survey import survey
from generators.model.findings import Finding
from generators.model.plan import Fitting, Flange, Hole, PartPlan
from generators.model.spec.readings import Handed, MeasuredHole, MeasureHead, Reading, Readings
from generators.parts.building.finished_holes import tapped_hole

Case = Callable[[], list[Finding]]
PLACES = {"a": (0.0, 0.0), "b": (200.0, 0.0), "c": (190.0, 130.0), "d": (10.0, 150.0), "e": (95.0, 60.0)}
ROW = {"a": (0.0, 0.0), "b": (110.0, 0.0), "c": (240.0, 0.0)}
BESIDE = {**ROW, "b": (110.0, 40.0)}
LEFT = Handed(hole="c", side="left", from_="a", to="b")
ALL = tuple(itertools.combinations("abcd", 2))


def survey_of(
    pairs: Iterable[tuple[str, str]],
    *,
    places: dict[str, tuple[float, float]] = PLACES,
    handed: tuple[Handed, ...] = (LEFT,),
    slip: float = 0.0,
    both: float = 0.0,
    scale: float = 1.0,
    known: tuple[str, ...] = (),
    sigma: float = 0.5,
    outline: tuple[tuple[float, float], ...] | None = None,
) -> list[Finding]:
    """Findings on exact readings between ``pairs``, the first with a slip, each twice if ``both`` apart."""
    chosen = list(pairs)
    used = sorted({n for pair in chosen for n in pair})
    found = []
    for k, (a, b) in enumerate(chosen):
        far = scale * math.dist(places[a], places[b]) + (slip if k == 0 else 0.0)
        found += [Reading(from_=a, to=b, is_mm=far + by) for by in ((-both, both) if both else (0.0,))]
    given = Readings(
        measure=MeasureHead(name="p", title="P", panel="firewall", tape_mm=sigma, outline=outline),
        hole=tuple(
            MeasuredHole(name=n, diameter_mm=10.0, at=places[n] if n in known else None) for n in used
        ),
        reading=tuple(found),
        handed=handed,
    )
    return check_survey(survey(given))


def fit_of(off: float, sigma: float = 0.05) -> list[Finding]:
    """Findings on two M8 holes of 9 mm in part and panel, ``off`` mm too far apart."""
    one = Joint(
        name="h1", kind="bolt", part=(0, 0), part_dia_mm=9.0, panel=(0, 0), panel_dia_mm=9.0, shank_mm=8.0
    )
    joints = (one, replace(one, name="h2", part=(100.0, 0.0), panel=(100.0 + off, 0.0)))
    chance = assembly_chance(joints, np.eye(4) * sigma**2, steps=(200,))
    return list(check_asdrilled("p", joints, fit(joints), chance, "lengthen hole h2"))


def sheet(left: float) -> tuple[tuple[float, float], ...]:
    """A panel round all places but for its left edge."""
    return ((left, -100.0), (400.0, -100.0), (400.0, 400.0), (left, 400.0))


def named_fit(*order: int) -> list[Finding]:
    """Findings on five holes drilled right but read under the names in that order."""
    one = Joint(
        name="a", kind="bolt", part=(0, 0), part_dia_mm=9.0, panel=(0, 0), panel_dia_mm=9.0, shank_mm=8.0
    )
    at = [*PLACES.values()]
    joints = tuple(replace(one, name=name, part=at[k], panel=at[order[k]]) for k, name in enumerate(PLACES))
    laid, chance = fit(joints), assembly_chance(joints, np.eye(10) * 0.01, steps=(200,))
    naming = other_names(joints, tied=True) if doubted(laid, tied=True) else None
    return list(
        check_asdrilled("p", joints, laid, chance, "look again", "" if naming is None else naming.words)
    )


def handed(u_mm: float) -> list[Finding]:
    """Findings on the opposite hand of a plate 60 by 20 with one hole, so far from its left edge."""
    hole = Hole(
        name="h",
        u_mm=u_mm,
        v_mm=8.0,
        diameter_mm=9.0,
        purpose="bolt",
        fitting=Fitting(kind="bolt", label="M8 bolt"),
    )
    flange = Flange(name="plate", contour=rectangle(0.0, 0.0, 60.0, 20.0), holes=(hole,))
    plan = PartPlan(
        name="p",
        kind="f",
        title="P",
        material="1008 steel",
        thickness_mm=2.0,
        flanges=(flange,),
        mirrored=True,
    )
    return list(check_hands(plan))


def threaded(thickness_mm: float, metal: str = "S235 steel") -> list[Finding]:
    """Findings on an M8 thread in a plate so thick."""
    hole = tapped_hole("h", 30.0, 10.0, thread="M8", purpose="cover")
    flange = Flange(name="plate", contour=rectangle(0.0, 0.0, 60.0, 20.0), holes=(hole,))
    plan = PartPlan(
        name="p", kind="f", title="P", material=metal, thickness_mm=thickness_mm, flanges=(flange,)
    )
    return list(check_threads(plan))


def etched(high_mm: float) -> list[Finding]:
    """Findings on letters asked for on a plate 2 mm thick and so high."""
    flange = Flange(name="plate", contour=rectangle(0.0, 0.0, 60.0, high_mm))
    plan = PartPlan(
        name="p",
        kind="f",
        title="P",
        material="1008 steel",
        thickness_mm=2.0,
        flanges=(flange,),
        etch="AB 1",
    )
    return list(check_etching(plan))


SURVEY_CASES: dict[str, tuple[Case, Case]] = {
    "readings-unconnected": (
        lambda: survey_of([("a", "b"), ("c", "d")], handed=()),
        lambda: survey_of(ALL),
    ),
    "readings-too-few": (
        lambda: survey_of([*ALL, ("a", "e")]),
        lambda: survey_of([*ALL, ("a", "e"), ("b", "e"), ("c", "e")]),
    ),
    "readings-mirror": (lambda: survey_of(ALL, handed=()), lambda: survey_of(ALL)),
    "readings-two-places": (
        lambda: survey_of([*ALL, ("a", "e"), ("b", "e")]),
        lambda: survey_of([*ALL, ("a", "e"), ("b", "e"), ("c", "e")]),
    ),
    "readings-on-line": (
        lambda: survey_of([("a", "b"), ("b", "c"), ("a", "c")], places=ROW),
        lambda: survey_of([("a", "b"), ("b", "c"), ("a", "c")], places=BESIDE),
    ),
    "reading-gross-error": (lambda: survey_of(ALL, slip=6.0), lambda: survey_of(ALL, slip=1.0)),
    "readings-disagree": (lambda: survey_of(ALL, both=1.2), lambda: survey_of(ALL, both=0.5)),
    "reading-unchecked": (
        lambda: survey_of([("a", "b"), ("a", "c"), ("b", "c")]),
        lambda: survey_of(itertools.combinations("abcde", 2)),
    ),
    "readings-scale": (
        lambda: survey_of(ALL, scale=1.02, known=("a", "b")),
        lambda: survey_of(ALL, scale=1.002, known=("a", "b")),
    ),
    "handed-against": (
        lambda: survey_of(ALL, known=("a", "b", "c"), handed=(replace(LEFT, side="right"),)),
        lambda: survey_of(ALL, known=("a", "b", "c")),
    ),
    "hole-unsure": (lambda: survey_of(ALL, sigma=1.0), lambda: survey_of(ALL, sigma=0.4)),
    # holes of 10 mm, known exactly: the rim of the first reaches 5 mm to the left of its centre
    "readings-outside": (
        lambda: survey_of(ALL, known=tuple("abcd"), outline=sheet(-4.9)),
        lambda: survey_of(ALL, known=tuple("abcd"), outline=sheet(-5.1)),
    ),
    "asdrilled-names": (lambda: named_fit(1, 0, 2, 3, 4), lambda: named_fit(0, 1, 2, 3, 4)),
    "asdrilled-clearance": (lambda: fit_of(2.01), lambda: fit_of(1.99)),
    # a bore printed 16.00 to 16.10, read a hundredth of a millimetre out of it, and at its limit
    "inspection-limits": (
        lambda: list(check_inspected("p", "8", "Ø of hole 8", 16.11, 16.0, 16.1)),
        lambda: list(check_inspected("p", "8", "Ø of hole 8", 16.10, 16.0, 16.1)),
    ),
    # the last of two items left out, and both read
    "inspection-unread": (
        lambda: list(check_unread("p", ("T", "1"), ("T",))),
        lambda: list(check_unread("p", ("T", "1"), ("1", "T"))),
    ),
    # 2 mm sheet leaves 4 mm to each edge, and letters are 3 mm high at least: 11 mm
    "etch-no-room": (lambda: etched(10.9), lambda: etched(11.1)),
    # a hole in the middle of a plate, and one 0.01 mm beside it: 0.02 off its mirror image
    "same-hand": (lambda: handed(30.0), lambda: handed(30.01)),
    # an M8 thread in steel wants 8 mm of it
    "thread-depth": (lambda: threaded(7.99), lambda: threaded(8.0)),
    "asdrilled-chance": (lambda: fit_of(1.95), lambda: fit_of(1.5)),
}
