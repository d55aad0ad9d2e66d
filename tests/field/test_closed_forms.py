"""Installs drawn at random against closed forms: what is counted must lie where the formula says.

A count of n draws at a true share p lies within ±3.29 sqrt(p (1 - p) / n) of it in 999 of 1,000 seeds; the
seed is fixed, so this is no test of luck.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from generators.measure.chance.draws import BLOCK, block, standard
from generators.measure.chance.interval import wilson
from generators.measure.chance.kit import BoltedOn, Column, Gauge, Group, Kit
from generators.measure.chance.run import added, installs, joint_room, tally
from generators.measure.chance.shares import shares
from generators.measure.fitting.fit import Joint, fit, laid_room
from generators.measure.fitting.goes import assembles
from generators.model.spec.forms.spread import Shape

SEED = 11
FOUND = "mm"


def column(scale: float, shape: Shape = "normal", group: int = 0) -> Column:
    return Column(group=group, thing="x", axis="", shape=shape, scale=scale, unit="mm")


def kit(columns: list[Column], *, bolted: tuple[BoltedOn, ...] = (), gauges: tuple[Gauge, ...] = ()) -> Kit:
    count = 1 + max(c.group for c in columns)
    groups = tuple(Group(name=f"g{k}", of="cut", words=f"input {k}", source="ours") for k in range(count))
    return Kit(groups=groups, columns=tuple(columns), bolted=bolted, gauges=gauges, tasks=(("a", "a"),))


def gauge(rest: float, rows: list[list[float]]) -> Gauge:
    return Gauge(name="room", kind="gap", task="a", title="room", rest_mm=rest, rows=np.array(rows))


def counted(it: Kit, blocks: int = 20) -> tuple[float, float]:
    """The share that goes together, and how far chance may take it off the true one."""
    done = added([tally(installs(it, block(it.columns, SEED, k))) for k in range(blocks)])
    share = done.together / done.tries
    return share, 3.29 * math.sqrt(max(share * (1 - share), 1 / done.tries) / done.tries)


def phi(x: float) -> float:
    return 0.5 * (1 + math.erf(x / math.sqrt(2)))


def joint(
    at: tuple[float, float], hole: float, shank: float, *, fixed: bool = False, slot: float = 0.0
) -> Joint:
    return Joint(
        name="1",
        kind="bolt",
        part=at,
        part_dia_mm=hole,
        panel=at,
        panel_dia_mm=hole,
        shank_mm=shank,
        fixed=fixed,
        travel_mm=slot,
    )


def two_holes(apart: float = 100.0, **more: float) -> tuple[Joint, Joint]:
    return joint((0.0, 0.0), 9.0, 8.0), joint((apart, 0.0), 9.0, 8.0, **more)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------------ two-hole float
@pytest.mark.parametrize("slot", [0.0, 3.0])
def test_a_part_on_two_bolts_goes_on_where_their_distance_is_within_both_clearances(slot: float) -> None:
    """A rigid part shifts and turns, so only the distance counts: |d| <= c1 + c2 (+ half a slot each way).

    Holes 9, bolt 8 in both sheets: each centre may be 1 mm off its fellow, so d may be 2 mm; of two holes each
    off by sigma along the line, d has sigma sqrt 2.
    """
    sigma = 1.2
    part = BoltedOn(
        part="p",
        task="a",
        title="p",
        joints=two_holes(slot=slot),
        off=np.array([[1.0, 0.0], [0.0, 0.0], [0.0, 1.0], [0.0, 0.0]]),
        clear=np.zeros((2, 2)),
    )
    share, within = counted(kit([column(sigma)] * 2, bolted=(part,)))
    true = 2 * phi((2.0 + slot / 2) / (sigma * math.sqrt(2))) - 1
    assert abs(share - true) < within


def test_off_square_to_the_line_costs_nothing_to_first_order() -> None:
    """The part turns: a hole 3 mm off square to a line of 100 mm lengthens it by 9/200 mm, less than 2 mm."""
    part = BoltedOn(
        part="p",
        task="a",
        title="p",
        joints=two_holes(),
        off=np.array([[0.0], [0.0], [0.0], [1.0]]),
        clear=np.zeros((2, 1)),
    )
    room, goes = joint_room(part, np.array([[3.0], [-3.0]]))
    assert goes.all()
    assert (room > 0.9).all()


@pytest.mark.parametrize(("fixed", "clearance"), [(False, 1.0), (True, 2.0)])
def test_asme_fastener_formulas_at_their_limit(*, fixed: bool, clearance: float) -> None:
    """ASME Y14.5 appendix B, from public transcriptions: floating H = F + T, fixed H = F + 2T (T both holes).

    Worst case of two holes: in one sheet both lie outward by T/2, in the other inward by T/2.
    """
    zone, shank = 0.8, 8.0
    hole = shank + clearance * zone
    joints = (joint((0.0, 0.0), hole, shank, fixed=fixed), joint((100.0, 0.0), hole, shank, fixed=fixed))
    part = BoltedOn(
        part="p",
        task="a",
        title="p",
        joints=joints,
        off=np.array([[-1.0], [0.0], [1.0], [0.0]]),
        clear=np.zeros((2, 1)),
    )
    # zones of both sheets add up: T/2 out in one and T/2 in in the other is T between the two centres
    _, goes = joint_room(part, np.array([[zone - 1e-3], [zone + 1e-3]]))
    assert goes.tolist() == [True, False]


def test_a_part_laid_by_least_squares_never_has_more_room_than_the_best_place() -> None:
    rng = np.random.default_rng(3)
    joints = [joint((x, y), 9.0, 8.0) for x, y in ((0.0, 0.0), (60.0, 0.0), (10.0, 40.0))]
    panel = np.array([j.panel for j in joints]) + rng.normal(0, 0.6, (300, 3, 2))
    clear = np.tile([j.clearance_mm for j in joints], (300, 1))
    room = laid_room(joints, panel, clear)
    assert 0.05 < (room >= 0).mean() < 0.95
    assert assembles(joints, panel, clear)[room >= 0].all()
    from dataclasses import replace

    for k in range(5):
        moved = [replace(j, panel=(float(p[0]), float(p[1]))) for j, p in zip(joints, panel[k], strict=True)]
        assert room[k] <= fit(moved).worst_mm + 1e-6


# ------------------------------------------------------------------------------------ sums
def test_three_stacked_tolerances() -> None:
    """Three sheets each uniform ± 1: P(sum <= 1.5) by Irwin and Hall: 1 - (3 - x)^3 / 6 with x = 1.5/2 + 1.5."""
    share, within = counted(kit([column(1.0, "uniform")] * 3, gauges=(gauge(1.5, [[-1.0] * 3]),)))
    x = (1.5 + 3.0) / 2
    assert abs(share - (1 - (3 - x) ** 3 / 6)) < within


def test_a_sum_of_normals() -> None:
    """1 σ of 3, 4 and 12 make 13 (root of the sum of squares): P(sum <= 13) = Φ(1)."""
    share, within = counted(
        kit([column(3.0), column(4.0), column(12.0)], gauges=(gauge(13.0, [[1.0, -1.0, 1.0]]),))
    )
    assert abs(share - phi(1.0)) < within


def test_a_line_that_meets_within_a_ball() -> None:
    """Three normals of σ: within r = 2σ lie chi-square of 3 degrees up to 4: erf(√2) - 2√(2/π) e^-2 = 0.7385."""
    it = kit(
        [column(1.5)] * 3,
        gauges=(Gauge(name="l", kind="line", task="a", title="l", rest_mm=3.0, rows=np.eye(3), hose="h"),),
    )
    share, within = counted(it)
    assert abs(share - (math.erf(math.sqrt(2)) - 2 * math.sqrt(2 / math.pi) * math.exp(-2))) < within
    done = installs(it, block(it.columns, SEED, 0))
    assert done.scrapped.sum() == BLOCK - done.together.sum()


@pytest.mark.parametrize(("shape", "sigma"), [("normal", 1.0), ("uniform", 3**-0.5), ("triangular", 6**-0.5)])
def test_shapes_have_the_deviation_the_textbooks_give(shape: Shape, sigma: float) -> None:
    at = (np.arange(100_000) + 0.5) / 100_000
    drawn = standard(at, shape)
    assert abs(drawn.mean()) < 1e-9
    assert drawn.std() == pytest.approx(sigma, rel=1e-4)
    assert column(2.0, shape).sigma == pytest.approx(2 * sigma)


# ------------------------------------------------------------------------------------ intervals
@pytest.mark.parametrize(
    ("hits", "tries", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_as_published(hits: int, tries: int, low: float, high: float) -> None:
    """R. G. Newcombe, Statistics in Medicine 17 (1998), table I, method 3 (from memory)."""
    assert wilson(hits, tries) == pytest.approx((low, high), abs=6e-5)


def test_intervals_cover_what_they_say() -> None:
    """By the binomial law itself, no draws: of 200, over shares from 2 % to 98 %, on average 95 %.

    Brown, Cai and DasGupta (2001) find it so, no single share far below.
    """
    n = 200
    ends = [wilson(k, n) for k in range(n + 1)]
    cover = []
    for p in np.linspace(0.02, 0.98, 97):
        cover.append(
            sum(
                math.comb(n, k) * p**k * (1 - p) ** (n - k)
                for k, (low, high) in enumerate(ends)
                if low <= p <= high
            )
        )
    assert np.mean(cover) == pytest.approx(0.95, abs=0.004)
    assert min(cover) > 0.91


@pytest.mark.parametrize(("hits", "tries"), [(0, 0), (3, 2), (-1, 4)])
def test_no_interval_of_nothing(hits: int, tries: int) -> None:
    with pytest.raises(ValueError, match="of"):
        wilson(hits, tries)


def test_the_interval_of_the_counts_holds_the_true_share_in_95_of_100() -> None:
    """200 runs of 1,000 draws at Φ(1) = 84.13 %: a count of 200 at 95 % lies from 180 to 200 in 999 of 1,000."""
    it = kit([column(1.0)], gauges=(gauge(1.0, [[1.0]]),))
    held = 0
    for number in range(200):
        done = tally(installs(it, block(it.columns, SEED, number)))
        low, high = wilson(done.together, done.tries)
        held += low <= phi(1.0) <= high
    assert 180 <= held <= 199


# ------------------------------------------------------------------------------------ shares, blocks
def test_shares_of_a_sum_are_as_its_squares() -> None:
    """y = 3 a + 4 b + 0 c of unit normals: first-order and total are 9/25, 16/25 and 0 (Sobol 1993)."""
    columns = [column(1.0, group=k) for k in range(3)]
    pytest.importorskip("SALib")
    found = shares(kit(columns, gauges=(gauge(100.0, [[3.0, 4.0, 0.0]]),)), 1, samples=512)
    assert [s.of_room[0] for s in found] == pytest.approx([0.36, 0.64, 0.0], abs=0.02)
    assert [s.of_room[2] for s in found] == pytest.approx([0.36, 0.64, 0.0], abs=0.02)
    # nothing ever fails, so nothing is due to anything
    assert all(s.of_going == (0.0, 0.0, 0.0, 0.0) for s in found)


def test_blocks_come_out_the_same_in_any_order_and_differ_from_each_other() -> None:
    columns = [column(1.0)] * 2
    drawn = [block(columns, 5, number) for number in (2, 0, 1)]
    again = [block(columns, 5, number) for number in (0, 1, 2)]
    assert np.array_equal(drawn[1], again[0])
    assert np.array_equal(drawn[0], again[2])
    for a, b in itertools.combinations([*again, block(columns, 6, 0)], 2):
        assert abs(np.corrcoef(a[:, 0], b[:, 0])[0, 1]) < 0.11
