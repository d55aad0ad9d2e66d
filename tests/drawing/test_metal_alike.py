"""Whoever fetches a sheet for a part reads the same grade on every paper of it, and in the file that is cut."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
from made_once import solved

from generators.jobs.make.part_files import part_files


def said_in(path: Path) -> str:
    """The words of a paper, a page or a DXF, whatever lines they are broken into."""
    if path.suffix != ".pdf":
        return " ".join(path.read_text(encoding="utf-8").split())
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


# EN 10025-2: S235JRC is the grade for cold flanging, S235JR leaves that open
def test_every_paper_of_a_bent_part_asks_for_the_grade_that_may_be_bent(tmp_path: Path) -> None:
    prepared = solved("dray_tractor")
    (part,) = (p for p in prepared.parts if p.plan.name == "slave_bracket")
    seen = set()
    for made in part_files(prepared, part, "A4"):
        name = Path(made.entry.path).name
        if name.endswith((".pdf", ".html", ".dxf")):
            made.body(path=tmp_path / name)  # type: ignore[call-arg]
            said = said_in(tmp_path / name)
            assert "S235JRC, EN 10025-2" in said, name
            assert "S235 steel" not in said, name
            seen.add(name.removeprefix("slave_bracket_"))
    assert seen == {"drawing.pdf", "setup.pdf", "setup.html", "inspection.pdf", "profile.pdf", "flat.dxf"}
