"""What lies in a finished folder, and who takes which file in hand."""

from __future__ import annotations

import fnmatch
from dataclasses import dataclass

CUTTER, INSTALLER, DESIGNER = "cutter", "installer", "designer"
READERS = {
    CUTTER: "Cuts, bends or prints the parts",
    INSTALLER: "Drills the vehicle and fits them",
    DESIGNER: "Measured the vehicle and answers for the job",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A file of a finished folder: ``pattern`` as file systems match it, whom it is for, what it is."""

    pattern: str
    readers: tuple[str, ...]
    words: str


_ALL = (CUTTER, INSTALLER, DESIGNER)
FILES: tuple[Kept, ...] = (
    Kept(
        pattern="print_me*.pdf",
        readers=(INSTALLER,),
        words="All the installer prints: page one, overview, sheets at 1:1, hole table, steps",
    ),
    Kept(
        pattern="install.html",
        readers=(INSTALLER,),
        words="The same steps for a phone: one file, offline, steps to tick, mm or inch, in 3D",
    ),
    Kept(pattern="install_sheet.pdf", readers=(INSTALLER,), words="The steps alone, to read at a desk"),
    Kept(
        pattern="panels/*/template_cab.pdf",
        readers=(INSTALLER,),
        words="1:1, tiled; for the face the driver sees; a folder with two panels' names is round their fold",
    ),
    Kept(
        pattern="panels/*/template_engine.pdf",
        readers=(INSTALLER,),
        words="The same holes in their mirror image, for the other face",
    ),
    Kept(
        pattern="panels/*/patches_*.pdf",
        readers=(INSTALLER,),
        words="A small 1:1 sheet for each group of holes",
    ),
    Kept(pattern="panels/*/template.dxf", readers=(INSTALLER,), words="1:1 for a plotter"),
    Kept(
        pattern="panels/scale_test.pdf", readers=(INSTALLER,), words="Three lengths to measure the printer by"
    ),
    Kept(pattern="parts/*/*_flat.dxf", readers=(CUTTER,), words="The blank as it is cut, in mm, 1:1"),
    Kept(
        pattern="parts/*/*_flat_mm.dxf",
        readers=(CUTTER,),
        words="The blank in the oldest form of the file (R12), which states no unit: mm",
    ),
    Kept(
        pattern="parts/*/*_drawing.pdf",
        readers=(CUTTER, DESIGNER),
        words="Flat and folded, with tables: enough to make the part without the DXF",
    ),
    Kept(
        pattern="parts/*/*_setup.pdf",
        readers=(CUTTER,),
        words="How it is bent: order, side up, stop, punch, die, depth, force, a picture of each step",
    ),
    Kept(
        pattern="parts/*/*_setup.html",
        readers=(CUTTER,),
        words="The same on a screen, each bend moving; offline",
    ),
    Kept(
        pattern="parts/*/*_profile.pdf",
        readers=(CUTTER,),
        words="The bent part's profile at full size, to hold it against; measure its bars first",
    ),
    Kept(
        pattern="parts/*/*_inspection.pdf",
        readers=(CUTTER,),
        words="What to measure on it, with what, nominal and limits, and room to write",
    ),
    Kept(pattern="parts/*/*.step", readers=(CUTTER, DESIGNER), words="The folded solid, mm"),
    Kept(pattern="parts/*/*.stl", readers=(CUTTER,), words="The same as a mesh, mm, as it would be printed"),
    Kept(pattern="parts/*/*.3mf", readers=(CUTTER,), words="The same as a mesh that states its unit"),
    Kept(
        pattern="report.pdf",
        readers=(DESIGNER,),
        words="Findings, hydraulics, views, bolts; what finite elements gave, where asked",
    ),
    Kept(
        pattern="holes.csv",
        readers=(INSTALLER, DESIGNER),
        words="Every hole: where, how large, with what, when, after which step",
    ),
    Kept(pattern="hoses.csv", readers=(INSTALLER, DESIGNER), words="Every hose: length, ends, clamps"),
    Kept(pattern="bom.csv", readers=_ALL, words="Everything to buy or make, by bag"),
    Kept(
        pattern="assembly.step",
        readers=(DESIGNER,),
        words="All of the job in the vehicle, as solids, named and in groups",
    ),
    Kept(pattern="assembly.glb", readers=_ALL, words="The same to look at, coloured"),
    Kept(
        pattern="stiffness.json",
        readers=(DESIGNER,),
        words="What finite elements gave: for what the quick answer leaves open, all with `make --stiffness`",
    ),
    Kept(pattern="stiffness_shapes.json", readers=(DESIGNER,), words="The shapes the report draws of it"),
    Kept(pattern="spec/*", readers=(DESIGNER,), words="The spec and shop file all this was made from"),
    Kept(
        pattern="manifest.json",
        readers=(DESIGNER,),
        words="Every file with its hash, findings, waivers, revision, versions",
    ),
    Kept(
        pattern="reuse.json",
        readers=(DESIGNER,),
        words="What each file was made from: what has not changed is not made again",
    ),
)
"""A file is of the first pattern it matches."""


def file_of(path: str) -> Kept | None:
    """What is said of a file, by its path from the folder with ``/``; ``None`` where nothing is."""
    return next((one for one in FILES if fnmatch.fnmatchcase(path, one.pattern)), None)
