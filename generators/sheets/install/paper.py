"""Printing the sheets and laying them on the metal: the words follow the sheets that were chosen."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from generators.geometry.sight import first_face
from generators.model.install import Laid, Phase, ScaleLengths, Step
from generators.model.plan import PanelHole, PanelLayout
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.titles import capital, within
from generators.model.words import FACES, Face
from generators.sheets.install.existing import side

FILE = "the pack"
OTHERS, ONE_SET = "Sheets of the folder panels/ are not needed; drill", " by one set only."
LOOSE = (
    "Do not join them: lay each by the existing holes on it; "
    "where it has one or none, by the distances in its head too."
)
ONE_BY_WORDS = (
    "Lay it by the existing holes on it; where it has one or none, by the distances in its head too."
)
ON_HOLES = "Line {} up on the existing holes."
JOIN = (
    "lay marks with the same u and v on top of each other, not the edges of the paper, one margin cut away, "
    "and tape them"
)


def paper_phase(
    revision: str,
    laid: Sequence[Laid],
    packing: Packing = NOT_PACKED,
    tests: Sequence[ScaleLengths] = (),
) -> Phase:
    """Print page one, prove it, print the rest, prove each sheet. ``laid`` is empty where none is chosen.

    ``tests`` are the lengths of page one on each paper there is. Of a kit in which they come printed the
    first step says where they lie.
    """
    lies = packing.holding("templates")
    drawn, right = _drawn(tests), next((x.right for x in tests), "half a millimetre")
    joined = any(x.way in ("joined", "fold") for x in laid)
    loose = any(x.way in ("one", "loose") for x in laid)
    cut = "Cut the loose sheets to a handy size" if joined else "Cut the sheets to a handy size"
    lay = [f"Join {_pages(laid)}: {JOIN}" if joined else "", cut if loose or not joined else ""]
    cut_out = max((x.cut for x in laid), key=len, default="")
    return Phase(
        title="Paper",
        steps=(
            Step(
                do=f"Measure the three lengths of page 1 of {FILE}: it comes printed, in {lies}.",
                how=f"{drawn}All true to {right}: use it. Else print page 1 at 100 %, no fit to page, "
                f"measure that, and print the rest the same way. Every page must carry revision {revision}; "
                "do not mix revisions.",
            )
            if lies
            else Step(
                do=f"Print page 1 of {FILE} at 100 %, no fit to page, and measure its three lengths.",
                how=f"{drawn}All true to {right}: print the rest the same way. Every page must "
                f"carry revision {revision}; do not mix revisions.",
            ),
            Step(
                do="Measure the millimetre bar and the inch bar, across and up, on each sheet you lay on the "
                "metal.",
                how="One wrong bar: do not use that sheet. The pages to read have no bars.",
            ),
            Step(
                do=f"{'. '.join(text for text in lay if text)}.",
                how=f"{cut_out} {'Drill' if packing.boxes else OTHERS}{ONE_SET}".lstrip(),
            ),
        ),
    )


def _drawn(tests: Sequence[ScaleLengths]) -> str:
    """How long they are on each paper, in a sentence with a space after it; nothing where nobody knows."""
    papers: dict[str, list[str]] = {}
    for one in tests:
        papers.setdefault(one.words, []).append(one.paper)
    said = [f"on {' and '.join(names)} paper {words}" for words, names in papers.items()]
    return f"Between the ticks they are {'; '.join(said)}. " if said else ""


def _pages(laid: Sequence[Laid]) -> str:
    return ", and ".join(x.pages for x in laid if x.way in ("joined", "fold"))


def tape_step(layout: PanelLayout, face: Face, laid: Sequence[Laid]) -> Step:
    """Taping the sheets of one face on; the witness hole is named where a sheet shows it."""
    mine = next((x for x in laid if layout.panel in x.panels and x.face == face), None)
    title = within(layout.title)
    if mine is None:
        return Step(
            do=f"Tape the sheets of the {title} to its {side(layout, face)}.",
            how=f"Bars measured first. {ON_HOLES.format('them')}{_witness(layout, None)}",
        )
    single = mine.first == mine.last
    if mine.way == "loose":
        sheets = "sheet" if single else "sheets"
        do = f"Tape the loose {sheets} of {mine.pages} to the {side(layout, face)} of the {title}."
        how = ONE_BY_WORDS if single else LOOSE
    elif mine.way == "one":
        do = f"Tape the sheet of {mine.pages} to the {side(layout, face)} of the {title}."
        how = ONE_BY_WORDS if mine.in_words else ON_HOLES.format("it")
    else:
        round_fold = f" and round the fold: {' and '.join(map(within, mine.titles))}"
        do = f"Tape the joined sheets of {mine.pages} to the {side(layout, face)} of the {title}"
        do += f"{round_fold if mine.way == 'fold' else ''}."
        how = ON_HOLES.format("them")
        if mine.in_words:
            how = "Lay them by the existing holes on them or by the distances in their heads."
    return Step(do=do, how=f"Bars measured first. {how}{_witness(layout, mine)}")


def off_step(
    layout: PanelLayout, face: Face, laid: Sequence[Laid], later: Collection[tuple[str, Face]] = ()
) -> Step:
    """Taking the sheets of one face off, its marks and pilots made; common practice, no source.

    ``later`` are the faces of panels marked after this one: a sheet round the fold stays up on those. Where
    a hose decides on a hole of this face, its ring is pricked through first, as the step that drills it
    compares with it there.
    """
    title = within(layout.title)
    mine = next((x for x in laid if layout.panel in x.panels and x.face == face), None)
    others = (
        [
            within(name)
            for panel, name in zip(mine.panels, mine.titles, strict=True)
            if panel != layout.panel and (panel, face) in later
        ]
        if mine is not None and mine.way == "fold"
        else []
    )
    hung = [hole.number for hole in pricked(layout, laid) if hole.drill_face == face]
    marks = (
        f"First prick lightly through the middle of the ring{'s' if len(hung) > 1 else ''} of "
        f"hole{'s' if len(hung) > 1 else ''} {', '.join(hung)}: that mark is compared with, not drilled. "
        if hung
        else ""
    )
    stays = (
        f"It stays taped to the {' and '.join(others)}, turned back over the fold, until the marks there are "
        "made too. "
        if others
        else ""
    )
    return Step(
        do=f"Take the paper off the {side(layout, face)} of the {title}.",
        how=f"{marks}{stays}All it marks here is in the metal now; nothing is opened to size or deburred "
        "with paper under the tool. Keep the sheets: their labels say of each hole how it goes on.",
    )


def pricked(layout: PanelLayout, laid: Sequence[Laid] = ()) -> list[PanelHole]:
    """The holes a hose decides on whose rings are pricked through the paper, to compare the hung thing with.

    Only those on whose own face paper lies: a mark on the other face is not seen where it is wanted. Of
    sheets that are chosen by now, only what one of them shows whole.
    """
    faces = {first_face(hole) for hole in layout.holes if hole.work.punched}
    hung = [h for h in layout.holes if h.work.how == "hose" and h.drill_face in faces]
    mine = [x for x in laid if layout.panel in x.panels]
    return [h for h in hung if not mine or any(x.face == h.drill_face and h.number in x.hung for x in mine)]


def _witness(layout: PanelLayout, laid: Laid | None) -> str:
    """How to tell that the paper is the right way round, by what is on it."""
    found: PanelHole | None = next((h for h in layout.holes if h.name == layout.witness_hole), None)
    if found is None or (laid is not None and found.number not in laid.shows):
        return ""
    return f" Hole {found.number} on the paper must lie on the {found.purpose}."


def opened_from(holes: Sequence[PanelHole]) -> str:
    """From which side holes are opened once the paper is off, in a sentence before a blank."""
    off = "The paper off, " if any(hole.work.punched for hole in holes) else ""
    on = [(face, [hole.number for hole in holes if hole.drill_face == face]) for face in FACES]
    faces = [(face, those) for face, those in on if those]
    sides = [f"from the {face} side" for face, _ in faces]
    if len(faces) > 1:
        sides = [f"{', '.join(those)} from the {face} side" for face, those in faces]
    return f"{capital(off + '; '.join(sides))}. "
