"""Where each flange of a part has its own u and v, in words: what a spec's places on it are measured in."""

from __future__ import annotations

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.geometry.frames import Matrix
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import folded_frames

ALONG = 1e-3
"""How far a direction may be off one along an axis to be called so."""


def faces(plan: PartPlan) -> list[dict[str, str]]:
    """Where each flange's u and v begin and run, in the root's frame once bent, and how far it reaches."""
    frames = folded_frames(plan)
    root = plan.flanges[0].name
    rows = []
    for flange in plan.flanges:
        u0, v0, u1, v1 = bounds(flange.contour)
        frame = frames[flange.name]
        x, y, z = (round(float(c), 2) + 0.0 for c in frame[:3, 3])
        own = flange.name == root
        rows.append(
            {
                "flange": flange.name,
                "origin": "the part's own" if own else f"at {x:g}, {y:g}, {z:g} of {root}",
                "u": "u" if own else f"along {_way(frame[:3, 0])}",
                "v": "v" if own else f"along {_way(frame[:3, 1])}",
                "size": f"u {fixed(u0, 1)} to {fixed(u1, 1)} mm, v {fixed(v0, 1)} to {fixed(v1, 1)} mm",
            }
        )
    return rows


def _way(axis: Matrix) -> str:
    """``+v`` for a direction along an axis of the root, else its three parts."""
    parts = [round(float(c), 3) + 0.0 for c in axis]
    for name, k in (("u", 0), ("v", 1), ("w", 2)):
        if abs(abs(parts[k]) - 1) < ALONG:
            return f"{'+' if parts[k] > 0 else '-'}{name}"
    return "(" + ", ".join(f"{p:g}" for p in parts) + ")"
