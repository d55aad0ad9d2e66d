"""Inserts, weld nuts, studs and countersunk screws as bodies: where hand calculation puts them, what only they meet."""

from __future__ import annotations

from pathlib import Path

import pytest
from space_jobs import job, others

from generators.model.findings import Severity
from generators.space.body import Body, named

M6_CORNERS = 10.0 * 2 / 3**0.5  # 10 mm across flats, ISO 4032, from memory
KINDS = {
    "insert": ('diameter = "9 mm"\n  grip = ["0.5 mm", "3 mm"]\n  drill_from = "cab"', "cab"),
    "weld_nut": ('diameter = "7 mm"\n  weld_face = "engine"', "cab"),
    "stud": ('weld_face = "cab"\n  length = "30 mm"', "cab"),
}


def hole(kind: str, u: float = 450.0, v: float = 330.0) -> tuple[str, str]:
    given, _face = KINDS[kind]
    return (
        "# HOLES",
        f'[[panel.hole]]\n  name = "own"\n  kind = "{kind}"\n  thread = "M6"\n  purpose = "a thing"\n'
        f'  at = {{ u = "{u} mm", v = "{v} mm" }}\n  {given}\n  # HOLES',
    )


def thread_body(folder: Path, *changes: tuple[str, str]) -> Body:
    bodies = job(folder, *changes).scene.bodies
    return next(b for b in bodies if b.name.endswith(".thread"))


def test_an_insert_has_a_flange_and_a_formed_end(tmp_path: Path) -> None:
    """Set from the cab face (x = 0) of 2 mm: flange of 1 mm, 1.45 times the hole wide; 1.6 x 6 mm behind the sheet."""
    low, high = thread_body(tmp_path, hole("insert")).box
    assert (low[0], high[0]) == pytest.approx((-2.0 - 9.6, 1.0))
    assert high[1] - low[1] == pytest.approx(1.45 * 9.0)
    assert (low[1] + high[1]) / 2 == pytest.approx(450.0)


def test_a_weld_nut_stands_on_its_own_face_a_tenth_wider_than_a_plain_nut(tmp_path: Path) -> None:
    """M6: 5.2 mm high (ISO 4032), 11.55 over sharp corners; welded to the engine face, x = -2."""
    low, high = thread_body(tmp_path, hole("weld_nut")).box
    assert (low[0], high[0]) == pytest.approx((-2.0 - 5.2, -2.0))
    assert high[1] - low[1] == pytest.approx(1.1 * M6_CORNERS)


def test_a_stud_is_as_long_as_it_stands_off_and_takes_a_nut(tmp_path: Path) -> None:
    low, high = thread_body(tmp_path, hole("stud")).box
    assert (low[0], high[0]) == pytest.approx((0.0, 30.0))
    assert high[1] - low[1] == pytest.approx(6.0)


CLAMP = others("""
[[clamp]]
name = "loop"
dash = 5
on = { panel = "wall", holes = ["own"], side = "cab" }
run = "up"
aside = "right"
stand_off = "9 mm"
""")


@pytest.mark.parametrize("kind", [*KINDS])
def test_what_is_clamped_on_one_touches_nothing(kind: str, tmp_path: Path) -> None:
    """The clamp's foot on the face a bolt or nut turns on; its bolt's head and shank, or its nut, are there."""
    old, new = CLAMP
    clamp = (
        old,
        new.replace('run = "up"', 'run = "up"\nfastener = "insert"' if kind == "insert" else 'run = "up"'),
    )
    prepared = job(tmp_path, hole(kind), clamp)
    bodies = named(prepared.scene.bodies)
    bolt = next(
        b
        for b in bodies.values()
        if b.what == "bolt" and "(own)" in b.title and not b.name.endswith("thread")
    )
    low, high = bolt.box
    # a head or a nut on the cab face, over the foot; of a bolt into a thread only the shank on the other side
    assert high[0] > 4.0
    behind = [p for p in bolt.pieces if max(p.start[0], p.end[0]) <= -2.0]  # type: ignore[union-attr]
    assert all(p.radius_mm == pytest.approx(3.0) for p in behind)  # type: ignore[union-attr]
    assert low[0] <= 0.0
    assert not [
        f for f in prepared.findings if f.code in ("bodies-meet", "spanner-on-part", "through-uncut-metal")
    ]


@pytest.mark.parametrize(
    ("kind", "near", "clear"), [("insert", -11.5, -11.8), ("weld_nut", -7.0, -7.4), ("stud", 29.8, 30.2)]
)
def test_something_behind_it_is_found_by_this_body_alone(
    kind: str, near: float, clear: float, tmp_path: Path
) -> None:
    """A duct of the vehicle whose surface is just within, then just off its end; there is no bolt in the hole."""
    for surface, hit in ((near, True), (clear, False)):
        away = 20.0 if surface > 0 else -20.0
        bar = others(
            '[[obstacle]]\nname = "bar"\nwhat = "heater duct"\n'
            f'start = ["{surface + away} mm", "400 mm", "330 mm"]\nend = ["{surface + away} mm", "500 mm", "330 mm"]\n'
            'diameter = "40 mm"\n'
        )
        told = [f for f in job(tmp_path, hole(kind), bar).findings if f.severity is Severity.FAIL]
        assert [f.code for f in told] == (["bodies-meet"] if hit else [])
        assert all("heater duct" in f.where and "(own)" in f.where for f in told)
