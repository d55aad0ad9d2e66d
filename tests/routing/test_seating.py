"""When a flared line can be moved onto two cones at once: against the cones' own surfaces, by linear programming.

Flare and seat 37 degrees from the axis: SAE J514.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import linprog

from generators.jobs.make.asked import put_in
from generators.layout.spots import Place
from generators.model.hose_path import Point3
from generators.model.install import InstallOrder, Task
from generators.model.joints.fasteners import FastenerSet
from generators.model.spec.fittings import PortSpec
from generators.model.spec.lines import Component, Hose, Spot
from generators.routing.seating import goes_on_both
from generators.sheets.bolting import loose
from generators.sheets.hose_words import HoseLine, LinesSheet
from generators.verify.pdf.loose_ends import loose_ends, loose_problems

POINTS = 720


def surface_normals(axis: np.ndarray) -> np.ndarray:
    """Outward normals all round a cone whose tip points along the axis."""
    half = math.radians(37.0)
    side = np.cross(axis, [0.3, 0.5, 0.8])
    side /= np.linalg.norm(side)
    turn = np.linspace(0.0, 2 * math.pi, POINTS, endpoint=False)[:, None]
    radial = np.cos(turn) * side + np.sin(turn) * np.cross(axis, side)
    return math.sin(half) * axis + math.cos(half) * radial


def clear_way(first: np.ndarray, last: np.ndarray) -> bool:
    """True where some direction leaves every point of both surfaces."""
    normals = np.vstack([surface_normals(first), surface_normals(last)])
    # the largest m with n . t >= m for all normals n and |t| <= 1 in each component
    table = np.hstack([-normals, np.ones((len(normals), 1))])
    found = linprog(
        [0, 0, 0, -1], A_ub=table, b_ub=np.zeros(len(normals)), bounds=[(-1, 1)] * 3 + [(None, 1)]
    )
    return bool(found.x[3] > 1e-6)


@pytest.mark.parametrize("degrees", [0.0, 20.0, 60.0, 73.9, 74.1, 80.0, 90.0, 135.0, 180.0])
def test_a_way_onto_both_cones_is_there_up_to_the_whole_angle_of_one(degrees: float) -> None:
    turn = math.radians(degrees)
    first, last = np.array([1.0, 0.0, 0.0]), np.array([math.cos(turn), math.sin(turn), 0.0])
    wanted = degrees < 2 * 37.0
    assert clear_way(first, last) == wanted
    assert goes_on_both(tuple(first), tuple(last)) == wanted


def fitting(name: str, kind: Any) -> Component:
    if kind == "bulkhead":
        return Component(name=name, kind=kind, on=Spot(panel="wall", holes=(name,)), dash=3)
    port = PortSpec(name="line", at=(0.0, 0.0, 0.0), dash=3)
    return Component(name=name, kind=kind, on=Spot(at=(0.0, 0.0, 0.0)), port=(port,))


def tube(name: str, from_: str, to: str) -> Hose:
    return Hose(
        name=name,
        kind="rigid",
        service="pressure",
        from_=from_,
        to=to,
        dash=3,
        radius_mm=20.0,
        made_up_mm=90.0,
    )


def order(*tasks: tuple[Any, str]) -> InstallOrder:
    return InstallOrder(tasks=tuple(Task(kind=k, name=n, title=n) for k, n in tasks), needs=())


SLAVE, UNION, MASTER = fitting("slave", "slave"), fitting("union", "bulkhead"), fitting("master", "master")
FIRST: tuple[Any, ...] = (("component", "union"), ("component", "slave"), ("component", "master"))
TURNED = {"slave.line": (1.0, 0.0, 0.0), "union.line": (-1.0, 0.0, 0.0), "master.line": (-1.0, 0.0, 0.0)}


@pytest.mark.parametrize("lean", [0.0, 22.5, 67.5])
@pytest.mark.parametrize("degrees", [74.0, 75.5, 97.5, 112.5, 150.5, 179.5])
def test_an_angle_of_half_a_degree_is_read_back_as_it_was_written(degrees: float, lean: float) -> None:
    def way(turn: float) -> Point3:
        up, side = math.radians(turn), math.radians(lean)
        return math.cos(up), math.sin(up) * math.cos(side), math.sin(up) * math.sin(side)

    ways = {"slave.line": way(lean), "union.line": way(lean + degrees)}
    lines = sheet([tube("pipe", "slave.line", "union.line")], ways, order(*FIRST, ("hose", "pipe")))
    read = loose_ends([x.spec for x in lines.hoses], lines.components, lines.order, lines.ways)
    assert bool(read) == (degrees > 74.0)
    assert list(loose_problems([written(lines)], read)) == []


def sheet(hoses: list[Hose], ways: dict[str, Point3], done: InstallOrder) -> LinesSheet:
    return LinesSheet(
        order=done,
        hoses=tuple(HoseLine(spec=h, path=None, length=None, outside_mm=4.8, radius_mm=20.0) for h in hoses),
        components=(SLAVE, UNION, MASTER),
        places={c.name: Place(frame=np.eye(4)) for c in (SLAVE, UNION, MASTER)},
        ways=ways,
    )


def written(lines: LinesSheet, by: Sequence[FastenerSet] = ()) -> str:
    """The steps that put fittings and lines on, as the sheet numbers them."""
    said = [f"Fit the {c.name} somewhere. {loose.left_words(c, lines, by)}" for c in lines.components]
    said += [
        f"Fit the {x.spec.name}, a to b.{loose.goes_in_words(x, lines, by)}{loose.last_words(x, lines, by)}"
        for x in lines.hoses
    ]
    return " ".join(f"\u274f {number}. {step}" for number, step in enumerate(said, 1))


@pytest.mark.parametrize(
    ("to", "others", "stays", "held", "joined"),
    [
        # one nut holds a bulkhead, so that stays loose though the cylinder came after it
        ("union", (), "union", "nut", ""),
        # of two cylinders the one fitted last
        ("master", (), "master", "bolts", ""),
        # a line is on the union already, so the cylinder stays loose
        ("union", (("first", "union.other", "master.line"),), "slave", "bolts", ""),
        # lines are on both: that of the union comes off again
        (
            "union",
            (("first", "union.other", "master.line"), ("second", "slave.bleed", "master.line")),
            "union",
            "nut",
            "first",
        ),
    ],
)
def test_which_fitting_stays_loose_is_read_in_its_own_step(
    to: str, others: tuple[tuple[str, str, str], ...], stays: str, held: str, joined: str
) -> None:
    """Which one: common practice, no source, as said where it is chosen."""
    hoses = [*(tube(*other) for other in others), tube("pipe", "slave.line", f"{to}.line")]
    lines = sheet(hoses, TURNED, order(*FIRST, *(("hose", h.name) for h in hoses)))
    read = loose_ends(hoses, lines.components, lines.order, lines.ways)
    (mine,) = [one for one in read if one.line == "pipe"]
    assert (mine.fitting, mine.held, mine.joined) == (stays, held, joined)
    text = written(lines)
    assert list(loose_problems([text], [mine])) == []
    # a page may end within any of the sentences; the foot of one and the head of the next are no part of them
    for word in ("face", "of", "still", "now:", "again,"):
        cut = text.replace(f" {word} ", f" {word} \f foot, head ").split("\f")
        assert list(loose_problems(cut, [mine])) == []
    other = "master" if stays != "master" else "union"
    spoilt = [
        text.replace(f"tighten the {held} of the {stays}", f"tighten the {held} of the {other}"),
        text.replace(f"off the {stays} again", f"off the {other} again")
        if joined
        else text.replace(f"the {stays} is still loose", f"the {other} is still loose"),
    ]
    if not joined:
        spoilt.append(text.replace(f"Leave its {held} finger tight for now", ""))
        # said, but in the step of another fitting
        spoilt.append(
            text.replace(f"Fit the {stays} ", "Fit the ? ").replace(f"Fit the {other} ", f"Fit the {stays} ")
        )
    for wrong in spoilt:
        assert wrong != text
        assert len(list(loose_problems([wrong], [mine]))) == 1


def test_a_fitting_put_up_to_its_line_or_a_line_that_goes_in_asks_for_nothing() -> None:
    pipe = tube("pipe", "slave.line", "union.line")
    late = order(("component", "union"), ("hose", "pipe"), ("component", "slave"))
    whole = order(*FIRST, ("hose", "pipe"))
    near = TURNED | {"union.line": (1.0, 0.0, 0.0)}
    bent = replace(pipe, kind="hose", made_up_mm=None)
    for hose, ways, done, deciding in (
        (pipe, TURNED, late, ()),
        (pipe, near, whole, ()),
        (bent, TURNED, whole, ()),
        (pipe, TURNED, whole, ("pipe",)),
    ):
        assert loose_ends([hose], (SLAVE, UNION), done, ways, deciding) == ()


def test_of_a_cylinder_on_its_own_studs_the_nuts_are_left_loose() -> None:
    """Studs are not drawn out of their holes: only what is turned on them comes off."""
    pipe = tube("pipe", "slave.line", "master.line")
    lines = sheet([pipe], TURNED, order(*FIRST, ("hose", "pipe")))
    (mine,) = loose_ends([pipe], lines.components, lines.order, lines.ways, studded={"master"})
    assert (mine.fitting, mine.held) == ("master", "nuts")
    (problem, *_more) = loose_problems([written(lines)], [mine])
    assert "nuts" in problem


def held_by(standard: str) -> FastenerSet:
    """A bolt of the master: one of a standard, or a thread of the master's own."""
    return FastenerSet(
        key=f"bolt:wall.{standard or 'own'}",
        task="component:master",
        bag="",
        purpose="",
        form="bolt",
        into="locking nut",
        thread="M8",
        designation="",
        diameter_mm=8.0,
        standard=standard,
    )


@pytest.mark.parametrize(
    ("standards", "held"), [(("", ""), "nuts"), (("", "ISO 4017"), "bolts"), (("ISO 4017",), "bolts")]
)
def test_steps_and_read_back_mean_the_same_by_studs_of_its_own(standards: tuple[str, ...], held: str) -> None:
    """With one bolt beside a stud the cylinder does not come off by its nuts alone; read-back said it did."""
    lines = sheet([tube("pipe", "slave.line", "master.line")], TURNED, order(*FIRST, ("hose", "pipe")))
    by = [held_by(standard) for standard in standards]
    ends = put_in(lines, by)
    assert [(end.fitting, end.held) for end in ends] == [("master", held)]
    assert list(loose_problems([written(lines, by)], ends)) == []
