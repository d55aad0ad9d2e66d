"""A hose, and a run of hoses, as the rules look at them."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.changes import Proposal
from generators.model.hose_path import HosePath
from generators.model.hose_results import Clearance, HoseLength, HoseSag, PlaneChange, RiseProfile
from generators.model.spec.lines import Clamp, Hose


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseCase:
    """One hose as the rules look at it; lengths mm.

    ``straight_mm`` is the straight run asked for beyond the hose end, ``moves_mm`` how far both ends move
    together, ``dashes`` what the two ports are (None: not said), ``avoids`` the bodies it is led round with
    nothing to hold it, ``passed`` its gaps to bolts and fittings, each with what may be moved aside,
    ``measure_why`` why its length is not released, or empty.
    """

    spec: Hose
    path: HosePath | None
    outside_mm: float
    radius_mm: float
    straight_mm: float
    length: HoseLength | None
    clamps: tuple[Clamp, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    passed: tuple[tuple[Clearance, tuple[Proposal, ...]], ...] = ()
    planes: tuple[PlaneChange, ...] = ()
    sag: HoseSag | None = None
    moves_mm: float = 0.0
    dashes: tuple[int | None, int | None] = (None, None)
    avoids: tuple[str, ...] = ()
    tried: str = ""
    measure_why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainCase:
    """The hoses from a slave to its reservoir; ``ports`` are (name, height) of what the reservoir feeds.

    ``level_mm`` is the lowest fluid level, None without one.
    """

    hoses: tuple[HoseCase, ...]
    profile: RiseProfile | None
    ports: tuple[tuple[str, float], ...] = ()
    reservoir: str = ""
    level_mm: float | None = None
