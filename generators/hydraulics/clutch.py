"""Pedal, fluid and clutch coupled: what every millimetre of pedal does at the release bearing.

The state is followed along the load line: the points (bearing travel b, load F) of free play and
release curve, joined by straight pieces, some of them upright where a load sets in at once. At each
point the piston must have gone, past the closing of the port,

    E = (As k b + ΔV(p)) / Am + c p Am,   p = F / (k As)

with k slave travel over bearing travel, ΔV what hoses, fluid and air take, and c the flex of the panel.
E rises along the line, so the state for a given pedal travel is found by halving, to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from generators.errors import GeometryFault
from generators.hydraulics.cylinders import piston_area, slave_area
from generators.hydraulics.halving import sets_in
from generators.hydraulics.line import Compliance, compliance, lost
from generators.hydraulics.linkage import Linkage, motion, pad_of_piston
from generators.model.spec.hydraulics import Clutch, Master, Pedal, Slave

Array = NDArray[np.float64]

FAR_MM = 200.0
_PER_PIECE = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchSetup:
    """Everything the clutch side needs as numbers: areas mm2, travels mm, loads N.

    ``closes_mm`` is the piston position at which the port is closed. ``line_b`` and ``line_f`` are the
    load line, bearing travel and load.
    """

    link: Linkage
    master: Master
    slave: Slave
    clutch: Clutch
    master_mm2: float
    slave_mm2: float
    compliance: Compliance
    flex_mm_per_n: float
    closes_mm: float
    line_b: tuple[float, ...]
    line_f: tuple[float, ...]

    @property
    def slave_limit_mm(self) -> float:
        """Bearing travel at which the slave runs out, its stroke less the wear kept free, mm."""
        return max(self.slave.stroke_mm / self.clutch.fork_ratio - self.clutch.wear_mm, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """The pedal stroke as arrays of one length, rising pad travel first to last; mm, rad, N, MPa.

    ``pad_mm`` pad travel along its arc; ``angle_rad`` the pedal's turn; ``piston_mm`` master piston from
    rest in its barrel; ``ratio`` pad travel per piston travel; ``rod_angle_rad`` rod to cylinder axis;
    ``side_load_n`` across the axis at the piston; ``effort_n`` pad force without friction and return
    spring; ``pressure_mpa``; ``slave_mm``; ``bearing_mm`` from its rest; ``release_mm`` past contact;
    ``load_n`` at the bearing.
    """

    pad_mm: Array
    angle_rad: Array
    piston_mm: Array
    ratio: Array
    rod_angle_rad: Array
    side_load_n: Array
    effort_n: Array
    pressure_mpa: Array
    slave_mm: Array
    bearing_mm: Array
    release_mm: Array
    load_n: Array


def load_line(clutch: Clutch) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Bearing travel (mm) and load (N) of the load line, from rest to well past everything."""
    if clutch.curve is not None:
        points = list(clutch.curve)
        if points[0] != (0.0, 0.0):
            # A curve that begins above zero sets in at once; one that begins later rises to its start.
            points.insert(0, (0.0, 0.0))
    else:
        points = [(0.0, 0.0), (0.0, clutch.load_n or 0.0)]
    points.append((points[-1][0] + FAR_MM, points[-1][1]))
    line = [(0.0, 0.0)] + [(clutch.free_play_mm + x, load) for x, load in points]
    return tuple(b for b, _ in line), tuple(f for _, f in line)


def clutch_parts(pedal: Pedal) -> tuple[Master, Slave, Clutch]:
    """Master, slave and clutch of a clutch pedal. Raises ``GeometryFault`` for a pedal that is none."""
    if pedal.master is None or pedal.slave is None or pedal.clutch is None:
        raise GeometryFault("a clutch pedal needs master, slave and clutch", "kind")
    return pedal.master, pedal.slave, pedal.clutch


def clutch_setup(pedal: Pedal, link: Linkage) -> ClutchSetup:
    """The numbers of a clutch pedal.

    Raises ``GeometryFault`` for a rod that bottoms the piston at rest or a load that falls faster than
    the line can follow, and ``LookupFault`` for a hose size the table does not have.
    """
    master, slave, clutch = clutch_parts(pedal)
    if link.rest_mm >= master.stroke_mm:
        raise GeometryFault(
            f"a rod of {link.rod_length_mm:g} mm, so long that it bottoms the master at rest", "rod_length"
        )
    master_mm2 = piston_area(master.bore_mm, "master.bore")
    slave_mm2 = slave_area(slave)
    line_b, line_f = load_line(clutch)
    setup = ClutchSetup(
        link=link,
        master=master,
        slave=slave,
        clutch=clutch,
        master_mm2=master_mm2,
        slave_mm2=slave_mm2,
        compliance=compliance(
            pedal.line, pedal.fluid, master_mm2 * master.stroke_mm + slave_mm2 * slave.stroke_mm
        ),
        flex_mm_per_n=pedal.bracket_flex_mm_per_n,
        closes_mm=max(master.dead_stroke_mm, link.rest_mm),
        line_b=line_b,
        line_f=line_f,
    )
    along = np.linspace(0.0, len(line_b) - 1, (len(line_b) - 1) * _PER_PIECE + 1)
    if bool((np.diff(need(setup, *on_line(setup, along))) < -1e-9).any()):
        raise GeometryFault("a release load that falls faster than hoses and air can follow", "clutch.curve")
    return setup


def on_line(setup: ClutchSetup, along: Array) -> tuple[Array, Array]:
    """Bearing travel (mm) and load (N) at places counted along the load line's points."""
    index = np.arange(len(setup.line_b))
    return np.interp(along, index, setup.line_b), np.interp(along, index, setup.line_f)


def line_pressure(setup: ClutchSetup, load_n: Array) -> Array:
    """Line pressure for a load at the bearing, MPa."""
    return np.asarray(load_n / (setup.clutch.fork_ratio * setup.slave_mm2))


def need(setup: ClutchSetup, bearing_mm: Array, load_n: Array) -> Array:
    """Piston travel past the closing of the port for a bearing travel under a load, mm."""
    p = line_pressure(setup, load_n)
    volume = setup.slave_mm2 * setup.clutch.fork_ratio * bearing_mm + lost(setup.compliance, p)
    return np.asarray(volume / setup.master_mm2 + setup.flex_mm_per_n * p * setup.master_mm2)


def state_at(setup: ClutchSetup, piston_mm: Array) -> tuple[Array, Array]:
    """Bearing travel (mm) and load (N) when the rod asks for ``piston_mm``; found to rounding."""
    wanted = np.maximum(np.asarray(piston_mm) - setup.closes_mm, 0.0)
    end = np.full_like(wanted, float(len(setup.line_b) - 1))
    _, along = sets_in(lambda at: need(setup, *on_line(setup, at)) >= wanted, np.zeros_like(wanted), end)
    return on_line(setup, along)


def piston_of_bearing(setup: ClutchSetup, bearing_mm: float) -> float:
    """What the rod must ask of the piston for that bearing travel, mm."""
    load = float(np.interp(bearing_mm, setup.line_b, setup.line_f))
    return setup.closes_mm + float(need(setup, np.array(bearing_mm), np.array(load)))


def pad_of_bearing(setup: ClutchSetup, bearing_mm: float) -> float:
    """Pad travel for a bearing travel from rest, mm; infinite where the linkage never gets there."""
    return float(pad_of_piston(setup.link, np.array(piston_of_bearing(setup, bearing_mm))))


def slave_stroke_for(setup: ClutchSetup, bearing_mm: float) -> float:
    """Slave stroke that gives that bearing travel from rest with the wear kept free, mm.

    ``slave_limit_mm`` the other way round: fork ratio x (bearing travel + wear).
    """
    return setup.clutch.fork_ratio * (bearing_mm + setup.clutch.wear_mm)


def bearing_of_pad(setup: ClutchSetup, pad_mm: float) -> float:
    """Bearing travel from rest at a pad travel, no further than the linkage goes, mm."""
    pad = min(pad_mm, setup.link.travel_mm)
    piston = motion(setup.link, np.array([pad / setup.link.pad_radius_mm])).piston_mm
    return float(state_at(setup, piston)[0][0])


def pad_of_bottom(setup: ClutchSetup) -> float:
    """Pad travel at which the piston reaches the bottom of its barrel, panel flex included, mm."""
    if setup.closes_mm >= setup.master.stroke_mm:
        return float(pad_of_piston(setup.link, np.array(setup.master.stroke_mm)))
    end = np.array(float(len(setup.line_b) - 1))
    _, along = sets_in(lambda at: _in_barrel(setup, at) >= setup.master.stroke_mm, np.zeros_like(end), end)
    bearing, load = on_line(setup, along)
    return float(pad_of_piston(setup.link, setup.closes_mm + need(setup, bearing, load)))


def _in_barrel(setup: ClutchSetup, along: Array) -> Array:
    bearing, load = on_line(setup, along)
    flexed = setup.flex_mm_per_n * line_pressure(setup, load) * setup.master_mm2
    return np.asarray(setup.closes_mm + need(setup, bearing, load) - flexed)


def corners(setup: ClutchSetup) -> Array:
    """Pad travels at which something sets in: play gone, port closed, each point of the load line, mm."""
    pistons = setup.closes_mm + need(setup, np.array(setup.line_b), np.array(setup.line_f))
    places = np.concatenate([[setup.link.rest_mm, 0.0, setup.closes_mm], pistons])
    pads = pad_of_piston(setup.link, places)
    return rising(np.maximum(pads, 0.0))


def curves(setup: ClutchSetup, pad_mm: Array) -> Curves:
    """The pedal stroke at those pad travels (n,), mm. Raises nothing within the linkage's travel."""
    moved = motion(setup.link, np.asarray(pad_mm) / setup.link.pad_radius_mm)
    bearing, load = state_at(setup, moved.piston_mm)
    p = line_pressure(setup, load)
    axial = p * setup.master_mm2
    return Curves(
        pad_mm=moved.pad_mm,
        angle_rad=moved.angle_rad,
        piston_mm=np.maximum(moved.piston_mm, 0.0) - setup.flex_mm_per_n * axial,
        ratio=moved.ratio,
        rod_angle_rad=moved.rod_angle_rad,
        side_load_n=axial * moved.side_ratio,
        effort_n=axial / moved.force_ratio,
        pressure_mpa=p,
        slave_mm=setup.clutch.fork_ratio * bearing,
        bearing_mm=bearing,
        release_mm=np.maximum(bearing - setup.clutch.free_play_mm, 0.0),
        load_n=load,
    )


def pads_up_to(setup: ClutchSetup, last_mm: float, count: int = 201) -> Array:
    """Pad travels from rest to ``last_mm`` with every corner in between, rising, mm."""
    inner = corners(setup)
    return rising(np.linspace(0.0, last_mm, count), inner[inner < last_mm])


def rising(*values: Array) -> Array:
    """All the values in order, each once."""
    # numpy's own loads masked arrays first, a hundredth of a `check`
    every = np.sort(np.concatenate(values))
    return np.asarray(every[np.concatenate([[True], every[1:] != every[:-1]])])
