"""What paint or plating does to a part's sizes, said once where its finish names one.

The sizes are those of the bare metal. Paint is some tenths thick where it runs: a pivot seizes, a thread
does not take its bolt, and under a bolt it creeps and lets the bolt go slack. Plating is thin, but bores and
threads are closer than that. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from generators.model.plan import PartPlan

PAINT = re.compile(r"(?i)\b(?:paint\w*|primer|enamel\w*|lacquer\w*|powder\w*|coat\w*)")
PLATING = re.compile(r"(?i)\b(?:zinc|galvani[sz]\w*|plat(?:e|ed|ing)|anodi[sz]\w*)\b")
NONE = re.compile(r"(?i)\b(?:no|not|never|without|un)[ -]?(?:paint|coat|plat|primer)\w*")
BEFORE = "FINISH: sizes are before it"
BOLTED = "the faces bolts, nuts and mating parts press on (paint creeps there)"
BORED = ("bore", "pivot")
THREADS = ("tapped", "extruded", "flow_drilled", "press_nut", "weld_nut", "press_stud")


def coating_lines(plan: PartPlan) -> Iterator[str]:
    """The drawing's line on a finish that is put on; none where the finish names none."""
    named = NONE.sub("", plan.finish)
    paint = PAINT.search(named) is not None
    if plan.printed or not (paint or PLATING.search(named)):
        return
    holes = [h for flange in plan.flanges for h in flange.holes]
    bores = [str(n) for n, h in enumerate(holes, 1) if h.fitting.kind in BORED]
    threads = [str(n) for n, h in enumerate(holes, 1) if h.finish is not None and h.finish.kind in THREADS]
    close = [_listed(what, these) for what, these in (("bore", bores), ("thread", threads)) if these]
    if paint:
        yield f"{BEFORE}; mask {', '.join([*close, ''])}{'and ' if close else ''}{BOLTED}."
    elif close:
        yield f"{BEFORE}; gauge {' and '.join(close)} again after it."
    else:
        yield f"{BEFORE}."


def _listed(what: str, numbers: Sequence[str]) -> str:
    """``bores 8, 9 and 10``, ``bore 5``."""
    *most, last = numbers
    return f"{what}s {', '.join(most)} and {last}" if most else f"{what} {last}"
