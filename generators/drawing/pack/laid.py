"""The chosen sheets as plain data: what the steps of the install sheet say of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generators.drawing.pack.choice import SheetSet
from generators.drawing.pack.holds import old_holes
from generators.drawing.paper.sizes import PaperChoice
from generators.drawing.template.cover import cover_test, lengths_of
from generators.drawing.template.view import cut_words
from generators.model.install import Laid, LaidWay, ScaleLengths
from generators.units import UnitSystem


def scale_lengths(choices: Sequence[PaperChoice], units: UnitSystem) -> tuple[ScaleLengths, ...]:
    """The lengths of page one on each paper, as they are drawn there."""
    return tuple(lengths_of(choice.name, cover_test(choice, units)) for choice in choices)


def laid_of(sets: Sequence[SheetSet], first: int, titles: Mapping[str, str]) -> tuple[Laid, ...]:
    """Each set with its pages, the first sheet of all on page ``first``; ``titles`` are those of panels."""
    out, at = [], first
    for found in sets:
        leaves = found.way.leaves
        shows = dict.fromkeys(h.number for leaf in leaves for h in old_holes(leaf))
        rings = [h for h in found.layout.holes if h.work.how == "hose"]
        hung = [h.number for h in rings if any(leaf.shows(h) for leaf in leaves)]
        out.append(
            Laid(
                panels=found.panels,
                titles=tuple(titles[panel] for panel in found.panels),
                face=found.face,
                way=_way(found),
                first=at,
                last=at + len(leaves) - 1,
                shows=tuple(shows),
                hung=tuple(hung),
                in_words=any(leaf.laid for leaf in leaves),
                cut=cut_words([(found.layout, found.face, leaf.box) for leaf in leaves]),
            )
        )
        at += len(leaves)
    return tuple(out)


def _way(found: SheetSet) -> LaidWay:
    if found.way.name == "loose sheets":
        return "loose"
    if len(found.way.leaves) == 1:
        return "one"
    return "fold" if found.way.name == "sheets round the fold" else "joined"
