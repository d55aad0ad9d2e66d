"""The objects of an open PDF page as pdfium gives them.

Asked of some ten thousand objects of a file. With the library's own object about each it takes twice as long.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from typing import Any

import pypdfium2
import pypdfium2.raw as pdfium

WIDE = 2
"""Bytes of a letter as the library gives it."""

ROOM = 256
"""Letters of a text object there is room for at first."""


def objects_on(page: pypdfium2.PdfPage) -> Iterator[tuple[int, Any, int]]:
    """Number, handle and kind (``FPDF_PAGEOBJ_PATH`` …) of each object, in drawing order.

    Raises ``PdfiumError``.
    """
    count = pdfium.FPDFPage_CountObjects(page)
    if count < 0:
        raise pypdfium2.PdfiumError("Failed to get number of pageobjects.")
    for order in range(count):
        item = pdfium.FPDFPage_GetObject(page, order)
        if not item:
            raise pypdfium2.PdfiumError("Failed to get pageobject.")
        yield order, item, pdfium.FPDFPageObj_GetType(item)


def bounds_of(item: Any) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of an object, in points. Raises ``PdfiumError``."""
    x0, y0, x1, y1 = ctypes.c_float(), ctypes.c_float(), ctypes.c_float(), ctypes.c_float()
    if not pdfium.FPDFPageObj_GetBounds(item, x0, y0, x1, y1):
        raise pypdfium2.PdfiumError("Failed to locate pageobject.")
    return x0.value, y0.value, x1.value, y1.value


class TextOf:
    """Gives the text of the text objects of one page; empty where the library finds none."""

    def __init__(self, page: pypdfium2.PdfTextPage) -> None:
        self._page = page.raw
        self._room(ROOM)

    def _room(self, letters: int) -> None:
        self._letters = (pdfium.FPDF_WCHAR * letters)()
        self._bytes = ctypes.sizeof(self._letters)

    def __call__(self, item: Any) -> str:
        """The text of an object of the page."""
        # its length comes with it: where there was too little room it is asked for once more
        count = int(pdfium.FPDFTextObj_GetText(item, self._page, self._letters, self._bytes))
        if count > self._bytes:
            self._room(count)
            count = int(pdfium.FPDFTextObj_GetText(item, self._page, self._letters, self._bytes))
        return ctypes.string_at(self._letters, max(count - WIDE, 0)).decode("utf-16-le")
