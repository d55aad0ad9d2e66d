"""A cheek that swings toward the punch: the closed form against a profile rotated step by step."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from small_jobs import SHOP, channel, codes, only, part

from generators.checks.part.punch import swing
from generators.geometry.contours import polygon, rectangle
from generators.model.findings import Severity
from generators.model.plan import Flange, PartPlan
from generators.model.spec.shop import Brake, Shop

RIGHT = math.pi / 2


# A channel by hand: 3 mm sheet, R 3, cheeks 40 behind the tangent line: 43 deep inside. The web between tangent lines
# is 6 less than the inside width, so at 90 degrees the straight punch has room from a flat of 37 on.
@pytest.mark.parametrize(("flat", "fires"), [(37.0, False), (36.99, True), (20.0, True), (200.0, False)])
def test_a_square_channel_may_be_as_deep_as_it_is_wide(flat: float, fires: bool) -> None:
    found = [f for f in part(channel(flat)) if f.code == "cheek-punch"]
    assert [f.severity for f in found] == ([Severity.WARN] if fires else [])


def test_the_message_names_flange_bends_and_heights() -> None:
    # inside 30 wide and 43 deep: the edge comes in at sqrt(30² + 43²) above the mould line, which lies
    # 3 (1/cos - 1) below the rounded tip, and ends (43 - 30)/sqrt 2 past the plane
    found = only(part(channel(24.0)), "cheek-punch")
    assert found.where == "part:p flange web, bends r and l"
    assert (found.value, found.limit) == pytest.approx((43.0, 30.0))
    sunk = 3 * (math.sqrt(2) - 1)
    # the outer corner of the edge is 3 further out, comes in at 90° - atan(43/33) of turn, and higher
    high = math.hypot(33, 43) - 3 * (math.hypot(33, 43) / 43 - 1)
    assert f"{math.ceil(100 * high) / 100:.2f} mm high" in found.advice
    assert f"{math.ceil(100 * 13 / math.sqrt(2)) / 100:.2f} mm back" in found.advice
    assert f"from {math.floor(100 * (30 * math.sqrt(2) - sunk)) / 100:.2f} mm above" in found.advice
    assert "flange right" in found.found


def test_the_shallower_cheek_is_bent_first() -> None:
    plan = channel(24.0)
    web, right, left = plan.flanges
    low = replace(left, contour=rectangle(0, 0, 100, 27))  # 30 deep inside, as wide
    assert "cheek-punch" not in codes(part(replace(plan, flanges=(web, right, low))))
    higher = replace(left, contour=rectangle(0, 0, 100, 27.1))
    assert only(part(replace(plan, flanges=(web, right, higher))), "cheek-punch").found.startswith(
        "flange left"
    )


def test_bends_to_opposite_sides_make_no_channel() -> None:
    plan = channel(24.0)
    zed = replace(plan, bends=(plan.bends[0], replace(plan.bends[1], direction="down")))
    assert "cheek-punch" not in codes(part(zed))


def test_only_the_cheek_over_the_other_bend_counts() -> None:
    # the right cheek is deep over the lower half of the web only, the left bend is on the upper half
    def at(deep: float) -> PartPlan:
        plan = channel(24.0)
        web = polygon([(0, 0), (24, 0), (24, 100), (0, 100), (0, 50)])
        right = polygon([(0, 0), (100, 0), (100, deep), (50, deep), (50, 20), (0, 20)])
        left = rectangle(0, 0, 50, 40)
        bends = (plan.bends[0], replace(plan.bends[1], start=(0.0, 100.0), end=(0.0, 50.0)))
        return replace(
            plan,
            flanges=(
                Flange(name="web", contour=web),
                Flange(name="right", contour=right),
                Flange(name="left", contour=left),
            ),
            bends=bends,
        )

    # u of the right cheek runs from the upper end of its bend: [50, 100] is the lower half
    assert "cheek-punch" not in codes(part(at(60.0)))
    plan = at(60.0)
    mirrored = polygon([(0, 0), (100, 0), (100, 20), (50, 20), (50, 60), (0, 60)])
    over = replace(
        plan, flanges=(plan.flanges[0], replace(plan.flanges[1], contour=mirrored), plan.flanges[2])
    )
    assert "cheek-punch" in codes(part(over))


ROOM = Brake(punch_height_mm=60.0, neck_depth_mm=9.3, neck_from_mm=41.0)


@pytest.mark.parametrize(
    ("brake", "fires"),
    [
        (ROOM, False),
        (replace(ROOM, punch_height_mm=53.4), True),  # 54.20 - 3 (54.20/43 - 1) = 53.42
        (replace(ROOM, punch_height_mm=53.43), False),
        (replace(ROOM, neck_depth_mm=9.19), True),  # 13/sqrt 2 = 9.192
        (replace(ROOM, neck_depth_mm=9.2), False),
        (replace(ROOM, neck_from_mm=41.2), True),  # 30 sqrt 2 - 1.243 = 41.184
        (replace(ROOM, neck_from_mm=41.18), False),
        (replace(ROOM, neck_from_mm=None), True),
        (replace(ROOM, punch_height_mm=None), True),
        (Brake(punch_height_mm=1000.0), True),  # a straight punch, however tall
    ],
)
def test_a_gooseneck_with_room_is_enough(brake: Brake, fires: bool) -> None:
    shop = Shop(stock=SHOP.stock, brake=brake)
    assert ("cheek-punch" in codes(part(channel(24.0), shop=shop))) is fires


def brute(
    flat: float, depth: float, thickness: float, first: tuple[float, float], second: tuple[float, float]
) -> tuple[float, float]:
    """Least x of the first cheek over the whole second bend, and the greatest height its edge has while x < 0.

    The profile is walked as a pen would draw it: from the tip of the punch along half the second bend's arc, the web,
    the first bend's arc, the cheek; both faces of the cheek as many points; once for every step of the bend.
    """
    (a1, r1), (a2, r2) = first, second
    least, high = math.inf, 0.0
    for step in range(1, 721):
        turn = a2 * step / 720
        x = y = heading = 0.0

        def arc(angle: float, radius: float) -> None:
            nonlocal x, y, heading
            for _ in range(200):
                chord = 2 * radius * math.sin(angle / 400)
                x += chord * math.cos(heading + angle / 400)
                y += chord * math.sin(heading + angle / 400)
                heading += angle / 200

        # the sheet wraps on to the punch: what is not yet bent is still flat, as long as its neutral fibre
        arc(turn / 2, r2)
        rest = (a2 - turn) / 2 * (r2 + 0.43 * thickness)
        x, y = x + (flat + rest) * math.cos(heading), y + (flat + rest) * math.sin(heading)
        arc(a1, r1)
        out = heading - math.pi / 2
        for i in range(201):
            for w in (0.0, thickness):
                px = x + depth * i / 200 * math.cos(heading) + w * math.cos(out)
                py = y + depth * i / 200 * math.sin(heading) + w * math.sin(out)
                least = min(least, px)
                if px <= 0:
                    high = max(high, py)
    return least, high


@pytest.mark.parametrize("a1", [60, 90, 110, 135])
@pytest.mark.parametrize("a2", [45, 90, 120])
@pytest.mark.parametrize("radii", [(0.5, 0.5), (3.0, 6.0)])
def test_the_closed_form_is_what_the_turned_profile_does(
    a1: float, a2: float, radii: tuple[float, float]
) -> None:
    first, second = (math.radians(a1), radii[0]), (math.radians(a2), radii[1])
    thickness = 2.0
    size: dict[str, Any] = {"flat": 50.0, "thickness": thickness, "first": first, "second": second}
    limit = swing(depth=10.0, **size).limit
    inside = first[1] * math.tan(first[0] / 2)
    if math.isinf(limit):
        assert brute(depth=2000.0, **size)[0] > 0
        return
    depth = limit - inside
    assert brute(depth=depth - 0.2, **size)[0] > 0
    assert brute(depth=depth + 0.2, **size)[0] < 0
    assert not swing(depth=depth - 0.01, **size).meets
    assert swing(depth=depth + 0.01, **size).meets
    deep = swing(depth=depth + 20, **size)
    least, high = brute(depth=depth + 20, **size)
    assert -least == pytest.approx(deep.past, abs=0.05)
    # what is named is enough for the ram, and not much more; while it is bent the web is up to 0.1 longer
    assert high <= deep.high + 0.1
    assert high >= deep.high - 2 * radii[1] - thickness


def test_wide_open_bends_never_reach_the_punch() -> None:
    # 45 + 60/2 < 90 degrees: the cheek leans away from the plane to the end
    s = swing(
        flat=10.0, depth=900.0, thickness=2.0, first=(math.radians(45), 2.0), second=(math.radians(60), 2.0)
    )
    assert not s.meets
    assert math.isinf(s.limit)


def test_the_square_case_of_the_docstring() -> None:
    # W 100, h just 100: the edge touches the plane at 100 sqrt 2 above a sharp tip
    s = swing(flat=100.0, depth=100.0, thickness=1.0, first=(RIGHT, 0.0), second=(RIGHT, 0.0))
    assert (s.limit, s.low) == pytest.approx((100.0, 100 * math.sqrt(2)))
    assert s.past == pytest.approx(0.0, abs=1e-9)
