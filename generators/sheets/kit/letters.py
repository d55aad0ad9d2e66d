"""The letter to whoever has a recalled kit, and the shop's list of all of them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from generators.model.sold.recall import Recall, RecalledKit
from generators.sheets.document import TITLE, body_width, gap, heading, paragraph, table, write_document
from generators.sheets.tables import csv_text

COLUMNS = ("serial", "order", "form", "issue", "changed since")
SHARES = (0.13, 0.15, 0.14, 0.2, 0.38)
CSV_COLUMNS = ("serial", "order", "variant", "letter", "revision", "kind", "name", "changed")
AS_WRITTEN = "as written"


def letter_lines(recall: Recall, kit: RecalledKit) -> tuple[str, ...]:
    """The letter, paragraph by paragraph."""
    form = f" ({kit.variant.replace('_', ' ')})" if kit.variant else ""
    known = f"{kit.serial}, {kit.order}" if kit.order else kit.serial
    return (
        f"To whoever has kit {known}",
        f"{recall.title}{form}. Your kit: {kit.issue_words}. Now: {kit.now}.",
        f"Why we write: {recall.why}",
        f"What to do: {recall.do}",
        "Changed since your kit was made:",
        *(f"- {one.line}" for one in kit.changed),
        "Sheets of your kit and new ones do not belong together: never drill or make up from both.",
        f"Questions and answer: {recall.contact}. Name the serial."
        if recall.contact
        else "Answer and name the serial.",
    )


def letter_text(recall: Recall, kit: RecalledKit) -> str:
    """The letter as plain text."""
    return "\n\n".join(letter_lines(recall, kit)).replace("\n\n- ", "\n- ") + "\n"


def recall_csv(recall: Recall) -> str:
    """``recall.csv``: a row for each thing of each kit."""
    return csv_text(
        CSV_COLUMNS,
        [
            (k.serial, k.order, k.variant, k.letter, k.revision, one.kind, one.name, one.words)
            for k in recall.kits
            for one in k.changed
        ],
    )


def write_letter(path: Path, *, recall: Recall, kit: RecalledKit, paper: str) -> None:
    """One letter; its head has the revision of the form it is about. Raises ``OSError``."""
    first, *rest = letter_lines(recall, kit)
    story: list[Any] = [paragraph(first, TITLE), gap(4)]
    for line in rest:
        story += [paragraph(line), gap(1)]
    write_document(
        path,
        story,
        title=f"{recall.title}: letter to {kit.serial}",
        subject=recall.title,
        revision=kit.head,
        paper=paper,
    )


def recall_rows(recall: Recall) -> tuple[tuple[str, ...], ...]:
    """The list, in the order of ``COLUMNS``."""
    return tuple(
        (
            kit.serial,
            kit.order,
            kit.variant.replace("_", " ") or AS_WRITTEN,
            kit.issue_words,
            "; ".join(f"{one.kind} {one.name}" for one in kit.changed),
        )
        for kit in recall.kits
    )


def write_recall_list(path: Path, *, recall: Recall, paper: str) -> None:
    """The shop's list. Raises ``OSError``."""
    width = body_width(paper)
    story: list[Any] = [
        paragraph("RECALL LIST", TITLE),
        paragraph(
            f"{len(recall.kits)} of {recall.looked_at} kits sold of {recall.job} against {recall.against}."
        ),
        paragraph(f"Why: {recall.why}"),
        paragraph(f"What to do: {recall.do}"),
        *(paragraph(words) for words in recall.uncompared_words),
    ]
    if recall.kits:
        story += heading("Kits")
        story.append(table(COLUMNS, recall_rows(recall), [width * s for s in SHARES]))
    write_document(
        path, story, title=f"{recall.title}: recall", subject=recall.title, revision=recall.head, paper=paper
    )
