"""The printed pages as they will come out: reduced pictures marked DRAFT, of files nobody can take away."""

from __future__ import annotations

import io
import math
import tempfile
import threading
from pathlib import Path
from typing import Any

import pypdfium2
from PIL import Image, ImageDraw, ImageFont

from generators.board.numbers import Refused
from generators.errors import PedalplateError
from generators.issue.answers import Answers
from generators.issue.artefact import Artefact
from generators.issue.stamp import places, stamped
from generators.jobs.make.run import artefacts
from generators.sheets.draft.mark import WORD
from generators.solve.job import Prepared
from generators.solve.reach import with_reach

PAPERS = ("A4", "A3", "letter", "tabloid")
LONGEST_PX = 1100
"""A page's longer side: enough to read, too coarse and too small to drill by."""
KEPT = 40
"""Pictures kept; a page is drawn again when it is asked for after so many others."""
SHADE = 90
"""How dark the word over the page is, of 255."""


class Pages:
    """The PDF files ``make`` would write of one answer, page by page as pictures; for calls from threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._of: tuple[str, str] = ("", "")
        self._revision = ""
        self._files: list[Artefact] = []
        self._written: dict[int, bytes] = {}
        self._drawn: dict[tuple[int, int], bytes] = {}

    def files(self, prepared: Prepared, laid: str, paper: str) -> list[dict[str, Any]]:
        """The files of an answer, the one that is printed first. Raises ``Refused`` for unknown paper."""
        if paper not in PAPERS:
            raise Refused("no such paper")
        with self._lock:
            if self._of != (laid, paper):
                try:
                    found = artefacts(with_reach(prepared, Answers(None).ask), paper)
                except PedalplateError as error:
                    raise Refused(str(error)) from error
                self._files = [a for a in found if a.entry.path.endswith(".pdf") and not a.kernel]
                self._of, self._revision = (laid, paper), prepared.file.revision
                self._written.clear()
                self._drawn.clear()
            return [{"number": k, "path": a.entry.path} for k, a in enumerate(self._files)]

    def count(self, laid: str, number: int) -> int:
        """How many pages a file has. Raises ``Refused`` for a file of another answer, or none."""
        with self._lock:
            document = pypdfium2.PdfDocument(self._pdf(laid, number))
            try:
                return len(document)
            finally:
                document.close()

    def picture(self, laid: str, number: int, page: int) -> bytes:
        """A page from 0 as a PNG file. Raises ``Refused`` where there is none."""
        with self._lock:
            data = self._pdf(laid, number)
            done = self._drawn.pop((number, page), None)
            if done is None:
                done = _png(data, page)
            self._drawn[number, page] = done
            while len(self._drawn) > KEPT:
                del self._drawn[next(iter(self._drawn))]
            return done

    def _pdf(self, laid: str, number: int) -> bytes:
        """The bytes of a file, written when it is first asked for."""
        if self._of[0] != laid or not 0 <= number < len(self._files):
            raise Refused("these pages are of an older spec: look again")
        if number not in self._written:
            with tempfile.TemporaryDirectory(prefix="pedalplate_") as folder:
                path = Path(folder) / "pages.pdf"
                try:
                    self._files[number].body(path)
                except PedalplateError as error:
                    raise Refused(str(error)) from error
                body = path.read_bytes()
            self._written[number] = stamped(body, places(body), self._revision)
        return self._written[number]


def _png(data: bytes, page: int) -> bytes:
    document = pypdfium2.PdfDocument(data)
    try:
        if not 0 <= page < len(document):
            raise Refused("no such page")
        sheet = document[page]
        image = sheet.render(scale=LONGEST_PX / max(sheet.get_size())).to_pil().convert("RGB")
    finally:
        document.close()
    out = io.BytesIO()
    _marked(image).save(out, format="PNG", optimize=False)
    return out.getvalue()


def _marked(image: Image.Image) -> Image.Image:
    """The word across the whole page, from corner to corner, with the page still to be read under it."""
    font = ImageFont.load_default(size=min(image.size) / 4)
    x0, y0, x1, y1 = font.getbbox(WORD)
    word = Image.new("L", (math.ceil(x1 - x0), math.ceil(y1 - y0)), 0)
    ImageDraw.Draw(word).text((-x0, -y0), WORD, fill=SHADE, font=font)
    turned = word.rotate(math.degrees(math.atan2(image.height, image.width)), expand=True)
    corner = ((image.width - turned.width) // 2, (image.height - turned.height) // 2)
    image.paste((120, 120, 120), corner, turned)
    return image
