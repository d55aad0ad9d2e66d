"""``python -m generators.cli.pictures``: the README's pictures, from a finished output folder.

Small grey PNGs of the finished PDFs themselves, so the README shows what the tool makes.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pypdfium2

from generators.errors import ReadBackError
from generators.pipeline.manifest import read_manifest

PICTURES = (
    ("panels/firewall/template_cab.pdf", 1, "template_cab.png"),
    ("panels/firewall/template_engine.pdf", 1, "template_engine.png"),
    ("panels/firewall/template_cab.pdf", 0, "scale_test.png"),
    ("parts/clutch_hanger/clutch_hanger_drawing.pdf", 0, "hanger_drawing.png"),
    ("install_sheet.pdf", 0, "install_sheet.png"),
    ("report.pdf", 1, "clutch_report.png"),
)
SCALE = 0.9
GREYS = 16


def write_pictures(folder: Path, target: Path) -> list[Path]:
    """Render the chosen pages of ``folder`` into ``target``; returns the files written.

    Raises ``ReadBackError`` when the folder is not a finished one.
    """
    read_manifest(folder)
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for relative, index, name in PICTURES:
        document = pypdfium2.PdfDocument(folder / relative)
        picture = document[index].render(scale=SCALE, grayscale=True).to_pil()
        document.close()
        picture.quantize(GREYS).save(target / name, optimize=True)
        written.append(target / name)
    return written


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit("usage: python -m generators.cli.pictures OUTPUT_FOLDER PICTURE_FOLDER")
    try:
        for path in write_pictures(Path(sys.argv[1]), Path(sys.argv[2])):
            print(path)
    except ReadBackError as error:
        sys.exit(str(error))
