"""How many pages a job is printed on: ``python tests/bench/bench_pack.py``.

Run on demand; prints, asserts nothing. Every demo on every paper: pages before the install sheet, the sheets
among them that are laid on metal, the install sheet, and beside them the pages of all other sheets in ``panels/``.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import pypdfium2

from generators.issue.work import Order, carry_out
from generators.jobs.make.run import artefacts
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = ("wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus")
PAPERS = ("A4", "letter", "both", "A3", "roll:610 mm")
OTHERS = ("template_pdf", "patches_pdf")
SHEETS = ("CAB FACE", "ENGINE FACE")


def texts(path: Path) -> list[str]:
    """What stands on each page."""
    document = pypdfium2.PdfDocument(path)
    try:
        return [document[k].get_textpage().get_text_range() for k in range(len(document))]
    finally:
        document.close()


def main() -> None:
    """Print a row for each demo and paper."""
    print(f"{'demo':14} {'paper':12} {'before':>7} {'sheets':>7} {'install':>8} {'others':>7}")
    for demo in DEMOS:
        prepared = prepare(SPECS / f"{demo}.toml")
        for paper in PAPERS:
            with tempfile.TemporaryDirectory() as place:
                folder = Path(place)
                before = sheets = install = others = 0
                for k, one in enumerate(artefacts(prepared, paper)):
                    if one.entry.kind not in (*OTHERS, "print_me_pdf"):
                        continue
                    carry_out(one, Order(index=k, folder=folder, revision="0000000", found=None))
                    pages = texts(folder / one.entry.path)
                    if one.entry.kind in OTHERS:
                        others += len(pages)
                        continue
                    said = next(t for t in pages if "PRINT ME" in t).split("install sheet")[0].split()
                    first = int(next(w for w in reversed(said) if w.isdecimal() and w != str(len(pages))))
                    before, install = first - 1, len(pages) - first + 1
                    sheets = sum(any(word in t for word in SHEETS) for t in pages[1:])
                print(f"{demo:14} {paper:12} {before:7} {sheets:7} {install:8} {others:7}")


if __name__ == "__main__":
    main()
