"""The words of a step on the press brake, as sheet and page have them, and all steps found in a text."""

from __future__ import annotations

import re

from generators.verify.pdf.bending.folder import FOLD
from generators.verify.pdf.bending.gauge.drawn_back import DRAWS
from generators.verify.pdf.bending.gauge.swings import SWINGS
from generators.verify.pdf.bending.gauge.wider import OVER
from generators.verify.pdf.bending.gauged import PAST, SLIDE, WHERE
from generators.verify.pdf.bending.scribed import SCRIBED, SKEW
from generators.verify.pdf.bending.squared import SQUARED
from generators.verify.pdf.welds import LIMITED

BORNE = (
    r"(?:On a metre (?:the punch may take (?P<punch_may>\d+) kN(?: \((?P<punch_foot>[\d.]+) US tons on a "
    r"foot\))?)?(?: and )?(?:the die may take (?P<die_may>\d+) kN(?: \((?P<die_foot>[\d.]+) US tons on a "
    r"foot\))?)?: ok\.)?"
    r"(?: ?What the (?P<untold>punch and the die|punch|die) may take nobody has told: look for the mark on "
    r"it first\.)?"
)
BY_EYE = SCRIBED.replace("line_at", "eye_at")
STEP = re.compile(
    r"(?P<number>\d+) Bend (?P<bend>[a-z0-9 ]+)(?P<instead>, on the brake instead)?: (?P<angle>[\d.]+)°, "
    r"R (?P<radius>[\d.]+)(?P<radius_unit> in)? "
    r"(?P<over>TURN THE PART OVER\. )?Lay it with its (?P<side>upper|lower) side up, "
    r"(?P<rear>[a-z0-9 ]+) toward the gauge\.(?P<left> PICTURE FROM THE LEFT END\.)? "
    r"(?:STOP (?P<stop>[\d.]+) (?P<unit>mm|in) from the middle of the die, against the "
    r"(?P<on>straight edge|outer face)(?: (?P<corners>[a-z]{1,2} to [a-z]{1,2}))? of "
    r"(?P<flange>[a-z0-9 ]+)\.(?: (?:Two fingers, (?P<apart>[\d.]+) (?:mm|in) apart at most, both |"
    r"ONE FINGER (?:bears )?on (?P<short>[\d.]+) (?:mm|in) of edge(?:, )?)"
    rf"(?:{WHERE})?(?:{OVER})?\.(?: {SQUARED})?)?"
    rf"(?: {PAST})?(?: {SWINGS})?(?: {DRAWS})?(?: {SKEW})?|"
    rf"No straight edge to stop on[^.]*\. {BY_EYE}) "
    r"PUNCH (?P<punch>.+?): (?P<pieces>[^:]+?)(?P<punch_most>, [A-Z][^:]+ beside it)?\. "
    r"DIE (?P<die>.+?): (?P<die_pieces>[^:]+?)(?: or longer|(?P<die_most>, [A-Z][^:]+ beside it))\. "
    rf"(?:ANGLE {LIMITED} )?"
    r"DEPTH (?P<depth>[\d.]+) (?P<depth_unit>mm|in) from touching the flat sheet"
    r"(?: to (?:(?P<pressed>[\d.]+)° under load, it springs back to (?P<back>[\d.]+)° by the shop's test "
    r"bend|(?P<loaded>[\d.]+)° under load, springback not measured); a degree more takes "
    r"(?P<degree>[\d.]+) (?:mm|in))?\. "
    r"FORCE (?P<force>\d+) kN, (?P<metre>\d+) kN on a metre"
    r"(?: \((?P<tons>[\d.]+) US tons, (?P<foot>[\d.]+) on a foot\))?\."
    rf" {BORNE}"
    r"(?: OVER THE OPEN V: (?P<open>[\d, ]+), by the numbers of the drawing\. [^.]*\.)?"
    r"(?: FREE BELOW THE DIE'S TOP: (?P<below>[^:]+?\))\.)?"
    r"(?: LEG (?P<bare>[a-z0-9 ]+) DOES NOT REACH THE DIE[^:]*: [^.]*\.[^.]*\.)?"
    rf"(?: {SLIDE})?"
)


def steps_in(text: str) -> list[re.Match[str]]:
    """Every step of a text, on either machine, in the order it stands there."""
    found = [*STEP.finditer(text), *FOLD.finditer(text)]
    return sorted(found, key=lambda m: m.start())
