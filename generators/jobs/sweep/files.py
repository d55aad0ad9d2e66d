"""The folder of a sweep: every row as a table, the sheet, and the rows as they were solved."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from generators.drawing.paper.sizes import paper_choices
from generators.errors import LookupFault, ReadBackError
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.jobs.sweep.best import (
    Want,
    column,
    front,
    good,
    groups,
    known_paths,
    places,
    share,
    unit_of,
    want,
)
from generators.jobs.sweep.one import bundle_of, solved, with_things
from generators.jobs.sweep.vary import amount
from generators.jobs.texts import text_file
from generators.reading import JobFile
from generators.sheets.sweep.pages import Cell, SweepSheet, sheet_words, write_sweep
from generators.solve.job import prepare
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.sweep import read_sweep

KIND = "sweep"
ROWS, TABLE, SHEET = "rows.json", "results.csv", "sweep.pdf"
SHOWN_ROWS, SHOWN_FAULTS = 20, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """A sweep with its rows solved. ``keys`` are those varied, ``how`` says in words what was run."""

    file: JobFile
    keys: tuple[str, ...]
    wants: tuple[Want, ...]
    how: str
    rows: tuple[Mapping[str, Any], ...]

    def require_wants(self) -> None:
        """Raises ``LookupFault`` for a wish for what no row has, where any was solved."""
        known = known_paths(self.rows)
        for wish in self.wants:
            if known and wish.path not in known:
                raise LookupFault("measure", wish.path, known)

    @property
    def best(self) -> list[int]:
        """Rows on the front, by number."""
        return front(self.rows, self.wants)


def results_csv(sweep: Sweep) -> str:
    """One line a row: its number, values, every measure, the rules it fails and its fault."""
    paths = known_paths(sweep.rows)
    units = {path: unit_of(sweep.rows, path) for path in paths}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    heads = [f"{path} ({units[path]})" if units[path] else path for path in paths]
    writer.writerow(["row", *sweep.keys, *heads, "best", "failed", "fault"])
    best = set(sweep.best)
    for number, row in enumerate(sweep.rows, 1):
        measured = [_number(row["measures"].get(path)) for path in paths]
        given = [row["values"][key] for key in sweep.keys]
        on_front = "yes" if number - 1 in best else ""
        writer.writerow([number, *given, *measured, on_front, " ".join(row["failed"]), row["fault"]])
    return out.getvalue()


def _number(measured: Sequence[Any] | None) -> str:
    return "" if measured is None else f"{measured[0]:.6g}"


def sheet_of(sweep: Sweep) -> SweepSheet:
    """What the sheet shows."""
    rows, best = sweep.rows, sweep.best
    fine = good(rows)
    faults = Counter(row["fault"] for row in rows if row["fault"])
    failing = sum(bool(row["failed"]) and not row["fault"] for row in rows)
    lines = (
        sweep.how,
        f"{len(rows)} rows: {sum(fine)} fail no rule, {failing} fail one, {sum(faults.values())} could not "
        "be solved.",
    )
    axes = {key: places([row["values"][key] for row in rows]) for key in sweep.keys}
    return SweepSheet(
        title="What if",
        lines=lines,
        effects=tuple(
            (
                f"{wish.path}, wanted {wish.way}",
                tuple(_cell(rows, key, wish.path, *axes[key]) for key in sweep.keys),
            )
            for wish in sweep.wants
        ),
        wishes=tuple(
            Cell(
                x_label=_named(rows, one.path),
                y_label=_named(rows, two.path),
                xs=column(rows, one.path),
                ys=column(rows, two.path),
            )
            for k, one in enumerate(sweep.wants)
            for two in sweep.wants[k + 1 :]
        ),
        good=tuple(fine),
        best=tuple(k in set(best) for k in range(len(rows))),
        heads=("row", *sweep.keys, *(_named(rows, w.path) for w in sweep.wants)),
        rows=tuple(
            (
                str(k + 1),
                *(str(rows[k]["values"][key]) for key in sweep.keys),
                *(_number(rows[k]["measures"].get(w.path)) for w in sweep.wants),
            )
            for k in best[:SHOWN_ROWS]
        ),
        faults=tuple(f"{count} of them: {fault}" for fault, count in faults.most_common(SHOWN_FAULTS)),
    )


def _named(rows: Sequence[Mapping[str, Any]], path: str) -> str:
    unit = unit_of(rows, path)
    return f"{path}, {unit}" if unit else path


def _cell(rows: Sequence[Mapping[str, Any]], key: str, path: str, at: Any, words: Sequence[str]) -> Cell:
    values = column(rows, path)
    there = np.isfinite(values)
    line = None
    if there.any():
        group = groups(at)
        sorts = [g for g in np.unique(group) if (there & (group == g)).any()]
        mids = [(there & (group == g)) for g in sorts]
        line = (
            np.array([float(np.mean(at[m])) for m in mids]),
            np.array([float(np.median(values[m])) for m in mids]),
        )
    unit = "" if words or not rows else amount(str(rows[0]["values"][key]))[1]
    return Cell(
        x_label=f"{key}, {unit}" if unit else key,
        y_label=_named(rows, path),
        xs=at,
        ys=values,
        words=tuple(words),
        line=line,
        said=f"share {share(at, values):.2f}",
    )


def job_of(sweep: Sweep, paper: str) -> Job:
    """The folder as a job."""
    sheet, file = sheet_of(sweep), sweep.file
    title = file.job.job.title
    rows = json.dumps({"how": sweep.how, "rows": list(sweep.rows)}, indent=1, sort_keys=True) + "\n"
    body = partial(write_sweep, sheet=sheet, subject=title, revision=PLACEHOLDER, paper=sheet_paper(paper))
    read = partial(read_sheet_pdf, title=title, revision=file.revision, rel=SHEET, words=sheet_words(sheet))
    table = results_csv(sweep)
    return Job(
        kind=KIND,
        stamp=Stamp(job=file.job.job.name, title=title, revision=file.revision, paper=paper),
        head={
            "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
            **variant_head(file),
            "varied": list(sweep.keys),
            "wanted": [f"{w.way} {w.path}" for w in sweep.wants],
        },
        kept=(
            *spec_files(file, SPEC_FOLDER),
            Kept(entry=Entry(path=ROWS, kind="sweep_rows"), content=rows.encode()),
        ),
        artefacts=(
            text_file(
                TABLE,
                "sweep_csv",
                table,
                units="",
                read=partial(read_sweep, rel=TABLE, rows=sweep.rows, best=sweep.best),
            ),
            Artefact(entry=Entry(path=SHEET, kind="sweep_sheet"), body=body, read=read),
        ),
        findings=(),
        answers=True,
    )


def write_sweep_folder(sweep: Sweep, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_sweep``. Raises as ``make`` does."""
    return issue(job_of(sweep, paper), out / f"{sweep.file.job.job.name}_sweep", progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder, from the rows in it; the first and the last are solved again.

    Raises ``ReadBackError`` for rows that come out otherwise, and what ``prepare`` and ``paper_choices``
    raise.
    """
    spec = kept_spec(folder, manifest)
    file = prepare(spec, variant=manifest.said("variant")).file
    path = require_kept(folder, manifest.of_kind("sweep_rows"), "rows")
    try:
        content = json.loads(path.read_bytes())
        rows = tuple(content["rows"])
        keys = tuple(str(key) for key in manifest.content["varied"])
        wants = tuple(want(str(text)) for text in manifest.content["wanted"])
        file = with_things(file, [row["values"] for row in rows])
        sweep = Sweep(file=file, keys=keys, wants=wants, how=str(content["how"]), rows=rows)
        sweep.require_wants()
    except (ValueError, KeyError, TypeError, LookupFault) as error:
        raise ReadBackError(ROWS, f"does not hold the rows of a sweep: {error}") from None
    bundle = bundle_of(file)
    for row in {0: rows[0], len(rows) - 1: rows[-1]}.values() if rows else ():
        again = solved(bundle, row["values"])
        for what in ("measures", "failed", "fault"):
            if again[what] != row[what]:
                raise ReadBackError(ROWS, f"has other {what} than the spec gives for {row['values']}")
    paper_choices(manifest.said("paper"))
    try:
        return job_of(sweep, manifest.said("paper"))
    except (KeyError, TypeError, AttributeError) as error:
        raise ReadBackError(NAME, f"does not go with its rows: {error}") from None
