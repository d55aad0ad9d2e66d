"""From three readings of a scale test to a printer in the shop file."""

from __future__ import annotations

import math
import os
import stat
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import tomlkit
from tomlkit.items import AoT

from generators.drawing.paper.sizes import paper_choices
from generators.drawing.template.cover import cover_test
from generators.drawing.template.tiles import needed_holes
from generators.errors import ExportError, GeometryFault, SpecError
from generators.geometry.printing import READING_MM, PrintMap, ScaleTest, fitted_print, worst_distance
from generators.model.spec.shop import PaperPrinter
from generators.reading import JobFile, shop_faults
from generators.solve.job import Prepared
from generators.standards import paper_rows
from generators.units import UnitSystem

KEY = "paper_printer"
DIGITS = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelError:
    """The worst hole distance of one panel if printed without calibration.

    ``error_mm`` is positive when the print is too long; ``left_mm`` is what readings good to
    ``READING_MM`` leave of it at most.
    """

    panel: str
    first: str
    second: str
    distance_mm: float
    error_mm: float
    left_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A printer with what it would have spoilt. ``true`` when no reading differs by what a rule shows."""

    printer: PaperPrinter
    panels: tuple[PanelError, ...]
    true: bool


def calibrate(
    prepared: Prepared, name: str, paper: str, *, across_mm: float, up_mm: float, diagonal_mm: float
) -> Calibration:
    """What the readings of a scale test on that paper say of a printer.

    Raises ``GeometryFault`` naming the reading that cannot be, and what ``paper_choices`` raises.
    """
    test = cover_test(paper_choices(paper)[0], prepared.file.units)
    found = _fitted(test, paper, across_mm, up_mm, diagonal_mm)
    # rounded as the file will hold it, so that what is said is what is used
    printer = PaperPrinter(
        name=name,
        x_scale=round(found.x_scale, DIGITS),
        y_scale=round(found.y_scale, DIGITS),
        skew_rad=round(found.skew_rad, DIGITS),
    )
    used = PrintMap(x_scale=printer.x_scale, y_scale=printer.y_scale, skew_rad=printer.skew_rad)
    panels = []
    for layout in prepared.layouts:
        holes = needed_holes(layout)
        if len(holes) < 2:
            continue
        points = np.array([(h.u_mm, h.v_mm) for h in holes])
        i, j, error = worst_distance(points, used)
        distance = float(np.linalg.norm(points[j] - points[i]))
        panels.append(
            PanelError(
                panel=layout.panel,
                first=holes[i].number,
                second=holes[j].number,
                distance_mm=distance,
                error_mm=error,
                left_mm=distance * READING_MM / test.across_mm,
            )
        )
    readings = (
        (across_mm, test.across_mm),
        (up_mm, test.up_mm),
        (diagonal_mm, test.diagonal_mm),
    )
    true = all(abs(found_mm - drawn) <= READING_MM for found_mm, drawn in readings)
    return Calibration(printer=printer, panels=tuple(panels), true=true)


def _fitted(test: ScaleTest, paper: str, across_mm: float, up_mm: float, diagonal_mm: float) -> PrintMap:
    """``fitted_print``, and when the readings are those of a test on other paper, a word about that."""
    readings = (across_mm, up_mm, diagonal_mm)
    try:
        return fitted_print(test, *readings)
    except GeometryFault as fault:
        other = next((r.name for r in paper_rows() if _fits(r.name, test.units, readings)), None)
        if other is None:
            raise
        raise GeometryFault(
            f"{fault}. These are the lengths of the test on {other}, not on {paper}: "
            f"if you printed that one, say --paper {other}",
            fault.parameter,
        ) from None


def _fits(paper: str, units: UnitSystem, readings: tuple[float, float, float]) -> bool:
    try:
        fitted_print(cover_test(paper_choices(paper)[0], units), *readings)
    except GeometryFault:
        return False
    return True


def store_printer(file: JobFile, printer: PaperPrinter) -> Path:
    """Put a printer into the job's shop file, in the place of one of that name; the rest stays as it is.

    Without a shop file one is begun beside the spec. Raises ``SpecError`` when the shop file would not
    read with it (a name no sheet can print), ``ExportError`` when it cannot be written; then the file is
    as it was.
    """
    path = file.shop_path or file.spec_path.parent / file.job.job.shop
    path = Path(os.path.realpath(path))  # a link stays a link
    text = _with_printer(file.shop_bytes.decode("utf-8"), printer)
    faults = shop_faults(str(path), text.encode("utf-8"))
    if faults:
        raise SpecError(faults)
    mode = 0o644
    with suppress(FileNotFoundError):
        mode = stat.S_IMODE(path.stat().st_mode)
    if not mode & stat.S_IWUSR:
        raise ExportError(f"cannot write {path}: it is read-only")
    name = ""
    try:
        with tempfile.NamedTemporaryFile(
            "w", dir=path.parent, delete=False, encoding="utf-8", newline=""
        ) as out:
            name = out.name
            out.write(text)
        os.chmod(name, mode)
        os.replace(name, path)
        name = ""
    except OSError as error:
        raise ExportError(f"cannot write {path}: {error.strerror or error}") from error
    finally:
        if name:
            Path(name).unlink(missing_ok=True)
    return path


def _with_printer(text: str, printer: PaperPrinter) -> str:
    """The text of a shop file with that printer in it."""
    document = tomlkit.parse(text)
    listed = document.get(KEY)
    values = {
        "name": printer.name,
        "x_scale": printer.x_scale,
        "y_scale": printer.y_scale,
        "skew": f"{math.degrees(printer.skew_rad):.{DIGITS}f} deg",
    }
    same = next((item for item in listed or () if item.get("name") == printer.name), None)
    if same is not None:
        same.update(values)
        return tomlkit.dumps(document)
    if listed is None or isinstance(listed, AoT):
        # at the end of the file, where nothing of the user's is touched
        block = tomlkit.dumps({KEY: [values]}).strip()
        line = "\r\n" if "\r\n" in text else "\n"
        return line.join([text.rstrip(), "", *block.splitlines(), ""]).lstrip()
    listed.append(values)
    return tomlkit.dumps(document)
