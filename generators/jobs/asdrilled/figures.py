"""What weighing gave, as plain data."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

from generators.issue.manifest import finding_json
from generators.jobs.asdrilled.inspection import Inspected
from generators.jobs.asdrilled.weigh import AsDrilled
from generators.measure.fitting.rescue import Rescue


def figures(answer: AsDrilled) -> dict[str, Any]:
    """The result as plain data; mm to 0.001, degrees to 0.001."""

    def near(value: float) -> float:
        return round(float(value), 3) + 0.0

    def rescue_data(r: Rescue) -> dict[str, Any]:
        return {"kind": r.kind, "words": r.words, "metal_mm3": near(r.metal_mm3), "cannot": r.cannot}

    return {
        "part": answer.part.spec.name,
        "panel": answer.panel.name,
        "goes": answer.goes,
        "fit": {
            "shift_mm": [near(x) for x in answer.fit.shift],
            "turn_deg": near(math.degrees(answer.fit.turn_rad)),
            "tied_to_panel": answer.tied,
        },
        "holes": [
            {
                "name": j.name,
                "fastener": "fixed" if j.fixed else "floating",
                "shank_mm": near(j.shank_mm),
                "part_dia_mm": near(j.part_dia_mm),
                "panel_dia_mm": near(j.panel_dia_mm),
                "clearance_mm": near(j.clearance_mm),
                "off_mm": [near(x) for x in off],
                "left_mm": near(left),
            }
            for j, off, left in zip(answer.joints, answer.fit.off_mm, answer.fit.left_mm, strict=True)
        ],
        "skipped": [{"hole": name, "why": why} for name, why in answer.skipped],
        "probability": near(answer.chance.share),
        "within": near(answer.chance.within),
        "converged": [[n, near(share)] for n, share in answer.chance.running],
        "rescue": rescue_data(answer.rescue) if answer.rescue is not None else None,
        "after": None
        if answer.after is None or answer.after_chance is None
        else {
            "left_mm": [near(x) for x in answer.after.left_mm],
            "probability": near(answer.after_chance.share),
        },
        "options": [rescue_data(o) for o in answer.options],
        "effects": [asdict(effect) for effect in answer.effects],
        "brings": [finding_json(f) for f in answer.outcome.brings] if answer.outcome is not None else [],
        "clears": [finding_json(f) for f in answer.outcome.clears] if answer.outcome is not None else [],
        "idle": list(answer.outcome.idle) if answer.outcome is not None else [],
        **({} if answer.case.seen is None else {"inspected": inspected_data(answer.case.seen)}),
        "findings": [finding_json(f) for f in answer.findings],
    }


def inspected_data(seen: Inspected) -> dict[str, Any]:
    """A part as read on its inspection sheet, as plain data; mm and degrees."""
    return {
        "part": seen.part.spec.name,
        "items": seen.items,
        "read": [
            {
                "item": item.key,
                "what": item.what,
                **({} if row.is_mm is None else {"is_mm": row.is_mm}),
                **({} if row.angle_rad is None else {"angle_deg": round(math.degrees(row.angle_rad), 4)}),
                **({} if row.goes is None else {"goes": row.goes}),
            }
            for item, row in seen.rows
        ],
        "places": seen.why or "as read",
        "findings": [finding_json(f) for f in seen.findings],
    }


def figures_text(answer: AsDrilled) -> str:
    """The figures as the text of a file."""
    return json.dumps(figures(answer), indent=2, ensure_ascii=False) + "\n"
