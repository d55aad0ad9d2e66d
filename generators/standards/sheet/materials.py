"""Sheet, plate and printed materials: stiffness, strength, weight and, for sheet, K-factor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from generators.standards._table import Trust, find, index, read_table
from generators.standards.sheet.strengths import yield_strength

__all__ = ["Material", "material", "material_rows"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material. ``source``, ``edition`` and ``trust`` are those of the yield
    (``strengths.csv``), ``e_source`` for
    stiffness and Poisson's ratio.

    ``poisson`` and ``k_factor`` have no unit. ``k_factor`` is the neutral axis over the thickness,
    and None where no figure was found; ``k_trust`` is then None as well.
    """

    name: str
    kind: str
    density_kg_m3: float
    density_source: str
    density_trust: Trust
    e_mpa: float
    poisson: float
    e_source: str
    e_trust: Trust
    yield_mpa: float
    k_factor: float | None
    k_source: str
    k_trust: Trust | None
    edition: str
    source: str
    trust: Trust
    norm: str
    norm_bent: str
    norm_trust: Trust | None

    def ordered(self, *, bent: bool) -> str:
        """Grade and norm it is ordered by for a part that is ``bent`` or flat; its name where none is known.

        A norm's designation of the same metal stands alone (``S235JRC, EN 10025-2``, for ``S235 steel``):
        beside the name it says the grade twice. A norm without one comes behind the name (``5052-H32, ASTM
        B209``).
        Source: the norms of the yield's rows; S235JRC is EN 10025-2's grade for cold flanging.
        """
        norm = (self.norm_bent if bent else "") or self.norm
        if any(word.startswith(self.name.split()[0]) for word in norm.split()):
            return norm
        return f"{self.name}, {norm}" if norm else self.name


@cache
def material_rows() -> tuple[Material, ...]:
    """Every material. Raises nothing."""
    return tuple(
        Material(
            name=row.text("name"),
            kind=row.text("kind"),
            density_kg_m3=row.number("density_kg_m3"),
            density_source=row.text("density_source"),
            density_trust=row.trust("density_trust"),
            e_mpa=row.number("e_mpa"),
            poisson=row.number("poisson"),
            e_source=row.text("e_source"),
            e_trust=row.trust("e_trust"),
            yield_mpa=(bears := yield_strength(row.text("name"))).mpa,
            k_factor=row.optional_number("k_factor"),
            k_source=row.optional_text("k_source"),
            k_trust=row.trust("k_trust") if row.optional_text("k_trust") else None,
            edition=bears.edition,
            source=bears.source,
            trust=bears.trust,
            norm=row.optional_text("norm"),
            norm_bent=row.optional_text("norm_bent"),
            norm_trust=row.trust("norm_trust") if row.optional_text("norm") else None,
        )
        for row in read_table("materials")
    )


@cache
def _by_name() -> Mapping[str, Material]:
    return index("materials.csv", ((row.name, row) for row in material_rows()))


def material(name: str) -> Material:
    """The material called ``name``: kg/m3 and MPa.

    Raises:
        LookupFault: no such material; lists the ones there are.

    Source: each row's own (EN 10025-2, ASTM, MIL-HDBK-5J).
    """
    return find(_by_name(), name, "material")
