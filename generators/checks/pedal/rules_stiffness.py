"""Rules on how far a loaded bracket gives and how near it comes to yielding."""

from __future__ import annotations

from generators.checks.rule import Rule

BRACKET_DEFLECTION = Rule(
    code="bracket-deflection",
    title="Bracket gives too much",
    meaning=(
        "At everyday effort the hanger lets the pad move by more than the limit with the piston held still, "
        "or a loaded hole moves by more than its limit. This movement neither releases the clutch nor "
        "presses the brake. By `check` a closed form, good within a factor of 2.5; by `stiffness` and "
        "`make --stiffness` finite elements on the solid. Nothing published gives a limit: ours."
    ),
    formula="movement at the pad <= pad_flex (3 mm); at a loaded hole <= hole_flex (1 mm)",
    source="limits ours; web and cheeks as beams (Roark table 8.1), or linear elasticity",
    trust="CP",
    mend="Take the stiffest cheap change `pedalplate stiffness` ranks, or thicker sheet.",
    limit_key="pad_flex_mm",
)

BRACKET_YIELD = Rule(
    code="bracket-yield",
    title="Bracket yields at the limit load",
    meaning=(
        "The yield stress of the material table over the largest von Mises stress of every case: everyday "
        "effort, limit load, from the side, a brake's 2000 N (structure only), away from held bolts and "
        "sharp inner corners. A linear figure: in ductile sheet a peak at a hole's edge yields and spreads "
        "before anything breaks, so this warns and never holds back files; by a closed form only noted. "
        "14 CFR 23.305(a) asks for no harmful lasting deformation at the limit load (from memory, sure); the "
        "brake's 2000 N is Formula SAE 2019 T.5.1.10b (R1)."
    ),
    formula="yield stress / peak stress >= yield_factor (1)",
    source="14 CFR 23.305(a)",
    trust="M-high",
    mend="Thicker sheet, washers under the bolts, bolts nearer the cheeks, a doubler, or stronger material.",
    limit_key="yield_factor",
)

BRACKET_GAUGE = Rule(
    code="bracket-gauge",
    title="Gauge still to be chosen, or none stiff enough",
    meaning=(
        'The part asks for gauge = "stiff enough": the thinnest sheet on the rack of its material that keeps '
        "its movement under the limit, computed by finite elements. Until that is done its files are drawn "
        "with the thickness given; where no sheet on the rack is stiff enough, with the thickest tried."
    ),
    formula="movement at the pad of the chosen sheet <= pad_flex",
    source="linear elasticity on the solid; limit ours",
    trust="CP",
    mend="Run `pedalplate make SPEC --stiffness`, or put thicker sheet on the rack in shop.toml.",
)

RULES: tuple[Rule, ...] = (BRACKET_DEFLECTION, BRACKET_YIELD, BRACKET_GAUGE)
