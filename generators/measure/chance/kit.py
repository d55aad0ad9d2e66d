"""A kit as a chance looks at it: what varies, and what must hold for each step, as plain arrays.

All that is not a bolt through two holes is linear: a displacement of some millimetres changes a length, a gap
or a place by a gradient that comes from the solved job. Rows of ``Rows`` give that gradient for each
input in its own unit (mm, rad, share). Bolts are judged as they are: by the best way to lay the part on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from generators.measure.equations import Array
from generators.measure.fitting.fit import Joint
from generators.model.spec.forms.spread import OF_VEHICLE, Shape, SpreadOf

GaugeKind = Literal["reach", "length", "line", "gap", "pedal"]
"""A hose that must reach, one that must not be too long, a rigid line that must meet, a gap, a pedal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A row of the spec's ``[spread]`` as one thing that varies: its words, its kind and its source."""

    name: str
    of: SpreadOf
    words: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One number that varies: ``scale`` is the deviation, or half the width, in ``unit``.

    ``axis`` says which way it goes: u, v, x, y, z, or empty for a size, an angle or a share. ``middle`` is
    what it varies about, where vehicles have told that the spec is off.
    """

    group: int
    thing: str
    axis: str
    shape: Shape
    scale: float
    unit: str
    middle: float = 0.0

    @property
    def sigma(self) -> float:
        """Its standard deviation: half the width over √3 of a uniform spread, over √6 of a triangular one."""
        return self.scale / math.sqrt({"normal": 1, "uniform": 3, "triangular": 6}[self.shape])


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltedOn:
    """A part put on over ``joints``: how far the panel's hole of each is off the part's, rows (2n, columns).

    ``clear`` (n, columns) is what sizes of holes add to the clearances. ``task`` is its step.
    """

    part: str
    task: str
    title: str
    joints: tuple[Joint, ...]
    off: Array
    clear: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """Something that must be at least zero, mm: ``rest_mm`` and the change by each column.

    Of a ``line`` the rows (3, columns) with ``off_mm`` are how far its end is off its seat, and ``rest_mm``
    is how far it may be. ``hose`` is the hose that is scrapped when it does not hold; empty for none.
    """

    name: str
    kind: GaugeKind
    task: str
    title: str
    rest_mm: float
    rows: Array
    hose: str = ""
    off_mm: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """All of it. ``tasks`` are the steps in order with their titles."""

    groups: tuple[Group, ...]
    columns: tuple[Column, ...]
    bolted: tuple[BoltedOn, ...]
    gauges: tuple[Gauge, ...]
    tasks: tuple[tuple[str, str], ...]

    @property
    def vehicle(self) -> tuple[int, ...]:
        """Columns that are the vehicle's own."""
        return tuple(k for k, c in enumerate(self.columns) if self.groups[c.group].of in OF_VEHICLE)


Key = tuple[str, str, str]
"""A column as it is known from kit to kit: what varies, of which thing, along which axis."""


def key_of(kit: Kit, k: int) -> Key:
    """How a column is known."""
    column = kit.columns[k]
    return kit.groups[column.group].of, column.thing, column.axis


def shifted(kit: Kit, middles: Mapping[Key, float]) -> Kit:
    """A kit about the middles that were learnt."""
    if not middles:
        return kit
    columns = tuple(replace(c, middle=middles.get(key_of(kit, k), 0.0)) for k, c in enumerate(kit.columns))
    return replace(kit, columns=columns)
