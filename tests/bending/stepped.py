"""A flat with a stepped back edge: 50 mm of it to stop on, beside 30 mm that reach 90 mm further back."""

from __future__ import annotations

from dataclasses import replace

from bent_parts import TWO, bend, plan_of

from generators.bending.legs import PartShape
from generators.bending.steps import Refusal, Sequence, Step
from generators.bending.trial import Setting, Trial
from generators.model.contour import Contour, Vertex
from generators.model.plan import Flange, PartPlan
from generators.model.spec.tools.press import BackGauge, Brake

PAST_MM = 90.0


def stepped() -> PartPlan:
    """A base 60 deep to its bend, and a wall 40 high on it, 80 long."""
    plan = plan_of(
        {"base": (60.0, 80.0), "wall": (80.0, 40.0)}, [bend("w", "base", "wall", (60.0, 0.0), (60.0, 80.0))]
    )
    ring = ((0.0, 0.0), (60.0, 0.0), (60.0, 80.0), (-PAST_MM, 80.0), (-PAST_MM, 50.0), (0.0, 50.0))
    base = Contour(vertices=tuple(Vertex(u=u, v=v) for u, v in ring))
    return replace(
        plan,
        name="step",
        title="Step, invented",
        flanges=(Flange(name="base", contour=base), plan.flanges[1]),
    )


def bent(brake: Brake) -> Step:
    """Its bend with the base toward the gauge."""
    plan = stepped()
    setting = Setting(brake=brake, tensile_mpa=370.0, opening_mm=24.0)
    trial = Trial(
        shape=PartShape(plan=plan), setting=setting, bend=plan.bends[0], bent=frozenset(), child_rear=False
    )
    step = trial.attempt()
    if isinstance(step, Refusal):
        raise TypeError(step.words)
    return step


def with_gauge(gauge: BackGauge) -> Brake:
    """The brake of these tests with that gauge."""
    return replace(TWO, gauge=gauge)


def one_bend(step: Step) -> Sequence:
    """That bend as the whole order."""
    return Sequence(found=True, steps=(step,))
