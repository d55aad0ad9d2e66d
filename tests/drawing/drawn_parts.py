"""Part drawings written and read back."""

from __future__ import annotations

import itertools
from pathlib import Path

from drawing.part_cases import JOB, REVISION

from generators.drawing.part.drawing import write_part_drawing
from generators.model.plan import PartPlan
from generators.verify.pdf.content import Content
from generators.verify.pdf.drawing import read_part_drawing


def draw(plan: PartPlan, path: Path, **more) -> tuple[str, ...]:
    """Problems of a drawing just written."""
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION, **more)
    least = more.get("smallest_hole_mm", 0.0)
    back = read_part_drawing(
        path, plan, job_title=JOB, revision=REVISION, rel=path.name, smallest_hole_mm=least
    )
    return back.problems


def overlaps(page: Content) -> list[tuple[str, str]]:
    """Texts that lie on each other."""
    words = [w for w in page.words if w.text.strip()]
    out = []
    for a, b in itertools.combinations(words, 2):
        wide = min(a.box[2], b.box[2]) - max(a.box[0], b.box[0])
        high = min(a.box[3], b.box[3]) - max(a.box[1], b.box[1])
        if wide > 0.1 and high > 0.1:
            out.append((a.text, b.text))
    return out
