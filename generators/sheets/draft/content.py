"""All that drafts of a job show, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.findings import Finding
from generators.model.plan import PanelLayout, PartPlan
from generators.model.words import Face
from generators.sheets.space.sheet import SpaceSheet
from generators.units import UnitSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Pin:
    """A finding under its number, and where it is: ``spots`` on panels, (panel, u, v) in mm.

    ``things`` are what it is about, ``part:NAME``, ``pedal:NAME``; pictures of those have it at their edge.
    """

    number: int
    finding: Finding
    spots: tuple[tuple[str, float, float], ...] = ()
    things: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of a hose near a panel, seen square onto it: ``points`` (u, v) in mm on one face.

    ``ends`` are those of its own ends that lie in the stretch.
    """

    hose: str
    title: str
    panel: str
    face: Face
    points: tuple[tuple[float, float], ...]
    ends: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Moving:
    """A body that moves with a pedal: ``name`` is its own at rest, ``poses`` are 4×4, row by row.

    From rest to the end of its way in equal turns.
    """

    name: str
    pedal: str
    poses: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Content:
    """A job to be drawn. What has not been worked out yet is left empty."""

    job: str
    title: str
    layouts: tuple[PanelLayout, ...] = ()
    plans: tuple[PartPlan, ...] = ()
    runs: tuple[Run, ...] = ()
    pedals: tuple[PedalSheet, ...] = ()
    space: SpaceSheet | None = None
    moving: tuple[Moving, ...] = ()
    pins: tuple[Pin, ...] = ()
    units: UnitSystem = "metric"
