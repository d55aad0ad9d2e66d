"""Letters before the numbers of an inspection sheet: one letter, one thing, on every part there is."""

from __future__ import annotations

import re
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make

from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.model.plan import PartPlan
from generators.parts import kind_named
from generators.parts.building.pivots.pressed import with_pivots
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.rows import read_rows

MEANS = {
    "A": "throat of the weld round the boss",
    "B": "angle between the faces",
    "C": "Ø of the countersink",
    "D": r"hole \d+ to hole \d+, over the far rims",
    "E": r"\w+ rim of \w+ \d+ from",
    "F": r"Ø of hole \d+ \w+: ",
    "G": "thread",
    "H": r"centre of \w+ \d+ above",
    "J": "ball bearing",
    "K": "collar of hole|boss of hole",
    "L": ".+, (?:from|over) the (?:outer face|lower side|upper side)s?",
    "M": r"hole \d+ to hole \d+ along the fold",
    "N": r".+ in hole \d+, on the \w+ side: sits flat",
    "P": r"shaft through bores \d+ and \d+",
    "Q": "Ø of the groove",
    "R": r"(?:Ø of hole|width of slot) \d+ again",
    "S": r"(?:blank|plate) over all",
    "T": "thickness",
    "U": r"free width between .+ and .+, all round pivot bores \d+ and \d+",
    "V": "gap at WELD",
    "W": "edge of WELD",
    "X": "difference of M",
    "Y": "lower sides? of",
    "Z": "leg of WELD",
}
BOSS = {"pivot_build": "welded_boss", "welded_boss_outside_mm": 26.0, "welded_boss_height_mm": 10.0}
CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "bosses": ("pedal_hanger", {**BOSS, "pivot_spacer_mm": 24.0}),
    "reamed": ("pedal_hanger", {"pivot_build": "reamed"}),
    **{
        kind: (kind, {})
        for kind in ("slave_bracket", "stop_bracket", "pedal_box", "carried_hanger", "fitting_plate")
    },
}


def part(name: str) -> PartPlan:
    kind, keys = CASES[name]
    plan = make(kind)
    if keys:
        own = kind_named(kind).parameters(**keys)
        plan = with_pivots(replace(plan, shaft_mm=15.88), own)
    return plan


@pytest.mark.parametrize("name", CASES)
def test_one_letter_is_one_thing(name: str, tmp_path: Path) -> None:
    path = tmp_path / "i.pdf"
    write_inspection_sheet(part(name), path, job_title=JOB, revision=REVISION, pulled=("1",))
    rows, faults = read_rows(read_pdf(path))
    assert faults == []
    for row in rows:
        if row.key[0].isdigit():
            continue
        assert row.key[0] in MEANS, row
        means = [letter for letter, words in MEANS.items() if re.match(words, row.what)]
        assert means == [row.key[0]], row
    said = {row.key[0] for row in rows}
    if name == "bosses":
        assert said >= set("ABKU")
    if name == "reamed":
        assert said >= set("BF")
    if name == "slave_bracket":
        assert said >= set("BVWZ")
