"""A file of readings to places, findings and a folder: block for the spec, overlay, figures."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import generators
from generators.checks.survey.readings import check_survey
from generators.errors import ExportError, ReadBackError, SpecError
from generators.geometry.contours import counter_clockwise, polygon
from generators.issue.folder import swapped_in
from generators.issue.manifest import NAME, Entry, entries_of, file_hash, finding_json, write_manifest
from generators.layout.openings import letters
from generators.measure.block import existing_block
from generators.measure.survey import Survey, survey
from generators.model.findings import Finding
from generators.model.plan import DatumMark, PanelHole, PanelLayout, PlaceEllipse
from generators.reading import ReadingsFile, read_readings
from generators.verify.readback import ReadBack

KIND = "measure"
AROUND_MM = 40.0
STATUS = {"keep": "datum", "blank": "blank", "reuse": "reuse"}
FACES = ("cab", "engine")
BLOCK, FIGURES = "existing.toml", "measured.json"


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
    """Read and adjust one file. Raises ``SpecError`` with every fault."""
    file = read_readings(path)
    result = survey(file.readings)
    return Measured(file=file, survey=result, findings=tuple(check_survey(result)))


def overlay_layout(measured: Measured) -> PanelLayout:
    """The measured holes as a layout, to hold against the metal."""
    result, head = measured.survey, measured.file.readings.measure
    points, sizes = result.points(), result.diameters()
    order = sorted(range(len(points)), key=lambda i: (-round(float(points[i][1]), 3), float(points[i][0])))
    holes = []
    for number, i in enumerate(order):
        hole, e = measured.file.readings.hole[i], result.ellipses[i]
        holes.append(
            PanelHole(
                number=letters(number),
                name=hole.name,
                u_mm=float(points[i][0]),
                v_mm=float(points[i][1]),
                final_dia_mm=float(sizes[i]),
                pilot_dia_mm=0.0,
                purpose=f"{hole.name}: {hole.what}",
                tool="",
                drill_face="cab",
                status=STATUS[hole.action],
                owners=("existing",),
                kind="existing",
                # naming itself makes it a hole every sheet must show
                position_note=f"{hole.name} measured, 95 % within {e.major_mm:.2f} mm",
            )
        )
    if head.outline is not None:
        outline = polygon(head.outline)
    else:
        reach = [AROUND_MM + float(d) / 2 for d in sizes]
        u0, v0 = (min(float(p[k]) - r for p, r in zip(points, reach, strict=True)) for k in (0, 1))
        u1, v1 = (max(float(p[k]) + r for p, r in zip(points, reach, strict=True)) for k in (0, 1))
        outline = polygon([(u0, v0), (u1, v0), (u1, v1), (u0, v1)])
    return PanelLayout(
        panel=head.panel,
        title=head.title,
        material="measured holes, nothing to drill",
        thickness_mm=0.0,
        contour=counter_clockwise(outline),
        holes=tuple(holes),
        keepouts=(),
        footprints=(),
        folds=(),
        datums=tuple(
            DatumMark(
                name=line.name,
                kind=line.kind,
                u_mm=line.at_mm if line.kind == "vertical" else 0.0,
                v_mm=line.at_mm if line.kind == "horizontal" else 0.0,
                what=line.what or f"{line.kind} line",
            )
            for line in measured.file.readings.line
        ),
        ellipses=tuple(
            PlaceEllipse(
                hole=holes[number].number,
                u_mm=holes[number].u_mm,
                v_mm=holes[number].v_mm,
                major_mm=result.ellipses[i].major_mm,
                minor_mm=result.ellipses[i].minor_mm,
                angle_rad=result.ellipses[i].angle_rad,
            )
            for number, i in enumerate(order)
        ),
        edge_known=head.outline is not None,
    )


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


def _entries(measured: Measured) -> list[Entry]:
    panel = measured.file.readings.measure.panel
    return [
        Entry(path=measured.file.path.name, kind="readings"),
        Entry(path=BLOCK, kind="existing_block", owner=panel, units="mm"),
        Entry(path=FIGURES, kind="figures", owner=panel, units="mm"),
        *(
            Entry(path=f"overlay_{face}.pdf", kind="overlay_pdf", owner=panel, units="mm", face=face)
            for face in FACES
        ),
    ]


def _json_text(measured: Measured) -> str:
    return json.dumps(figures(measured), indent=2, ensure_ascii=False) + "\n"


def write_measured(
    measured: Measured, out: Path, *, paper: str, progress: Callable[[str, int, int], None]
) -> tuple[Path, tuple[ReadBack, ...]]:
    """Write, read back and swap in the folder of one file of readings.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    from generators.drawing.template.pdf import write_template
    from generators.jobs.make.run import last_run

    head = measured.file.readings.measure
    target = out / head.name
    last_run(target)
    layout, entries = overlay_layout(measured), _entries(measured)
    if measured.file.path.name in {e.path for e in entries[1:]} | {NAME}:
        raise ExportError(f"{measured.file.path.name} is the name of a file this command writes; rename it")
    with swapped_in(target) as fresh:
        for index, entry in enumerate(entries):
            progress(f"write {entry.path}", index, 2 * len(entries))
            path = fresh / entry.path
            if entry.kind == "readings":
                path.write_bytes(measured.file.data)
            elif entry.kind == "existing_block":
                path.write_text(existing_block(measured.survey), encoding="utf-8")
            elif entry.kind == "figures":
                path.write_text(_json_text(measured), encoding="utf-8")
            else:
                write_template(
                    layout,
                    path,
                    face=entry.face,
                    paper=paper,
                    job=f"Overlay of measured holes: {head.name}",
                    revision=measured.file.revision,
                )
        hashed = [e.hashed(fresh) for e in entries]
        about = {
            "kind": KIND,
            "job": head.name,
            "title": head.title,
            "revision": measured.file.revision,
            "version": generators.__version__,
            "units": "mm",
            "paper": paper,
            "readings": measured.file.path.name,
        }
        write_manifest(fresh, hashed, head=about, findings=measured.findings)
        readings = [_read_back(fresh, e, measured) for e in hashed]
        bad = [f"{r.path}: {p}" for r in readings for p in r.problems]
        if bad:
            raise ReadBackError(bad[0].split(": ", 1)[0], "; ".join(bad))
    return target, tuple(readings)


def _read_back(folder: Path, entry: Entry, measured: Measured) -> ReadBack:
    from generators.verify.pdf.template.pages import read_template_pdf

    path = folder / entry.path
    if entry.kind == "overlay_pdf":
        layout = overlay_layout(measured)
        job = f"Overlay of measured holes: {measured.file.readings.measure.name}"
        return read_template_pdf(
            path, layout, face=entry.face, job=job, revision=measured.file.revision, rel=entry.path
        )
    if entry.kind == "existing_block":
        return _block_read_back(path, entry, measured)
    if entry.kind == "figures":
        same = path.read_text(encoding="utf-8") == _json_text(measured)
        problems = () if same else ("does not say what its readings give",)
        return ReadBack(path=entry.path, facts=("figures as adjusted again",), problems=problems)
    return ReadBack(path=entry.path, facts=("reads without a fault",))


def _block_read_back(path: Path, entry: Entry, measured: Measured) -> ReadBack:
    """The block under a panel of its own must hold the measured places to the digits it writes."""
    table = tomllib.loads("[[panel]]\n" + path.read_text(encoding="utf-8"))
    found = table["panel"][0]["existing"]
    problems = []
    points, sizes = measured.survey.points(), measured.survey.diameters()
    for i, hole in enumerate(measured.file.readings.hole):
        mine = next((f for f in found if f["name"] == hole.name), None)
        wanted = (*points[i], sizes[i])
        said = (
            None if mine is None else [float(t.removesuffix(" mm")) for t in (*mine["at"], mine["diameter"])]
        )
        if said is None or any(abs(a - b) > 0.0051 for a, b in zip(said, wanted, strict=True)):
            problems.append(f"does not have hole {hole.name} where it was measured")
    return ReadBack(path=entry.path, facts=(f"{len(found)} holes as measured",), problems=tuple(problems))


def prove_measured(folder: Path, content: dict[str, Any], step: Callable[[str, int], None]) -> list[ReadBack]:
    """Read a finished folder of ``measure`` back: its readings are adjusted again.

    Raises ``ReadBackError`` when the readings in the folder cannot be used at all.
    """
    entries = entries_of(content)
    own = next((e for e in entries if e.kind == "readings"), None)
    if own is None or content.get("readings") != own.path or not (folder / own.path).is_file():
        raise ReadBackError(NAME, "does not name the readings the files were made from")
    try:
        measured = measure(folder / own.path)
    except SpecError as error:
        raise ReadBackError(own.path, f"no longer reads: {error}") from error
    readings: list[ReadBack] = []
    wanted = {e.path: e for e in _entries(measured)}
    for index, entry in enumerate(entries):
        step(f"read back {entry.path}", index)
        path = folder / entry.path
        if not path.is_file() or path.is_symlink():
            readings.append(ReadBack(path=entry.path, problems=("is missing",)))
        elif entry.path not in wanted:
            readings.append(ReadBack(path=entry.path, problems=("is no file of these readings",)))
        else:
            reading = _read_back(folder, wanted[entry.path], measured)
            if file_hash(path) != entry.sha256:
                reading = ReadBack(
                    path=entry.path,
                    facts=reading.facts,
                    problems=("was changed after it was made (sha256)", *reading.problems),
                )
            readings.append(reading)
    readings.append(_manifest_read_back(content, entries, wanted, measured))
    listed = {e.path for e in entries} | {NAME}
    for path in sorted(folder.rglob("*")):
        relative = path.relative_to(folder).as_posix()
        if not path.is_dir() and relative not in listed:
            readings.append(ReadBack(path=relative, problems=("is no file of this job",)))
    return readings


def _manifest_read_back(
    content: dict[str, Any], entries: Sequence[Entry], wanted: dict[str, Entry], measured: Measured
) -> ReadBack:
    problems = [f"does not list {path}" for path in sorted(set(wanted) - {e.path for e in entries})]
    if content.get("revision") != measured.file.revision:
        problems.append("says another revision than its readings give")
    if content["findings"] != [finding_json(f) for f in measured.findings]:
        problems.append("does not list the findings of its readings")
    if measured.blocked:
        problems.append("releases files although the places are not to be used")
    return ReadBack(path=NAME, facts=(f"lists {len(entries)} files",), problems=tuple(problems))
