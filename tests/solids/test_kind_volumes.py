"""Every kind's solid against areas worked out by hand here, not by the package."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from math import pi

import pytest
from solids.hand_areas import EXACT, SQUARE_LESS_CIRCLE, bolt, cheek, circle, ring_sector

from generators.drawing.part.drawing import write_part_drawing
from generators.parts import KINDS
from generators.sheetmetal.volume import (
    flat_area,
    fold_volume_difference,
    folded_volume,
    mass_kg,
    uncounted_words,
)
from generators.solids import kernel
from generators.solids.build import flat_solid, folded_solid
from generators.solids.shapes import flat_shape, folded_shape
from generators.standards import bulkhead, material
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.making import mass_problems


@pytest.mark.parametrize(
    ("t", "count", "dash", "height", "corner", "bolts"),
    [
        (3.0, 2, 4, 60.0, 8.0, 4),
        (1.5, 1, 8, 60.0, 0.0, 0),
        (6.0, 12, 3, 80.0, 1.0, 3),
        (2.0, 3, 6, 60.0, 30.0, 2),
    ],
)
def test_fitting_plate(make_plan, t, count, dash, height, corner, bolts):
    plan = make_plan(
        "fitting_plate", t=t, count=count, dash=dash, height_mm=height, corner_radius_mm=corner, bolts=bolts
    )
    width = (count - 1) * 38.0 + 2 * 36.0
    area = width * height - SQUARE_LESS_CIRCLE * corner**2
    area -= count * circle(bulkhead(dash).hole_mm) + bolts * circle(bolt("M5"))
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * t, rel=EXACT)
    assert kernel.volume(flat_shape(plan)) == pytest.approx(area * t, rel=EXACT)


@pytest.mark.parametrize("r", [0.0, 1.0, 3.0, 5.0])
@pytest.mark.parametrize("degrees", [30.0, 60.0, 90.0, 120.0])
def test_reservoir_bracket(make_plan, degrees, r):
    angle, t, corner = math.radians(degrees), 2.0, 6.0
    plan = make_plan(
        "reservoir_bracket",
        t=t,
        r=r,
        angle_rad=angle,
        corner_radius_mm=corner,
        pattern_slot_mm=9.0,
        outlet_bore_mm=25.0,
        mount_slot_mm=4.0,
    )
    back = math.tan(angle / 2) * (r + t)
    area = 90.0 * ((60.0 - back) + (80.0 - back)) - SQUARE_LESS_CIRCLE * corner**2
    width = bolt("M6")
    area -= 2 * (circle(width) + width * 9.0) + 2 * (circle(width) + width * 4.0) + circle(25.0)
    expected = area * t + ring_sector(angle, r, t, 90.0)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(expected, rel=EXACT)


@pytest.mark.parametrize(
    ("t", "r", "up", "out", "boss", "tab_degrees"),
    [
        (3.0, 3.0, 60.0, 90.0, 24.0, 90.0),
        (2.0, 2.0, 60.0, 90.0, 24.0, 60.0),
        (3.0, 3.0, 150.0, 120.0, 40.0, 90.0),
        (3.0, 3.0, -90.0, 70.0, 15.0, 15.0),
        (2.5, 0.0, 0.0, 250.0, 60.0, 120.0),
        (3.0, 4.0, 60.0, 90.0, 24.0, 0.0),
    ],
)
def test_pedal_hanger(make_plan, t, r, up, out, boss, tab_degrees):
    tab_angle = math.radians(tab_degrees)
    changed = {"tab_angle_rad": tab_angle} if tab_degrees else {"tab_length_mm": 0.0}
    plan = make_plan(
        "pedal_hanger",
        t=t,
        r=r,
        inside_width_mm=88.0,
        web_below_mm=45.0,
        pivot_up_mm=up,
        pivot_out_mm=out,
        pivot_boss_mm=boss,
        **changed,
    )
    width = 88.0 - 2 * r
    tab_back = math.tan(tab_angle / 2) * (r + t)
    relief = 25.4 / 8 if t <= 0.064 * 25.4 else 25.4 * 3 / 16
    tall = 95.0 + 45.0 - (tab_back + relief if tab_degrees else 0.0)
    area = width * tall - circle(32.0) - 6 * circle(bolt("M8"))
    area += 2 * (cheek(tall, (up + 45.0, out - r - t), boss, t) - circle(16.0))
    bends = 2 * ring_sector(pi / 2, r, t, tall)
    if tab_degrees:
        flat = 45.0 - tab_back
        corner = min(8.0, 0.4 * flat, 12.5)
        # the neck is one relief high; each of its two fillets of half a relief adds (1 - pi/4)
        area += 50.0 * relief + SQUARE_LESS_CIRCLE / 2 * (relief / 2) ** 2
        area += 50.0 * flat - SQUARE_LESS_CIRCLE / 2 * corner**2 - circle(bolt("M8"))
        bends += ring_sector(tab_angle, r, t, 50.0)
    assert kernel.volume(folded_shape(plan)) == pytest.approx(area * t + bends, rel=EXACT)


@pytest.mark.parametrize("name", [f.name for f in KINDS if not f.printed])
def test_blank_and_folded_part_differ_by_the_neutral_fibre_only(make_plan, name):
    # A blank is as long as the fibre at K T; the solid's own middle fibre is at T / 2. Per bend the
    # folded solid has A (1/2 - K) T^2 L more, and nothing else differs.
    plan = make_plan(name)
    more = sum(
        b.angle_rad * (0.5 - b.k_factor) * plan.thickness_mm**2 * math.dist(b.start, b.end)
        for b in plan.bends
    )
    blank, folded = kernel.volume(flat_shape(plan)), kernel.volume(folded_shape(plan))
    assert folded - blank == pytest.approx(more, abs=1e-6)
    assert fold_volume_difference(plan) == pytest.approx(more, abs=1e-9)
    assert blank == pytest.approx(flat_area(plan) * plan.thickness_mm, rel=EXACT)
    assert (more > 0) == bool(plan.bends)


@pytest.mark.parametrize("name", [f.name for f in KINDS])
def test_cadquery_solids(make_plan, name):
    plan = make_plan(name)
    folded, flat = folded_solid(plan), flat_solid(plan)
    assert folded.isValid()
    assert flat.isValid()
    assert folded.Volume() == pytest.approx(folded_volume(plan), rel=EXACT)
    tips = {"CONE"} if plan.flanges[0].pegs else set()
    assert {f.geomType() for f in folded.Faces()} == {"PLANE", "CYLINDER"} | tips
    assert {e.geomType() for e in folded.Edges()} == {"LINE", "CIRCLE"}
    # a copy each time: meshing it must not reach the shape the files are written from
    assert not folded.wrapped.IsPartner(folded_shape(plan))


@pytest.mark.parametrize("name", [f.name for f in KINDS if not f.printed])
def test_a_part_weighs_what_its_blank_does(make_plan, name, tmp_path):
    # bending keeps the metal: what the modeller cuts out flat is on the scales, whatever solid is drawn of the bends
    plan = make_plan(name)
    kilograms = kernel.volume(flat_shape(plan)) * 1e-9 * material(plan.material).density_kg_m3
    assert mass_kg(plan) == pytest.approx(kilograms, rel=EXACT)
    path = tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="x", revision="abc1234")
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    beside = ", its welds not counted" if plan.welds else " "
    assert re.search(rf"mass each {kilograms:.3f} kg{beside}", text)
    assert list(mass_problems(text, plan)) == []
    heavier = text.replace(f"mass each {kilograms:.3f}", f"mass each {kilograms * 1.005 + 0.002:.3f}")
    assert any("the part's metal is" in p for p in mass_problems(heavier, plan))


def test_welds_are_said_to_be_out_of_the_mass(make_plan):
    plan = make_plan("slave_bracket")
    welded = replace(plan, welds=(("right_gusset", "base"),))
    text = f"mass each {mass_kg(plan):.3f} kg"
    for of, said in ((welded, f"{text}, its welds not counted"), (replace(plan, welds=()), text)):
        assert f"{text}{uncounted_words(of)}" == said
        other = text if "," in said else f"{text}, its welds not counted"
        assert list(mass_problems(said, of)) == []
        assert list(mass_problems(other, of)) == [
            "the drawing does not say rightly whether welds are in its mass"
        ]
