"""What the notes under a drawing's hole table ask of holes, held against the plan figure by figure.

Every figure is looked for as the plan's data have it, and where it follows from others it is worked out here:
a collar's height from the volume of what was round its pilot, the depth of a countersink from its cone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from generators.figures import fixed
from generators.model.plan import Hole, PartPlan
from generators.standards import tap_drill_rows
from generators.verify.pdf.content import PdfFile

FINE_MM = 0.05
NOTES = re.compile(r"((?:\d+\*?, )*\d+\*?): ([^:]*? Ø [^:]*?)\.(?= |$)")
WELD, SINK = "weld on", "countersink "
OTHER = {"upper": "lower", "lower": "upper"}


def finish_problems(pdf: PdfFile, plan: PartPlan) -> Iterator[str]:
    """Holes finished otherwise than cut, for which no note gives all that is asked of them."""
    text = " ".join(" ".join(w.text.split()) for page in pdf.pages for w in page.words if w.text.strip())
    notes = NOTES.findall(text)
    bends = bool(plan.bends)
    for number, hole in enumerate((h for f in plan.flanges for h in f.holes), 1):
        if hole.finish is None:
            continue
        own = [words for numbers, words in notes if str(number) in re.findall(r"\d+", numbers)]
        wanted = list(_wanted(hole, plan.thickness_mm, bends=bends))
        # what is not there must not be asked for either
        never = [w for w, there in ((WELD, _welded(hole)), (SINK, hole.finish.sink is not None)) if not there]
        if not any(all(w in words for w in wanted) and not any(w in words for w in never) for words in own):
            yield f"no note says that hole {number} is cut {wanted[0]} and finished {wanted[-1]}"


def _welded(hole: Hole) -> bool:
    """True where something is welded on: a nut or a boss."""
    finish = hole.finish
    return finish is not None and (
        finish.kind == "weld_nut" or (finish.ring is not None and finish.ring.welded)
    )


def _wanted(hole: Hole, t: float, *, bends: bool) -> Iterator[str]:
    """What a hole's note must say, what is cut first."""
    finish = hole.finish
    if finish is None:
        return
    if finish.kind in ("tapped", "reamed"):
        cut = fixed(hole.diameter_mm, 2) if finish.kind == "tapped" else f"Ø {finish.cut_mm:g}"
        yield cut
    else:
        yield f"Ø {fixed(finish.cut_mm, 2)}"
        yield f"{finish.side} side"
    if finish.kind == "reamed" and finish.ring is not None:
        yield f"{finish.side} side, fillet a{finish.ring.weld_mm:g} all round (ISO 2553)"
        yield "after bending weld on a boss"
    if bends and finish.kind not in ("tapped", "reamed"):
        yield "after bending" if finish.bent else "before bending"
    if (sink := finish.sink) is not None:
        yield f"{fixed(math.degrees(sink.angle_rad), 0)}° to Ø {fixed(sink.head_mm, 2)} (+{sink.over_mm:g}/0)"
    if (ring := finish.ring) is not None:
        inside, outside = hole.diameter_mm**2, ring.outside_mm**2
        high = ring.height_mm if ring.welded else t * (inside - finish.cut_mm**2) / (outside - inside)
        yield f"{fixed(high, 2)} high and Ø {fixed(ring.outside_mm, 2)} outside"
    if finish.kind == "flow_drilled":
        yield f"from the {OTHER[finish.side]} side"
    if finish.kind == "weld_nut":
        yield "by its projections (ISO 2553, process 23 of ISO 4063)"
    if finish.fitted is not None:
        tolerance = hole.tolerance
        # in whole hundredths, none over what is allowed
        within = int(tolerance.upper_mm * 100 + 1e-6) if tolerance is not None else 0
        yield f"(+0.{within:02d}/0)" if tolerance is not None else "a tolerance"
        yield finish.fitted.item
    if hole.fitting.kind == "tapped":
        thread = hole.fitting.label.removesuffix(" tapped")
        yield from (row.designation for row in tap_drill_rows() if row.thread == thread)
    if finish.tolerance is not None:
        fit = finish.tolerance
        yield f"Ø {hole.diameter_mm:g} {fit.name} (+{fit.upper_mm:.3f}/0)"
