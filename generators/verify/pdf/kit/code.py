"""Reads the square code of a finished page as a camera would: the page as pixels, then another's decoder."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import zxingcpp

DOTS_PER_MM = 8.0
POINTS_PER_MM = 72 / 25.4


def codes_of(path: Path, page: int = 0) -> tuple[str, ...]:
    """What the codes of a page say; none where it has none, or the file is no PDF."""
    try:
        document = pypdfium2.PdfDocument(path)
    except (pypdfium2.PdfiumError, OSError):
        return ()
    try:
        image = document[page].render(scale=DOTS_PER_MM / POINTS_PER_MM, grayscale=True).to_numpy()
    except (pypdfium2.PdfiumError, IndexError):
        return ()
    finally:
        document.close()
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    return tuple(code.text for code in found if code.valid)
