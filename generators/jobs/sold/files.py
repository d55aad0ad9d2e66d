"""The folder of a recall: the list, a letter for each kit, and the data both are made from."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from generators.drawing.paper.sizes import paper_choices
from generators.errors import ReadBackError
from generators.issue.artefact import Artefact, Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Entry, Manifest
from generators.issue.prove import require_kept
from generators.issue.stamp import Stamp
from generators.issue.work import Progress
from generators.jobs.make.paper import sheet_paper
from generators.jobs.texts import text_file
from generators.model.sold.recall import Recall, RecalledKit, recall_data, recall_of
from generators.sheets.kit.letters import letter_text, recall_csv, write_letter, write_recall_list
from generators.verify.pdf.kit.letters import read_letter

KIND, DATA = "recall", "recall.json"


def job_of(recall: Recall, paper: str) -> Job:
    """The folder as a job."""
    text = json.dumps(recall_data(recall), indent=1, ensure_ascii=False) + "\n"
    artefacts: list[Artefact] = [
        _list(recall, paper),
        text_file("recall.csv", "recall_csv", recall_csv(recall)),
    ]
    for kit in recall.kits:
        artefacts += _letters(recall, kit, paper)
    return Job(
        kind=KIND,
        stamp=Stamp(job=recall.job, title=recall.title, revision=recall.revision, paper=paper),
        head={},
        kept=(Kept(entry=Entry(path=DATA, kind="recall_data"), content=text.encode()),),
        artefacts=tuple(artefacts),
    )


# the head says the revision of the form a sheet is about, which need not be that of the job as written: it is
# part of the body, and read back with it
def _list(recall: Recall, paper: str) -> Artefact:
    rel = "recall.pdf"
    words = [
        word for k in recall.kits for word in (k.serial, k.order, *(f"{c.kind} {c.name}" for c in k.changed))
    ]
    words += [recall.against, *recall.uncompared_words]
    return Artefact(
        entry=Entry(path=rel, kind="recall_list"),
        body=partial(write_recall_list, recall=recall, paper=sheet_paper(paper)),
        revised=False,
        read=partial(read_letter, rel=rel, title=recall.title, revision=recall.head, words=words, others=()),
    )


def _letters(recall: Recall, kit: RecalledKit, paper: str) -> Iterator[Artefact]:
    name = f"letters/{kit.serial}"
    others = [k.serial for k in recall.kits if k.serial != kit.serial]
    words = [
        kit.serial,
        kit.order,
        kit.revision,
        kit.now,
        recall.why,
        recall.do,
        *(one.line for one in kit.changed),
    ]
    yield text_file(f"{name}.txt", "letter_text", letter_text(recall, kit), owner=kit.serial)
    yield Artefact(
        entry=Entry(path=f"{name}.pdf", kind="letter", owner=kit.serial),
        body=partial(write_letter, recall=recall, kit=kit, paper=sheet_paper(paper)),
        revised=False,
        read=partial(
            read_letter,
            rel=f"{name}.pdf",
            title=recall.title,
            revision=kit.head,
            words=words,
            others=others,
        ),
    )


def write_recall(recall: Recall, out: Path, *, paper: str, progress: Progress) -> Issued:
    """Write, read back and swap in ``<job>_recall``. Raises as ``issue`` does."""
    return issue(job_of(recall, paper), out / f"{recall.job}_recall", progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished recall, from the data in it.

    Raises ``ReadBackError``, and what ``paper_choices`` raises.
    """
    path = require_kept(folder, manifest.of_kind("recall_data"), "data")
    try:
        recall = recall_of(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ReadBackError(DATA, f"is no data of a recall: {error}") from error
    paper_choices(manifest.said("paper"))
    return job_of(recall, manifest.said("paper"))
