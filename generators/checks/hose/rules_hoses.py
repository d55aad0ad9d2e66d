"""Rules on hoses and rigid lines: path, length, support, clearance, air, order."""

from __future__ import annotations

from generators.checks.rule import Rule

NO_WAY = "draw the hose on the vehicle with a piece of wire before changing numbers"

HOSE_BEND_RADIUS = Rule(
    code="hose-bend-radius",
    title="No path at the hose's bend radius",
    meaning=(
        "Between its ends, through its clamps, with the straight run each fitting needs, no curve of the "
        "smallest bend radius joins up. Bent tighter, a hose kinks or its braid opens. The radius is taken "
        "to the centre line."
    ),
    formula="every arc of the path >= bend radius of the hose",
    source="AC 43.13-1B table 9-3 for the table's hoses; else the hose's maker, as given in the spec",
    trust="R1",
    mend="Turn a fitting, use an elbow, move a clamp away from it, or take a hose that bends tighter.",
)

HOSE_STRAIGHT_RUN = Rule(
    code="hose-straight-run",
    title="Straight run at a fitting too short",
    meaning=(
        "Beside its end fitting a hose must leave straight, or it works loose and kinks there. No document "
        "was read; the trade says 1.5 times the outside diameter, others 1.5 times the bend radius, which "
        "few layouts can give."
    ),
    formula="straight run of the spec >= hose_straight x outside diameter",
    source="common practice, no source",
    trust="CP",
    mend="Leave out the hose's own straight, or set it to the limit.",
    limit_key="hose_straight_ratio",
)

HOSE_TOO_SHORT = Rule(
    code="hose-too-short",
    title="Made-up hose shorter than its path",
    meaning="Seat to seat, along the shortest path its clamps and fittings allow, the hose does not reach.",
    formula="made-up length >= path length",
    source="closed form: length of straights and arcs",
    trust="C",
    mend="Take a longer hose, or move one of its ends nearer.",
)

HOSE_STATED = Rule(
    code="hose-stated-length",
    title="Length stated for a pedal's line is not its hose's",
    meaning=(
        "A pedal's line names its hose and states a length as well, and the layout gives another. The "
        "layout's is used: swell and fluid follow the hose as cut."
    ),
    formula="hose alone - 1 % <= stated length <= seat to seat + 1 %",
    source="closed form: length of straights and arcs; the 1 % ours",
    trust="C",
    mend="Take the length out of the pedal's line, or mend the layout if the vehicle says otherwise.",
)

HOSE_SLACK = Rule(
    code="hose-slack",
    title="Slack of a hose out of bounds",
    meaning=(
        "A hose needs 5 to 8 % more than its path: less and it is pulled when pressure shortens it or its "
        "ends move, more and it rubs and sags into an air trap. Rigid lines have none."
    ),
    formula="hose_slack <= (length - path) / path <= hose_slack_most",
    source="NAVEDTRA 14105 p 5-11, 5 to 8 %",
    trust="R1",
    mend="Take the length the finding names, or move one end.",
    limit_key="hose_slack_ratio",
)

HOSE_LENGTH_CHANGE = Rule(
    code="hose-length-change",
    title="Hose pulled tight under pressure",
    meaning=(
        "Under pressure a hose gets up to 4 % shorter and up to 2 % longer, and an end on the engine moves. "
        "What is left of its length must still cover the path."
    ),
    formula="0.96 x hose - path - movement of both ends >= 0",
    source="AC 43.13-1B fig 9-9, p 9-23: +2 to -4 %",
    trust="R1",
    mend="Take a longer hose, or let its end move less.",
)

HOSE_SUPPORT = Rule(
    code="hose-support-spacing",
    title="Hose or line not held often enough",
    meaning=(
        "Between supports a hose swings and chafes, and a rigid line breaks at its flares. Next to a union "
        "or a tee a rigid line's spacing is taken 20 % smaller."
    ),
    formula="span <= 24 in (hose); the table's spacing by tube size and metal (rigid line)",
    source="AC 43.13-1B 9-30d(3) for hoses; MIL-H-8891A table II and FAA-H-8083-30 table 7-5 for lines",
    trust="R1",
    mend="Add a clamp between the two supports the finding names.",
    limit_key="hose_support_mm",
)

HOSE_CLEARANCE = Rule(
    code="hose-clearance",
    title="Hose too near something fixed",
    meaning="The hose's outside comes nearer to a body than the limit and will rub on it.",
    formula="gap >= hose_clear",
    source="no published limit found; ours",
    trust="CP",
    mend="Add or move a clamp so that the hose stays away.",
    limit_key="hose_clear_mm",
)

HOSE_APART = Rule(
    code="hose-hose-clearance",
    title="Hoses too near each other",
    meaning=(
        "Two hoses come nearer to each other than the limit and chafe when one moves. Where both are held in "
        "the same place they may lie together; two drawn through each other cannot both be there. "
        "Beside a component that both end on they are not measured."
    ),
    formula="gap >= hose_apart; warned where they touch",
    source="common practice, no source",
    trust="CP",
    mend="Clamp one of them further off, or both together.",
    limit_key="hose_apart_mm",
)

HOSE_NEAR_MOVING = Rule(
    code="hose-near-moving",
    title="Hose too near something that moves",
    meaning=(
        "Pedals through their whole sweep, the steering, and whatever the spec calls moving must pass the "
        "hose with air: a hose that is caught is torn off."
    ),
    formula="gap >= hose_moving (12 mm), hose_steering (15 mm)",
    source="common practice, no source: 10 to 15 mm to what moves with engine or steering",
    trust="CP",
    mend="Lead the hose the other way round, or clamp it further off.",
    limit_key="hose_moving_mm",
)

HOSE_NEAR_HOT = Rule(
    code="hose-near-hot",
    title="Hose too near something hot",
    meaning="Beside an exhaust the fluid boils and the hose ages; a shield does not help one that touches.",
    formula="gap >= hose_hot",
    source="no published limit found; ours",
    trust="CP",
    mend="Lead the hose the other way round; if it must pass, shield it and say so with a limit of your own.",
    limit_key="hose_hot_mm",
)

HOSE_EDGE = Rule(
    code="hose-edge",
    title="Hose at the edge or across the fold of a panel",
    meaning=(
        "Bare edges, rims of holes and the faces of panels saw through a hose. A hose crosses a panel only "
        "at a bulkhead fitting or a grommet; past a fold it keeps off both faces."
    ),
    formula="gap to an edge >= hose_edge; gap to a face >= hose_face; no crossing without a grommet",
    source="no published limit found; ours",
    trust="CP",
    mend="Pass the panel through a grommet or a bulkhead fitting, or clamp the hose further off.",
    limit_key="hose_edge_mm",
)

HOSE_DETOUR = Rule(
    code="hose-detour",
    title="Hose led round something with nothing to hold it",
    meaning=(
        "The shortest way comes too near to something, and the way round it that was found has no clamp. "
        "A hose does not stay where nothing holds it."
    ),
    formula="every turn of the path that is not the shortest is held by a clamp",
    source="common practice, no source",
    trust="CP",
    mend="Put a clamp where the finding says.",
)

HOSE_PLANE_CHANGE = Rule(
    code="hose-plane-change",
    title="Bends in two planes without a clamp between",
    meaning="Under pressure a hose bent in two planes twists at its ends unless a clamp divides the bends.",
    formula="a clamp between two bends of different planes; a note on a feed hose",
    source="TM 1-1500-204-23-2 p 4-66",
    trust="R1",
    mend="Clamp the hose where its plane changes, or bring its ends into one plane.",
)

PLACE_BEST = Rule(
    code="place-best",
    title="Place found for a bulkhead fitting or a row of clamps",
    meaning=(
        "It was put where the hoses through it are shortest while bend radius, straight runs, support "
        "spacing, clearances, edge distance, hole spacing and keep-outs are all met. The rule named "
        "stopped it there: relax that one first. The search is local and no proof; rise is judged apart."
    ),
    formula="least sum of path lengths within all rules",
    source="search over the panel; the rules' own limits",
    trust="C",
    mend=("Nothing to mend when a place was found; else give it a place yourself, or relax the limit named."),
)

CLAMP_SIZE = Rule(
    code="clamp-size",
    title="Clamp smaller than its hose",
    meaning=(
        "A cushioned clamp smaller than the hose's outside chokes it; much larger lets it slide and chafe."
    ),
    formula="outside diameter <= clamp dash / 16 in; warned from 3/16 in more",
    source="FAA-H-8083-30 p 7-22 for the smaller; the larger ours; dash = inside in 1/16 in from memory",
    trust="R1",
    mend="Take the clamp size the finding names.",
)

HOSE_DASH = Rule(
    code="hose-dash-size",
    title="Sizes that do not go together",
    meaning=(
        "A hose end of one dash size does not seal on a port of another, and a run that changes size "
        "half way needs a reducer that is not in the spec."
    ),
    formula="dash of the hose = dash of both ports; one dash size on a pressure run",
    source="dash = tube outside diameter in 1/16 in, AN924",
    trust="R1",
    mend="Use one dash size from end to end, or give the adapter as a component with two ports.",
)

AIR_TRAP = Rule(
    code="air-trap",
    title="Air trapped in a high point of the line",
    meaning=(
        "From the slave to the reservoir the line must climb all the way. Where it goes up and down again, "
        "air stays at the top, and the pedal stays soft however long it is bled."
    ),
    formula="no local high point between slave and reservoir",
    source="geometry; common practice",
    trust="C",
    mend=(
        "Lower the high point or raise what follows by what the finding says, or put a bleed screw at the "
        "top."
    ),
)

RESERVOIR_LOW = Rule(
    code="reservoir-low",
    title="Reservoir below a port it feeds",
    meaning="Below the highest port, fluid runs out of the cylinder into the reservoir and air runs in.",
    formula="lowest fluid level >= highest port of the run + reservoir_head; fail below the port itself",
    source="hydrostatics; the margin ours",
    trust="C",
    mend="Raise the reservoir by what the finding says.",
    limit_key="reservoir_head_mm",
)

ORDER_CYCLE = Rule(
    code="order-cycle",
    title="No order of work is possible",
    meaning=(
        "What fixes a position comes before what depends on it. Here things wait for each other in a circle, "
        "so whichever is fitted first is fitted in the wrong place. No order is printed for any of them."
    ),
    formula="the graph of what waits for what has no loop",
    source="topological order",
    trust="C",
    mend="Take out one of the `after` or `decides` the finding names.",
)

HOSE_MEASURE = Rule(
    code="hose-measure",
    title="Hose length not released",
    meaning=(
        "An end of this hose is only estimated, or the spec asks to measure it: its length is taken on the "
        "vehicle at the step named, when both ends are bolted down."
    ),
    formula="both ends fixed by holes of this job or measured places",
    source="common practice, no source",
    trust="CP",
    mend="Nothing to mend; measure at that step.",
)

RESIDUAL_VALVE = Rule(
    code="residual-valve",
    title="Residual pressure valve to consider",
    meaning=(
        "Where a brake master sits below its wheel cylinders or calipers, fluid runs back. The trade puts a "
        "residual valve there, 2 psi for discs, 10 psi for drums. Never in a clutch line."
    ),
    formula="port of the brake end above the master's",
    source="common practice, no source",
    trust="CP",
    mend="Ask the maker of the brakes.",
)

RULES: tuple[Rule, ...] = (
    HOSE_BEND_RADIUS,
    HOSE_STRAIGHT_RUN,
    HOSE_TOO_SHORT,
    HOSE_STATED,
    HOSE_SLACK,
    HOSE_LENGTH_CHANGE,
    HOSE_SUPPORT,
    HOSE_CLEARANCE,
    HOSE_APART,
    HOSE_NEAR_MOVING,
    HOSE_NEAR_HOT,
    HOSE_EDGE,
    HOSE_DETOUR,
    HOSE_PLANE_CHANGE,
    PLACE_BEST,
    CLAMP_SIZE,
    HOSE_DASH,
    AIR_TRAP,
    RESERVOIR_LOW,
    ORDER_CYCLE,
    HOSE_MEASURE,
    RESIDUAL_VALVE,
)
