"""What the manual shows of a kind of bracket: its picture, where each flange's axes run, its parameters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generators.drawing.part.kind_picture import views_svg
from generators.drawing.part.named_sizes import find_named_sizes
from generators.model.spec.fields import spec_fields
from generators.parts import KINDS
from generators.parts.kind import Kind
from generators.sheets.manual.flange_axes import faces
from generators.sheets.manual.keys import Table, tables
from generators.solve.parts import sample_plan


@dataclass(frozen=True, slots=True, kw_only=True)
class KindPage:
    """One kind, with everything the manual says of it; ``tables`` begins with its own parameters."""

    name: str
    summary: str
    origin: str
    picture: str
    faces: tuple[Mapping[str, str], ...]
    tables: tuple[Table, ...]


def kind_pages() -> list[KindPage]:
    """All kinds, in the order of the register."""
    return [_page(kind) for kind in KINDS]


def pivot_of(kind: Kind[Any]) -> tuple[float, float] | None:
    """Where the default part of a kind carries a pedal: above its origin and out from the panel, mm."""
    default = {field.key: field.default for field in spec_fields(kind.parameters)}
    if not {"pivot_up", "pivot_out"} <= set(default):
        return None
    return float(default["pivot_up"]), float(default["pivot_out"])


def _page(kind: Kind[Any]) -> KindPage:
    plan, _ = sample_plan(kind.name)
    sizes = find_named_sizes(kind.parameters, lambda values: sample_plan(kind.name, values)[0])
    return KindPage(
        name=kind.name,
        summary=kind.summary,
        origin=kind.origin,
        picture=views_svg(plan, sizes, pivot_of(kind)),
        faces=tuple(faces(plan)),
        tables=tuple(tables(kind.parameters, below=kind.name)),
    )
