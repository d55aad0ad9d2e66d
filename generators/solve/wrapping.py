"""Templates that go round a fold: which there are in a job, and the layout of each face."""

from __future__ import annotations

from collections.abc import Iterator

from generators.layout.wrap import wrapped_layout, wrapped_name
from generators.model.plan import PanelLayout
from generators.model.words import Face
from generators.solve.job import Prepared


def wrapped_names(prepared: Prepared) -> Iterator[tuple[str, str]]:
    """Pairs of panels that share a fold and both have something to mark."""
    marked = {x.panel for x in prepared.layouts if any(h.status != "datum" for h in x.holes)}
    for fold in prepared.file.job.fold:
        first, second = fold.panels
        if first in marked and second in marked:
            yield first, second


def wrapped_sheet(prepared: Prepared, first: str, second: str, face: Face) -> PanelLayout:
    """The layout of two panels round their fold, for one face."""
    panels = {p.name: p for p in prepared.file.job.panel}
    layouts = {x.panel: x for x in prepared.layouts}
    return wrapped_layout((panels[first], panels[second]), (layouts[first], layouts[second]), face)


def sheet_layout(prepared: Prepared, owner: str, face: Face) -> PanelLayout | None:
    """The layout of a panel or of a pair round a fold by the name its files carry, or None."""
    for layout in prepared.layouts:
        if layout.panel == owner:
            return layout
    for first, second in wrapped_names(prepared):
        if wrapped_name(first, second) == owner:
            return wrapped_sheet(prepared, first, second, face)
    return None
