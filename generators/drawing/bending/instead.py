"""What a setup sheet says to a shop that has a brake and no folder, and of which machine a K-factor is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.bending.setting import Machines
from generators.bending.steps import AnyStep, FoldStep
from generators.bending.steps import Sequence as Bends
from generators.drawing.bending.figures import shown
from generators.figures import fixed, format_short
from generators.model.plan import PartPlan
from generators.sheetmetal.allowance import SHOP_K
from generators.units import UnitSystem

INSTEAD = ", on the brake instead"
ALL = (
    "Steps on the brake instead make all bends where there is no folder; not some of these and some of those."
)
NONE = "ON THE BRAKE ALONE no order of its bends was found"


def all_steps(bends: Bends, instead: Bends | None) -> tuple[AnyStep, ...]:
    """Steps of an order, then those of the order on the brake instead, if there is one."""
    return (*bends.steps, *(instead.steps if instead is not None and instead.found else ()))


def instead_lines(bends: Bends, instead: Bends | None) -> Iterator[str]:
    """How the two orders are meant, or why there is no second one."""
    if instead is None:
        return
    if instead.found:
        first = len(bends.steps) + 1
        last = len(bends.steps) + len(instead.steps)
        numbers = f"Step {first}" if first == last else f"Steps {first} to {last}"
        yield f"{numbers}: {ALL}"
        return
    why = "; ".join(f"bend {shown(r.bend)}: {r.words}" for r in instead.refusals[:2])
    yield f"{NONE}: {why or 'none was proven'}."


def k_lines(plan: PartPlan, machines: Machines, steps: Sequence[AnyStep], units: UnitSystem) -> Iterator[str]:
    """Where the K-factor of the blank comes from and of which machine it was measured."""
    folder = any(isinstance(step, FoldStep) for step in steps)
    seen: dict[tuple[str, str], list[str]] = {}
    for bend in plan.bends:
        seen.setdefault((fixed(bend.k_factor, 3), bend.k_source), []).append(shown(bend.name))
    for (k, source), names in seen.items():
        of = f" of bends {', '.join(names)}" if len(seen) > 1 else ""
        if source != SHOP_K:
            yield f"K {k}{of}: {source}, no test bend: bend a strip of this sheet before the blank is cut."
        elif machines.opening_mm is None:
            yield f"K {k}{of}: {source}, the shop has not told on which machine: bend a strip on yours first."
        else:
            yield (
                f"K {k}{of}: {source}, over V {format_short(machines.opening_mm, units)} of the brake: over "
                f"another V{', or on the folder,' if folder else ''} bend a strip before the blank is cut."
            )
