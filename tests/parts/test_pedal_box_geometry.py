"""Twin hanger and throttle bracket by hand calculation: places in space, and what cannot be made."""

from __future__ import annotations

import math

import pytest
from parts.plans_in_space import in_space, plan_of

from generators.errors import GeometryFault
from generators.parts import kind_named
from generators.reading.keys.pedals import is_hanger
from generators.sheetmetal.folding import folded_frames

TWIN, THROTTLE = "twin_pedal_hanger", "throttle_pedal_bracket"


def test_twin_hanger_places_masters_shaft_and_tube() -> None:
    holes = in_space(
        plan_of(
            TWIN,
            inside_width_mm=240.0,
            clutch_u_mm=-72.0,
            brake_u_mm=45.0,
            balance_spacing_mm=66.0,
            master_spacing_mm=56.0,
            pivot_up_mm=58.0,
            pivot_out_mm=112.0,
            balance_up_mm=12.0,
            balance_out_mm=50.0,
        )
    )
    # lower side of each cheek is its outside: 240/2 + 3 from the middle
    assert holes["pivot_left"] == pytest.approx([-123.0, 58.0, 112.0])
    assert holes["pivot_right"] == pytest.approx([123.0, 58.0, 112.0])
    assert holes["balance_left"] == pytest.approx([-123.0, 12.0, 50.0])
    assert holes["balance_right"] == pytest.approx([123.0, 12.0, 50.0])
    assert holes["clutch_bore"] == pytest.approx([-72.0, 0.0, 0.0])
    assert holes["brake_left_bore"] == pytest.approx([12.0, 0.0, 0.0])
    assert holes["brake_right_2"] == pytest.approx([78.0, 28.0, 0.0], abs=1e-12)


def test_twin_hanger_without_balance_bar_has_one_brake_master_and_no_tube() -> None:
    names = set(in_space(plan_of(TWIN, balance_spacing_mm=0.0, balance_bore_mm=0.0, mount_columns=2)))
    assert {"clutch_bore", "brake_bore", "brake_1", "brake_2"} <= names
    assert not any(n.startswith(("brake_left", "balance")) for n in names)
    assert {n for n in names if n.startswith("mount")} == {f"mount_{i}" for i in range(1, 5)}


def test_both_hangers_hang_pedals() -> None:
    assert {n for n in ("pedal_hanger", TWIN, THROTTLE) if is_hanger(kind_named(n).parameters)} == {
        "pedal_hanger",
        TWIN,
    }


@pytest.mark.parametrize("degrees", [-25.0, 0.0, 15.0, 50.0])
def test_throttle_pad_comes_out_at_the_height_asked_for(degrees: float) -> None:
    """Walk the outside of the folded part by trigonometry: base up, riser out, face up at the tilt."""
    a, t, brake, height, module_pad, reach = math.radians(degrees), 3.0, -100.0, -20.0, -240.0, 55.0
    plan = plan_of(
        THROTTLE,
        tilt_rad=a,
        offset_mm=75.0,
        face_length_mm=130.0,
        base_height_mm=64.0,
        mount_height_mm=26.0,
        brake_pad_mm=brake,
        pad_height_mm=height,
        module_pad_mm=module_pad,
        module_reach_mm=reach,
        pattern_width_mm=44.0,
        pattern_rows_mm=0.0,
        module_bolts=2,
    )
    frame = folded_frames(plan)["face"]
    face = plan.flange("face")
    one, two = ((frame @ [h.u_mm, h.v_mm, t, 1.0])[:3] for h in face.holes)
    assert two[0] - one[0] == pytest.approx(44.0)
    assert one[1:] == pytest.approx(two[1:])
    # driver's side of the face begins at (64 - 26 - 3, 75), up and out
    up, out = one[1] - 35.0, one[2] - 75.0
    assert math.atan2(out, up) == pytest.approx(a) or math.hypot(up, out) < 1e-9
    # pad from the pattern: module_pad along the face, reach square off it
    pad_up = one[1] + module_pad * math.cos(a) - reach * math.sin(a)
    assert pad_up == pytest.approx(brake + height)


def test_a_module_with_rows_stands_on_a_triangle() -> None:
    holes = in_space(plan_of(THROTTLE, tilt_rad=0.0, pattern_width_mm=40.0, pattern_rows_mm=48.0))
    one, two, three = (holes[f"module_{i}"] for i in (1, 2, 3))
    assert two - one == pytest.approx([40.0, 0.0, 0.0])
    assert three - one == pytest.approx([20.0, 48.0, 0.0])
    # face square to the riser: its lower side lies 45 - 3 off the panel
    assert three[2] == pytest.approx(42.0)


@pytest.mark.parametrize(
    ("name", "parameters", "parameter", "words"),
    [
        (TWIN, {"balance_spacing_mm": 30.0}, "balance_spacing", "30 mm apart"),
        (TWIN, {"clutch_u_mm": 20.0}, "", "run into each other"),
        (TWIN, {"balance_out_mm": 10.0}, "", "does not lie whole"),
        (TWIN, {"tab_width_mm": 230.0}, "tab_width", "corner relief"),
        (THROTTLE, {"pad_height_mm": 100.0}, "pad_height", "along a face"),
        (THROTTLE, {"pad_height_mm": -120.0}, "pad_height", "along a face"),
        (THROTTLE, {"offset_mm": 10.0}, "offset", "nothing of the riser"),
        (THROTTLE, {"tilt_rad": math.radians(-30), "face_length_mm": 150.0}, "tilt", "reaches the panel"),
        (THROTTLE, {"pattern_width_mm": 0.0, "pattern_rows_mm": 0.0}, "pattern_width", "width or rows"),
        (THROTTLE, {"pattern_width_mm": 5.0}, "", "run into each other"),
    ],
)
def test_what_cannot_be_made_is_said(name: str, parameters: dict, parameter: str, words: str) -> None:
    with pytest.raises(GeometryFault, match=words) as caught:
        plan_of(name, **parameters)
    assert caught.value.parameter == parameter
