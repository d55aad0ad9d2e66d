"""The report's pages on lines and hoses: table, two views, the rise of each run."""

from __future__ import annotations

from typing import Any

from generators.figures import format_length
from generators.sheets.document import gap, heading, paragraph, side_by_side, table, together
from generators.sheets.hose_views import HoseView, RiseChart
from generators.sheets.hose_words import HoseLine, LinesSheet, about, end_words, kind_words, length_words

NO_PATH = "none"
FLAT_MM = 45.0


def hose_story(lines: LinesSheet, width: float) -> list[Any]:
    """Everything the report says of hoses; nothing for a job without."""
    if not lines.hoses:
        return []
    rows = [_row(number, hose, lines) for number, hose in enumerate(lines.hoses, 1)]
    shares = (0.04, 0.14, 0.22, 0.15, 0.15, 0.3)
    story: list[Any] = [
        *heading("Lines and hoses", 90.0),
        paragraph(
            "Each hose is the shortest curve of straights and arcs at its bend radius that leaves its "
            "fittings straight and passes its clamps; where that comes too near to something, one led round "
            "it. Lengths are seat to seat along the middle, with the slack of NAVEDTRA 14105 (5 to 8 %). "
            "How far it hangs below the lower end of a stretch between clamps is for a limp hose."
        ),
        table(("", "hose", "from, to", "what", "path", "length"), rows, [width * share for share in shares]),
        gap(3),
    ]
    if any(hose.path is not None for hose in lines.hoses):
        half = width / 2
        left, right = (HoseView(lines, width_mm=half, view=view) for view in ("side", "driver"))
        words = "Panels are drawn light, obstacles dashed, hot or moving things filled."
        if left.size[1] < FLAT_MM:
            # a long run seen from the side needs the page's width
            story += [HoseView(lines, width_mm=width, view="side"), gap(2), right, paragraph(words), gap(2)]
        else:
            story.append(together([side_by_side(left, right, (half, half)), paragraph(words), gap(2)]))
    for names, profile, level in lines.profiles:
        said = (
            "The run climbs all the way: air goes up to the reservoir by itself."
            if not profile.traps
            else "Air stays at the marked points: see the findings."
        )
        chart = RiseChart(lines, names, profile, level, width)
        story.append(together([*heading("Height from the slave to the reservoir"), paragraph(said), chart]))
    return story


def _row(number: int, hose: HoseLine, lines: LinesSheet) -> tuple[str, ...]:
    ends = f"{end_words(lines, hose.spec.from_)}; {end_words(lines, hose.spec.to)}"
    what = f"{kind_words(hose, lines.units)}, bend radius {format_length(hose.radius_mm, lines.units)}"
    if hose.length is None:
        return (str(number), hose.title, ends, what, NO_PATH, length_words(hose, lines.units))
    slack = "" if hose.spec.kind == "rigid" or not hose.released else f"; slack {hose.length.slack_ratio:.1%}"
    if slack and hose.sag is not None and (low := max(s.below_mm for s in hose.sag.spans)) >= 1:
        slack += f"; hangs up to {about(low, lines.units)}"
    why = f" ({hose.measure_why})" if hose.measure_why else ""
    path = format_length(hose.length.path_mm, lines.units)
    return (str(number), hose.title, ends, what, path, f"{length_words(hose, lines.units)}{slack}{why}")
