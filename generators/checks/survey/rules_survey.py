"""Rules on measured holes: whether readings say where they are, and whether a part goes on them."""

from __future__ import annotations

from generators.checks.rule import Rule

READINGS_UNCONNECTED = Rule(
    code="readings-unconnected",
    title="Groups of holes no reading ties together",
    meaning=(
        "No reading leads from one group of holes to the other, so one can lie anywhere and any way round "
        "beside the other. Two groups of two or more holes need three distances between them."
    ),
    formula="holes are joined by readings; an edge or a known hole joins what is measured from it",
    source="rank of the design matrix",
    trust="C",
    mend="Take distances across: each group to two holes of the other.",
)

READINGS_TOO_FEW = Rule(
    code="readings-too-few",
    title="Readings leave a hole free to move",
    meaning=(
        "A hole or a group can move while every reading stays as it is: a hole with one distance swings on "
        "it, four holes in a ring fold like a gate. Any place shown for it would be made up."
    ),
    formula="rank(design matrix with constraints) = unknown coordinates; its null space is what moves",
    source="rank of the design matrix",
    trust="C",
    mend="Take the reading the advice names.",
)

READINGS_MIRROR = Rule(
    code="readings-mirror",
    title="Readings do not tell left from right",
    meaning=(
        "Distances fit the mirror image of the holes just as well. A template made from the wrong one looks "
        "right and fits only from the other face."
    ),
    formula="mirrored places fit within chi-square 10.83 (1 degree of freedom, 0.1 %)",
    source="congruence of distances under reflection",
    trust="C",
    mend='Add one [[handed]]: hole C is left (or right) of the line from A to B, "seen from" a face.',
)

READINGS_TWO_PLACES = Rule(
    code="readings-two-places",
    title="A hole fits in two places",
    meaning=(
        "A hole tied by two distances lies on either side of the line through the other two holes; a group "
        "that hangs on two holes folds over as a whole. Both places fit the readings."
    ),
    formula="folded places fit within chi-square 10.83 (1 degree of freedom, 0.1 %)",
    source="adjusted again from every fold",
    trust="C",
    mend="Take the reading the advice names, or add a [[handed]] for that hole.",
)

READINGS_ON_LINE = Rule(
    code="readings-on-line",
    title="All holes on one line",
    meaning=(
        "The readings fit with every hole on one straight line. Along it the places are good; across it "
        "distances say almost nothing: an offset h over a length L changes a distance by only h²/2L."
    ),
    formula="fit with all holes on one line within chi-square 10.83 of the best; sagitta h²/2L",
    source="second-order term of a distance",
    trust="C",
    mend="Measure offsets from a straightedge along the row, or distances to an edge or a hole beside it.",
)

READING_GROSS = Rule(
    code="reading-gross-error",
    title="A reading is out by more than chance allows",
    meaning=(
        "One reading disagrees with the others by more than its uncertainty allows: a slip of 10 mm or an "
        "inch, a rim taken for a centre, the wrong hole. Its residual, over the residual's own standard "
        "deviation, is tested; each suspect is then left out and everything adjusted again."
    ),
    formula="|w| = |v| / (sigma·sqrt(r)) <= 3.29, two-sided 0.1 %; error = v / r, r the redundancy",
    source="W. Baarda 1968, A testing procedure for use in geodetic networks",
    trust="M-high",
    mend="Take that reading again; leave it out only when it cannot be repeated and the others agree.",
)

READINGS_DISAGREE = Rule(
    code="readings-disagree",
    title="Readings disagree as a whole",
    meaning=(
        "Taken together the residuals are larger than the stated uncertainties allow, and no single reading "
        "is to blame: several are wrong, or the uncertainties are too small for this work."
    ),
    formula="chi-square of the residuals, probability >= 0.1 %",
    source="global model test, W. Baarda 1968",
    trust="M-high",
    mend="Take the readings with the largest w again; state an honest uncertainty.",
)

READING_UNCHECKED = Rule(
    code="reading-unchecked",
    title="No other reading checks this one",
    meaning=(
        "A slip in such a reading moves the hole and shows nowhere. Its redundancy number is next to nothing."
    ),
    formula="r = 1 - variance of the adjusted reading / variance of the reading < 0.02",
    source="redundancy numbers, W. Baarda 1968",
    trust="M-high",
    mend="Take one more reading to each hole concerned.",
)

READINGS_SCALE = Rule(
    code="readings-scale",
    title="One instrument's readings fit another scale better",
    meaning=(
        "All lengths of one instrument fit better when each is multiplied by the same factor. Nothing is "
        "corrected with it: a scale other than 1 means a print that was not 1:1, a stretched or cut tape, "
        "or inches read as something else."
    ),
    formula="|scale - 1| <= 3.29 sigma of the scale; the scale is one more unknown of the adjustment",
    source="common practice; test level as for a single reading",
    trust="CP",
    mend="Check the instrument against a steel rule; if a print was measured, print it again.",
)

HANDED_AGAINST = Rule(
    code="handed-against",
    title="A hole lies on the other side",
    meaning="A handedness reading contradicts the places that fit the distances.",
    formula="sign of the cross product of the line and the step to the hole",
    source="plane geometry",
    trust="C",
    mend="Look again, and from which face; check the names of the three holes.",
)

HOLE_UNSURE = Rule(
    code="hole-unsure",
    title="A hole is not known well enough to drill to",
    meaning=(
        "The 95 % ellipse of the centre is larger than a fastener's clearance usually forgives. A hand drill "
        "wanders on top of that."
    ),
    formula="major semi-axis of the 95 % ellipse = 2.448 standard deviations <= 1.5 mm",
    source="chi-square with 2 degrees of freedom; limit ours",
    trust="CP",
    mend="Take the reading the advice names.",
)

ASDRILLED_CLEARANCE = Rule(
    code="asdrilled-clearance",
    title="Part does not go on the holes as drilled",
    meaning=(
        "Laid on as well as it can be, the part has at least one hole whose fastener does not pass. A free "
        "bolt may lean on both holes, (H-F)/2 each; a weld nut or stud leaves only the part's own hole."
    ),
    formula="distance of centres <= (Hp-F)/2 + (Hq-F)/2 floating, (H-F)/2 fixed; slots add their travel",
    source="ASME Y14.5 appendix B, fixed and floating fastener formulas",
    trust="R2+",
    mend="Take the smallest rescue the command names; `--out` writes the spec and the blank for it.",
)

ASDRILLED_CHANCE = Rule(
    code="asdrilled-chance",
    title="It may not go on, given how well the holes are known",
    meaning=("By the measured places the part goes on, but within their uncertainty it often would not."),
    formula="share of simulated sets that assemble >= 95 % (fixed seed)",
    source="Monte Carlo with the covariance of the survey; limit ours",
    trust="CP",
    mend="Measure the holes better, or take the rescue the command names.",
)

RULES = (
    READINGS_UNCONNECTED,
    READINGS_TOO_FEW,
    READINGS_MIRROR,
    READINGS_TWO_PLACES,
    READINGS_ON_LINE,
    READING_GROSS,
    READINGS_DISAGREE,
    READING_UNCHECKED,
    READINGS_SCALE,
    HANDED_AGAINST,
    HOLE_UNSURE,
    ASDRILLED_CLEARANCE,
    ASDRILLED_CHANCE,
)
