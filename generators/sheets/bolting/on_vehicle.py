"""What carries a cylinder or union that sits on the vehicle itself: who brings it, and what it must hold.

A vehicle whose clutch was worked by a rod or a cable has no bracket for a slave, and one with a slave may
have it elsewhere. So nothing is said to be there: the sheet says what has to be there, and what pulls at it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from generators.figures import format_short
from generators.hydraulics.cylinders import slave_area
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.install import Step
from generators.model.joints.fasteners import FastenerSet, fasteners_for
from generators.model.plan import PartPlan
from generators.model.spec.lines import Component
from generators.model.spec.titles import within
from generators.sheets.bolting.cylinders import worked_by
from generators.sheets.bolting.steps import bolt_table
from generators.sheets.bolting.words import held_words
from generators.sheets.hose_words import LinesSheet, title_of
from generators.units import UnitSystem

ON_VEHICLE = ("master", "slave", "reservoir", "line_end")
CARRIES_SLAVE = "slave_bracket"
"""The kind of part that does."""

POUND_N = 4.4482216152605
"""Newtons in one pound-force, exact."""

STEP_N = 10.0


def force_words(force_n: float, units: UnitSystem) -> str:
    """A force something is made for, in both units, rounded up."""
    newton = f"{-(-force_n // STEP_N) * STEP_N:.0f} N"
    pounds = f"{-(-force_n / POUND_N // STEP_N) * STEP_N:.0f} lbf"
    return f"{newton} ({pounds})" if units == "metric" else f"{pounds} ({newton})"


def on_vehicle(component: Component, lines: LinesSheet) -> bool:
    """True for a cylinder, reservoir or union that is fixed to the vehicle, to no panel or mounted part."""
    place = lines.places[component.name]
    return component.kind in ON_VEHICLE and not place.panel and not place.part


@dataclass(frozen=True, slots=True, kw_only=True)
class Seats:
    """What is known of the things that sit on the vehicle: pedals that work them, parts no panel carries."""

    pedals: Sequence[PedalSheet] = ()
    loose: Sequence[PartPlan] = ()
    fasteners: Sequence[FastenerSet] = ()
    units: UnitSystem = "metric"

    def push(self, slave: Component, lines: LinesSheet) -> str:
        """The most a slave pushes in the pedal's stroke, pressure times area; empty if not known."""
        pedal = worked_by(slave, lines, self.pedals)
        if pedal is None or pedal.clutch is None or pedal.spec.slave is None:
            return ""
        force = float(np.max(pedal.clutch.curves.pressure_mpa)) * slave_area(pedal.spec.slave)
        return force_words(force, self.units)

    def ring(self, slave: Component, lines: LinesSheet) -> bool:
        """True for a slave that is a ring round the gearbox's shaft."""
        pedal = worked_by(slave, lines, self.pedals) if slave.kind == "slave" else None
        return pedal is not None and pedal.spec.slave is not None and pedal.spec.slave.kind == "concentric"

    def bracket(self, component: Component) -> PartPlan | None:
        """The part of this job a slave sits on though no panel carries it."""
        mine = [plan for plan in self.loose if plan.kind == CARRIES_SLAVE]
        return mine[0] if component.kind == "slave" and len(mine) == 1 else None

    def steps(self, component: Component, lines: LinesSheet) -> Iterator[Step]:
        """Fitting the part of this job that carries it, before it goes on."""
        plan = self.bracket(component)
        if plan is None or not on_vehicle(component, lines):
            return
        sets = self._bolts(plan, mates=True)
        held = dict.fromkeys(words for made in sets if (words := held_words(made)))
        where = f" on the {', '.join(held)}" if held else " on the vehicle"
        table = bolt_table(sets, self.units)
        yield Step(
            do=f"Fit the {within(plan.title)}{where}.",
            how="Flat on clean metal. Where that has no holes for it, mark them through the bracket where "
            "the slave's rod meets the fork square, look what is behind, and drill."
            f"{self._holds(component, lines)}",
            tables=(table,) if table is not None else (),
        )

    def joined(self, component: Component, lines: LinesSheet, found: str) -> Iterator[Step]:
        """Gearbox and engine put together over a ring slave, before anything is measured or joined to it.

        ``found`` says where its port is then, in sentences with a space before them. Common practice, no
        source.
        """
        if not self.ring(component, lines) or not on_vehicle(component, lines):
            return
        yield Step(
            do=f"Put gearbox and engine together again over the {within(title_of(component))}.",
            how="As the vehicle's maker says, bolted up and on their mounts, before any hose is measured, "
            "cut or fitted. What comes out of the bell housing comes through the housing's own opening, "
            f"nothing sharp on it.{found} If it lies elsewhere, the vehicle is right: measure its hose.",
        )

    def seat_words(self, component: Component, lines: LinesSheet) -> str:
        """What it goes on and who brings that, each sentence after a blank; empty for what is on a panel."""
        if not on_vehicle(component, lines):
            return ""
        if self.ring(component, lines):
            return (
                " It goes round the shaft in the bell housing: part gearbox and engine for it, as the "
                "vehicle's maker says. Its bolts, its distance from the cover's fingers and how tight are "
                "its maker's to say."
            )
        plan = self.bracket(component)
        if plan is not None:
            return f" It goes on the {within(plan.title)} of this job, with the bolts of its bag."
        return (
            " It goes on a bracket of the vehicle, which this job does not bring: the vehicle's own, with "
            "its own bolts as the vehicle's maker has them; where there is none, one made for it first, with "
            f"bolts.{self._holds(component, lines)}{self._own_pipe(component)}"
        )

    def _own_pipe(self, component: Component) -> str:
        """What is joined on the far side of a union at which a line of this job ends."""
        if component.kind != "line_end" or len(component.port) != 1:
            return ""
        return (
            " The vehicle's own pipe is joined to its other side, before fluid goes in: thread, seat and how "
            "tight are the vehicle's maker's to say, a pipe that does not fit has to be made anew."
        )

    def _holds(self, component: Component, lines: LinesSheet) -> str:
        push = self.push(component, lines) if component.kind == "slave" else ""
        return f" It must hold {push}, the most the slave pushes, without giving visibly." if push else ""

    def _bolts(self, plan: PartPlan, *, mates: bool) -> tuple[FastenerSet, ...]:
        """The bolts of a part that hold it to the vehicle, or else those that hold something on it."""
        down = {o.name for flange in plan.flanges for o in flange.openings if o.mates}
        sets = fasteners_for(self.fasteners, f"part:{plan.name}")
        return tuple(made for made in sets if (made.opening in down) == mates)

    def own_bolts(self, component: Component, lines: LinesSheet) -> tuple[FastenerSet, ...]:
        """The bolts of a part no panel carries that hold the component on it."""
        plan = self.bracket(component)
        if plan is None or not on_vehicle(component, lines):
            return ()
        return self._bolts(plan, mates=False)

    def brackets(self, lines: LinesSheet) -> Iterator[str]:
        """Titles of what sits on a bracket of the vehicle that this job does not bring."""
        for component in lines.components:
            ring = self.ring(component, lines)
            if on_vehicle(component, lines) and not ring and self.bracket(component) is None:
                yield title_of(component)

    def rows(self, lines: LinesSheet) -> Iterator[tuple[str, str]]:
        """What no bag holds of all this, by what it is for."""
        for component in lines.components:
            if not on_vehicle(component, lines):
                continue
            ring = self.ring(component, lines)
            pushes = component.kind == "slave" and not ring
            rod = "; rod to the fork, to be set in length, with its lock nut" if pushes else ""
            if ring:
                yield (
                    title_of(component),
                    "its bolts and what spaces it in the bell housing, as its maker says; its bleed pipe "
                    "with the bleed screw, ending outside the bell housing, above the slave; what parts "
                    "gearbox and engine and carries them meanwhile (hoist, gearbox jack)",
                )
            elif self.bracket(component) is not None:
                yield title_of(component), rod.removeprefix("; ")
            else:
                push = self.push(component, lines) if component.kind == "slave" else ""
                holds = f" that holds {push} along its rod" if push else ""
                yield (
                    title_of(component),
                    f"a bracket on the vehicle{holds}, and its bolts: the vehicle's own, or made for it{rod}",
                )


def lid_words(component: Component, lines: LinesSheet) -> str:
    """Whether its lid comes off and it can be filled where it sits, after a blank; nothing without a body."""
    lid = lines.lids.get(component.name)
    if lid is None:
        return ""
    unknown = "What these sheets do not know, a bonnet or a cover, see for yourself before it is bolted down."
    if lid.free:
        high = format_short(lid.room_mm, lines.units, 1)
        return f" Over its lid {high} are free, so that it is opened and filled where it sits. {unknown}"
    high = format_short(lid.free_mm, lines.units, 1)
    return (
        f" Over its lid only {high} are free, then comes the {lid.below}: open it and fill it by a funnel "
        f"with a hose, or have one of the two moved first. {unknown}"
    )
