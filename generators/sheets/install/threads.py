"""Threads put into a panel once it is drilled: inserts set, nuts and studs welded on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.figures import format_short
from generators.layout.stacking import gripped
from generators.model.install import Step
from generators.model.plan import PanelHole, PanelLayout
from generators.model.words import FACES, OTHER
from generators.sheets.install.existing import side


def _named(holes: Sequence[PanelHole]) -> str:
    return f"hole{'' if len(holes) == 1 else 's'} {', '.join(h.number for h in holes)}"


def insert_steps(layout: PanelLayout, holes: Sequence[PanelHole]) -> Iterator[Step]:
    """Setting the threaded inserts, a step for each thread, face and stack of sheets."""
    groups: dict[tuple[str, str, tuple[str, ...]], list[PanelHole]] = {}
    for hole in holes:
        if hole.kind == "insert":
            groups.setdefault((hole.thread, hole.nut_face, gripped(layout, hole)[1]), []).append(hole)
    for (thread, face, parts), group in groups.items():
        metal = gripped(layout, group[0])[0]
        with_them = f" with {' and '.join(name.replace('_', ' ') for name in parts)} laid on" if parts else ""
        yield Step(
            do=f"Set the {thread} threaded insert{'' if len(group) == 1 else 's'} of {_named(group)} from "
            f"the {face} side.",
            how=f"Each grips {format_short(metal, layout.units, 4)}: the panel{with_them}. Try one in a "
            "scrap "
            "of the same thickness first; it must not turn under a bolt done up by hand.",
            holes=tuple((layout.panel, hole.number) for hole in group),
        )


def weld_steps(layout: PanelLayout, holes: Sequence[PanelHole]) -> Iterator[Step]:
    """Welding nuts and studs on, a step for each face."""
    for face in FACES:
        nuts = [h for h in holes if h.kind == "weld_nut" and h.nut_face == OTHER[face]]
        studs = [h for h in holes if h.kind == "stud" and h.nut_face == face]
        sizes = [f"the {h.thread} nut of hole {h.number}" for h in nuts]
        sizes += [
            f"the {h.thread} stud {h.number}, "
            f"{format_short(h.reach_cab_mm or h.reach_engine_mm, layout.units, 4)} long"
            for h in studs
        ]
        if sizes:
            yield Step(
                do=f"Weld to the {side(layout, face)} of the {layout.title.lower()}: {'; '.join(sizes)}.",
                how="Bare metal on both sides first, a bolt or nut of brass or copper in the thread against "
                "spatter; nothing that burns behind the panel. Run the thread down by hand and paint both "
                "sides before anything is fitted over it.",
                holes=tuple((layout.panel, hole.number) for hole in (*nuts, *studs)),
            )
