"""A file of readings to places, findings and figures."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from generators.checks.survey.readings import check_survey
from generators.errors import SpecError
from generators.measure.survey import Survey, survey
from generators.model.findings import Finding
from generators.reading.readings import ReadingsFile, read_readings


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Readings with their adjustment and what is wrong with them."""

    file: ReadingsFile
    survey: Survey
    findings: tuple[Finding, ...]

    @property
    def blocked(self) -> bool:
        """True when the places are not to be used."""
        return any(f.blocks for f in self.findings)


def measure(path: Path) -> Measured:
    """Read and adjust one file. Raises ``SpecError`` with every fault, and for a file without holes."""
    return measured_of(read_readings(path))


def measured_of(file: ReadingsFile) -> Measured:
    """Adjust a file that was read. Raises ``SpecError`` for one without holes."""
    if not file.readings.hole:
        wanted = "at least one [[hole]]; what is fixed in the wrong place is for `asdrilled`"
        raise SpecError([file.fault_at("fixed", "no [[hole]]", wanted)])
    result = survey(file.readings)
    return Measured(file=file, survey=result, findings=tuple(check_survey(result)))


def figures(measured: Measured) -> dict[str, Any]:
    """The result as plain data; lengths in mm to 0.0001, angles in degrees."""
    result, readings = measured.survey, measured.file.readings

    def near(value: float) -> float:
        return round(float(value), 4) + 0.0

    n = result.problem.count
    return {
        "name": readings.measure.name,
        "panel": readings.measure.panel,
        "revision": measured.file.revision,
        "frame": {"closed": result.closed, "origin": result.frame[0], "along": result.frame[1]},
        "holes": [
            {
                "name": hole.name,
                "u_mm": near(result.points()[i][0]),
                "v_mm": near(result.points()[i][1]),
                "diameter_mm": near(result.diameters()[i]),
                "major_mm": near(result.ellipses[i].major_mm),
                "minor_mm": near(result.ellipses[i].minor_mm),
                "angle_deg": near(math.degrees(result.ellipses[i].angle_rad)),
            }
            for i, hole in enumerate(readings.hole)
        ],
        "covariance_mm2": [[near(x) for x in row[: 2 * n]] for row in result.adjusted.covariance[: 2 * n]],
        "readings": [
            {
                "label": row.label,
                "path": row.source,
                "read_mm": near(row.value_mm),
                "sigma_mm": near(row.sigma_mm),
                "residual_mm": near(check.residual_mm),
                "redundancy": near(check.redundancy),
                "w": near(check.w),
            }
            for row, check in zip(result.problem.rows, result.checks, strict=True)
        ],
        "freedom": result.freedom,
        "chi_square": near(result.adjusted.cost),
        "probability": float(f"{result.chance:.3g}"),
        "worst": result.problem.rows[result.worst].label if result.worst is not None else None,
        "scales": [{**asdict(s), "scale": near(s.scale), "sigma": near(s.sigma)} for s in result.scales],
        "next": None
        if result.advice is None
        else {**asdict(result.advice), "expected_mm": near(result.advice.expected_mm)},
    }


def figures_text(measured: Measured) -> str:
    """The figures as the text of a file."""
    return json.dumps(figures(measured), indent=2, ensure_ascii=False) + "\n"
