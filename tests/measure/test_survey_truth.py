"""Places from readings against what they were made from, scipy, and published adjustments."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy import optimize, stats
from survey_samples import HANDED, SQUARE, distances, names, readings

from generators.measure.adjust import adjust, exact_constraints
from generators.measure.datum import close_frame
from generators.measure.equations import DIAMETER, DISTANCE, Problem, Row, build, jacobian, model
from generators.measure.quality import checked, ellipse, freedom
from generators.measure.statistics import ELLIPSE_95, chi_square_above
from generators.measure.survey import survey
from generators.model.spec.readings import MeasuredHole, MeasureFrame, MeasureHead, Reading, Readings
from generators.model.words import Hand, ReadingKind

PATTERN = np.array([[120.0, 60.0], [340.0, 90.0], [310.0, 260.0], [90.0, 220.0], [220.0, 150.0]])


def fixed_stations(stations: list[tuple[float, float]], ranges: list[float], sigmas: list[float]) -> Problem:
    """One unknown point by distances from known stations; diameters stand aside as unit readings."""
    n = len(stations)
    rows = [
        Row(kind=DISTANCE, a=i, b=n, value_mm=r, sigma_mm=s)
        for i, (r, s) in enumerate(zip(ranges, sigmas, strict=True))
    ]
    rows += [Row(kind=DIAMETER, a=i, value_mm=1.0) for i in range(n + 1)]
    return Problem(names=tuple(names(n + 1)), rows=tuple(rows), exact=tuple(enumerate(stations)))


def located(problem: Problem, start: tuple[float, float]):
    x = np.concatenate([np.array([p for _, p in problem.exact]).ravel(), start, np.ones(problem.count)])
    return adjust(problem, x, exact_constraints(problem))


# C. D. Ghilani and P. R. Wolf, Adjustment Computations, chapter 14: station U by distances in feet from
# three control stations. Data as transcribed in a public course file on that chapter (example 14.2);
# the same data serve a university exercise with weights for 1 mm + 2 ppm.
CONTROL = [(865.40, 4527.15), (2432.55, 2047.25), (2865.22, 27.15)]
LENGTHS = [6049.00, 4736.83, 5446.49]


@pytest.mark.parametrize("sigmas", [[1.0, 1.0, 1.0], [(1 + 2 * d / 1000) / 1000 for d in LENGTHS]])
def test_published_trilateration_against_scipy(sigmas: list[float]) -> None:
    found = located(fixed_stations(CONTROL, LENGTHS, sigmas), (6800.0, 3700.0))
    weight = 1 / np.array(sigmas)

    def off(p: np.ndarray) -> np.ndarray:
        return (np.hypot(*(np.array(CONTROL) - p).T) - LENGTHS) * weight

    # MINPACK with finite differences: not the solver the adjustment uses
    other = optimize.least_squares(off, [6800.0, 3700.0], method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert found.points()[3] == pytest.approx(other.x, abs=1e-5)
    wanted = np.linalg.inv(np.asarray(other.jac).T @ np.asarray(other.jac))
    assert found.covariance[6:8, 6:8] == pytest.approx(wanted, rel=1e-5)
    assert found.cost == pytest.approx(2 * other.cost, rel=1e-6)


def test_published_trilateration_by_its_normal_equations() -> None:
    """The book's own way by hand from the circles' crossing: J, K, X = (JᵀJ)⁻¹JᵀK, until X is nothing."""
    x = np.array([6861.0, 3728.0])
    for _ in range(10):
        step = x - np.array(CONTROL)
        far = np.hypot(*step.T)
        slope = step / far[:, None]
        x = x + np.linalg.solve(slope.T @ slope, slope.T @ (LENGTHS - far))
    found = located(fixed_stations(CONTROL, LENGTHS, [1.0, 1.0, 1.0]), (6000.0, 3000.0))
    assert found.points()[3] == pytest.approx(x, abs=1e-6)
    # the normal equations say that residuals lie square to the slopes
    step = x - np.array(CONTROL)
    assert (step / np.hypot(*step.T)[:, None]).T @ found.residual_mm[:3] == pytest.approx(
        [0.0, 0.0], abs=1e-9
    )


@pytest.mark.parametrize("seed", range(3))
def test_network_against_scipy(seed: int) -> None:
    """A whole network with edges of every kind, with residuals written out again and another solver.

    The adjustment uses scipy's trust region with its own slopes; here it is MINPACK with finite differences.
    """
    rng = np.random.default_rng(seed)
    points = rng.uniform(50.0, 400.0, (5, 2))
    dia = rng.uniform(8.0, 60.0, 5)
    given = readings(
        points,
        dia=[float(d) for d in dia],
        kinds=("inner", "outer", "same_side", "centre"),
        lines=True,
        rng=rng,
    )
    result = survey(given)
    index = {h.name: i for i, h in enumerate(given.hole)}

    def off(x: np.ndarray) -> np.ndarray:
        p, d = x[:10].reshape(5, 2), x[10:]
        out = [(d[i] - h.diameter_mm) / 0.1 for i, h in enumerate(given.hole)]
        for r in given.reading:
            i = index[r.from_]
            if r.to in index:
                j = index[r.to]
                far = float(np.hypot(*(p[i] - p[j])))
                plus = {
                    "centre": 0,
                    "inner": -d[i] / 2 - d[j] / 2,
                    "outer": d[i] / 2 + d[j] / 2,
                    "same_side": d[i] / 2 - d[j] / 2,
                }
                out.append((far + plus[r.kind] - r.is_mm) / 0.5)
            else:
                out.append((p[i][0 if r.to == "left" else 1] - r.is_mm) / 0.5)
        return np.array(out)

    start = np.concatenate([points.ravel(), dia])
    other = optimize.least_squares(off, start, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert result.adjusted.x == pytest.approx(other.x, abs=1e-5)
    assert result.adjusted.cost == pytest.approx(2 * other.cost, rel=1e-6)
    assert result.adjusted.covariance == pytest.approx(
        np.linalg.inv(np.asarray(other.jac).T @ np.asarray(other.jac)), abs=1e-5
    )
    assert result.chance == pytest.approx(stats.chi2.sf(2 * other.cost, result.freedom), rel=1e-6)


def test_derivatives_against_finite_differences() -> None:
    given = readings(PATTERN, kinds=("inner", "outer", "same_side", "centre"), lines=True)
    problem = build(given)
    x = np.concatenate([PATTERN.ravel() + 3.0, np.full(5, 12.0)])
    step = 1e-5
    numeric = np.column_stack(
        [(model(problem, x + step * e) - model(problem, x - step * e)) / (2 * step) for e in np.eye(len(x))]
    )
    assert jacobian(problem, x) == pytest.approx(numeric, abs=1e-7)


def chi_square_by_finite_sums(value: float, freedom: int) -> float:
    """M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5."""
    half = value / 2
    if freedom % 2 == 0:
        return math.exp(-half) * sum(half**k / math.factorial(k) for k in range(freedom // 2))
    terms = (value ** (k - 0.5) / math.prod(range(1, 2 * k, 2)) for k in range(1, (freedom + 1) // 2))
    return math.erfc(math.sqrt(half)) + math.exp(-half) * math.sqrt(2 / math.pi) * sum(terms)


def test_chi_square_against_its_closed_forms() -> None:
    for freedom_, value in itertools.product((1, 2, 3, 4, 7, 12, 25, 60), (0.1, 1.0, 5.0, 12.0, 40.0, 150.0)):
        wanted = chi_square_by_finite_sums(value, freedom_)
        assert chi_square_above(value, freedom_) == pytest.approx(wanted, rel=1e-9)
    assert chi_square_above(0.0, 3) == chi_square_above(5.0, 0) == 1.0
    # ellipse: with 2 degrees of freedom the probability is exp(-value / 2)
    assert math.exp(-(ELLIPSE_95**2) / 2) == pytest.approx(0.05, rel=1e-12)


# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, upper critical values (from memory).
@pytest.mark.parametrize(
    ("freedom_", "chance", "value"),
    [
        (1, 0.05, 3.841),
        (1, 0.001, 10.828),
        (2, 0.05, 5.991),
        (2, 0.01, 9.210),
        (5, 0.05, 11.070),
        (10, 0.05, 18.307),
    ],
)
def test_chi_square_against_a_table(freedom_: int, chance: float, value: float) -> None:
    assert chi_square_above(value, freedom_) == pytest.approx(chance, rel=6e-4)


def test_ellipse_of_a_known_covariance() -> None:
    turn = math.radians(30)
    c, s = math.cos(turn), math.sin(turn)
    r = np.array([[c, -s], [s, c]])
    e = ellipse(r @ np.diag([4.0, 1.0]) @ r.T)
    assert (e.major_mm, e.minor_mm) == pytest.approx((2 * ELLIPSE_95, ELLIPSE_95))
    assert e.angle_rad == pytest.approx(turn)


# --- diameters ------------------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["centre", "inner", "outer", "same_side"])
def test_edges_and_centres_give_the_same_places(kind: ReadingKind) -> None:
    dia = [10.0, 25.0, 70.0, 8.0, 12.0]
    result = survey(readings(PATTERN, dia=dia, kinds=(kind,), handed=HANDED))
    assert distances(result.points()) == pytest.approx(distances(PATTERN), abs=1e-6)


def test_same_side_is_the_centre_distance_for_equal_holes() -> None:
    """Common practice, no source: same-side edge to edge equals centre distance for equal holes."""
    given = Readings(
        measure=MeasureHead(name="two", title="Two"),
        hole=(MeasuredHole(name="a", diameter_mm=9.0), MeasuredHole(name="b", diameter_mm=9.0)),
        reading=(Reading(kind="same_side", from_="a", to="b", is_mm=57.15),),
    )
    assert survey(given).points()[1] == pytest.approx((57.15, 0.0), abs=1e-9)


def test_inner_and_outer_edges_tell_a_diameter_the_caliper_did_not() -> None:
    """inner = d - (Da+Db)/2 and outer = d + (Da+Db)/2: their half sum is d, half their difference the mean."""
    given = Readings(
        measure=MeasureHead(name="two", title="Two"),
        hole=(
            MeasuredHole(name="a", diameter_mm=20.0, diameter_by="tape"),
            MeasuredHole(name="b", diameter_mm=20.0, diameter_by="tape"),
        ),
        reading=(
            Reading(kind="inner", from_="a", to="b", is_mm=79.0, uncertainty_mm=0.001),
            Reading(kind="outer", from_="a", to="b", is_mm=121.0, uncertainty_mm=0.001),
        ),
    )
    result = survey(given)
    assert result.points()[1][0] == pytest.approx(100.0, abs=1e-6)
    assert result.diameters() == pytest.approx([21.0, 21.0], abs=1e-4)


def test_frame_puts_origin_and_direction_where_asked() -> None:
    frame = MeasureFrame(origin="b", at=(50.0, 70.0), along="d", angle_rad=math.radians(35))
    result = survey(readings(SQUARE, handed=HANDED, frame=frame))
    p = result.points()
    assert p[1] == pytest.approx((50.0, 70.0), abs=1e-9)
    step = p[3] - p[1]
    assert math.degrees(math.atan2(step[1], step[0])) == pytest.approx(35.0, abs=1e-7)
    assert distances(p) == pytest.approx(distances(SQUARE), abs=1e-6)
    assert result.closed == 3


def test_edges_tie_the_set_to_the_panel() -> None:
    result = survey(readings(SQUARE, lines=True))
    assert result.closed == 0
    assert result.points() == pytest.approx(SQUARE, abs=1e-6)


# --- covariance -----------------------------------------------------------------------------
def _trial(seed: int, count: int) -> tuple[float, int, float, np.ndarray]:
    """Cost, freedom, the places' squared Mahalanobis distance from the truth, and standardised residuals."""
    rng = np.random.default_rng(seed)
    points = rng.uniform(0.0, 400.0, (count, 2))
    problem = build(readings(points, rng=rng, lines=seed % 2 == 0))
    truth = np.concatenate([points.ravel(), np.full(count, 10.0)])
    exact = exact_constraints(problem)
    angle = math.atan2(*(points[1] - points[0])[::-1])
    frame = MeasureFrame(at=(float(points[0][0]), float(points[0][1])), angle_rad=angle)
    x, constraints, _ = close_frame(problem, truth, exact, frame)
    found = adjust(problem, x, constraints)
    off = (found.x - truth)[: 2 * count]
    spread = np.linalg.pinv(found.covariance[: 2 * count, : 2 * count], rcond=1e-10, hermitian=True)
    w = np.array([c.w for c in checked(problem, found) if c.redundancy > 0.05])
    return found.cost, freedom(problem, found, constraints), float(off @ spread @ off), w


def _consistent(trials: int) -> None:
    chances, places = [], []
    residuals: list[float] = []
    for seed in range(trials):
        count = 4 + seed % 3
        cost, free, far, w = _trial(seed, count)
        chances.append(stats.chi2.cdf(cost, free))
        places.append(stats.chi2.cdf(far, 2 * count - (0 if seed % 2 == 0 else 3)))
        residuals.extend(w)
    # both must be uniform: Kolmogorov and Smirnov, by scipy
    assert stats.kstest(chances, "uniform").pvalue > 0.01
    assert stats.kstest(places, "uniform").pvalue > 0.01
    # and a 95 % region holds the truth in 95 % of trials, within binomial chance (0.1 %)
    inside = sum(p <= 0.95 for p in places)
    low, high = stats.binom.interval(0.999, trials, 0.95)
    assert low <= inside <= high
    # standardised residuals are standard normal: their spread, and the share beyond Baarda's 3.29
    assert np.std(residuals) == pytest.approx(1.0, abs=0.05)
    assert np.mean(np.abs(residuals) > 3.29) < 0.004


def test_truth_lies_within_the_stated_covariance() -> None:
    _consistent(80)


@pytest.mark.nightly
def test_truth_lies_within_the_stated_covariance_many() -> None:
    _consistent(1500)


def turn(points: np.ndarray) -> float:
    """Twice the area of the first three points, positive to the left."""
    (ax, ay), (bx, by) = points[1] - points[0], points[2] - points[0]
    return float(ax * by - ay * bx)


@pytest.mark.parametrize("seed", range(4))
def test_random_patterns_from_scratch(seed: int) -> None:
    """The whole search, without a start near the truth."""
    rng = np.random.default_rng(100 + seed)
    count = 4 + seed % 3
    points = rng.uniform(0.0, 400.0, (count, 2))
    side: Hand = "left" if turn(points) > 0 else "right"
    handed = (type(HANDED[0])(hole="c", side=side, from_="a", to="b"),)
    result = survey(readings(points, handed=handed, rng=rng, sigma=0.2))
    assert not result.twins
    shown = result.points()
    turned = distances(shown)
    assert turned == pytest.approx(distances(points), abs=1.5)
    assert turn(shown) * (1 if side == "left" else -1) > 0
