"""Rules about the metal left around openings, shared by parts and panels."""

from __future__ import annotations

from generators.checks.rule import Rule

HOLE_EDGE_DISTANCE = Rule(
    code="hole-edge-distance",
    title="Bolt hole too near an edge",
    meaning=(
        "A bolt, rivet or insert near an edge tears out. The distance runs from the hole's centre to the "
        "nearest free edge; an edge that is bent on is not free. The published figure is for rivets in a "
        "single row; it is used for bolts too, which is the safe side. Bores, bulkheads, grommets, "
        "lightening and plain holes carry no shear and are often large, so a multiple of their diameter "
        "would ask for "
        "metal that does nothing: they are judged by the metal left (hole-ligament)."
    ),
    formula="centre to edge >= hole_edge_ratio x D (2 D); fail below 1.2 D",
    source=(
        "AC 43.13-1B 4-57c, rivets in a single row, applied to bolts; fail limit e1 of "
        "EN 1993-1-8 table 3.3, from memory"
    ),
    trust="R2",
    mend="Move the hole inward, take a smaller fastener, or leave more metal at that edge.",
    limit_key="hole_edge_ratio",
)

HOLE_SPACING = Rule(
    code="hole-spacing",
    title="Fasteners too close together",
    meaning=(
        "Two bolts, rivets or inserts share the metal between them. The distance runs from centre to centre "
        "and D is the larger of the two holes. Rivet figures are used for bolts."
    ),
    formula="centre to centre >= hole_spacing_ratio x D (3 D); fail below 2.2 D",
    source=(
        "AC 43.13-1B 4-57c and NAVEDTRA 14018 by figure 13-43, rivets, applied to bolts; fail limit p1 of "
        "EN 1993-1-8 table 3.3, from memory"
    ),
    trust="R2",
    mend="Move one of the two, or take smaller fasteners.",
    limit_key="hole_spacing_ratio",
)

HOLE_LIGAMENT = Rule(
    code="hole-ligament",
    title="Too little metal beside an opening",
    meaning=(
        "The metal left between two openings, or between an opening that carries no bolt and an edge. A "
        "blanked hole is still a hole: a plate over it carries nothing. Two openings that run into each "
        "other always fail."
    ),
    formula="metal >= max(ligament_ratio x t, ligament_mm) (2 t, 3 mm); fail below 1 t",
    source="slot to edge at least 2 t, hole at least t: common practice, no source",
    trust="CP",
    mend="Move an opening or make it smaller, or put a doubler behind.",
    limit_key="ligament_ratio",
)

EDGE_FLOOR = 1.2
"""Fail limit of centre to edge over hole diameter: e1, EN 1993-1-8 table 3.3, from memory."""

SPACING_FLOOR = 2.2
"""Fail limit of centre to centre over hole diameter: p1, EN 1993-1-8 table 3.3, from memory."""

LOADED = frozenset({"bolt", "rivet", "insert", "tapped"})
"""Kinds that carry load in the sheet and are judged by edge distance and spacing."""
