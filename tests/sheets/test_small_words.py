"""Which side a hole is opened from, which way a port faces, and whose pipe is joined to a union."""

from __future__ import annotations

import re

from finished_words import Sheet

from generators.model.spec.titles import within
from generators.sheets.hose_words import title_of

AXES = {
    "rearward": (0, 1),
    "forward": (0, -1),
    "right": (1, 1),
    "left": (1, -1),
    "up": (2, 1),
    "down": (2, -1),
}


def test_opening_to_size_says_from_which_side(sheet: Sheet) -> None:
    opened = [s for s in sheet.steps if s.startswith("Open to final size")]
    assert opened
    for step in opened:
        assert re.search(r"rom the (cab|engine) side\.", step)


def test_a_port_faces_the_way_it_has_in_the_vehicle(sheet: Sheet) -> None:
    ports = sheet.job.lines.ports
    seen = 0
    for component in sheet.job.file.job.component:
        steps = [
            s
            for s in sheet.steps
            if s.startswith(f"Fit the {within(title_of(component))} ") and " Ports: " in s
        ]
        for step in steps:
            for name, way in re.findall(
                r"(\w[\w ]*?)(?: \(-\d+\))?, facing (\w+)", step.split(" Ports: ")[1]
            ):
                axis, sign = AXES[way]
                key = f"{component.name}.{name.strip().replace(' ', '_')}"
                assert ports[key].direction[axis] * sign > 0.98
                seen += 1
    assert seen


def test_a_union_with_one_port_of_the_job_has_the_vehicles_pipe_on_the_other(sheet: Sheet) -> None:
    for component in sheet.job.file.job.component:
        if component.kind != "line_end" or component.on.at is None:
            continue
        (step,) = (s for s in sheet.steps if s.startswith(f"Fit the {within(title_of(component))} "))
        assert ("The vehicle's own pipe is joined to its other side" in step) == (len(component.port) == 1)
