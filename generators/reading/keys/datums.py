"""Datums of a panel and the positions measured from them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from generators.errors import LookupFault
from generators.figures import format_short
from generators.model.plan import DatumMark
from generators.model.spec.job import Datum, ExistingHole, Panel, Position
from generators.model.words import LineKind
from generators.units import UnitSystem

EDGES: Mapping[str, LineKind] = MappingProxyType(
    {"left": "vertical", "right": "vertical", "bottom": "horizontal", "top": "horizontal"}
)
"""Names of the built-in datums: the extremes of the outline. A vertical one gives u."""

ORIGIN = "the panel origin"
_BLIND = MappingProxyType({"u": "horizontal", "v": "vertical"})


def datum_marks(panel: Panel) -> dict[str, DatumMark]:
    """Every datum of the panel by name: its four edges, its datums, its existing holes."""
    marks = {name: _of_edge(panel, name) for name in EDGES}
    marks |= {datum.name: _of_datum(datum) for datum in panel.datum}
    return marks | {hole.name: _of_hole(hole) for hole in panel.existing}


def _mark(panel: Panel, name: str) -> DatumMark | None:
    """One of ``datum_marks``: a part is placed by one or two of the many holes a panel has."""
    for hole in reversed(panel.existing):
        if hole.name == name:
            return _of_hole(hole)
    for datum in reversed(panel.datum):
        if datum.name == name:
            return _of_datum(datum)
    return _of_edge(panel, name) if name in EDGES else None


def _of_edge(panel: Panel, name: str) -> DatumMark:
    """A mark of an edge is put at the middle of the edge it stands for."""
    us = [u for u, _ in panel.outline]
    vs = [v for _, v in panel.outline]
    mid_u, mid_v = (min(us) + max(us)) / 2, (min(vs) + max(vs)) / 2
    u, v = {
        "left": (min(us), mid_v),
        "right": (max(us), mid_v),
        "bottom": (mid_u, min(vs)),
        "top": (mid_u, max(vs)),
    }[name]
    return DatumMark(name=name, kind=EDGES[name], u_mm=u, v_mm=v, what=f"{name} edge")


def _of_datum(datum: Datum) -> DatumMark:
    u, v = datum.at
    return DatumMark(name=datum.name, kind=datum.kind, u_mm=u, v_mm=v, what=datum.what)


def _of_hole(hole: ExistingHole) -> DatumMark:
    u, v = hole.at
    return DatumMark(name=hole.name, kind="point", u_mm=u, v_mm=v, what=hole.what)


def datums_giving(panel: Panel, axis: str) -> tuple[str, ...]:
    """Names of the datums that give a coordinate along ``axis``, ``u`` or ``v``."""
    return tuple(name for name, mark in datum_marks(panel).items() if mark.kind != _BLIND[axis])


def datum_value(panel: Panel, name: str, axis: str) -> float:
    """The coordinate of a datum along ``axis``, in mm; ``""`` is the panel's origin.

    Raises ``LookupFault`` when there is no such datum or it does not give that coordinate.
    """
    if not name:
        return 0.0
    mark = _mark(panel, name)
    if mark is None or mark.kind == _BLIND[axis]:
        raise LookupFault(f"datum that gives {axis}", name, datums_giving(panel, axis))
    return mark.u_mm if axis == "u" else mark.v_mm


def position_datums(position: Position) -> tuple[str, str]:
    """The datums u and v are measured from; ``""`` for the origin."""
    return position.u_from or position.from_, position.v_from or position.from_


def position_uv(panel: Panel, position: Position) -> tuple[float, float]:
    """``(u, v)`` in the panel frame, mm. Raises ``LookupFault`` as ``datum_value`` does."""
    u_from, v_from = position_datums(position)
    return (
        datum_value(panel, u_from, "u") + position.u_mm,
        datum_value(panel, v_from, "v") + position.v_mm,
    )


def resolve_position(
    panel: Panel, position: Position, units: UnitSystem = "metric"
) -> tuple[float, float, str]:
    """``(u, v, note)`` in the panel frame; the note says how to measure it on the metal.

    A note reads ``120 right, 35 up from column_bore`` in mm, ``4.724 in right …`` in inches. Raises
    ``LookupFault`` as ``datum_value`` does; a position of a job that was read has been checked.
    """
    u_from, v_from = position_datums(position)
    u, v = position_uv(panel, position)
    across = _steps(position.u_mm, "right", "left", units)
    along = _steps(position.v_mm, "up", "down", units)
    if u_from == v_from:
        return u, v, f"{across}, {along} from {u_from or ORIGIN}"
    return u, v, f"{across} from {_edge(u_from)}, {along} from {_edge(v_from)}"


def _edge(name: str) -> str:
    # "30 left from left" reads like a slip; "from the left edge" does not.
    return f"the {name} edge" if name in EDGES else name or ORIGIN


def _steps(distance_mm: float, positive: str, negative: str, units: UnitSystem) -> str:
    # Two decimals of a millimetre are finer than any rule the note is used with.
    size = format_short(abs(distance_mm), units).removesuffix(" mm")
    return f"{size} {positive if distance_mm >= 0 else negative}"
