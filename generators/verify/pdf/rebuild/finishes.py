"""What the notes under a drawing's hole table ask of holes, held against the plan figure by figure.

Every figure is looked for as the plan's data have it, and where it follows from others it is worked out here:
a collar's height from the volume of what was round its pilot, the depth of a countersink from its cone.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from generators.figures import fixed, signed
from generators.model.pedal_place import PressedBearing
from generators.model.plan import Hole, PartPlan
from generators.standards import ball_bearing, circlip, ring_tolerance, tap_drill_rows, tolerance_width_mm
from generators.verify.pdf.content import PdfFile

FINE_MM = 0.05
NOTHING_MM = 0.0005
SHAFT_GRADE = 6
NOTES = re.compile(r"((?:\d+\*?, )*\d+\*?): ([^:]*? Ø [^:]*?)\.(?= |$)")
WELD, SINK, BEARING = "weld on", "countersink ", "ball bearing"
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
        bush = plan.bush if hole.tolerance is not None and hole.finish.kind == "reamed" else None
        bearing = bush.bearing if bush is not None and hole.tolerance == bush.fit else None
        wanted = [*_pressed(bearing, hole), *_wanted(hole, plan.thickness_mm, bends=bends)]
        # what is not there must not be asked for either
        there = ((WELD, _welded(hole)), (SINK, hole.finish.sink is not None), (BEARING, bearing is not None))
        never = [w for w, asked in there if not asked]
        if bearing is None or bearing.kept != "circlip":
            never.append("circlip")
        if not any(all(w in words for w in wanted) and not any(w in words for w in never) for words in own):
            first = f"Ø {hole.finish.cut_mm:g}" if bearing is not None else wanted[0]
            yield f"no note says that hole {number} is cut {first} and finished {wanted[-1]}"
    if plan.bush is not None and plan.bush.bearing is not None:
        row = ball_bearing(plan.bush.bearing.number)
        thinner = tolerance_width_mm(SHAFT_GRADE, row.bore_mm)
        said = f"Shaft Ø {row.bore_mm:g} h{SHAFT_GRADE} (0/-{fixed(thinner, 3)} mm)"
        if said not in text:
            yield f"no note says {said!r}"


def _pressed(bearing: PressedBearing | None, hole: Hole) -> Iterator[str]:
    """What a note must say of the bearing that is pressed into a hole, its fit by both tables."""
    if bearing is None or hole.tolerance is None:
        return
    row = ball_bearing(bearing.number)
    least = ring_tolerance(row.outside_mm).outside_lower_mm - hole.tolerance.upper_mm
    yield f"press in ball bearing {row.number} "
    yield f"{signed(least, 3)} to {signed(-hole.tolerance.lower_mm, 3)} of interference"
    if bearing.kept == "circlip":
        clip = circlip(row.outside_mm)
        yield f"groove Ø {clip.groove_mm:g} (+{clip.over_mm:g}/0) x {clip.wide_mm:g} for a circlip"
    if bearing.kept == "shoulder":
        yield "a shoulder over its outer ring"


def _deviations(lower_mm: float, upper_mm: float) -> str:
    """``+0.018/0`` as a note prints it."""
    return "/".join("0" if abs(x) < NOTHING_MM else signed(x, 3) for x in (upper_mm, lower_mm))


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
        yield f"Ø {hole.diameter_mm:g} {fit.name} ({_deviations(fit.lower_mm, fit.upper_mm)})"
