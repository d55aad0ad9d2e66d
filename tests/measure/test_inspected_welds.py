"""Gaps and legs of welds as a filled inspection sheet gives them: which value passes as it is, and which with what leg."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from made_once import solved

from generators.drawing.inspection.items import inspected
from generators.jobs.asdrilled.inspection import inspect
from generators.jobs.blanks import pulled_in
from generators.reading.readings import read_readings
from generators.solve.job import Prepared

PART = "slave_bracket"


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return solved("dray_tractor")


def filled(prepared: Prepared, **read: float) -> str:
    """The bracket's sheet as drawn, but for the lengths in ``read``, mm."""
    part = next(p for p in prepared.parts if p.spec.name == PART)
    lines = [
        f'[measure]\nname = "i"\ntitle = "I"\npart = "{PART}"\nsheet = "{prepared.file.revision}"\n',
    ]
    for item in inspected(part.plan, pulled_in(prepared, part)):
        said = f'is = "{read.get(item.key, item.nominal):.3f} mm"'
        if item.unit == "angle":
            said = f'angle = "{math.degrees(item.nominal):.1f} deg"'
        lines.append(f'[[inspected]]\nitem = "{item.key}"\n{said}\n')
    return "\n".join(lines)


# the sheet says up to 1.58 as it is, closed as well (as near as practicable: AWS D1.1), and to 4.76 with a leg of 5 and the gap: from either side of each
@pytest.mark.parametrize(
    ("gap", "leg", "out"),
    [
        (0.0, 5.0, []),
        (0.11, 5.0, []),
        (1.57, 5.0, []),
        (1.57, 4.99, ["Z1"]),
        (1.6, 5.0, ["Z1"]),
        (1.6, 6.59, ["Z1"]),
        (1.6, 6.61, []),
        (4.75, 9.76, []),
        (4.75, 9.74, ["Z1"]),
        (4.78, 9.8, ["V1"]),
    ],
)
def test_a_gap_passes_as_it_is_or_with_the_leg_it_asks_for(
    prepared: Prepared, tmp_path: Path, gap: float, leg: float, out: list[str]
) -> None:
    path = tmp_path / "r.toml"
    path.write_text(filled(prepared, V1=gap, Z1=leg), encoding="utf-8")
    seen = inspect(prepared, read_readings(path))
    assert [f.where.rsplit(" ", 1)[-1] for f in seen.findings] == out
    assert seen.good == (not out)


def test_the_face_that_bolts_on_is_held_flat(prepared: Prepared, tmp_path: Path) -> None:
    """200 mm long: 1 mm by ISO 13920 class E (from memory)."""
    for gap, good in ((0.99, True), (1.01, False)):
        path = tmp_path / "r.toml"
        path.write_text(filled(prepared, Y1=gap), encoding="utf-8")
        assert inspect(prepared, read_readings(path)).good == good
