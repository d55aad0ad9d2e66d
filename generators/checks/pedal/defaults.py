"""Notes on values nobody gave that change an answer."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from generators.checks.rule import Rule, finding
from generators.hydraulics.linkage import FloorFound
from generators.model.findings import Finding, Severity
from generators.model.spec.hydraulics import Pedal

PEDAL_DEFAULT = Rule(
    code="pedal-default",
    title="A pedal is computed with a value the spec does not give",
    meaning=(
        "The key named was left out, so its default was used, and the answer would be another with another "
        "value: flex and free play eat release, the covering eats travel, the sizes of pad and arm decide "
        "where they meet metal."
    ),
    formula="a note for each such key that is left out",
    source="the default of each key, `pedalplate kinds --schema job`",
    trust="CP",
    mend="Measure it and write it into the spec, even where it is the default.",
)

RULES = (PEDAL_DEFAULT,)


def check_defaults(pedal: Pedal, given: Mapping[str, Any], floor: FloorFound | None) -> Iterator[Finding]:
    """One note for each key that was left out; ``given`` is the pedal's table as it stands in the spec."""
    if not pedal.bracket_flex_mm_per_n and "bracket_flex" not in given and pedal.hanger_flex == "none":
        yield _note(
            pedal,
            "bracket_flex",
            "a panel that does not give at all",
            "measure it with a helper on the pedal: 2 to 3 mm under a full foot is not rare",
        )
    if pedal.clutch is not None and "free_play" not in given.get("clutch", {}):
        yield _note(
            pedal,
            "clutch.free_play",
            f"{pedal.clutch.free_play_mm:g} mm of free play at the bearing",
            "measure it, or give 0 mm where the bearing rides along",
        )
    if not {"arm_width", "arm_thickness", "arm_diameter"} & given.keys():
        width, thickness = pedal.arm_section_mm
        yield _note(pedal, "arm_width", f"an arm of {width:g} × {thickness:g} mm", "measure the arm")
    sizes = zip(("pad_width", "pad_height", "pad_thickness"), pedal.pad_size_mm, strict=True)
    missing = [(name, size) for name, size in sizes if name not in given]
    if missing:
        said = ", ".join(f"{name.removeprefix('pad_')} {size:g} mm" for name, size in missing)
        yield _note(pedal, missing[0][0], f"a pad of {said}", "measure the pad with its rubber")
    reached = floor is not None and floor.travel_mm <= (pedal.travel_mm or math.inf)
    if floor is not None and floor.open_ and reached:
        # two pedals over one panel have one note
        yield finding(
            PEDAL_DEFAULT,
            Severity.NOTE,
            f"{floor.body} covering",
            found=f"the floor of a pedal computed as bare metal: {floor.what} has no covering",
            wanted="the thickness as measured",
            advice="give it trodden down as the panel's covering, 0 mm for bare metal",
        )


def _note(pedal: Pedal, key: str, found: str, advice: str) -> Finding:
    return finding(
        PEDAL_DEFAULT,
        Severity.NOTE,
        f"pedal:{pedal.name} {key}",
        found=f"computed with {found}",
        wanted="the value as measured",
        advice=advice,
    )
