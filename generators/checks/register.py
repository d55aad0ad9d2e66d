"""The one list of rules, and the look-up behind ``pedalplate explain``."""

from __future__ import annotations

import difflib

from generators.checks.hose import rules_hoses as hoses
from generators.checks.joint import rules_mating as mating
from generators.checks.panel import rules_panel as panel
from generators.checks.part import rules_bend as bend
from generators.checks.part import rules_metal as metal
from generators.checks.part import rules_printed as printed
from generators.checks.pedal import rules_hydraulics as hydraulics
from generators.checks.pedal import rules_stiffness as stiffness
from generators.checks.rule import Rule
from generators.checks.survey import rules_survey as survey
from generators.errors import LookupFault

RULES: tuple[Rule, ...] = (
    metal.HOLE_EDGE_DISTANCE,
    metal.HOLE_SPACING,
    metal.HOLE_LIGAMENT,
    bend.HOLE_BEND_DISTANCE,
    bend.NUT_ON_BEND,
    bend.HOLE_PROCESS_LIMIT,
    bend.FLANGE_LENGTH,
    bend.BEND_NEAR_BEND,
    bend.BEND_RELIEF,
    bend.BEND_RADIUS,
    bend.BEND_RADIUS_UNKNOWN,
    bend.BLANK_OVERLAP,
    bend.FOLDED_CLASH,
    bend.JOGGLE_TOOL,
    bend.STOCK_MISSING,
    bend.K_UNMEASURED,
    *printed.RULES,
    panel.HOLE_OFF_PANEL,
    panel.PANEL_BEAD,
    panel.HOLE_NEAR_FOLD,
    panel.HOLE_IN_FOLD,
    panel.HOLE_SHARED,
    panel.HOLE_TOOL,
    panel.NO_WITNESS_HOLE,
    panel.REUSE_OVERSIZE,
    panel.KEEP_OUT,
    panel.DRILL_PATH,
    panel.NUT_CLASH,
    panel.SPANNER_CLASH,
    panel.NUT_ON_FOOTPRINT,
    panel.HOLE_UNDER_PART,
    panel.FOOTPRINT_CLASH,
    panel.PART_OFF_PANEL,
    panel.PART_ON_OBSTACLE,
    *mating.RULES,
    *hydraulics.RULES,
    *stiffness.RULES,
    *survey.RULES,
    *hoses.RULES,
)


def explain(code: str) -> Rule:
    """The rule of that code. Raises ``LookupFault`` whose known codes begin with the likeliest."""
    for rule in RULES:
        if rule.code == code:
            return rule
    codes = [rule.code for rule in RULES]
    likely = difflib.get_close_matches(code, codes, n=3)
    raise LookupFault("rule", code, [*likely, *sorted(c for c in codes if c not in likely)])
