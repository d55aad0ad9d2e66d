"""The views in the report: gaps they print, measured again with the solid modeller; names; places."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from made_once import solved
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from generators.drawing.space.sights import piece_sight
from generators.drawing.space.views import FROM_ABOVE, FROM_BEHIND, FROM_LEFT
from generators.jobs.make.space_sheet import space_sheet
from generators.sheets.document import body_width, write_document
from generators.sheets.space.pages import VIEWS, best_view, lettered, space_story, space_words
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.sheet import Foot, SpaceSheet, places
from generators.solids.lump_shapes import body_shape
from generators.solve.bodies.near import NearPair, closest_pairs
from generators.solve.bodies.scene import Scene
from generators.space.body import Body, Gap
from generators.space.motion import Motion, Mover
from generators.space.pieces import Box, Hull, Piece, Rod, moved
from generators.space.shown import AT_STOP, Shown


def box(x: float, y: float, z: float, half: tuple[float, float, float] = (10.0, 10.0, 10.0)) -> Box:
    pose = np.eye(4)
    pose[:3, 3] = (x, y, z)
    return Box(pose=pose, half_mm=half)


def body(name: str, what: str, *pieces: Piece, joined: tuple[str, ...] = ()) -> Body:
    table, owner = name.split(".", maxsplit=1)[0].split(":")
    return Body(
        name=name,
        title=f"{owner} {table}",
        what=what,  # type: ignore[arg-type]
        owner=owner,
        forms=pieces,
        joined=frozenset(joined),
    )


def measured(one: Body, two: Body) -> float:
    """Least distance of two bodies as the solid modeller finds it, mm."""
    shapes = [body_shape(b.pieces, b.name) for b in (one, two)]
    found = BRepExtrema_DistShapeShape(*shapes)
    assert found.IsDone()
    return float(found.Value())


def shift(y: float) -> np.ndarray:
    out = np.eye(4)
    out[1, 3] = y
    return out


# a rod askew, a wedge and a ball-ended hose round a box; a pad that goes 30 mm to the right
ROD = body("component:master", "cylinder", Rod(start=(40.0, 5.0, 0.0), end=(60.0, 30.0, 50.0), radius_mm=6.0))
WEDGE = body(
    "obstacle:tunnel",
    "obstacle",
    Hull(points=np.array([[-60.0, 0, 0], [-20, 0, 0], [-60, 40, 0], [-60, 0, 40]])),
)
BRACKET = body("part:bracket", "part", box(0.0, 0.0, 0.0))
BOLT = body("bolt:wall.1", "bolt", Rod(start=(0.0, 10.0, 0.0), end=(0.0, 16.0, 0.0), radius_mm=4.0))
HOSE = body(
    "hose:feed", "hose", Rod(start=(-5.0, 25.0, 4.0), end=(30.0, 40.0, 4.0), radius_mm=5.0, round_ends=True)
)
PAD = body("pedal:clutch.pad", "pad", box(0.0, -60.0, 0.0))
STANDING = (ROD, WEDGE, BRACKET, replace(BOLT, owner="bracket"), HOSE)


def scene(*bodies: Body) -> Scene:
    motion = Motion(pose=lambda turn: shift(30.0 * turn), end_rad=1.0, speed_mm=30.0)
    return Scene(bodies=bodies or STANDING, movers=(Mover(body=PAD, motion=motion),))


def test_pairs_are_as_far_apart_as_the_modeller_measures() -> None:
    pairs = closest_pairs(scene(), 200.0, 20)
    at_stop = replace(PAD, forms=tuple(moved(p, shift(30.0)) for p in PAD.pieces))
    known = {b.name: b for b in scene().bodies}
    assert len(pairs) == 10  # bracket with its bolt, cylinder, hose, tunnel, pedal: two by two
    for pair in pairs:
        bodies = [
            (at_stop if pair.at_stop else PAD) if name == PAD.name else known[name]
            for name in (pair.gap.first, pair.gap.second)
        ]
        assert pair.gap.gap_mm == pytest.approx(measured(*bodies), abs=1e-3)
    assert [p.gap.gap_mm for p in pairs] == sorted(p.gap.gap_mm for p in pairs)
    # bracket from -10 to 10; the pad's right face is at -50 at rest and at -20 at its stop
    (pedal,) = (p for p in pairs if set(p.things) == {"part:bracket", "pedal:clutch"})
    assert pedal.at_stop
    assert pedal.gap.gap_mm == pytest.approx(10.0, abs=1e-6)


def test_what_is_fixed_or_one_thing_or_the_vehicles_own_is_no_pair() -> None:
    joined = replace(ROD, joined=frozenset({"w"}))
    plate = replace(BRACKET, joined=frozenset({"w"}))
    other = body("obstacle:box", "obstacle", box(-100.0, 0.0, 0.0))
    things = {frozenset(p.things) for p in closest_pairs(scene(joined, plate, WEDGE, other), 500.0, 20)}
    assert frozenset({"component:master", "part:bracket"}) not in things
    assert frozenset({"obstacle:tunnel", "obstacle:box"}) not in things
    assert frozenset({"obstacle:tunnel", "part:bracket"}) in things


def test_two_hoses_of_one_fitting_are_no_pair_but_of_two_fittings_are() -> None:
    ends = [
        replace(
            HOSE,
            name=f"hose:{name}.to",
            owner=name,
            forms=(Rod(start=(0.0, y, 80.0), end=(0.0, y, 150.0), radius_mm=4.0),),
            joined=frozenset({name}),
        )
        for name, y in (("one", 0.0), ("two", 30.0))
    ]
    fitting = body("component:union", "fitting", box(0.0, 15.0, 70.0), joined=("one", "two"))
    key = frozenset({"hose:one", "hose:two"})
    shared = closest_pairs(scene(*ends, fitting), 40.0, 20)
    assert key not in {frozenset(p.things) for p in shared}
    apart = closest_pairs(scene(*ends, replace(fitting, joined=frozenset({"one"}))), 40.0, 20)
    (pair,) = (p for p in apart if frozenset(p.things) == key)
    assert pair.gap.gap_mm == pytest.approx(30 - 8)


def test_the_nearest_pair_of_a_pedal_is_always_among_them() -> None:
    pairs = closest_pairs(scene(), 200.0, 1)
    assert len(pairs) == 2
    assert "pedal:clutch" in pairs[1].things


@pytest.mark.parametrize(
    ("way", "camera"),
    [((5.0, 0.1, 5.0), FROM_LEFT), ((0.1, 5.0, 5.0), FROM_BEHIND), ((5.0, 5.0, 0.1), FROM_ABOVE)],
)
def test_a_gap_is_marked_where_it_is_seen_longest(way: tuple[float, float, float], camera: object) -> None:
    gap = Gap(
        first="a",
        second="b",
        gap_mm=math.hypot(*way),
        at=(1.0, 2.0, 3.0),
        to=(1 + way[0], 2 + way[1], 3 + way[2]),
    )
    pair = NearPair(first="a", second="b", things=("a", "b"), gap=gap)
    best = best_view(pair)
    assert best is camera
    flat = best.project(np.array([gap.at, gap.to]))
    assert math.dist(*flat) >= math.sqrt(2 / 3) * gap.gap_mm - 1e-9


def drawn(sheet: SpaceSheet, path: Path) -> list[str]:
    write_document(
        path,
        space_story(sheet, body_width("A4"), "A4")[1:],
        title="t",
        subject="t",
        revision="abc1234",
        paper="A4",
    )
    document = pypdfium2.PdfDocument(path)
    return [" ".join(page.get_textpage().get_text_range().split()) for page in document]


def test_a_page_prints_the_gap_the_modeller_measures(tmp_path: Path) -> None:
    pairs = closest_pairs(scene(), 200.0, 20)
    shown = tuple((Shown(name=b.name, kind=b.what, pieces=b.pieces), b.title) for b in (*scene().bodies, PAD))
    sheet = SpaceSheet(
        bodies=shown,
        pairs=pairs,
        feet=(Foot(pedal="Clutch pedal", at=(0.0, -70.0, 0.0), way=(0.0, 1.0, 0.0)),),
    )
    text = " ".join(drawn(sheet, tmp_path / "a.pdf"))
    assert space_words(sheet)
    for letter, pair in lettered(pairs):
        # once in the table, once in its view; printed to a tenth
        said = re.findall(rf"\b{letter} ([0-9.]+) mm", text)
        assert len(said) == 2
        assert [float(each) for each in said] == pytest.approx([pair.gap.gap_mm] * 2, abs=0.0501)
    for camera, _words in VIEWS:
        assert camera.name in text
    for word in ("scale 1 : ", "z up", "y right", "x rearward", "driver's foot, Clutch pedal"):
        assert word in text


def test_a_view_is_to_the_scale_it_states_and_shows_what_it_must() -> None:
    sights = [piece_sight("block", "Block", "part", [box(100.0, 200.0, 300.0, (30.0, 40.0, 50.0))])]
    (place,) = places(sights)
    view = SpaceView(
        SpaceSheet(), sights, FROM_BEHIND, shown=place.shown, words="", width_mm=180.0, tallest_mm=60.0
    )
    # 100 mm tall, at most 50 mm of paper: half size
    assert view.ratio == 2
    low, high = view.place((0.0, 160.0, 250.0)), view.place((999.0, 240.0, 350.0))
    assert (high[0] - low[0], high[1] - low[1]) == pytest.approx((80 / 2, 100 / 2))
    assert low[0] + high[0] == pytest.approx(180.0)
    assert 0 < low[1] < high[1] < view.size[1]


def test_things_far_from_each_other_get_views_of_their_own() -> None:
    near = piece_sight("near", "", "part", [box(0.0, 0.0, 0.0)])
    beside = piece_sight("beside", "", "cylinder", [box(0.0, 460.0, 0.0)])
    far = piece_sight("far", "", "fitting", [box(1000.0, 0.0, 0.0)])
    wall = piece_sight("wall", "", "obstacle", [box(500.0, 0.0, 0.0, (600.0, 5.0, 5.0))])
    first, second = places([near, far, beside, wall])
    # faces 440 mm apart are one place (the limit is 450), 980 mm are two; an obstacle joins nothing
    assert first.names == {"near", "beside"}
    assert second.names == {"far"}
    assert first.holds((0.0, 230.0, 0.0))
    assert not first.holds((1000.0, 0.0, 0.0))


def test_the_van_says_which_is_which_and_where_the_driver_is(tmp_path: Path) -> None:
    prepared = solved("wrenfield_van")
    sheet = space_sheet(prepared)
    known = {b.name: b for b in prepared.scene.bodies} | {m.body.name: m.body for m in prepared.scene.movers}
    for pair in sheet.pairs:
        one, two = known[pair.gap.first], known[pair.gap.second]
        if not pair.at_stop:
            assert pair.gap.gap_mm == pytest.approx(measured(one, two), abs=2e-3)
    pages = drawn(sheet, tmp_path / "a.pdf")
    text = " ".join(pages)
    assert all(word in text for word in space_words(sheet))
    for word in (
        "Clutch pedal hanger",
        "Clutch master cylinder",
        "Clutch reservoir",
        "Clutch slave cylinder",
        "Hose to the slave",
        "Steering column",
        "driver's foot, Clutch pedal",
        "the driver sits on the right",
        "u, Firewall and Toe board",
        "v, Toe board",
        "origin 250, -50, 620",
    ):
        assert word in text
    assert {body.name for body, _title in sheet.bodies if body.group == AT_STOP}
