"""Rules on a hydraulic pedal: release, stop, rod, effort, pressure and reservoir."""

from __future__ import annotations

from generators.checks.rule import Rule

PEDAL_NO_RELEASE = Rule(
    code="pedal-no-release",
    title="Pedal stops before the clutch is released",
    meaning=(
        "At the stop set in the spec the bearing has not gone far enough past contact: the clutch drags "
        "and gears grind. Dead stroke, free play, hose swell, fluid and panel flex are already taken off."
    ),
    formula="stop >= pad travel at release_travel + release_margin; fail below release_travel",
    source="release travel of the spec; margin ours",
    trust="C",
    mend="Move the stop to the recommended place.",
)

STOP_WINDOW_EMPTY = Rule(
    code="stop-window-empty",
    title="No stop is right for this pedal",
    meaning=(
        "The pedal meets a limit (master, slave, release fingers or floor) before the clutch is released "
        "with its margin, so wherever the stop is put something is wrong. The changes named were tried "
        "one at a time by computing everything again: the nearest common master or slave bore, the pin "
        "radius, the floor."
    ),
    formula="earliest stop <= min(master bottoms, slave runs out, fingers over-travel, floor)",
    source="exact linkage and volume balance",
    trust="C",
    mend="Make the one change the finding names.",
)

PEDAL_OVER_TRAVEL = Rule(
    code="pedal-over-travel",
    title="Pedal can push the release fingers too far",
    meaning=(
        "At the stop the bearing has gone further past contact than the fingers allow: they strike the "
        "disc or go past centre. The stop and its bracket must take the foot's force instead."
    ),
    formula="stop <= pad travel at over_travel",
    source="over-travel of the spec",
    trust="C",
    mend="Move the stop to the recommended place.",
)

MASTER_BOTTOMS = Rule(
    code="master-bottoms",
    title="Master cylinder bottoms before the stop",
    meaning=(
        "The piston reaches the end of its barrel first and takes the foot's whole force through the rod: "
        "rods bend and circlips break. For a brake: the master is at its end before the target effort."
    ),
    formula="stop <= pad travel at the master's stroke; brake: piston travel <= stroke at the target effort",
    source="exact linkage and volume balance",
    trust="C",
    mend="Move the stop, or take a larger bore or a longer stroke.",
)

SLAVE_RUNS_OUT = Rule(
    code="slave-runs-out",
    title="Slave cylinder runs out before the stop",
    meaning=(
        "The slave's piston reaches the end of its stroke, less what is kept free for wear. Past that it "
        "meets its circlip or leaves its bore, and the fluid is lost."
    ),
    formula="stop <= pad travel at slave stroke - wear x fork ratio",
    source="exact linkage and volume balance; wear allowance of the spec",
    trust="C",
    mend="Move the stop, or take a slave with more stroke or a larger bore.",
)

ROD_ANGLE = Rule(
    code="rod-angle",
    title="Pushrod at an angle to the cylinder",
    meaning=(
        "A rod out of line pushes the piston sideways, wears the bore and hits the circlip; jam nuts "
        "catch. The angle is the largest between rest and stop. No source gives a limit: these are ours."
    ),
    formula="rod angle <= rod_angle (3 deg); fail above rod_angle_fail (5 deg)",
    source="no published limit found; ours",
    trust="CP",
    mend="Move the master to the pin's mid-travel height, or take a longer rod.",
    limit_key="rod_angle_rad",
)

PEDAL_EFFORT = Rule(
    code="pedal-effort",
    title="Pedal too heavy",
    meaning=(
        "Largest pad force between rest and stop; of a brake, the force for the pressures wanted. Without "
        "friction and return spring, so the real pedal is heavier. Published: FMVSS 135 S7.5.2 and "
        "UN R13-H annex 3 65 to 500 N, FMVSS 105 S5.1 15 to 150 lbf (all from memory, sure); 14 CFR "
        "27.397(a)(1) 130 lbf for a foot control (R1, read in the document); Formula SAE 2019 T.5.1.10b "
        "asks a brake pedal to withstand 2000 N (R1), which is strength, not effort. Clutch 90 to 180 N "
        "is common practice, no source."
    ),
    formula="effort <= targets.effort (180 N clutch, 500 N brake); fail above 578 N clutch, 667 N brake",
    source="fail: 14 CFR 27.397(a)(1), 130 lbf (R1), for a clutch; FMVSS 105 S5.1, 150 lbf, for a brake",
    trust="M-high",
    mend="A smaller master, a larger slave or a longer pedal makes it lighter and longer.",
)

LINE_PRESSURE = Rule(
    code="line-pressure",
    title="Pressure over the weakest piece",
    meaning=(
        "Highest pressure up to the stop, or at a brake's target effort, against the lowest rating given "
        "in the spec. Pieces without a rating are not judged."
    ),
    formula="peak pressure <= lowest rating",
    source="ratings of the spec",
    trust="C",
    mend="Replace the piece named, or lower the pressure with a larger bore.",
)

RESERVOIR_VOLUME = Rule(
    code="reservoir-volume",
    title="Reservoir too small for the wear",
    meaning=(
        "As disc, pads or shoes wear, fluid moves between reservoir and slave or brakes. The reservoir "
        "must hold that and one whole stroke of the master (ours), or it runs dry or overflows."
    ),
    formula="volume >= wear volume + master area x stroke; fail below the wear volume",
    source="volume balance; the stroke in hand is ours",
    trust="C",
    mend="Fit a larger reservoir.",
)

PEDAL_TRAVEL = Rule(
    code="pedal-travel",
    title="Pedal travels too far for a foot",
    meaning=(
        "Pad travel to the stop over the target; or a brake pedal that meets the floor before the target "
        "effort, or uses more than 80 % of its travel at 50 lbf (49 CFR 570.55(c), R1). 100 to 150 mm is "
        "common practice, no source; leg travel up to 180 mm, MIL-STD-1472F 5.4.2, from memory, unsure."
    ),
    formula="stop <= targets.travel (150 mm); brake: travel at 50 lbf <= 80 % of travel, fail at the floor",
    source="49 CFR 570.55(c) for a brake (R1); pad travel: common practice, no source",
    trust="CP",
    mend="A larger master, a smaller slave or a shorter pedal makes it shorter and heavier.",
)

ROD_LENGTH = Rule(
    code="rod-length",
    title="Pushrod too long or too short",
    meaning=(
        "A rod that leaves no play holds the piston off its rest: the port stays closed, pressure builds "
        "as the fluid warms, and the clutch slips or the brakes drag. One that leaves too much play "
        "wastes pedal travel."
    ),
    formula="0 <= play at rest <= rod_play + 1 mm (ours)",
    source="some play is common practice, no source; the upper limit is ours",
    trust="CP",
    mend="Set the rod to the length the finding gives.",
)

RULES: tuple[Rule, ...] = (
    PEDAL_NO_RELEASE,
    STOP_WINDOW_EMPTY,
    PEDAL_OVER_TRAVEL,
    MASTER_BOTTOMS,
    SLAVE_RUNS_OUT,
    ROD_ANGLE,
    PEDAL_EFFORT,
    LINE_PRESSURE,
    RESERVOIR_VOLUME,
    PEDAL_TRAVEL,
    ROD_LENGTH,
)

CLUTCH_CEILING_N = 578.2686
"""130 lbf: 14 CFR 27.397(a)(1), the pilot force on a foot control."""

BRAKE_CEILING_N = 667.2332
"""150 lbf: FMVSS 105 S5.1, from memory, sure."""

INSPECTION_SHARE = 0.8
"""Share of the pedal travel a brake may use at 50 lbf: 49 CFR 570.55(c)."""

PLAY_IN_HAND_MM = 1.0
"""How much more play than wanted is let pass: ours."""
