"""What would spread a bolt's pull over more of a panel: larger washers, a thicker doubler, a doubler."""

from __future__ import annotations

from collections.abc import Iterator

from generators.layout.mounting import PlacedPart
from generators.model.changes import Change, NewTable, Proposal
from generators.model.plan import PanelLayout
from generators.model.spec.job import Panel
from generators.reading import JobFile
from generators.solve.bodies.fixings.stacks import covering
from generators.solve.fasteners.joint import sheet_metal

TRIED_MARGINS_MM = (54.0, 42.0, 66.0, 30.0)
TRIED_GAUGES = 2
RACK_MM = (1.5, 2.0, 3.0)
"""Thicknesses tried where the shop has no sheet of the panel's metal on its rack. Ours."""
USUAL = {"aluminium": "5052-H32"}
STEEL = "1008 steel"
_FAR = {"cab": "engine", "engine": "cab"}


def spreading(
    file: JobFile, part: PlacedPart, panel: Panel, layout: PanelLayout, at: tuple[float, float]
) -> tuple[Proposal, ...]:
    """Changes to be tried, the least first; each is solved again before it is printed."""
    return tuple(_proposals(file, part, panel, layout, at))


def _proposals(
    file: JobFile, part: PlacedPart, panel: Panel, layout: PanelLayout, at: tuple[float, float]
) -> Iterator[Proposal]:
    name = part.spec.name
    if part.spec.hold.washers != "large":
        yield Proposal(
            words=f"put large washers on the bolts of {name}",
            steps=(Change(path=f"part[{name}].hold.washers", word="large"),),
        )
    mount = part.spec.mount
    face = _FAR[mount.face] if mount is not None else "engine"
    plates = [f for f in covering(layout, face, at) if f.doubler]
    for plate in plates:
        metal = next(p.material for p in file.job.part if p.name == plate.part)
        thicker = [t for t in _rack(file, metal) if t > plate.thickness_mm + 1e-6]
        for thickness in thicker[:TRIED_GAUGES]:
            yield Proposal(
                words=f"make the doubler {plate.part} of thicker sheet",
                steps=(Change(path=f"part[{plate.part}].thickness", to=thickness, rounding="exact"),),
            )
    if plates or mount is None:
        return
    row = sheet_metal(panel.material)
    metal = USUAL.get(row.kind, STEEL) if row is not None else STEEL
    taken = {p.name for p in file.job.part}
    new = next(
        n for n in (f"{name}_doubler", *(f"{name}_doubler_{i}" for i in range(2, 99))) if n not in taken
    )
    for margin in TRIED_MARGINS_MM:
        for thickness in _rack(file, metal)[:TRIED_GAUGES]:
            yield Proposal(
                words=f"bolt a {thickness:g} mm doubler behind {name}",
                steps=(
                    NewTable(
                        kind="part",
                        keys=(
                            ("name", f'"{new[:40]}"'),
                            ("title", '"Doubler"'),
                            ("kind", '"doubler"'),
                            ("material", f'"{metal}"'),
                            ("thickness", f'"{thickness:g} mm"'),
                            ("parameters", f'{{ holes = ["{name}"], margin = "{margin:g} mm" }}'),
                            (
                                "mount",
                                f'{{ panel = "{panel.name}", face = "{face}", '
                                'at = { u = "0 mm", v = "0 mm" } }',
                            ),
                        ),
                    ),
                ),
            )


def _rack(file: JobFile, metal: str) -> list[float]:
    """Thicknesses of the shop's sheets of a metal, thin to thick; usual ones where it has none."""
    own = {s.thickness_mm for s in file.shop.stock if s.material == metal}
    return sorted(own) or list(RACK_MM)
