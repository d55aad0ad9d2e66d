"""The packing list: whose kit it is, with its code to scan, then every box and bag with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Paragraph

from generators.model.findings import Waived
from generators.model.sold.code import KitCode
from generators.model.sold.packing import Packing, Thing
from generators.model.spec.titles import asked
from generators.sheets.document import (
    SMALL,
    SMALL_BOLD,
    TITLE,
    body_width,
    boxed,
    gap,
    heading,
    paragraph,
    ruled,
    side_by_side,
    together,
    waived_story,
    write_document,
)

HEAD = "PACKING LIST"
CODE_MM = 34.0
CODE_BESIDE_MM = 16.0
NOTE = ParagraphStyle("note", parent=SMALL, fontSize=7.5, leading=9)
TICK = "<font name='ZapfDingbats'>&#x274F;</font>"
TICKS = ("packed", "there")
SHARES = (0.075, 0.06, 0.29, 0.375, 0.2)
COLUMNS = (*TICKS, "what", "size", "for")
LOOSE = "Loose in the box"
CODE_OPENS = "It opens no page."
CODE_SAYS = (
    "Scanned, the code says serial, issue and revision in words, with a check of them: send that with a "
    f"question. {CODE_OPENS}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingHead:
    """Whose kit it is. ``facts`` are lines in words, ``contact`` is who answers questions; may be empty.

    ``page`` is True where the steps are on a page for a phone as well.
    """

    title: str
    code: KitCode
    facts: tuple[str, ...]
    contact: str = ""
    page: bool = False

    @property
    def first(self) -> tuple[str, ...]:
        """What is done with the list before anything else."""
        page = (
            "The steps are on paper, and with the same numbers on the page install.html for a phone: a file, "
            f"in no box. Without it, ask {asked(self.contact)} to send it."
        )
        return (
            "Whoever packs ticks the first box and fills in what is dotted. You tick the second before "
            "you begin: one bag at a time, counted and closed again. Something missing or damaged: "
            f"ask {asked(self.contact)} before you drill.",
            "Then open a bag only when a step needs what is in it. Caps and plugs stay till that step.",
            *([page] if self.page else []),
        )


class Code(Flowable):
    """A square code (ISO/IEC 18004, error correction M) with its quiet zone of four modules."""

    def __init__(self, text: str, side_mm: float = CODE_MM) -> None:
        super().__init__()
        self.text = text
        self.width = self.height = side_mm * mm

    def draw(self) -> None:
        """Called by the layout engine with the origin at the box's lower left."""
        widget = QrCodeWidget(self.text, barLevel="M", barBorder=4)
        x0, y0, x1, _ = widget.getBounds()
        scale = self.width / (x1 - x0)
        picture = Drawing(self.width, self.height, transform=[scale, 0, 0, scale, -x0 * scale, -y0 * scale])
        picture.add(widget)
        renderPDF.draw(picture, self.canv, 0, 0)


def write_packing_list(
    path: Path,
    *,
    packing: Packing,
    head: PackingHead,
    subject: str,
    revision: str,
    paper: str,
    waived: Sequence[Waived] = (),
) -> None:
    """Write the packing list. Raises ``OSError``."""
    width = body_width(paper)
    facts: list[Any] = [paragraph(line) for line in head.facts]
    story: list[Any] = [
        paragraph(f"{HEAD}: kit {head.code.serial}", TITLE),
        gap(1),
        side_by_side(
            facts,
            [Code(head.code.text), Paragraph(escape(CODE_SAYS), NOTE)],
            (width - CODE_MM - CODE_BESIDE_MM, CODE_MM + CODE_BESIDE_MM),
        ),
        gap(1),
        boxed(head.first, width),
    ]
    for box in packing.boxes:
        story += heading(packing.box_head(box), 60.0)
        for bag in box.bags:
            note = f" ({bag.note})" if bag.note else ""
            story.append(_lot(f"{packing.head(bag)}{note}", bag.things, width))
        if box.loose:
            # it may come to stand on another page than the head of its box
            which = f" ({packing.box_number(box).lower()})" if len(packing.boxes) > 1 else ""
            story.append(_lot(f"{LOOSE}{which}", box.loose, width))
    story += heading("Packed and checked", 24.0)
    story.append(
        paragraph(
            "Packed by (initials) ............   Checked by (initials) ............   Date ............"
        )
    )
    story += waived_story(waived, width)
    write_document(
        path,
        story,
        title=f"{subject}: {HEAD.lower()} {head.code.serial}",
        subject=subject,
        revision=revision,
        paper=paper,
        waived=waived,
    )


def _lot(title: str, things: Sequence[Thing], width: float) -> Any:
    """One bag as a table under its name."""
    rows = [[Paragraph(escape(c), SMALL_BOLD) for c in COLUMNS]]
    for thing in things:
        size = "; ".join(filter(None, (thing.size, thing.written)))
        cells = (thing.words, size, thing.uses)
        rows.append(
            [Paragraph(TICK, SMALL), Paragraph(TICK, SMALL), *(Paragraph(escape(c), SMALL) for c in cells)]
        )
    lot = ruled(rows, [width * share for share in SHARES], last_two=False)
    return together([gap(2), Paragraph(escape(title), SMALL_BOLD), lot])
