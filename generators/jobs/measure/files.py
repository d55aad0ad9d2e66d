"""The folder of a file of readings: block for the spec, overlay, figures."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ExportError, ReadBackError
from generators.figures import fixed
from generators.geometry.contours import counter_clockwise, polygon
from generators.issue import reuse
from generators.issue.artefact import Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import Stamp
from generators.issue.work import Progress
from generators.jobs.measure.survey import Measured, figures_text, measure
from generators.jobs.templates import Sheets, faces
from generators.jobs.texts import text_file
from generators.layout.openings import letters
from generators.measure.block import existing_block
from generators.model.folds import PlaceEllipse
from generators.model.plan import DatumMark, PanelHole, PanelLayout
from generators.model.words import FACES, STATUS_OF
from generators.verify.readback import ReadBack

KIND = "measure"
AROUND_MM = 40.0
WRITTEN_MM = 0.0051
"""Half the last digit of the block, and a little for its rounding."""

BLOCK, FIGURES = "existing.toml", "measured.json"


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
                status=STATUS_OF[hole.action],
                owners=("existing",),
                kind="existing",
                # naming itself makes it a hole every sheet must show
                position_note=f"hole {letters(number)} measured, 95 % within {fixed(e.major_mm, 2)} mm",
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


def job_of(measured: Measured, paper: str) -> Job:
    """The folder of one file of readings as a job.

    Raises ``ExportError`` for a file of readings named like one of the files this writes.
    """
    head, revision = measured.file.readings.measure, measured.file.revision
    layout = overlay_layout(measured)
    sheets = Sheets(
        owner=head.panel,
        folder="",
        layouts=dict.fromkeys(FACES, layout),
        job=f"Overlay of measured holes: {head.name}",
        revision=revision,
        paper=paper,
        waived=(),
        printer=None,
        type_scale=1.0,
    )
    artefacts = (
        text_file(
            BLOCK, "existing_block", existing_block(measured.survey), owner=head.panel, read=_block(measured)
        ),
        text_file(FIGURES, "figures", figures_text(measured), owner=head.panel),
        *faces(sheets, "overlay"),
    )
    own = Kept(entry=Entry(path=measured.file.path.name, kind="readings"), content=measured.file.data)
    if own.entry.path in {NAME, reuse.NAME, *(a.entry.path for a in artefacts)}:
        raise ExportError(f"{own.entry.path} is the name of a file this command writes; rename it")
    return Job(
        kind=KIND,
        stamp=Stamp(job=head.name, title=head.title, revision=revision, paper=paper),
        head={"readings": own.entry.path},
        kept=(own,),
        artefacts=artefacts,
        findings=measured.findings,
    )


def write_measured(measured: Measured, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in the folder of one file of readings.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    return issue(job_of(measured, paper), out / measured.file.readings.measure.name, progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder of ``measure``, from the readings in it.

    Raises ``ReadBackError``, and what ``measure`` and ``paper_choices`` raise.
    """
    own = require_kept(folder, manifest.of_kind("readings"), "readings")
    if manifest.said("readings") != own.name:
        raise ReadBackError(NAME, "does not name the readings the files were made from")
    paper_choices(manifest.said("paper"))
    return job_of(measure(own), manifest.said("paper"))


def _block(measured: Measured) -> partial[ReadBack]:
    """A reader of the block for the spec: it must hold the measured places."""
    points, sizes = measured.survey.points(), measured.survey.diameters()
    places = tuple(
        (hole.name, float(points[i][0]), float(points[i][1]), float(sizes[i]))
        for i, hole in enumerate(measured.file.readings.hole)
    )
    return partial(_read_block, places=places)


def _read_block(path: Path, *, places: Sequence[tuple[str, float, float, float]]) -> ReadBack:
    """The block under a panel of its own must hold the measured places to the digits it writes."""
    table = tomllib.loads("[[panel]]\n" + path.read_text(encoding="utf-8"))
    found = table["panel"][0]["existing"]
    problems = []
    for name, *wanted in places:
        mine = next((f for f in found if f["name"] == name), None)
        said = (
            None if mine is None else [float(t.removesuffix(" mm")) for t in (*mine["at"], mine["diameter"])]
        )
        if said is None or any(abs(a - b) > WRITTEN_MM for a, b in zip(said, wanted, strict=True)):
            problems.append(f"does not have hole {name} where it was measured")
    return ReadBack(path=BLOCK, facts=(f"{len(found)} holes as measured",), problems=tuple(problems))
