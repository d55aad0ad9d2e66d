"""The fluid that follows a brake's linings, by hand, and what is said where nobody gives it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from calling import call
from pedal_jobs import brake, brake_pedal
from pedal_samples import FRONT
from pedal_specs import BRAKE, write_spec

from generators.hydraulics.linings import lining_volume, wear_volume
from generators.model.findings import Finding, Severity
from generators.model.spec.brakes import Linings
from generators.model.words import LiningKind

PADS = Linings(kind="floating caliper", pistons=1, piston_mm=54.0, lining_mm=10.0, worn_mm=2.0)
# one stroke of the master of 19.05 mm, 28 mm of 285.02 mm², in mm³
STROKE = 28.0 * math.pi / 4 * 19.05**2


# By hand: a piston of 54 mm has 22.902 cm², two pads each 8 mm thinner let it out by 16 mm, 36.644 cc, and there are
# two brakes. Two pistons of 38 mm (11.341 cm²) on each side of a fixed caliper, 7 mm each: 4 x 7.939 x 2. A drum's
# cylinder of 22.2 mm (3.871 cm²) has two pistons, each twice 4 mm: 2 x 3.097 x 2.
@pytest.mark.parametrize(
    ("kind", "pistons", "bore", "new", "worn", "cc"),
    [
        ("floating caliper", 1, 54.0, 10.0, 2.0, 73.287),
        ("fixed caliper", 4, 38.0, 9.0, 2.0, 63.510),
        ("drum", 2, 22.2, 5.0, 1.0, 12.387),
    ],
)
def test_the_fluid_by_hand(
    kind: LiningKind, pistons: int, bore: float, new: float, worn: float, cc: float
) -> None:
    linings = Linings(kind=kind, pistons=pistons, piston_mm=bore, lining_mm=new, worn_mm=worn)
    assert lining_volume(linings) / 1000 == pytest.approx(cc, abs=1e-3)


def test_a_bonded_lining_is_worn_at_a_thirty_second_of_an_inch() -> None:
    """FMVSS 105 S7.18(c), from memory."""
    assert Linings(kind="drum", pistons=2, piston_mm=20.0, lining_mm=5.0).worn_mm == pytest.approx(0.79375)


def said(**changes: object) -> list[Finding]:
    front = replace(FRONT, pressure_mpa=None, **changes)  # type: ignore[arg-type]
    return brake(brake_pedal(front=front))


def test_a_reservoir_whose_linings_nobody_knows_is_a_warning() -> None:
    (found,) = said(wear_mm3=None, reservoir_mm3=40_000.0)
    assert (found.code, found.severity, found.where) == ("lining-wear", Severity.WARN, "pedal:brake front")
    # 40 cc less one stroke of the master, 7.98 cc
    assert "at most 32.0 cc beside 8.0 cc" in found.wanted
    # an adjuster that takes up all of it is said as 0 cc
    assert said(wear_mm3=0.0, reservoir_mm3=40_000.0) == []


@pytest.mark.parametrize(("reservoir", "code"), [(-1.0, "reservoir-volume"), (1.0, "lining-wear")])
def test_a_reservoir_too_small_for_a_stroke_alone_is_told_once(reservoir: float, code: str) -> None:
    assert [f.code for f in said(wear_mm3=None, reservoir_mm3=STROKE + reservoir)] == [code]


@pytest.mark.parametrize(
    ("wear", "words"),
    [(None, "8.0 cc for one stroke of the master, and the wear"), (14_000.0, "22.0 cc or more")],
)
def test_without_a_reservoir_a_note_says_how_large_it_must_be(wear: float | None, words: str) -> None:
    (found,) = said(wear_mm3=wear, reservoir_mm3=None)
    assert (found.code, found.severity, found.wanted) == ("lining-wear", Severity.NOTE, words)


def test_the_computed_wear_judges_the_reservoir() -> None:
    """73.287 cc that follow the pads and one stroke of the master, 7.981 cc: 81.268 cc."""
    assert [f.code for f in said(wear_mm3=None, linings=PADS, reservoir_mm3=81_267.0)] == ["reservoir-volume"]
    assert said(wear_mm3=None, linings=PADS, reservoir_mm3=81_269.0) == []


# printed to 0.1 cc: 73.287 less half a digit is 73.237
@pytest.mark.parametrize(("typed_mm3", "told"), [(73_236.0, True), (73_238.0, False), (90_000.0, False)])
def test_a_typed_wear_below_the_computed_one_is_a_warning(typed_mm3: float, told: bool) -> None:
    found = said(wear_mm3=typed_mm3, linings=PADS, reservoir_mm3=200_000.0)
    assert [(f.code, f.severity) for f in found] == ([("lining-wear", Severity.WARN)] if told else [])
    assert wear_volume(replace(FRONT, wear_mm3=typed_mm3, linings=PADS)) == max(
        typed_mm3, lining_volume(PADS)
    )


def test_linings_worn_out_when_new_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pads = 'linings = { kind = "drum", pistons = 2, piston = "20 mm", lining = "3 mm", worn = "3 mm" }'
    path = write_spec(tmp_path, BRAKE.replace('rating = "12 MPa"', f'rating = "12 MPa", {pads}'))
    assert call("check", str(path)) == 3
    assert "worn out at 3 mm" in capsys.readouterr().err
