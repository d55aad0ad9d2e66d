"""Rules about printed parts, and about guides that lead a drill."""

from __future__ import annotations

from generators.checks.rule import Rule

WALL_FLOOR = 0.5
"""Fail limit of a wall over the shop's thinnest: two lines of a 0.4 mm nozzle where four are asked for."""

BUSH_FLOOR = 1.0
"""Fail limit of a bush's length over the drill's diameter: common practice, no source."""

PLAY_FAIL = 2.0
"""Fail limit of a guide's play over the warned one: ours."""

LOOSEST_MM = 2.0
"""A peg with more play than this to each side plainly is in the wrong hole: ours."""

PRINT_WALL = Rule(
    code="print-wall",
    title="Printed wall too thin",
    meaning=(
        "The plastic between two bores, or between a bore and the outside of the block. A thin wall comes "
        "out as one or two lines side by side, and splits when a bush is pressed in."
    ),
    formula="wall >= printer.smallest_wall of the shop file (1.6 mm); fail below half of that",
    source="four lines of a 0.4 mm nozzle; published design guides ask for 0.8 to 1.6 mm",
    trust="CP",
    mend="Give the block more margin, or guide holes that lie closer together with two guides.",
)

PEG_NEAR_BORE = Rule(
    code="peg-near-bore",
    title="Peg too near a bore",
    meaning=(
        "A drill that comes out of its bush beside a peg cuts into the peg or pushes it aside, and the peg "
        "is what holds the guide in place. The distance runs from rim to rim."
    ),
    formula="rim to rim >= printer.smallest_wall of the shop file (1.6 mm); fail below half of that",
    source="common practice, no source",
    trust="CP",
    mend="Put the peg into another existing hole.",
)

PEG_THIN = Rule(
    code="peg-thin",
    title="Peg too thin to print",
    meaning="A thin printed peg shears along a layer the first time the guide is pushed home.",
    formula="diameter >= printer.smallest_peg of the shop file (3 mm); fail below half of that",
    source="a published design guide asks for 3 mm",
    trust="CP",
    mend="Put the peg into a larger existing hole.",
)

PRINT_BED = Rule(
    code="print-bed",
    title="Part larger than the printer",
    meaning=(
        "The part as it stands on the bed, pegs up, does not fit in the room the shop file gives, whichever "
        "of its sides lies along the bed."
    ),
    formula="both sides <= bed_width and bed_depth, turned or not, and height <= height of [printer]",
    source="the shop file",
    trust="C",
    mend="Guide fewer holes with one block, or put the pegs into nearer holes.",
)

BUSH_LENGTH = Rule(
    code="bush-length",
    title="Bush too short for its drill, or longer than the block",
    meaning=(
        "A drill in a short bush leans, and the hole wanders. A bush longer than its block stands proud of "
        "it, where it is pushed back when the drill binds."
    ),
    formula="length >= bush_length_ratio x drill (1.5); fail below 1 x drill; and length <= block",
    source="1 to 2 drill diameters: common practice in jig design, no source",
    trust="CP",
    mend="Make the block thicker, so that a longer bush goes in.",
    limit_key="bush_length_ratio",
)

GUIDE_PLAY = Rule(
    code="guide-play",
    title="Guide lets its holes wander",
    meaning=(
        "The pegs have play in their holes, and a bore beyond them swings further than they do. The play of "
        "the two pegs that hold a bore best is carried over to it as if both stood against their holes in "
        "the worst way at once."
    ),
    formula=(
        "(|1 - z| c1 + |z| c2) / 2 <= guide_play_mm (0.5 mm), z = place of the bore along and beside the "
        "line of the pegs, 0 at the first and 1 at the second, as a complex number; c = hole - peg diameter; "
        "fail above twice that"
    ),
    source="rigid motion of small angle, closed form; the limit is ours",
    trust="C",
    mend="Put the pegs further apart, or lower peg_clearance in the shop file after a test print.",
    limit_key="guide_play_mm",
)

GUIDE_NO_ROOM = Rule(
    code="guide-no-room",
    title="Guide does not lie flat",
    meaning=(
        "Something on that face of the panel, a bead or a thing mounted there, lies under the block: the "
        "guide rocks, its bores lean, and its pegs do not go home."
    ),
    formula="no bead, and nothing nearer to the face than the block is thick, under the outline of the block",
    source="closed form",
    trust="C",
    mend="Choose other pegs or guide fewer holes, so that the block keeps clear; or move the thing aside.",
)

GUIDE_REVERSIBLE = Rule(
    code="guide-reversible",
    title="Guide also fits the wrong way round",
    meaning=(
        "Turned on the panel, every peg finds a hole again, and all new holes would come in the wrong place. "
        "Only the cut corner and the drawing show it."
    ),
    formula="no other turn puts every peg into an existing hole with up to 2 mm of play to each side",
    source="rigid motion, closed form; a peg that is looser than that is noticed: ours",
    trust="CP",
    mend="Add a peg in a third hole, or choose two holes of clearly different diameters.",
)

RULES = (
    PRINT_WALL,
    PEG_NEAR_BORE,
    PEG_THIN,
    PRINT_BED,
    BUSH_LENGTH,
    GUIDE_PLAY,
    GUIDE_NO_ROOM,
    GUIDE_REVERSIBLE,
)
