"""Readings of one vehicle beside the form they are of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from generators.errors import Fault, SpecError
from generators.jobs.form.form import MeasureForm
from generators.measure.chance.asked import Observation
from generators.measure.chance.draws import block
from generators.measure.chance.kit import Key, Kit, key_of
from generators.measure.chance.slips import Slip, Vehicle, vehicle_of
from generators.measure.equations import Array
from generators.reading.vehicle import VehicleFile


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Readings with what they are of: their numbers, observations and values (mm or rad).

    ``zeros`` is what a level reads as nothing, rad; ``sure`` the places measured again with the same result.
    """

    numbers: tuple[int, ...]
    observations: tuple[Observation, ...]
    values: tuple[float, ...]
    zeros: tuple[float, ...]
    sure: frozenset[int]


def taken(form: MeasureForm, file: VehicleFile) -> Taken:
    """The readings of a file as observations. Raises ``SpecError`` for one that can be of no such job."""
    head, readings = file.readings.vehicle, file.readings.reading
    job, variant = form.prepared.file.job.job.name, form.prepared.file.form.name
    faults: list[Fault] = []
    if head.job not in (job, job.removesuffix(f"_{variant}") if variant else job):
        faults.append(file.fault_at("vehicle.job", f'"{head.job}"', f'"{job}", the job these are asked for'))
    if head.variant != variant:
        wanted = (
            f'"{variant}", the form of the job asked about' if variant else "no variant: none was asked for"
        )
        faults.append(file.fault_at("vehicle.variant", f'"{head.variant}"', wanted))
    known = {a.seen.key: a for a in form.asking.candidates()}
    obs: list[Observation] = []
    values: list[float] = []
    zeros: list[float] = []
    for k, one in enumerate(readings):
        asked = known.get((one.kind, one.panel, one.from_, one.to))
        value = one.leans_rad if one.kind == "lean" else one.is_mm
        if asked is None or value is None:
            found = f"{one.kind} of {one.panel} from {one.from_} to {one.to or 'nothing'}"
            faults.append(
                file.fault_at(f"reading[{k}]", found, "a reading this job can ask for, as on its form")
            )
            continue
        obs.append(asked.seen)
        values.append(asked.leans(value) if one.kind == "lean" else value)
        zeros.append(asked.zero_rad)
    if faults:
        raise SpecError(faults)
    return Taken(
        numbers=tuple(one.number for one in readings),
        observations=tuple(obs),
        values=tuple(values),
        zeros=tuple(zeros),
        sure=frozenset(k for k, one in enumerate(readings) if one.again),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A vehicle as its readings have it, over the columns of the form's kit.

    ``known`` are the columns that readings say something of.
    """

    form: MeasureForm
    taken: Taken
    vehicle: Vehicle
    known: frozenset[Key]

    def off(self, laid: frozenset[Key]) -> dict[Key, float]:
        """How far this vehicle is off the plan, mm or rad; what is in ``laid`` has its place in the job."""
        own = self.form.kit
        known = {key_of(own, k): float(self.vehicle.mean[k]) for k in own.vehicle}
        return {key: value for key, value in known.items() if key not in laid}

    def inputs(self, kit: Kit, seed: int, number: int, count: int, laid: frozenset[Key]) -> Array:
        """Installs on this vehicle: its columns by what is known of it, people's as they are.

        Columns in ``laid`` have their mean in the job already, which was laid out on it.
        """
        out = block(kit.columns, seed, number, count)
        own = self.form.kit
        there = {key_of(own, k): k for k in own.vehicle}
        mine = {k: there[key] for k in kit.vehicle if (key := key_of(kit, k)) in there}
        if not mine:
            return out
        places = list(mine.values())
        covariance = self.vehicle.covariance[np.ix_(places, places)]
        values, vectors = np.linalg.eigh(covariance)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        rng = np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=(number, 1))))
        off = self.off(laid)
        mean = np.array([off.get(key_of(own, k), 0.0) for k in places])
        out[:, list(mine)] = mean + rng.normal(size=(count, len(places))) @ root.T
        return out


LEARNT = 0.8
"""A column is known by readings where its deviation is at most this share of what it was: ours."""


def measured(form: MeasureForm, file: VehicleFile) -> Measured:
    """The vehicle of a file of readings. Raises ``SpecError`` as ``taken`` does."""
    read = taken(form, file)
    prior = form.asking.prior
    vehicle = vehicle_of(read.observations, read.values, prior, read.sure)
    before, now = np.sqrt(np.diag(prior)), np.sqrt(np.maximum(np.diag(vehicle.covariance), 0.0))
    known = frozenset(key_of(form.kit, k) for k in form.kit.vehicle if now[k] <= LEARNT * before[k])
    return Measured(form=form, taken=read, vehicle=vehicle, known=known)


AGAIN = "measure it again; if it stays so, write again = true under it"
STAYS = "write again = true under each that stays as it was"


def again_words(read: Taken, places: Sequence[int]) -> str:
    """Readings by number: ``reading 4``, ``readings 4, 5 and 6``; empty for none."""
    numbers = [str(read.numbers[k]) for k in places]
    if len(numbers) < 2:
        return f"reading {numbers[0]}" if numbers else ""
    return f"readings {', '.join(numbers[:-1])} and {numbers[-1]}"


def slip_words(read: Taken, slips: Sequence[Slip]) -> list[str]:
    """Each slip by the number of its picture."""
    out = []
    for slip in slips:
        number, was = read.numbers[slip.place], read.values[slip.place]
        lean = read.observations[slip.place].key[0] == "lean"
        if slip.kind == "swapped":
            other = read.numbers[slip.other]
            out.append(f"readings {number} and {other} are exchanged: taken the other way round")
        elif slip.kind == "inches":
            out.append(
                f"reading {number} is in inches: {was:g} mm is taken as {was:g} in, {slip.value:.1f} mm"
            )
        elif slip.kind == "millimetres":
            out.append(f"reading {number} is in millimetres: taken as {slip.value:.1f} mm, not as inches")
        elif slip.kind == "sign":
            zero = read.zeros[slip.place]
            out.append(
                f"reading {number} leans to the other side: {np.degrees(was - zero):.1f} degrees is taken as "
                f"{np.degrees(slip.value - zero):.1f} degrees"
            )
        elif lean:
            zero = read.zeros[slip.place]
            out.append(
                f"reading {number} cannot be {np.degrees(was - zero):.1f} degrees: left out; about "
                f"{np.degrees(slip.value - zero):.1f} degrees by all others; {AGAIN}"
            )
        else:
            out.append(
                f"reading {number} cannot be {was:.1f} mm: left out; about {slip.value:.0f} mm by all "
                f"others; {AGAIN}"
            )
    return out
