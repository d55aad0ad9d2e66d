"""Rules about bolted joints: holes that meet, bolts that go in, spanners that turn."""

from __future__ import annotations

from generators.checks.rule import Rule

MATING = Rule(
    code="mating",
    title="Bolt does not pass both holes",
    meaning=(
        "Two holes that take one fastener may each lie anywhere in a round zone of their position tolerance. "
        "H is a hole's diameter, F the fastener's, T the diameter of its zone, e how far the two are apart "
        "by plan. A nut floats, so both holes give; in a thread, an insert or a second thread only the "
        "clearance hole does. It fails when the plan itself does not fit, warns when machine-cut holes may "
        "not, and notes what a hand drill may spoil: a drill may wander a quarter of its diameter where it "
        "starts, which is the pilot (common practice). Holes of one shared pattern must agree to 1e-6 mm."
    ),
    formula="floating: 2 e + T1 + T2 <= (H1 - F) + (H2 - F); fixed: 2 e + T1 + T2 <= H - F",
    source=(
        "ASME Y14.5 appendix B, floating and fixed fasteners, from public transcriptions; tolerances are the "
        "shop's ([position] in the shop file)"
    ),
    trust="R2+",
    mend=(
        "Drill the panel through the part or with a drill guide, choose a looser fit, or give the shop's own "
        "tolerances."
    ),
)

BOLT_INSERT = Rule(
    code="bolt-insert",
    title="Bolt cannot be put in",
    meaning=(
        "A bolt goes in along its axis: over one side of the joint there must be as much air as the bolt is "
        "long with its head, and as wide as the head, clear of the part's own flanges, other parts and "
        "obstacles. Bolt length is grip, nut and two pitches; the head counts 0.7 of the diameter high, "
        "and as wide as the nut's corners. It fails where not even a bolt flush with its nut goes in."
    ),
    formula="air on one side >= grip + nut height + 2 P + 0.7 D",
    source="geometry; two pitches past the nut and the head's height are common practice, no source",
    trust="CP",
    mend="Put the hole further from the flange, make the flange shorter, or use a stud or a weld nut.",
)

SPANNER_ON_PART = Rule(
    code="spanner-on-part",
    title="Nut or spanner meets a folded flange",
    meaning=(
        "Folded up, another flange or a bend of the part, or a flange of another part, stands in the circle "
        "of the nut's corners (the nut cannot turn: a fail) or in the circle a spanner's head sweeps (a "
        "warning) below the nut's top, on each side where the nut could be. A spanner may ride 0.3 of the "
        "nut's height off the face."
    ),
    formula="air over the circle >= nut height; circle = corners, or 2.2 x across flats for the spanner",
    source="geometry; spanner circle is common practice, no source",
    trust="CP",
    mend="Move the hole away from the flange, use a socket, or take a smaller bolt.",
)

RULES = (MATING, BOLT_INSERT, SPANNER_ON_PART)
