"""Random trees of flanges: rectangles on each other's free sides, as wide as the side or narrower."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from generators.model.contour import Contour, Vertex
from generators.model.plan import Bend, Fitting, Flange, Hole, PartPlan

MOST_FLANGES = 6
HOLE = Fitting(kind="plain", label="hole")


@st.composite
def trees(draw: st.DrawFn, least: int = 2, tight: bool = False) -> PartPlan:
    """A plan of ``least`` to six flanges, bends of 1 to 150 degrees both ways, a hole in each flange.

    Nothing keeps the flanges off each other, flat or folded. A ``tight`` one has a small root, long
    flanges and no bend under 75 degrees, so that many run into each other.
    """
    count = draw(st.integers(least, MOST_FLANGES))
    t = draw(st.sampled_from((0.8, 2.0, 3.0, 6.0)))
    wide, low = (40, 1) if not tight else (0, 75)
    sizes = [(draw(st.floats(20, 80 + wide)), draw(st.floats(15, 50 + wide)))]
    taken: dict[tuple[int, int], Bend] = {}
    bends: list[Bend] = []
    for child in range(1, count):
        free = [(f, side) for f in range(child) for side in range(4) if (f, side) not in taken]
        # a child's own first side is the one it hangs on
        parent, side = draw(st.sampled_from([x for x in free if x[0] == 0 or x[1] != 0]))
        a, b = _side(sizes[parent], side)
        inset = draw(st.sampled_from((0.0, 0.25)))
        start = (a[0] + inset * (b[0] - a[0]), a[1] + inset * (b[1] - a[1]))
        end = (b[0] - inset * (b[0] - a[0]), b[1] - inset * (b[1] - a[1]))
        bend = Bend(
            name=f"b{child}",
            parent=f"f{parent}",
            child=f"f{child}",
            start=start,
            end=end,
            angle_rad=math.radians(draw(st.sampled_from((low, 90.0, 120.0, 150.0)) | st.floats(low, 150))),
            inside_radius_mm=draw(st.sampled_from((0.0, 2.0)) | st.floats(0.5, 10)),
            direction=draw(st.sampled_from(("up", "down"))),
            k_factor=draw(st.floats(0.3, 0.5)),
            k_source="test",
        )
        taken[(parent, side)] = bend
        bends.append(bend)
        sizes.append((math.dist(start, end), draw(st.floats(40 if tight else 10, 90))))
    flanges = tuple(
        Flange(
            name=f"f{i}",
            contour=_contour(size, [taken.get((i, side)) for side in range(4)]),
            holes=(
                Hole(
                    name=f"h{i}",
                    u_mm=size[0] / 2,
                    v_mm=size[1] / 2,
                    # whole on its flange, as every kind's must be: a third bend may be under 4 mm long
                    diameter_mm=min(draw(st.floats(2, 5)), 0.8 * min(size)),
                    purpose="test",
                    fitting=HOLE,
                ),
            ),
        )
        for i, size in enumerate(sizes)
    )
    return PartPlan(
        name="tree",
        kind="by_hand",
        title="Tree",
        material="1008 steel",
        thickness_mm=t,
        flanges=flanges,
        bends=tuple(bends),
    )


def _side(size: tuple[float, float], side: int) -> tuple[tuple[float, float], tuple[float, float]]:
    w, h = size
    corners = ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
    return corners[side], corners[(side + 1) % 4]


def _contour(size: tuple[float, float], bends: list[Bend | None]) -> Contour:
    points: list[tuple[float, float]] = []
    for side, bend in enumerate(bends):
        points.append(_side(size, side)[0])
        if bend is not None:
            points += [bend.start, bend.end]
    kept = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-9]
    return Contour(tuple(Vertex(*p) for p in kept))
