"""The folder of a spread: the page, a table of steps, and the answer as it was found."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.drawing.paper.sizes import paper_choices
from generators.errors import LookupFault, ReadBackError
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.issued.mark import as_issued, issue_files, issue_head, letter_of
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.jobs.spread.answer import METHOD, Answer, Asked, again, answered, plain, spread_of
from generators.jobs.spread.cures import COSTS, Cure
from generators.jobs.spread.field import learnt, lines
from generators.jobs.texts import text_file
from generators.sheets.spread.pages import Bar, SpreadSheet, sheet_words, write_spread
from generators.solve.job import prepare
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.spread import read_steps

KIND = "spread"
READINGS = "readings"
"""Where what came back from vehicles is kept."""
FOUND, TABLE, SHEET = "spread.json", "spread.csv", "spread.pdf"
SHOWN, SHOWN_TRIED = 12, 6
LEAST_SHARE = 0.005
"""An input of less of the spread is told of as one that has no part in it."""


def percent(share: float) -> str:
    """A share as people read it; never 100 % of what is not all, nor 0 % of what is not none."""
    shown = f"{100 * share:.1f}"
    if shown == "100.0" and share < 1:
        shown = "99.9+"
    if shown == "0.0" and share > 0:
        shown = "<0.1"
    return f"{shown} %"


def between(share: dict[str, Any]) -> str:
    """A counted share with its interval."""
    return f"{percent(share['share'])} ({percent(share['low'])} to {percent(share['high'])})"


def steps_csv(found: dict[str, Any]) -> str:
    """One line for each thing that may fail, after one for the whole."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["what", "step", "installs", "fails", "share", "low", "high"])
    whole, tries = found["together"], found["installs"]
    bad = tries - whole["count"]
    shares = (1 - whole["share"], 1 - whole["high"], 1 - whole["low"])
    writer.writerow(["anything", "", tries, bad, *(f"{s:.6f}" for s in shares)])
    for row in found["asked"]:
        f = row["fails"]
        shares = (f["share"], f["low"], f["high"])
        writer.writerow([row["what"], row["step"], tries, f["count"], *(f"{s:.6f}" for s in shares)])
    return out.getvalue()


def that_fail(found: dict[str, Any]) -> list[dict[str, Any]]:
    """Rows of what failed at all, the one that fails most first."""
    return sorted((r for r in found["asked"] if r["fails"]["count"]), key=lambda r: -r["fails"]["count"])


def that_matter(found: dict[str, Any]) -> list[dict[str, Any]]:
    """Rows of the inputs that have a share in it, the largest first."""
    rows = [r for r in found["inputs"] if r["of_room"] is not None and r["of_room"]["total"] >= LEAST_SHARE]
    return sorted(rows, key=lambda r: -r["of_room"]["total"])


def sheet_of(found: dict[str, Any], note: str) -> SpreadSheet:
    """What the page shows."""
    said = [
        f"{found['installs']} installs drawn with seed {found['seed']}; {METHOD}. Wanted: "
        f"{percent(found['wanted'])}. Hoses spoiled: {found['scrapped_hoses_per_100']:g} in 100 installs."
    ]
    usual = found["in_the_sheets_order"]
    if usual is not None:
        moved = "; ".join(f"{a} before {b}" for a, b in found["moved"])
        said.append(
            f"With steps moved ({moved}). In the order of the sheets {between(usual['together'])} go "
            f"together and {usual['scrapped_hoses_per_100']:g} hoses are spoiled in 100 installs."
        )
    if note:
        said.append(note)
    if found["learned"] is not None:
        said += [line.strip() for line in lines(found["learned"])]
    inputs = that_matter(found)
    idle = [r["input"] for r in found["inputs"] if r["of_room"] is not None and r not in inputs]
    return SpreadSheet(
        title="Fits first time",
        figure=f"All goes together first time: {between(found['together'])}",
        lines=tuple(said),
        idle=f"No part in it: {'; '.join(idle)}." if idle else "",
        steps=tuple(
            Bar(
                name=r["what"],
                value=r["fails"]["share"],
                low=r["fails"]["low"],
                high=r["fails"]["high"],
                said=percent(r["fails"]["share"]),
            )
            for r in that_fail(found)[:SHOWN]
        ),
        inputs=tuple(
            Bar(
                name=f"{r['input']}; {r['source']}",
                value=r["of_room"]["first"],
                low=r["of_room"]["first"] - r["of_room"]["first_within"],
                high=r["of_room"]["first"] + r["of_room"]["first_within"],
                said=f"{max(r['of_room']['first'], 0.0):.2f} / {r['of_room']['total']:.2f}",
                light=r["of_room"]["total"],
            )
            for r in inputs[:SHOWN]
        ),
        changes=tuple(
            Bar(
                name=r["change"],
                value=r["together"]["share"],
                low=r["together"]["low"],
                high=r["together"]["high"],
                said=percent(r["together"]["share"]),
            )
            for r in found["changes"]
        ),
        changed=tuple(
            (_later(r), between(r["together"]), r["cost"], "; ".join(r["brings"]) or "nothing")
            for r in sorted(found["tried"], key=lambda r: (r["after"], -r["together"]["share"]))[:SHOWN_TRIED]
        ),
    )


def _later(tried: dict[str, Any]) -> str:
    """A change that was tried, with those it was tried after."""
    return f"{'then ' * bool(tried['after'])}{tried['change']}"


def job_of(answer: Answer, paper: str, found: dict[str, Any] | None = None) -> Job:
    """The folder as a job; ``found`` is what an earlier run kept."""
    prepared, file, told = answer.prepared, answer.file, found or plain(answer)
    sheet, title = sheet_of(told, answer.spread.note), file.job.job.title
    marked = prepared.marked(PLACEHOLDER)
    body = partial(write_spread, sheet=sheet, subject=title, revision=marked, paper=sheet_paper(paper))
    read = partial(read_sheet_pdf, title=title, revision=prepared.shown, rel=SHEET, words=sheet_words(sheet))
    return Job(
        kind=KIND,
        stamp=Stamp(
            job=file.job.job.name,
            title=title,
            revision=file.revision,
            letter=letter_of(prepared),
            paper=paper,
        ),
        head={
            "spec": f"{SPEC_FOLDER}/{file.spec_path.name}",
            **variant_head(file),
            **issue_head(prepared),
            "installs": answer.asked.installs,
            "seed": answer.asked.seed,
            "samples": answer.asked.samples,
            "cures": answer.asked.cures,
            "moved": [list(pair) for pair in answer.asked.put],
        },
        kept=(
            *spec_files(file, SPEC_FOLDER),
            *issue_files(prepared, SPEC_FOLDER),
            Kept(entry=Entry(path=FOUND, kind="spread_found"), content=_text(told).encode()),
            *(
                Kept(entry=Entry(path=f"{READINGS}/{f.path.name}", kind="readings"), content=f.data)
                for f in (answer.field.files if answer.field is not None else ())
            ),
        ),
        artefacts=(
            text_file(
                TABLE,
                "spread_csv",
                steps_csv(told),
                units="",
                read=partial(read_steps, rel=TABLE, found=told),
            ),
            Artefact(entry=Entry(path=SHEET, kind="spread_sheet"), body=body, read=read),
        ),
        answers=True,
    )


def _text(found: dict[str, Any]) -> str:
    return json.dumps(found, indent=1, ensure_ascii=False) + "\n"


def write_spread_folder(answer: Answer, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_spread``. Raises as ``make`` does."""
    return issue(job_of(answer, paper), out / f"{answer.file.job.job.name}_spread", progress=progress)


def _quiet(what: str, done: int, total: int) -> None:
    """Nobody watches a proof."""


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder, counted again; of the changes tried, those taken are solved again.

    Raises ``ReadBackError`` for an answer that comes out otherwise, and what ``prepare`` raises.
    """
    prepared = prepare(kept_spec(folder, manifest), variant=manifest.said("variant"))
    prepared = as_issued(prepared, folder, manifest)
    path = require_kept(folder, manifest.of_kind("spread_found"), "the answer")
    paper_choices(manifest.said("paper"))
    try:
        found = json.loads(path.read_bytes())
        head = manifest.content
        asked = Asked(
            installs=int(head["installs"]),
            seed=int(head["seed"]),
            samples=int(head["samples"]),
            put=tuple((str(a), str(b)) for a, b in head["moved"]),
            cures=False,
        )
        kept_readings = [
            require_kept(folder, entry, "readings") for entry in manifest.entries if entry.kind == "readings"
        ]
        spread = spread_of(prepared.file)
        field = learnt(prepared, spread, kept_readings) if kept_readings else None
        answer = answered(prepared, spread, asked, field=field, progress=_quiet)
        anew = plain(answer)
        kept = {key: found[key] for key in anew if key not in ("changes", "tried")}
        if kept != {key: value for key, value in anew.items() if key not in ("changes", "tried")}:
            raise ReadBackError(FOUND, "has other counts than the spec gives")
        _proven(found, answer)
        asked = replace(asked, cures=bool(head["cures"]))
        return job_of(replace(answer, asked=asked), manifest.said("paper"), found)
    except (ValueError, KeyError, TypeError, AttributeError, LookupFault) as error:
        raise ReadBackError(FOUND, f"does not hold the answer of a spread: {error}") from None


def _proven(found: dict[str, Any], answer: Answer) -> None:
    """The changes taken, put over the spec together, give the chance that is told of the last."""
    if not found["changes"]:
        return
    costs = {words: k for k, words in enumerate(COSTS)}
    done = again(
        answer,
        [
            Cure(
                words=c["change"],
                cost=costs[c["cost"]],
                values=c["values"],
                measures=bool(c["measures"]),
                corrects=bool(c["corrects"]),
            )
            for c in found["changes"]
        ],
    )
    last = found["changes"][-1]
    if (done.together, done.tries) != (last["together"]["count"], last["installs"]):
        raise ReadBackError(FOUND, f"has another chance than is found with {last['change']}")
