"""What a report, a screen and a rule say of a part's stiffness, as plain data that travels as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from generators.model.words import LoadCase
from generators.strength.bores import BoreForce, Vector
from generators.strength.joint.loads import BoltForce
from generators.strength.problem import MeshStep, Surface

DIGITS = 6
CAUTIONS = (
    "Linear static estimate of the bare part: no fatigue, no welds, no slip, no help from the panel's face.",
    "Proof-test before use; have brakes, clutch and brackets judged by a licensed engineer or mechanic.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    """One load case: movement at the pad along the foot's force, or at a loaded hole along its force, mm.

    ``from_pivot_mm`` and ``from_master_mm`` are what of it comes from the shaft's bores and the master's
    bolts (0 for a hole). ``master_mm`` is how far the master's bolts move along its axis. ``lost_mm`` is
    lost release travel at the clutch bearing at the pedal's own stop, None where there is none.
    ``flex_mm_per_n`` is the give at the pin along the cylinder's axis. ``peak_mpa`` is the largest von Mises
    stress that counts, at ``peak_at`` in the part's frame, and ``peak_error`` how far it may still rise on
    finer meshes, as a share (None: not known). ``error`` is the estimated error of the movement as a share.
    ``bolts`` is what each bolt that holds the part carries, ``forces`` what it was loaded with (N, in the
    part's frame).
    """

    name: str
    kind: LoadCase
    what: str
    pedal: str
    force_n: float
    source: str
    moved_mm: float
    from_pivot_mm: float
    from_master_mm: float
    master_mm: float
    lost_mm: float | None
    flex_mm_per_n: float
    peak_mpa: float
    peak_at: Vector
    factor: float
    work_nmm: float
    energy_nmm: float
    error: float
    bolts: tuple[BoltForce, ...] = ()
    peak_error: float | None = None
    forces: tuple[BoreForce, ...] = ()

    @property
    def more_words(self) -> str:
        """How far the peak may still rise on finer meshes, as printed."""
        return "an unknown share" if self.peak_error is None else f"{100 * self.peak_error:.0f} %"

    @property
    def least_factor(self) -> float:
        """The factor on yield, were the peak as high as it may still rise; 0 where that is not known."""
        return sure_factor(self.factor, self.peak_error)

    @property
    def most_moved_mm(self) -> float:
        """The movement with its stated error on top, mm: meshes are too stiff, never too soft."""
        return self.moved_mm * (1 + self.error)


def sure_factor(factor: float, peak_error: float | None) -> float:
    """A factor on yield that is sure: of a peak that may rise by an unknown share nothing is."""
    return 0.0 if peak_error is None else factor / (1 + peak_error)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeResult:
    """One change tried by computing again: movement of the first case with it, mass added, mm saved per g."""

    text: str
    moved_mm: float
    saved_mm: float
    added_g: float
    factor: float

    @property
    def per_gram(self) -> float:
        """Movement saved per gram added, mm/g; endless for a change that adds nothing."""
        if self.added_g <= 0:
            return float("inf") if self.saved_mm > 0 else 0.0
        return self.saved_mm / self.added_g


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeResult:
    """One stock thickness tried for ``gauge = "stiff enough"``.

    ``moved_mm`` is with its stated error on top, and ``factor``, the least on yield over the cases nearest
    theirs, with what the peak may still rise (0 where that is not known); ``stiff`` says that nothing moves
    too far, ``strong`` that no case is below the factor it asks for.
    """

    thickness_mm: float
    moved_mm: float
    factor: float
    stiff: bool
    strong: bool

    @property
    def enough(self) -> bool:
        """True for a sheet that may be taken."""
        return self.stiff and self.strong

    @property
    def words(self) -> str:
        """What is said of it."""
        if self.enough:
            return "stiff and strong enough"
        weak = "yields" if self.factor > 0 else "its stress is not sure"
        return " and ".join(
            words for words, so in (("gives too much", not self.stiff), (weak, not self.strong)) if so
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BracketResult:
    """One part: its sheet, how it was held, the meshes, the cases, and what was tried.

    ``change`` is the largest relative change of any case over the last refinement. ``plan`` names the very
    plan that was solved, ``asked`` all that was asked, and ``solver`` what solved it. ``give_mm_per_n`` is
    how far the softest of its bolts gives along itself.
    """

    part: str
    title: str
    material: str
    thickness_mm: float
    e_mpa: float
    poisson: float
    yield_mpa: float
    source: str
    trust: str
    held: str
    steps: tuple[MeshStep, ...]
    change: float
    cases: tuple[CaseResult, ...]
    changes: tuple[ChangeResult, ...] = ()
    gauges: tuple[GaugeResult, ...] = ()
    limit_mm: float = 0.0
    plan: str = ""
    asked: str = ""
    solver: str = ""
    give_mm_per_n: float = 0.0
    surface: Surface | None = None


def as_data(results: Sequence[BracketResult]) -> list[dict[str, Any]]:
    """Results as plain data without their surfaces, numbers to six digits."""
    out = []
    for result in results:
        data = asdict(replace(result, surface=None))
        del data["surface"]
        out.append(_short(data))
    return out


def _short(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _short(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_short(inner) for inner in value]
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    return value


def from_data(data: Sequence[Mapping[str, Any]]) -> tuple[BracketResult, ...]:
    """Results from plain data. Raises ``KeyError``, ``TypeError`` or ``ValueError`` for what is none."""
    out = []
    for each in data:
        steps = tuple(
            MeshStep(
                **{**s, **{key: _floats(s[key]) for key in ("work_nmm", "error", "cubic_nmm", "peak_mpa")}}
            )
            for s in each["steps"]
        )
        cases = tuple(
            CaseResult(
                **{
                    **c,
                    "peak_at": _floats(c["peak_at"]),
                    "bolts": tuple(BoltForce(**bolt) for bolt in c["bolts"]),
                    "forces": tuple(
                        BoreForce(bore=str(f["bore"]), force=_floats(f["force"])) for f in c.get("forces", ())
                    ),
                }
            )
            for c in each["cases"]
        )
        out.append(
            BracketResult(
                **{
                    **each,
                    "steps": steps,
                    "cases": cases,
                    "changes": tuple(ChangeResult(**c) for c in each["changes"]),
                    "gauges": tuple(GaugeResult(**g) for g in each["gauges"]),
                }
            )
        )
    return tuple(out)


def _floats(values: Sequence[Any]) -> Any:
    return tuple(float(v) for v in values)


def judged(results: Sequence[BracketResult]) -> tuple[BracketResult, ...]:
    """Results as they read back: rounded, without surfaces. Rules judge these, so that what ``make`` says and
    what ``verify`` says are the same."""
    return from_data(as_data(results))
