"""What ties the holes of a flange to those it is bent off, along the fold: a bend line askew shows there."""

from __future__ import annotations

from collections.abc import Iterator

from generators.drawing.inspection.item import Item, length
from generators.model.plan import PartPlan
from generators.sheetmetal.askew.ties import pairs_in_line, ties_of
from generators.sheetmetal.in_line import worst_across

GAUGE = "height gauge, pins, fold up"
READ = "the two readings"


def tied(plan: PartPlan) -> Iterator[Item]:
    """Each bore of a flange, else its hole furthest out, from a hole of the flange it is bent off, along the
    fold, within the drawing's bent length; then what two bores in line differ by, within what the drawing's
    shaft allows. Nothing where no hole there lies further along the fold than a bent length may be off.
    """
    ties = tuple(ties_of(plan))
    off = (-plan.bent_mm, plan.bent_mm)
    for t in ties:
        one, other = (end.flange.replace("_", " ") for end in (t.first, t.own))
        first, own = t.first.number, t.own.number
        what = f"hole {first} to hole {own} along the fold of {one} and {other}"
        yield length(f"M{own}", what, GAUGE, t.along_mm, off, bent=True)
    for count, (a, b) in enumerate(pairs_in_line(plan, ties), 1):
        what = f"difference of M{a.own.number} and M{b.own.number}: more, and a bend line is askew"
        within = (0.0, worst_across(plan.position_mm))
        yield length(f"X{count}", what, READ, 0.0, within, bent=True)
