"""``python -m generators.cli.pictures``: the README's pictures, from a finished output folder.

Small grey PNGs of the finished PDFs themselves, so the README shows what the tool makes. The picture of a
solved bracket comes only when it is named, from a folder made with ``--stiffness``, and the overlay of
measured holes from a folder of ``pedalplate measure``, the filing sheet from one of ``pedalplate asdrilled``.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import pypdfium2

from generators.errors import ReadBackError
from generators.issue.manifest import read_manifest

PICTURES: tuple[tuple[str, int | str, str], ...] = (
    ("panels/firewall/template_cab.pdf", 1, "template_cab.png"),
    ("panels/firewall/template_engine.pdf", 1, "template_engine.png"),
    ("panels/firewall/template_cab.pdf", 0, "scale_test.png"),
    ("parts/clutch_hanger/clutch_hanger_drawing.pdf", 0, "hanger_drawing.png"),
    ("parts/clutch_hanger/clutch_hanger_setup.pdf", 0, "setup_sheet.png"),
    ("install_sheet.pdf", 0, "install_sheet.png"),
    ("report.pdf", 1, "clutch_report.png"),
    ("report.pdf", "Drawn from the bodies", "in_the_vehicle.png"),
)
SOLVED = (("report.pdf", "Shape and stress:", "stiffness.png"),)
MEASURED = (("overlay_cab.pdf", 3, "overlay.png"),)
RESCUED = (("filing_sheet.pdf", 0, "filing_sheet.png"),)
SCALE = 0.9
GREYS = 16


def _page(document: pypdfium2.PdfDocument, place: int | str) -> int:
    """A page by its index, or the first with some words on it. Raises ``ReadBackError`` without one."""
    if isinstance(place, int):
        return place
    for index in range(len(document)):
        if place in document[index].get_textpage().get_text_range():
            return index
    raise ReadBackError("report.pdf", f"has no page {place!r}")


def write_pictures(folder: Path, target: Path, names: Sequence[str] = ()) -> list[Path]:
    """Render the chosen pages of ``folder`` into ``target``; returns the files written.

    ``names`` are pictures to write instead of all that every finished folder gives. Raises
    ``ReadBackError`` when the folder is not a finished one, or has no page for a name.
    """
    read_manifest(folder)
    chosen: tuple[tuple[str, int | str, str], ...] = PICTURES
    if names:
        known = PICTURES + (SOLVED if (folder / "stiffness.json").is_file() else ())
        known = MEASURED if (folder / MEASURED[0][0]).is_file() else known
        known = RESCUED if (folder / RESCUED[0][0]).is_file() else known
        chosen = tuple(row for row in known if row[2] in names)
        if missing := set(names) - {row[2] for row in chosen}:
            raise ReadBackError(folder.name, f"gives no {', '.join(sorted(missing))}")
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for relative, place, name in chosen:
        document = pypdfium2.PdfDocument(folder / relative)
        picture = document[_page(document, place)].render(scale=SCALE, grayscale=True).to_pil()
        document.close()
        picture.quantize(GREYS).save(target / name, optimize=True)
        written.append(target / name)
    return written


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit("usage: python -m generators.cli.pictures OUTPUT_FOLDER PICTURE_FOLDER [NAME ...]")
    try:
        for path in write_pictures(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:]):
            print(path)
    except ReadBackError as error:
        sys.exit(str(error))
