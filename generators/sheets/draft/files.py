"""Drafts as files: one PDF of all of it, a vector picture or a bitmap each."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Collection
from pathlib import Path
from typing import Any

from generators.drawing.paper.pdf_pen import PdfPen
from generators.drawing.paper.svg_pen import SvgPen
from generators.model.findings import Finding, usual_cure
from generators.sheets.document import (
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    table,
    together,
    write_document,
)
from generators.sheets.draft.content import Content, Pin
from generators.sheets.draft.mark import USE, WORD
from generators.sheets.draft.pictures import Drawn, What, drawn

PNG_SCALE = 150 / 72
"""150 dots an inch."""
HEADS: dict[What, str] = {
    "panels": "Panels",
    "parts": "Parts",
    "pedal": "Pedals",
    "scene": "In the vehicle",
}
PINS = (
    "Numbers in boxes are findings: white on black a fail, a thick frame a warning, a thin frame a note. "
    "Diamonds are hose ends, broken lines hoses near the panel."
)
SHARES = (0.05, 0.17, 0.08, 0.22, 0.24, 0.24)


def lead(content: Content) -> str:
    """What these pictures are, in one sentence."""
    fails = sum(1 for pin in content.pins if pin.finding.blocks)
    rules = f"{fails} finding(s) hold back the files" if fails else "no rule holds back the files"
    return f"{WORD}: drawn from the spec as it stands; {rules}. All pictures are reduced, {USE}."


def write_draft_pdf(
    path: Path, *, content: Content, whats: Collection[What], revision: str, paper: str
) -> None:
    """Write all pictures and the list of findings. Raises ``OSError``."""
    width = body_width(paper)
    story: list[Any] = [
        paragraph(content.title, TITLE),
        boxed([lead(content)], width),
        gap(2),
        *findings_story(content.pins, width),
    ]
    last = ""
    for one in drawn(content, whats):
        head = heading(HEADS[one.what]) if one.what != last else []
        last = one.what
        story.append(together([*head, one.picture, gap(4)]))
    write_document(
        path,
        story,
        title=f"{content.title}: {WORD}",
        subject=f"{WORD}: {content.title}",
        revision=revision,
        paper=paper,
        mark=f"{WORD}, {USE}",
    )


def findings_story(pins: Collection[Pin], width: float) -> list[Any]:
    """The findings by number; that there are none, too."""
    if not pins:
        return [paragraph("No findings.")]
    rows = [
        (str(pin.number), f.code, f.severity.value, f.where, f"{f.found}; limit {f.wanted}", cure(f))
        for pin in pins
        for f in (pin.finding,)
    ]
    return [
        *heading("Findings"),
        paragraph(PINS),
        table(("no.", "rule", "result", "where", "found", "what to do"), rows, [width * s for s in SHARES]),
    ]


def cure(finding: Finding) -> str:
    """What to do: drafts try no changes, so this is the usual cure."""
    return f"{usual_cure(finding)}. Source: {finding.source}."


def svg_text(one: Drawn, content: Content, revision: str) -> str:
    """One picture as the text of an SVG file."""
    width, height = one.picture.size
    pen = SvgPen(
        Path(),
        width,
        height,
        title=f"{WORD}: {one.title}",
        subject=f"{content.title}, revision {revision}; {USE}",
    )
    one.picture.paint(pen)
    return pen.drawn()


def write_draft_svg(path: Path, *, content: Content, what: What, name: str, revision: str) -> None:
    """Write the picture of that name. Raises ``OSError``."""
    path.write_text(svg_text(_named(content, what, name), content, revision), encoding="utf-8", newline="\n")


def write_draft_png(path: Path, *, content: Content, what: What, name: str) -> None:
    """Write the picture of that name at 150 dots an inch of the reduced picture. Raises ``OSError``."""
    import pypdfium2  # noqa: PLC0415 - only this writer renders

    one = _named(content, what, name)
    with tempfile.TemporaryDirectory(prefix="pedalplate_") as folder:
        page = Path(folder) / "picture.pdf"
        pen = PdfPen(page, title=one.title, subject=content.title)
        pen.page(*one.picture.size)
        one.picture.paint(pen)
        pen.close()
        document = pypdfium2.PdfDocument(page)
        try:
            image = document[0].render(scale=PNG_SCALE, grayscale=True).to_pil()
        finally:
            document.close()
    out = io.BytesIO()
    image.save(out, format="PNG", optimize=True)
    path.write_bytes(out.getvalue())


def _named(content: Content, what: What, name: str) -> Drawn:
    return next(one for one in drawn(content, (what,)) if one.name == name)
