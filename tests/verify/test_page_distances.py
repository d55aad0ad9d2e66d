"""The page has the very distances to check that the printed hole tables of the same folder have."""

from __future__ import annotations

from pathlib import Path

from issue.finished import Finished

from generators.verify.html.tree import parsed
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.template.words import check_distances


def on_page(path: Path) -> set[tuple[str, str, str]]:
    root, problems = parsed(path.read_text(encoding="utf-8"))
    assert not problems
    out = set()
    for table in root.all("table", class_="checks"):
        for row in (row for row in table.all("tr") if row.all("td")):
            one, other, said = (cell.text for cell in row.all("td"))
            out.add((one, other, said.partition(" mm")[0]))
    return out


def on_paper(path: Path) -> set[tuple[str, str, str]]:
    return {row for page in read_pdf(path).pages for row in check_distances(page) if row[0] != "from"}


def test_the_page_has_the_distances_of_the_paper(finished_van: Finished) -> None:
    folder = finished_van.folder
    paper = on_paper(folder / "print_me.pdf")
    assert len(paper) > 18
    assert on_page(folder / "install.html") == paper
