"""What came back from the field: readings files of many vehicles, and what they say of the spec."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from generators.errors import Fault, SpecError
from generators.jobs.fits.answer import placed
from generators.jobs.fits.read import Taken, slip_words, taken
from generators.jobs.form.form import MeasureForm, form_of
from generators.measure.chance.interval import Z_95
from generators.measure.chance.kit import Key, Kit, key_of
from generators.measure.chance.learned import Fleet, Learned, Middle, learned
from generators.measure.statistics import W_LIMIT
from generators.model.spec.forms.spread import Spread
from generators.reading.vehicle import VehicleFile, is_vehicle, read_vehicle
from generators.register.kits import kits
from generators.register.store import reading, register_path
from generators.solve.job import Prepared

LEAST_VEHICLES = 5
ROWS_SHOWN = 4
MAD_SIGMA, MEDIAN_ERROR = 1.4826, 1.2533
"""A normal deviation over its median one, and a median's error over a mean's (Huber 1981, from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Odd:
    """A reading that vehicles agree on and no middle explains: by how much it is off, its error, its unit.

    ``rows`` are those it was told by: the file, the reading's line in it and by how much that one is off.
    """

    words: str
    off: float
    error: float
    unit: str
    rows: tuple[tuple[str, int, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One reading of one file that was not taken as it stands, or is at odds with the rest, and why."""

    file: str
    line: int
    reading: int
    words: str


def line_of(file: VehicleFile, place: int) -> int:
    """The line a reading stands in."""
    return file.fault_at(f"reading[{place}]", "", "").line


def _rows(files: Sequence[VehicleFile], reads: Sequence[Taken], found: Learned) -> tuple[Row, ...]:
    """Slips of all files, then of each whose readings go together in no way the one most at odds."""
    out = []
    for vehicle, slip in found.slips:
        file, read = files[vehicle], reads[vehicle]
        (words,) = slip_words(read, [slip])
        number = read.numbers[slip.place]
        out.append(Row(file=file.path.name, line=line_of(file, slip.place), reading=number, words=words))
    for vehicle, place in found.apart:
        file, number = files[vehicle], reads[vehicle].numbers[place]
        words = (
            f"the readings of this vehicle do not go together, and no one slip explains it; reading {number} "
            "is most at odds with the others: have that one measured again first"
        )
        out.append(Row(file=file.path.name, line=line_of(file, place), reading=number, words=words))
    return tuple(out)


def _odd(
    form: MeasureForm, files: Sequence[VehicleFile], fleet: Sequence[Fleet], found: Learned
) -> tuple[Odd, ...]:
    """Readings whose median is surely off the plan, beyond what is said of the spec.

    Which of its ends is off, nobody can tell from such readings.
    """
    sure = np.zeros(len(form.kit.columns))
    for middle in found.middles:
        if middle.sure:
            sure[middle.column] = middle.off
    out = []
    for number, asked in enumerate(form.asked, 1):
        seen = asked.seen
        told = [
            (file, place, value - one.expected - float(one.row @ sure))
            for file, each in zip(files, fleet, strict=True)
            for place, (one, value) in enumerate(zip(each.observations, each.values, strict=True))
            if one.key == seen.key
        ]
        off = [by for *_, by in told]
        if len(off) < LEAST_VEHICLES:
            continue
        by = float(np.median(off))
        spread = max(MAD_SIGMA * float(np.median(np.abs(np.subtract(off, by)))), seen.sigma)
        error = MEDIAN_ERROR * spread / math.sqrt(len(off))
        if abs(by) > W_LIMIT * error:
            lean = asked.kind == "lean"
            scale = math.degrees(1.0) if lean else 1.0
            ends = asked.from_ if lean else f"{asked.from_} to {asked.to}"
            words = f"reading {number} of the form, {ends.replace('_', ' ')}"
            out.append(
                Odd(
                    words=words,
                    off=by * scale,
                    error=error * scale,
                    unit="deg" if lean else "mm",
                    rows=tuple(
                        (file.path.name, line_of(file, place), own * scale)
                        for file, place, own in sorted(told, key=lambda each: -abs(each[2]))
                    ),
                )
            )
    return tuple(out)


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """Vehicles that were measured, and what was learnt: ``spread`` with its guesses replaced, ``middles``.

    ``odd`` are readings that are off by and large without telling what of the spec is; ``rows`` those that
    were not taken as they stand.
    """

    files: tuple[VehicleFile, ...]
    form: MeasureForm
    found: Learned
    spread: Spread
    odd: tuple[Odd, ...] = ()
    rows: tuple[Row, ...] = ()

    @property
    def middles(self) -> dict[Key, float]:
        """How far the spec is off, where that is sure."""
        return {key_of(self.form.kit, m.column): m.off for m in self.found.middles if m.sure}


def files_of(folder: Path) -> list[Path]:
    """The readings files of a folder, by name."""
    return sorted(path for path in folder.iterdir() if path.suffix == ".toml" and path.is_file())


def of_register(prepared: Prepared) -> list[tuple[Path, bytes]]:
    """What the register of the spec's folder keeps as measured for this job and form, by serial.

    The last readings of a kit count. Raises ``ExportError`` where there is no register, and as it does.
    """
    name, variant = prepared.file.job.job.name, prepared.file.form.name
    jobs = {name, name.removesuffix(f"_{variant}")} if variant else {name}
    with reading(register_path(prepared.file.spec_path.parent)) as register:
        sold = kits(register)
    out = []
    for kit in sold:
        kept = [e.data for e in kit.entries if e.kind == "measured" and is_vehicle(e.data)]
        if kit.job in jobs and kit.variant == variant and kept:
            out.append((Path(f"{kit.serial}.toml"), kept[-1]))
    return out


def learnt(
    prepared: Prepared, spread: Spread, paths: Sequence[Path], kept: Sequence[tuple[Path, bytes]] = ()
) -> Field:
    """What the files say, and those that were ``kept``.

    Raises ``SpecError`` with every fault of them, and where there are none.
    """
    form = form_of(prepared, spread)
    files: list[VehicleFile] = []
    fleet: list[Fleet] = []
    reads: list[Taken] = []
    faults: list[Fault] = []
    seen: dict[str, Path] = {}
    every: list[tuple[Path, bytes | None]] = [*((path, None) for path in paths), *kept]
    for path, data in every:
        try:
            file = read_vehicle(path, data)
            read = taken(form, file)
        except SpecError as error:
            faults += error.faults
            continue
        # one vehicle twice would count twice; two may be called the same
        first = seen.setdefault(file.revision, path)
        if first != path:
            words = f'the readings of "{file.readings.vehicle.name}" again'
            faults.append(file.fault_at("vehicle.name", words, f"each vehicle once: see {first.name}"))
        files.append(file)
        reads.append(read)
        fleet.append(Fleet(observations=read.observations, values=read.values, sure=read.sure))
    if faults:
        raise SpecError(faults)
    if not fleet:
        raise SpecError([prepared.file.fault_at("spread", "no readings file", "at least one in the folder")])
    kit = form.kit
    own = set(kit.vehicle)
    guess = np.array([c.sigma if k in own else 0.0 for k, c in enumerate(kit.columns)])
    found = learned(fleet, [c.group for c in kit.columns], guess)
    return Field(
        files=tuple(files),
        form=form,
        found=found,
        spread=_replaced(spread, kit, found, len(fleet)),
        odd=_odd(form, files, fleet, found),
        rows=_rows(files, reads, found),
    )


def _replaced(spread: Spread, kit: Kit, found: Learned, vehicles: int) -> Spread:
    """The rows that readings told of, with what they told; the name of a group ends in its row's number."""
    rows = list(spread.input)
    for group, (scale, error) in found.sigma.items():
        number = int(kit.groups[group].name.rpartition("_")[2]) - 1
        row = rows[number]
        rows[number] = replace(
            row,
            off_mm=None if row.off_mm is None else round(row.off_mm * scale, 4),
            turn_rad=None if row.turn_rad is None else round(row.turn_rad * scale, 6),
            source=f"{vehicles} vehicles measured, ± {100 * error:.0f} %; was {row.source}"[:120],
        )
    return replace(spread, input=tuple(rows))


def corrected(field: Field) -> dict[str, Any]:
    """Keys of the spec as the vehicles have them, for what is surely off."""
    off: dict[tuple[str, str], dict[str, float]] = {}
    for (of, thing, axis), value in field.middles.items():
        off.setdefault((of, thing), {})[axis] = value
    return placed(field.form.prepared, off)


def _middle(field: Field, m: Middle) -> dict[str, Any]:
    kit = field.form.kit
    column = kit.columns[m.column]
    turn = column.unit == "rad"
    by = math.degrees(1.0) if turn else 1.0
    verdict = "off" if m.sure else "perhaps off" if m.doubtful else "not off, as far as can be told"
    return {
        "of": kit.groups[column.group].of,
        "thing": column.thing,
        "axis": column.axis,
        "off": round(m.off * by, 3) + 0.0,
        "within": round(Z_95 * m.error * by, 3),
        "unit": "deg" if turn else column.unit,
        "verdict": verdict,
        "vehicles": m.vehicles,
        "further_vehicles": m.more if m.doubtful else 0,
    }


def told(field: Field) -> dict[str, Any]:
    """What was learnt as JSON has it; columns no reading really tells of are left out."""
    kit = field.form.kit
    known = [m for m in field.found.middles if m.error < kit.columns[m.column].sigma]
    return {
        "vehicles": len(field.files),
        "slips": len(field.found.slips),
        "rows": [{"file": r.file, "line": r.line, "reading": r.reading, "why": r.words} for r in field.rows],
        "middles": [_middle(field, m) for m in known],
        "spreads": [
            {
                "input": kit.groups[g].words,
                "times_the_guess": round(scale, 3),
                "within": round(Z_95 * scale * error, 3),
            }
            for g, (scale, error) in field.found.sigma.items()
        ],
        "readings_off": [
            {
                "what": o.words,
                "off": round(o.off, 3),
                "within": round(Z_95 * o.error, 3),
                "unit": o.unit,
                "rows": [{"file": file, "line": line, "off": round(by, 3)} for file, line, by in o.rows],
            }
            for o in field.odd
        ],
        "values": corrected(field),
    }


def lines(found: Mapping[str, Any]) -> list[str]:
    """The same for a person."""
    slips = f", {found['slips']} slips mended or left out" if found["slips"] else ""
    out = [f"learnt from {found['vehicles']} vehicles{slips}:"]
    out += [f"  {row['file']}, line {row['line']}: {row['why']}" for row in found["rows"]]
    for row in found["spreads"]:
        out.append(f"  {row['input']}: {row['times_the_guess']:g} ± {row['within']:g} times that")
    for row in found["middles"]:
        if row["verdict"].startswith("not"):
            continue
        what = f"{row['thing'].replace('_', ' ')} {row['axis']}".strip()
        more = (
            f"; {row['further_vehicles']} further vehicles would settle it" if row["further_vehicles"] else ""
        )
        out.append(
            f"  the spec is {row['verdict']}: {what} by {row['off']:+g} ± {row['within']:g} "
            f"{row['unit']}{more}"
        )
    for row in found["readings_off"]:
        out.append(
            f"  {row['what']}, is off the plan by {row['off']:+.3g} ± {row['within']:.2g} {row['unit']}: "
            "these readings do not tell what of the spec is; measure that thing from one hole more"
        )
        shown = [f"{r['file']}, line {r['line']} ({r['off']:+.3g})" for r in row["rows"][:ROWS_SHOWN]]
        left = len(row["rows"]) - len(shown)
        out.append(f"    told by {'; '.join(shown)}{f'; and {left} more' if left else ''}")
    out += [f"    {key} = {value}" for key, value in found["values"].items()]
    return out
