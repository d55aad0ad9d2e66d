"""How a loaded bracket is held on a panel: by the washers chosen, on sheet that gives, and who counts it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from spec_pieces import panel
from strength.hanger_specs import HANGER, write

from generators.checks.joint.panel_give import JudgedGive
from generators.errors import SpecError
from generators.hydraulics.clutch import ClutchSetup
from generators.layout.spots import part_opening
from generators.model.plan import Hole, Slot
from generators.solve.brackets.joints import held_bolts, judged_bolts
from generators.solve.job import Prepared, prepare
from generators.standards import washer

PANEL = panel("wall", 500, 400, material="S235 steel", thickness="1.5 mm")
MOUNT = """
[part.hold]
{hold}
[part.mount]
panel = "wall"
face = "cab"
at = {{ u = "250 mm", v = "200 mm" }}
"""


def made(folder: Path, hold: str = "", extra: str = "", pedal: str = "") -> Prepared:
    head, rest = HANGER.split("\n[[part]]", 1)
    part, rest = rest.split("\n[[pedal]]", 1)
    text = head + f"\n{PANEL}{extra}\n" + "\n[[part]]" + part + MOUNT.format(hold=hold) + "\n[[pedal]]" + rest
    return prepare(write(folder, text.replace('seat = "8 mm"', f'seat = "8 mm"\n{pedal}')))


def rings(job: Prepared) -> set[float]:
    return {round(h.ring_mm, 6) for h in job.loaded[0].holds if h.bore.startswith("mount")}


def give_of(job: Prepared) -> JudgedGive:
    """How the first bracket's panel gives."""
    give = job.loaded[0].give
    assert give is not None
    return give


def setup_of(job: Prepared) -> ClutchSetup:
    """What the first pedal's clutch is worked out with."""
    clutch = job.pedals[0].clutch
    assert clutch is not None
    return clutch.setup


def test_a_ring_is_as_wide_as_the_washer_chosen(tmp_path: Path) -> None:
    # ISO 7089 M8: 16 mm; ISO 7093-1 M8: 24 mm
    assert rings(made(tmp_path, 'by = "washer"')) == {washer("M8").outside_mm} == {16.0}
    large = made(tmp_path, 'by = "washer"\nwashers = "large"')
    assert rings(large) == {24.0}
    wide = [s for s in large.fasteners if any(w.large for w in s.washers)]
    assert len(wide) == 4
    assert {w.outside_mm for s in wide for w in s.washers} == {24.0}
    assert rings(made(tmp_path, "")) == {0.0}


def navier(a: float, b: float, t: float, x: float, y: float, u: float, v: float) -> float:
    """Movement at (u, v) of a plate whose edges rest, 1 N at (x, y): Timoshenko and Woinowsky-Krieger, article 34."""
    d = 200e3 * t**3 / 12 / (1 - 0.3**2)
    total = 0.0
    for m in range(1, 120):
        for n in range(1, 120):
            total += (
                math.sin(m * math.pi * x / a)
                * math.sin(n * math.pi * y / b)
                * math.sin(m * math.pi * u / a)
                * math.sin(n * math.pi * v / b)
                / (m * m / a / a + n * n / b / b) ** 2
            )
    return 4 * total / (math.pi**4 * a * b * d)


def test_the_give_of_the_bolts_is_naviers(tmp_path: Path) -> None:
    job = made(tmp_path, extra='carried = { edges = "rest" }')
    (bracket,) = job.loaded
    give = bracket.give
    bolts = [b for b in held_bolts(bracket) if b.lies]
    places = [(250 + b.at[0], 200 + b.at[1]) for b in bolts]
    # everyday effort by moments alone: columns two by two, alike left and right
    case = next(c for c in bracket.cases if c.kind == "normal")
    acting = [(bracket.bore(f.bore), f.force) for f in case.forces]
    low, high = min(p[1] for p in places), max(p[1] for p in places)
    off = sum(f[2] for _, f in acting)
    mid = (low + high) / 2 - 200
    turn = sum(
        (b.centre[1] + b.axis[1] * 2 - mid) * f[2] - (b.centre[2] + b.axis[2] * 2 - 2) * f[1]
        for b, f in acting
    )
    pulls = [off / 4 + turn / (high - low) / 2 * (1 if p[1] == high else -1) for p in places]
    stored = sum(
        f * g * navier(500, 400, 1.5, *p, *q)
        for f, p in zip(pulls, places, strict=True)
        for g, q in zip(pulls, places, strict=True)
    )
    assert give is not None
    assert give.flex_mm_per_n == pytest.approx(stored / sum(f * f for f in pulls), rel=0.03)
    assert give.least_mm_per_n < give.flex_mm_per_n == give.most_mm_per_n
    assert {h.flex_mm_per_n for h in bracket.holds} == {give.flex_mm_per_n}


def test_the_pedal_counts_the_panel_once(tmp_path: Path) -> None:
    bare = made(tmp_path)
    soft = made(tmp_path, extra='carried = { edges = "rest" }')
    (pin,) = give_of(soft).pins
    assert setup_of(bare).flex_mm_per_n == 0
    assert setup_of(soft).flex_mm_per_n == pytest.approx(pin.flex_mm_per_n)
    typed = made(tmp_path, extra='carried = { edges = "rest" }', pedal='bracket_flex = "40 mm/kN"')
    assert setup_of(typed).flex_mm_per_n == pytest.approx(0.04)
    told = [f.where for f in typed.findings if f.code == "panel-give" and f.severity.value == "warn"]
    assert told == ["pedal:clutch bracket flex"]
    both = 'hanger_flex = "computed"\nbracket_flex = "0.1 mm/kN"'
    twice = made(tmp_path, extra='carried = { edges = "rest" }', pedal=both)
    assert any("counted twice" in f.found for f in twice.findings)


def test_a_rigid_panel_is_not_one_nobody_typed(tmp_path: Path) -> None:
    carried = 'carried = { edges = "rest" }'
    left_out = made(tmp_path, extra=carried)
    assert give_of(left_out).typed_mm_per_n is None
    assert not any(f.code == "panel-give" and f.severity.value == "warn" for f in left_out.findings)
    rigid = made(tmp_path, hold='flex = "0 mm/kN"', extra=carried)
    assert {h.flex_mm_per_n for h in rigid.loaded[0].holds} == {0.0}
    told = [f for f in rigid.findings if f.code == "panel-give" and f.severity.value == "warn"]
    assert next(f.where for f in told).endswith("hold")
    assert "typed 0 mm/kN" in told[0].found
    stiff = made(tmp_path, extra=carried, pedal='bracket_flex = "0 mm/kN"')
    assert setup_of(stiff).flex_mm_per_n == 0
    assert "pedal:clutch bracket flex" in {f.where for f in stiff.findings if f.code == "panel-give"}


def test_each_bolt_is_judged_in_the_hole_it_goes_through(tmp_path: Path) -> None:
    job = made(tmp_path)
    (bracket,) = job.loaded
    plan = bracket.part.plan
    bolts = judged_bolts(job.file, bracket, job.parts, job.layouts, job.bolted)
    assert len(bolts) == 4
    for bolt in bolts:
        opening = part_opening(plan, bolt.hole)[1]
        assert isinstance(opening, Hole)
        assert bolt.own.hole_mm == opening.diameter_mm
        assert not bolt.own.slotted
        # ISO 4014 M8: 13 mm across flats
        assert bolt.near.flats_mm == bolt.far.flats_mm == 13.0
    # the same part with a slot 12 mm wide for its first bolt
    name, hole = part_opening(plan, bolts[0].hole)
    assert isinstance(hole, Hole)
    slot = Slot(
        name=hole.name,
        u_mm=hole.u_mm,
        v_mm=hole.v_mm,
        width_mm=12.0,
        travel_mm=8.0,
        angle_rad=0.0,
        purpose=hole.purpose,
        fitting=hole.fitting,
        mates=True,
    )
    flanges = tuple(
        replace(f, holes=tuple(h for h in f.holes if h is not hole), slots=(slot,)) if f.name == name else f
        for f in plan.flanges
    )
    slotted = replace(bracket, part=replace(bracket.part, plan=replace(plan, flanges=flanges)))
    judged = {b.hole: b for b in judged_bolts(job.file, slotted, job.parts, job.layouts, job.bolted)}
    own = judged[hole.name].own
    assert (own.hole_mm, own.slotted) == (12.0, True)


def test_a_bead_and_clamped_edges_make_it_stiffer(tmp_path: Path) -> None:
    plain = give_of(made(tmp_path, extra='carried = { edges = "rest" }')).flex_mm_per_n
    bead = (
        'carried = { edges = "rest" }\n[[panel.bead]]\nname = "b"\nstart = ["40 mm", "340 mm"]\n'
        'end = ["460 mm", "340 mm"]\nwidth = "16 mm"\ndepth = "8 mm"'
    )
    assert give_of(made(tmp_path, extra=bead)).flex_mm_per_n < plain
    flat = made(tmp_path, extra=bead.replace('\ndepth = "8 mm"', ""))
    assert give_of(flat).flex_mm_per_n == pytest.approx(plain)
    clamped = give_of(made(tmp_path, extra='carried = { edges = "clamped" }')).flex_mm_per_n
    assert clamped < plain
    near = 'carried = { corner = ["100 mm", "60 mm"], size = ["300 mm", "280 mm"] }'
    assert give_of(made(tmp_path, extra=near)).flex_mm_per_n < plain


def test_a_typed_flex_that_is_not_the_panels_is_found(tmp_path: Path) -> None:
    job = made(tmp_path, 'flex = "0.001 mm/kN"', 'carried = { edges = "rest" }')
    assert "part:hanger hold" in [f.where for f in job.findings if f.code == "panel-give"]
    assert {h.flex_mm_per_n for h in job.loaded[0].holds} == {1e-6}


@pytest.mark.parametrize(
    "extra",
    [
        'carried = { corner = ["0 mm", "0 mm"] }',
        'carried = { corner = ["0 mm", "0 mm"], size = ["0 mm", "9 mm"] }',
    ],
)
def test_a_field_that_is_none_is_one_fault(extra: str, tmp_path: Path) -> None:
    with pytest.raises(SpecError) as caught:
        made(tmp_path, extra=extra)
    (fault,) = caught.value.faults
    assert "carried" in fault.path
