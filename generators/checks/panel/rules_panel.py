"""Rules about the holes of a panel and what stands around them."""

from __future__ import annotations

from generators.checks.rule import OFF_PANEL, Rule

GEOMETRY = "geometry"

HOLE_OFF_PANEL = Rule(
    code=OFF_PANEL,
    title="Opening not whole on the panel",
    meaning=(
        "The opening crosses the outline or lies outside it. An existing one was measured wrong, and so is "
        "what is placed from it."
    ),
    formula="centre inside the outline and centre to outline >= D/2",
    source=GEOMETRY,
    trust="C",
    mend="Move the hole, or measure the outline and the datum again.",
)

PANEL_BEAD = Rule(
    code="panel-bead",
    title="Hole in a stiffening bead",
    meaning="A hole in a bead takes away the stiffness it was pressed for, and nothing seats flat on it.",
    formula="the opening does not meet the bead",
    source="common practice, no source",
    trust="CP",
    mend="Move the hole off the bead.",
)

HOLE_NEAR_FOLD = Rule(
    code="hole-near-fold",
    title="Hole too near a fold",
    meaning="Near a fold of the panel a nut or drill meets the other panel, and the metal is stretched.",
    formula="hole edge to fold line >= fold_clearance_mm (10 mm)",
    source="common practice, no source",
    trust="CP",
    mend="Move the hole away from the fold.",
    limit_key="fold_clearance_mm",
)

HOLE_IN_FOLD = Rule(
    code="hole-in-fold",
    title="Hole on the arc of a fold",
    meaning=(
        "The metal turns there, so the opening does not lie on a flat: no drill starts square on it, nothing "
        "seats, and a sheet round the fold shows it beside its true place."
    ),
    formula="hole edge to fold line >= (inside radius + thickness) x tan(angle / 2), the outside setback",
    source="geometry; setback as in FAA-H-8083-31 ch. 4",
    trust="C",
    mend="Move the hole past the tangent line of the fold; measure an existing one again.",
)

HOLE_SHARED = Rule(
    code="hole-shared",
    title="Two holes in one place",
    meaning="Two openings are listed at the same centre. It is one hole: drill it once, to the larger size.",
    formula="centres within 0.1 mm",
    source=GEOMETRY,
    trust="C",
    mend="Nothing, if they are meant to be one; otherwise move one.",
)

HOLE_TOOL = Rule(
    code="hole-tool",
    title="Needs a step drill or hole saw",
    meaning="A twist drill does not make this hole in sheet.",
    formula="D > 13 mm, or an existing hole to open",
    source="common practice, no source",
    trust="CP",
    mend="Have the tool at hand before you start.",
)

NO_WITNESS_HOLE = Rule(
    code="no-witness-hole",
    title="Nothing shows a flipped sheet",
    meaning=(
        "A witness hole is an existing hole well off the middle of the panel. On a sheet taped the wrong way "
        "round its circle lies beside the real hole. Ours: at least 10 mm off, so that a flip shows by 20 mm."
    ),
    formula="witness hole at least 10 mm beside the outline's middle",
    source="ours, no source",
    trust="CP",
    mend="Name an existing hole that is well off the middle as witness_hole.",
)

REUSE_OVERSIZE = Rule(
    code="reuse-oversize",
    title="Reused hole nearly as wide as its nut",
    meaning="The nut would bear on too narrow a ring of metal. Ours: at least 1 mm all round.",
    formula="(nut across flats - hole) / 2 >= 1 mm",
    source="ours, no source",
    trust="CP",
    mend="Put a thick washer or a doubler under the nut, or drill a new hole.",
)

KEEP_OUT = Rule(
    code="keep-out",
    title="Fitting runs into an obstacle",
    meaning=(
        "What stands off the panel there (the fitting's reach, or the nut) is taller than the air under the "
        "obstacle, and the hole or nut circle meets it. A nut without a stated reach counts as tall as its "
        "hole is wide."
    ),
    formula="gap of the obstacle >= reach or nut height on that face, or circles clear of it",
    source=GEOMETRY,
    trust="C",
    mend="Move the hole, turn the fitting round, or move the obstacle for good.",
)

DRILL_PATH = Rule(
    code="drill-path",
    title="Drill breaks into something",
    meaning=(
        "A drill jumps when it breaks through, and on the near side its point and chuck need room. "
        "Something over the hole on either face nearer than that is hit. What can be moved is a warning."
    ),
    formula="gap of the obstacle over the hole >= drill_breakthrough_mm (25 mm)",
    source="common practice, no source",
    trust="CP",
    mend="Move it aside first, put a stop on the drill, or move the hole.",
    limit_key="drill_breakthrough_mm",
)

NUT_CLASH = Rule(
    code="nut-clash",
    title="Two nuts overlap",
    meaning="The corner circles of two nuts or heads on one face overlap, so one cannot be turned.",
    formula="centre to centre >= half of both corner circles",
    source="geometry; corner circle = across flats x 2 / sqrt(3)",
    trust="C",
    mend="Move one of the holes, or turn one fitting round.",
)

SPANNER_CLASH = Rule(
    code="spanner-clash",
    title="No room to swing a spanner",
    meaning="The circle a spanner's head sweeps meets another nut, an obstacle or the panel's outline.",
    formula="centre to it >= half the spanner circle (2.2 x across flats)",
    source="common practice, no source",
    trust="CP",
    mend="Use a socket, tighten in the right order, or move the hole.",
)

NUT_ON_FOOTPRINT = Rule(
    code="nut-on-footprint",
    title="Nut half on a part",
    meaning="The nut's circle crosses the edge of a part on that face: it would sit half on, half off.",
    formula="the corner circle does not cross the outline of another part",
    source=GEOMETRY,
    trust="C",
    mend="Move the hole or the part, or extend the part under the nut.",
)

HOLE_UNDER_PART = Rule(
    code="hole-under-part",
    title="Part covers a hole",
    meaning=(
        "A part lies over a hole of the panel, wholly or in part, and has no hole there, so nothing can go "
        "through. An existing hole counts unless it is blanked: something goes through what is kept open."
    ),
    formula="each open hole in a part's outline lies within a hole of that part",
    source=GEOMETRY,
    trust="C",
    mend='Move one of them, give the part that hole, or blank an existing hole (action = "blank").',
)

FOOTPRINT_CLASH = Rule(
    code="footprint-clash",
    title="Two parts in one place",
    meaning=(
        "Two parts overlap on one face. It is meant only where all holes in the overlap are shared. A part "
        "may lie on a doubler with its whole base; with half of it, it rocks and is bolted crooked."
    ),
    formula="outlines do not overlap, or every hole in the overlap belongs to both; on a doubler all or none",
    source=GEOMETRY,
    trust="C",
    mend="Move one part, or stack them on shared holes.",
)

PART_OFF_PANEL = Rule(
    code="part-off-panel",
    title="Part reaches past the panel",
    meaning="Part of the root flange lies outside the panel's outline.",
    formula="the part's outline lies within the panel's",
    source=GEOMETRY,
    trust="C",
    mend="Move the part inward, or make it smaller.",
)

PART_ON_OBSTACLE = Rule(
    code="part-on-obstacle",
    title="Part lies where something is",
    meaning=(
        "The part's sheet is thicker than the air under the obstacle, or the part lies on a bead and rocks. "
        "A part whose thickness is not given counts as 3 mm."
    ),
    formula="gap of the obstacle >= sheet thickness of the part, or outlines apart",
    source=GEOMETRY,
    trust="C",
    mend="Move the part, or move the obstacle for good.",
)
