"""Which sheets to mark a job's holes from: the fewest that show each whole and can be laid by two things.

A panel's holes can be put on loose sheets, one for each group of holes; on sheets that are joined; or, with
those of the panel behind a fold, on sheets that go round it. All three are planned and counted.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from generators.drawing.pack.holds import ENOUGH, drawn_on, edges, held, joined, old_holes
from generators.drawing.paper.furniture import Words
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.template.hole_groups import LOOSE, HoleGroup
from generators.drawing.template.patch_words import laying, laying_note
from generators.drawing.template.patches import patch_leaves, worked_by
from generators.drawing.template.pdf import template_words, tile_leaves
from generators.drawing.template.sheet import Leaf, sheet_of
from generators.drawing.template.tiles import EXISTING
from generators.geometry.sight import first_face
from generators.layout.distances import between
from generators.layout.panels import OR_PATCHES
from generators.model.findings import Waived
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.shop import PaperPrinter
from generators.model.spec.titles import within
from generators.model.words import FACES, NEW, Face
from generators.units import UnitSystem

WayName = Literal["loose sheets", "joined sheets", "sheets round the fold"]
ONE = {
    "loose sheets": "one loose sheet",
    "joined sheets": "one sheet",
    "sheets round the fold": "one sheet round the fold",
}
OF_PACK = " of the pack"
SHORT = "Fewer than two things say where this sheet goes: check its place by the part itself."
LAY_BY = {
    (
        True,
        True,
    ): "Lay the sheet by the existing holes and edges drawn on it: cut the holes out, they must fit.",
    (True, False): "Lay the sheet by the existing holes drawn on it: cut them out, they must fit.",
    (False, True): "Lay the sheet by the edges drawn on it.",
    (False, False): "",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Folded:
    """Two panels round their fold: their names and the layout of each face."""

    panels: tuple[str, str]
    layouts: Mapping[Face, PanelLayout]


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What every sheet says alike: the job's title, its revision, what was waived, for which printer."""

    job: str
    revision: str
    waived: tuple[Waived, ...] = ()
    printer: PaperPrinter | None = None
    units: UnitSystem = "metric"

    def words(self, layout: PanelLayout, face: Face, paper: str) -> Words:
        """The words around a sheet of that panel."""
        words = template_words(layout, face, self.job, self.revision, paper, self.waived, self.printer)
        # the pack holds the sheets to work by: it offers no others
        notes = tuple(note.replace(OR_PATCHES, "") for note in words.notes)
        return replace(words, of=OF_PACK, notes=notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to put holes on paper. ``fault`` says why it will not do, or nothing."""

    name: WayName
    leaves: tuple[Leaf, ...]
    fault: str = ""

    @property
    def words(self) -> str:
        """``4 loose sheets``."""
        return ONE[self.name] if len(self.leaves) == 1 else f"{len(self.leaves)} {self.name}"

    @property
    def rank(self) -> tuple[bool, int, int]:
        """Lowest is best: sound, few pages, much to lay them by."""
        return bool(self.fault), len(self.leaves), -sum(min(drawn_on([x]), ENOUGH) for x in self.leaves)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSet:
    """The sheets chosen for one face of a panel, or of two round a fold.

    ``marks`` are the numbers of the holes marked from here, ``why`` says what else was counted.
    """

    panels: tuple[str, ...]
    layout: PanelLayout
    face: Face
    way: Way
    marks: tuple[str, ...]
    why: str


def sheet_sets(
    layouts: Sequence[PanelLayout], folds: Sequence[Folded], choice: PaperChoice, head: Head
) -> tuple[SheetSet, ...]:
    """The sets of a job in the order they are used: the cab faces, then what is marked from the engine bay.

    A panel with nothing to mark has none.
    """
    return tuple(found for face in FACES for found in _of_face(layouts, folds, choice, head, face))


def _of_face(
    layouts: Sequence[PanelLayout], folds: Sequence[Folded], choice: PaperChoice, head: Head, face: Face
) -> Iterator[SheetSet]:
    alone = {x.panel: _ways(x, choice, head, face) for x in layouts if _marked(x, face)}
    best = {name: min(ways, key=lambda w: w.rank) for name, ways in alone.items()}
    round_fold: dict[str, tuple[Folded, Way]] = {}
    for fold in folds:
        first, second = fold.panels
        if first not in best or second not in best or {first, second} & round_fold.keys():
            continue
        way = _fewest(_tiles, fold.layouts[face], choice, head, face, "sheets round the fold")
        apart = len(best[first].leaves) + len(best[second].leaves)
        if not way.fault and (len(way.leaves) < apart or best[first].fault or best[second].fault):
            round_fold |= dict.fromkeys((first, second), (fold, way))
        alone[first].append(way)
        alone[second].append(way)
    for name, ways in alone.items():
        layout = next(x for x in layouts if x.panel == name)
        if name not in round_fold:
            yield _set((name,), layout, face, best[name], ways)
        elif round_fold[name][0].panels[0] == name or name not in {
            p for f, _ in round_fold.values() for p in f.panels[1:]
        }:
            fold, way = round_fold[name]
            single = [best[p] for p in fold.panels]
            yield _set(fold.panels, fold.layouts[face], face, way, single)


def marked_from(hole: PanelHole) -> Face | None:
    """The face from which its centre is punched through paper; None of one that no paper places."""
    if hole.status not in NEW or not hole.work.punched:
        return None
    return first_face(hole)


def _marked(layout: PanelLayout, face: Face) -> tuple[str, ...]:
    """Numbers of what is marked out on that face."""
    return tuple(h.number for h in layout.holes if marked_from(h) == face)


def _fellows(layout: PanelLayout, wanted: Collection[str]) -> set[str]:
    """Holes of the same parts that no paper places: good to see on the sheet, but not worth a page."""
    parts = {h.owners for h in layout.holes if h.number in wanted and not LOOSE.issuperset(h.owners)}
    return {
        h.number for h in layout.holes if h.owners in parts and h.status in NEW and marked_from(h) is None
    }


def _set(
    panels: tuple[str, ...], layout: PanelLayout, face: Face, way: Way, others: Sequence[Way]
) -> SheetSet:
    more = [x for x in others if x is not way and (x.fault or len(x.leaves) > len(way.leaves))]
    counted = [f"{x.words}{f' ({x.fault})' if x.fault else ''}" for x in more]
    if way.name == "sheets round the fold":
        counted = [f"{sum(len(x.leaves) for x in others)} for its panels by themselves"]
    why = way.words + (f", though {way.fault}" if way.fault else "")
    why += f" instead of {' or '.join(counted)}" if counted else ""
    groups = joined(way.leaves)
    way = replace(way, leaves=tuple(_warned(leaf, groups) for leaf in way.leaves))
    return SheetSet(panels=panels, layout=layout, face=face, way=way, marks=_marked(layout, face), why=why)


def _ways(layout: PanelLayout, choice: PaperChoice, head: Head, face: Face) -> list[Way]:
    out = [_fewest(_tiles, layout, choice, head, face, "joined sheets")]
    if not choice.is_roll:
        out.append(_fewest(_patches, layout, choice, head, face, "loose sheets"))
    return out


Planner = Callable[[PanelLayout, PaperChoice, Head, Face, WayName, Collection[str]], Way]


def _fewest(
    plan: Planner, layout: PanelLayout, choice: PaperChoice, head: Head, face: Face, name: WayName
) -> Way:
    """With all holes of the parts that are marked, or with the marked ones only where that saves a page."""
    wanted = set(_marked(layout, face))
    every = plan(layout, choice, head, face, name, wanted | _fellows(layout, wanted))
    bare = plan(layout, choice, head, face, name, wanted)
    return min(every, bare, key=lambda way: way.rank[:2])


def _patches(
    layout: PanelLayout, choice: PaperChoice, head: Head, face: Face, name: WayName, shown: Collection[str]
) -> Way:
    wanted = _marked(layout, face)
    # what is there already need not be marked: it serves to lay the sheets by
    holes = [
        replace(h, status="datum") if h.status in EXISTING else h
        for h in layout.holes
        if h.status in EXISTING or h.number in shown
    ]
    planned = replace(layout, holes=tuple(holes))
    unplaced = {h.number for h in layout.holes if h.status in NEW and marked_from(h) is None}
    leaves = tuple(
        worked_by(leaf, (leaf.only or frozenset()) | unplaced)
        for leaf in patch_leaves(layout, choice, face, head.words(layout, face, choice.name), planned)
    )
    fault = _fault(leaves, layout, wanted)
    torn = sorted({part for h in layout.holes for part in _torn(h, layout.holes, wanted, leaves)})
    if torn and not fault:
        titles = {foot.part: f"the {within(foot.words)}" for foot in layout.footprints}
        fault = f"they tear {', '.join(titles.get(x, x.replace('_', ' ')) for x in torn)} apart"
    return Way(name=name, leaves=leaves, fault=fault)


def _torn(
    hole: PanelHole, holes: Sequence[PanelHole], wanted: Collection[str], leaves: Sequence[Leaf]
) -> Iterator[str]:
    """The part of a hole, if its marked holes are on sheets that are not joined."""
    if hole.number not in wanted or LOOSE.issuperset(hole.owners):
        return
    mine = {h.number for h in holes if h.owners == hole.owners and h.number in wanted}
    if not any(mine <= (leaf.only or frozenset()) for leaf in leaves):
        yield from hole.owners


def _tiles(
    layout: PanelLayout, choice: PaperChoice, head: Head, face: Face, name: WayName, shown: Collection[str]
) -> Way:
    wanted = _marked(layout, face)
    sheet = sheet_of(layout, choice, {*shown, *_to_lay_by(layout, wanted)})
    words = head.words(layout, face, choice.name)
    single = len(sheet.tiles.printed) == 1
    here = frozenset(h.number for h in layout.holes if marked_from(h) in (None, face))
    only = here if any(h.status in NEW and h.number not in here for h in layout.holes) else None
    leaves = tile_leaves(layout, sheet, face, words, only)
    if single:
        leaves = tuple(
            replace(
                x,
                cell=None,
                name="one sheet",
                where="one sheet",
                words=replace(x.words, join=LAY_BY[bool(old_holes(x)), bool(edges(x))]),
            )
            for x in leaves
        )
    leaves = tuple(leaf for group in joined(leaves) for leaf in _told(group, layout, face, wanted))
    leaves = tuple(sorted(leaves, key=lambda x: (x.cell or (0, 0))[::-1]))
    return Way(name=name, leaves=leaves, fault=_fault(leaves, layout, wanted))


def _told(group: Sequence[Leaf], layout: PanelLayout, face: Face, wanted: Collection[str]) -> Sequence[Leaf]:
    """Joined sheets that show too little to lay them by, with distances in words as loose ones have."""
    here = tuple(h for h in layout.holes if h.number in wanted and any(x.shows(h) for x in group))
    if drawn_on(group) >= ENOUGH or layout.wraps or not here:
        return group
    near = _to_lay_by(layout, [h.number for h in here])
    holes = HoleGroup(
        name="",
        holes=here,
        laid_by=tuple(h for h in layout.holes if h.number in near),
        on_sheet=(),
        box=group[0].box,
    )
    laid = min(len(found) for _, found in laying(layout, holes, face))
    note = laying_note(layout, holes, face)
    return [replace(x, laid=laid, words=replace(x.words, lay=note)) for x in group]


def _warned(leaf: Leaf, groups: Sequence[Sequence[Leaf]]) -> Leaf:
    """A sheet that says so where too little tells its place."""
    group = next(g for g in groups if leaf in g)
    return leaf if held(group) else replace(leaf, words=replace(leaf.words, lay=f"{SHORT} {leaf.words.lay}"))


def _to_lay_by(layout: PanelLayout, wanted: Collection[str]) -> set[str]:
    """The existing holes nearest to what is marked, until there are two."""
    box = [h for h in layout.holes if h.number in wanted]
    old = [h for h in layout.holes if h.status in EXISTING]
    near = sorted(old, key=lambda h: (min(between(h, x) for x in box), h.number))
    return {h.number for h in near[:ENOUGH]}


def _fault(leaves: Sequence[Leaf], layout: PanelLayout, wanted: Collection[str]) -> str:
    """Why these sheets will not do: a hole is whole on none, or nothing says where one goes."""
    cut = [h.number for h in layout.holes if h.number in wanted and not any(leaf.shows(h) for leaf in leaves)]
    if cut:
        return f"hole {', '.join(cut)} is whole on none"
    if not all(held(group) for group in joined(leaves)):
        return "fewer than two holes or edges to lay one by"
    return ""
