"""Rules about bending and cutting a part."""

from __future__ import annotations

from generators.checks.rule import Rule

HOLE_BEND_DISTANCE = Rule(
    code="hole-bend-distance",
    title="Opening too near a bend",
    meaning=(
        "An opening beside a bend is pulled out of round. The distance runs from the opening's edge to the "
        "bend's tangent line. The trade states it as 2 to 2.5 t + R from the outside face; at 90 degrees the "
        "tangent lies R + t in from that face, so 2 t from the tangent is 3 t + R from the outside: the safe "
        "side of that, and it stays meaningful at other angles. An opening that reaches into the bend fails."
    ),
    formula="opening edge to tangent >= bend_clearance_ratio x t (2 t); fail below 0",
    source="common practice, no source",
    trust="CP",
    mend="Move the opening away from the bend, or drill it after bending and say so.",
    limit_key="bend_clearance_ratio",
)

NUT_ON_BEND = Rule(
    code="nut-on-bend",
    title="Nut or bolt head on a bend",
    meaning="A nut or head that reaches over the tangent line sits on the curve, not flat.",
    formula="hole centre to tangent >= half the nut's corner circle",
    source="geometry",
    trust="C",
    mend="Move the hole away from the bend, or use a smaller fastener.",
)

HOLE_PROCESS_LIMIT = Rule(
    code="hole-process-limit",
    title="Hole smaller than the machine cuts",
    meaning="The shop's machine cannot cut so small a hole cleanly: the file carries a centre mark instead.",
    formula="D >= max(smallest_hole_ratio x t, smallest_hole) of shop.toml",
    source="shop.toml, cutting; default 1 t is common practice, no source",
    trust="CP",
    mend="Drill it by hand at the centre mark, or make it larger.",
)

FLANGE_LENGTH = Rule(
    code="flange-length",
    title="Flange too short to bend",
    meaning=(
        "A flange must reach across its half of the lower die or it slips in. It is measured outside, from "
        "the mould line to its deepest point. When the shop gives its die opening V, the leg must reach "
        "V/2 along a side that ends at 45 degrees: V/2 x sqrt(2), about 0.7 V, and less is a fail."
    ),
    formula="outside length >= 0.7 V if the die is known, else flange_ratio x t + R (4 t + R)",
    source="common practice, no source; 0.7 V from the die's geometry",
    trust="CP",
    mend="Make the flange longer, bend over a narrower die, or bend it long and trim.",
    limit_key="flange_ratio",
)

BEND_NEAR_BEND = Rule(
    code="bend-near-bend",
    title="Two bends too close together",
    meaning=(
        "The flat between two facing bends must reach across half the die when the second one is made. "
        "It is measured outside, like a flange."
    ),
    formula="flat + setback >= 0.7 V if the die is known, else flange_ratio x t + R (4 t + R)",
    source="common practice, no source; 0.7 V from the die's geometry",
    trust="CP",
    mend="Move the bends apart, or bend over a narrower die.",
    limit_key="flange_ratio",
)

BEND_RELIEF = Rule(
    code="bend-relief",
    title="Bend ends without a relief",
    meaning=(
        "Where metal goes on past the end of a bend it tears, unless a relief is cut there. A relief hole of "
        "the published diameter stands on the end of the tangent line, so no metal may lie within half that "
        "diameter of the end, past it. A side that leans out by less than 45 degrees is free and needs none."
    ),
    formula=(
        "metal past the bend's end >= half the relief of shop.toml, else half of 1/8 in (t <= .064 in), "
        "3/16 in (t <= .128 in), 1.5 t"
    ),
    source="FAA-H-8083-31 ch. 4, folding a box; above .128 in common practice",
    trust="R1",
    mend="Cut a notch or drill a relief hole at the end of the bend.",
)

BEND_RADIUS = Rule(
    code="bend-radius",
    title="Bend tighter than the alloy takes",
    meaning=(
        "Below the least radius for the alloy, temper and thickness the outside cracks. The table gives a "
        "range for 90 degrees: below its lower end is a fail, within it a warning."
    ),
    formula="inside radius >= table range",
    source="AC 43.13-1B table 4-6 for aluminium; 1 t for steel, common practice",
    trust="R1",
    mend="Bend to a larger radius, take a softer temper, or bend across the grain and look for cracks.",
)

BEND_RADIUS_UNKNOWN = Rule(
    code="bend-radius-unknown",
    title="No least bend radius known",
    meaning="The table has no row for this sheet, and nothing is extrapolated.",
    formula="-",
    source="AC 43.13-1B table 4-6 ends at 0.258 in",
    trust="R1",
    mend="Ask the mill for the least radius, or bend a test strip.",
)

BLANK_OVERLAP = Rule(
    code="blank-overlap",
    title="The flat blank runs into itself",
    meaning="Unfolded, two flanges would need the same piece of sheet, so the part cannot be cut in one.",
    formula="the blank's outline does not cross or touch itself",
    source="geometry",
    trust="C",
    mend="Shorten a flange, or make the part of two pieces.",
)

FOLDED_CLASH = Rule(
    code="folded-clash",
    title="The folded part runs into itself",
    meaning="Once bent, two flanges would be in the same place: the last bend cannot be made.",
    formula="no edge of a flange or bend passes through another flange or bend",
    source="geometry",
    trust="C",
    mend="Shorten a flange, cut it back where the other comes to lie, or bend one of them less.",
)

JOGGLE_TOOL = Rule(
    code="joggle-tool",
    title="Joggle: two bends for one stroke",
    meaning=(
        "Two bends of the same angle, one up and one down, closer together than half the die, cannot be made "
        "one after the other. An offset die presses both in one stroke; the shop needs one for this step."
    ),
    formula="flat + setback < 0.7 V if the die is known, else < flange_ratio x t + R (4 t + R)",
    source="common practice, no source; 0.7 V from the die's geometry",
    trust="CP",
    mend="Ask the shop for an offset die of this step, or move the bends apart.",
    limit_key="flange_ratio",
)

STOCK_MISSING = Rule(
    code="stock-missing",
    title="Sheet not in shop.toml",
    meaning="The shop file has no such sheet, so bend radius and K-factor come from tables.",
    formula="-",
    source="shop.toml, stock",
    trust="CP",
    mend="Add the sheet to shop.toml with the radius your brake makes and the K of a test bend.",
)

K_UNMEASURED = Rule(
    code="k-unmeasured",
    title="K-factor not measured",
    meaning="The sheet is known, but the K-factor of this radius was not measured on a test bend.",
    formula="-",
    source="shop.toml, stock",
    trust="CP",
    mend="Bend a test strip at this radius, measure it, and put its K-factor in shop.toml.",
)
