"""A part as its inspection sheet was filled in: what is out of limits, and where its holes really are."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from generators.checks.survey.inspected import INSPECTION, check_inspected, check_unread
from generators.drawing.inspection.item import Item, printed
from generators.drawing.inspection.items import inspected
from generators.drawing.part.tables.welds import made_welds, plain_leg_mm
from generators.errors import ExportError, Fault, SpecError
from generators.figures import fixed
from generators.jobs.asdrilled.earlier import as_now
from generators.jobs.asdrilled.revise import revised_text
from generators.jobs.blanks import pulled_in
from generators.jobs.own_hand import require_own_hand
from generators.layout.mounting import PlacedPart
from generators.measure.block import millimetres
from generators.measure.equations import Array
from generators.measure.fitting.part_holes import FarRims, PartHoles, part_holes
from generators.measure.statistics import W_LIMIT
from generators.model.findings import Finding
from generators.model.plan import Hole, PartPlan
from generators.model.spec.readings import InspectedItem
from generators.reading.readings import ReadingsFile
from generators.sheetmetal.lying import on_panel
from generators.solve.job import Prepared, prepare

NEAR_MM, NEAR_SHARE, NEAR_MOST_MM, NEAR_RAD = 3.0, 0.5, 20.0, math.radians(45)
"""What is further off its size is a slip of the pen, another item or another unit, not metal: half the size,
at least 3 mm, at most 20 mm, and nothing of no length; an angle 45 deg. Ours."""

LEAST_MOVE_MM = 0.005
"""A hole off by less is written as drawn: the figures of a spec have two decimals."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """What the sheet gave: each item with what was read, findings, and the holes that lie on the panel.

    ``holes`` are by the names of ``names``, None where the readings do not fix them: ``why`` says so.
    """

    file: ReadingsFile
    part: PlacedPart
    rows: tuple[tuple[Item, InspectedItem], ...]
    items: int
    findings: tuple[Finding, ...]
    names: tuple[str, ...]
    holes: PartHoles | None
    why: str

    @property
    def good(self) -> bool:
        """True when every item was read and none is out of its limits."""
        return not self.findings


def inspect(prepared: Prepared, file: ReadingsFile) -> Inspected:
    """The part as read on its sheet.

    Raises ``SpecError`` for a part that is none or has no sheet, another sheet, an item that is not on it, a
    reading of the wrong kind, distances that contradict each other, and a form that is a mirror image.
    """
    require_own_hand(prepared.file)
    part = _part(prepared, file)
    items = {item.key: item for item in inspected(part.plan, pulled_in(prepared, part))}
    rows: list[tuple[Item, InspectedItem]] = []
    faults = []
    read: dict[str, str] = {}
    for index, row in enumerate(file.readings.inspected):
        key, path = as_now(row.item, items), f"inspected[{index}]"
        item = items.get(key)
        if key in read:
            found = f"item {row.item}, which is {key} on sheets of today"
            faults.append(file.fault_at(f"{path}.item", found, f"each item once; {read[key]} is there too"))
            continue
        read[key] = row.item
        if item is None:
            wanted = f"an item of the inspection sheet of {part.spec.name}: {', '.join(items)}"
            faults.append(file.fault_at(f"{path}.item", repr(row.item), wanted))
            continue
        given = "is" if row.is_mm is not None else "angle" if row.angle_rad is not None else "goes"
        asked = {"length": "is", "angle": "angle", "go": "goes"}[item.unit]
        if given != asked:
            wanted = f"{asked} for item {row.item}, {item.what}"
            faults.append(file.fault_at(f"{path}.{given}", f"{given} for a {item.unit}", wanted))
            continue
        if (likely := _likely(item, row)) is not None:
            faults.append(file.fault_at(f"{path}.{given}", *likely, "read it again, in the sheet's unit"))
            continue
        rows.append((item, row))
    if faults:
        raise SpecError(faults)
    names, holes, why = _holes(file, part.plan, rows)
    return Inspected(
        file=file,
        part=part,
        rows=tuple(rows),
        items=len(items),
        findings=(
            *_findings(prepared, part, rows),
            *check_unread(part.spec.name, list(items), {item.key for item, _ in rows}),
        ),
        names=names,
        holes=holes,
        why=why,
    )


def _likely(item: Item, row: InspectedItem) -> tuple[str, str] | None:
    """What was read and what it could be, for a reading that no part of this drawing has; else None."""
    if row.is_mm is not None:
        off = max(NEAR_MM, min(NEAR_SHARE * abs(item.nominal), NEAR_MOST_MM))
        low, high = item.nominal - off, item.nominal + off
        if item.most is None and item.least is not None:
            # what may be any larger: a leg with all of its gap
            high = item.nominal + NEAR_MOST_MM
        if item.passes is not None:
            high = max(high, item.passes + NEAR_MM)
        # a height over the root may be nothing or below it, a gap may be closed; whatever else is measured
        # has a length
        closed = row.is_mm == 0 and item.least is not None and item.least <= 0
        if low <= row.is_mm <= high and (row.is_mm > 0 or item.nominal <= 0 or closed):
            return None
        least = max(low, 0.0) if item.nominal > 0 else low
        said, unit = [row.is_mm, least, high], "mm"
    elif row.angle_rad is not None and abs(row.angle_rad - item.nominal) > NEAR_RAD:
        within = (row.angle_rad, item.nominal - NEAR_RAD, item.nominal + NEAR_RAD)
        said, unit = [math.degrees(x) for x in within], "deg"
    else:
        return None
    found, lowest, most = (fixed(x, 2) for x in said)
    return f"{found} {unit}", f"{lowest} to {most} {unit} for item {item.key}, {item.what}"


def _part(prepared: Prepared, file: ReadingsFile) -> PlacedPart:
    head = file.readings.measure
    cut = {p.spec.name: p for p in prepared.parts if not p.plan.printed}
    if head.part not in cut:
        expected = f"a cut part of the spec: {', '.join(cut) or 'there is none'}"
        raise SpecError([file.fault_at("measure.part", f"the part {head.part!r}", expected)])
    if prepared.file.revision not in head.sheet.split():
        expected = f"a sheet of this spec, revision {prepared.file.revision}"
        hint = "make the sheet again and read the items from that one: their numbers may be others"
        raise SpecError([file.fault_at("measure.sheet", f"a sheet of revision {head.sheet}", expected, hint)])
    return cut[head.part]


def _findings(
    prepared: Prepared, part: PlacedPart, rows: Sequence[tuple[Item, InspectedItem]]
) -> Iterator[Finding]:
    grown = dict(_grown_legs(part.plan, rows))
    for asked, row in rows:
        item = asked
        if item.passes is not None and row.is_mm is not None and row.is_mm <= item.passes:
            item = replace(item, most=max(item.most or 0.0, item.passes))
        if item.key in grown:
            item = replace(item, least=max(item.least or 0.0, grown[item.key]))
        said = printed(item, prepared.file.units)
        value = row.is_mm if row.is_mm is not None else row.angle_rad
        least, most = (None if x is None else x * said.one for x in (said.least, said.most))
        yield from check_inspected(
            part.spec.name,
            item.key,
            item.what,
            value,
            least,
            most,
            angle=item.unit == "angle",
            goes=bool(row.goes),
        )


def _grown_legs(plan: PartPlan, rows: Sequence[tuple[Item, InspectedItem]]) -> Iterator[tuple[str, float]]:
    """The least leg, mm, of each weld whose gap was read wider than the leg drawn is for."""
    legs = {f"V{number}": (f"Z{number}", plain_leg_mm(seam)) for number, seam in made_welds(plan)}
    for item, row in rows:
        if item.key in legs and row.is_mm is not None and row.is_mm > (item.most or math.inf):
            key, plain = legs[item.key]
            yield key, plain + row.is_mm


def _holes(
    file: ReadingsFile, plan: PartPlan, rows: Sequence[tuple[Item, InspectedItem]]
) -> tuple[tuple[str, ...], PartHoles | None, str]:
    """The round holes that lie on the panel, adjusted; None with the reason where they are not fixed."""
    holes = list(on_panel(plan).holes)
    names = tuple(h.name for h in holes)
    if len(holes) < 2:
        return names, None, "it has no two holes on its panel"
    sigma = file.readings.instrument_mm("caliper")
    read = {row.holes[0]: said.is_mm for row, said in rows if len(row.holes) == 1 and row.key.isdigit()}
    sizes = []
    for h in holes:
        said = read.get(h.name)
        sizes.append((said, sigma) if said is not None else _as_drawn(h))
    distances, keys = [], []
    for item, row in rows:
        if item.key.startswith("D") and set(item.holes) <= set(names) and row.is_mm is not None:
            one, other = (names.index(n) for n in item.holes)
            distances.append(FarRims(one=one, other=other, read_mm=row.is_mm, sigma_mm=sigma))
            keys.append(item.key)
    drawn = np.array([(h.u_mm, h.v_mm) for h in holes])
    found = part_holes(drawn, sizes, distances) if distances else None
    if found is None:
        return names, None, "the distances read do not fix them: fill in every D of these holes"
    worst = max(range(len(keys)), key=lambda k: abs(found.w[k]))
    if abs(found.w[worst]) > W_LIMIT:
        index = next(k for k, row in enumerate(file.readings.inspected) if row.item == keys[worst])
        raise SpecError(
            [
                file.fault_at(
                    f"inspected[{index}].is",
                    f"item {keys[worst]}: the distances of the holes contradict each other",
                    f"readings that agree within {W_LIMIT} of their uncertainty of {sigma:g} mm",
                    "measure it and the distances of the same holes again",
                )
            ]
        )
    return names, found, ""


def _as_drawn(hole: Hole) -> tuple[float, float]:
    """A diameter nobody read: the middle of its limits, as unsure as they are wide (a uniform share)."""
    low, high = (hole.diameter_mm, hole.diameter_mm + 0.1)
    if hole.tolerance is not None:
        low, high = hole.tolerance.limits_mm(hole.diameter_mm)
    return (low + high) / 2, max((high - low) / math.sqrt(12), 0.005)


def with_holes_as_read(prepared: Prepared, seen: Inspected) -> Prepared:
    """The job with the part's holes where they were read, as changes of single holes in its spec.

    Raises ``SpecError`` when the part cannot be so, ``ExportError`` when the spec's tables are written where
    no line can be added.
    """
    found, file = seen.holes, prepared.file
    sizes = {i.holes[0]: r.is_mm for i, r in seen.rows if i.key.isdigit() and r.is_mm is not None}
    drawn = {h.name: h for h in on_panel(seen.part.plan).holes}
    slots = {s.name for s in on_panel(seen.part.plan).slots}
    blocks: dict[str, str] = {}
    for name in (*drawn, *sorted(slots)):
        lines = ["  [[part.rework]]", f'  hole = "{name}"']
        if name in sizes:
            lines.append(f'  diameter = "{sizes[name]:.6g} mm"')
        if found is not None and name in drawn:
            at = found.points[seen.names.index(name)]
            du, dv = float(at[0]) - drawn[name].u_mm, float(at[1]) - drawn[name].v_mm
            if math.hypot(du, dv) >= LEAST_MOVE_MM:
                lines.append(f"  move = [{millimetres(du)}, {millimetres(dv)}]")
        if len(lines) > 2:
            blocks[name] = "\n".join(lines) + "\n"
    if not blocks:
        return prepared
    path = file.part_path(seen.part.spec.name)
    if not path.endswith("]"):
        raise ExportError(f"{seen.part.spec.name} is the opposite hand of another part; write its table out")
    part = ("part", int(path.removeprefix("part[").removesuffix("]")))
    text = revised_text(file.source, [], [(part, "\n".join(blocks.values()))])
    try:
        return prepare(file.spec_path, results=prepared.results, text=text, variant=file.form.name)
    except SpecError as error:
        raise SpecError(_as_read(error, seen, path, list(blocks))) from error


def _as_read(error: SpecError, seen: Inspected, path: str, holes: Sequence[str]) -> list[Fault]:
    """Faults of the changes that the readings made, at the readings: nobody wrote those into the spec."""
    before = len(seen.part.spec.rework)
    out = []
    for fault in error.faults:
        match = re.match(re.escape(path) + r"\.rework\[(\d+)\]", fault.path)
        index = int(match[1]) - before if match is not None else -1
        if not 0 <= index < len(holes):
            out.append(fault)
            continue
        k = next((k for k, (item, _) in enumerate(seen.rows) if holes[index] in item.holes), 0)
        found = f"{seen.rows[k][0].what}, as read: {fault.found}"
        out.append(seen.file.fault_at(f"inspected[{k}].is", found, fault.expected, fault.hint))
    return out


def covariance_of(seen: Inspected, names: Sequence[str], turn_rad: float) -> Array:
    """Covariance of those holes of the part in the panel's frame, (2n, 2n) mm²; 0 where they are as drawn."""
    n = len(names)
    out = np.zeros((2 * n, 2 * n))
    if seen.holes is None:
        return out
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    turn = np.array([[c, -s], [s, c]])
    for i, one in enumerate(names):
        for j, other in enumerate(names):
            if one in seen.names and other in seen.names:
                a, b = 2 * seen.names.index(one), 2 * seen.names.index(other)
                block = seen.holes.covariance[a : a + 2, b : b + 2]
                out[2 * i : 2 * i + 2, 2 * j : 2 * j + 2] = turn @ block @ turn.T
    return out


def words(seen: Inspected) -> Iterator[str]:
    """The sheet in a few lines."""
    out = sum(f.code == INSPECTION.code for f in seen.findings)
    title = seen.part.spec.title or seen.part.spec.name
    yield (
        f"{title} as inspected: {len(seen.rows)} of {seen.items} items read, {out or 'none'} out of limits"
    )
    if seen.why:
        yield f"  places of its holes are taken as drawn: {seen.why}"
        return
    found = seen.holes
    if found is None:
        return
    drawn = {h.name: h for h in on_panel(seen.part.plan).holes}
    for name, at, size in zip(seen.names, found.points, found.diameters, strict=True):
        du, dv = float(at[0]) - drawn[name].u_mm, float(at[1]) - drawn[name].v_mm
        off = fixed(math.hypot(du, dv), 2)
        yield f"  {name}: Ø {fixed(float(size), 2)} mm, {off} mm from where it is drawn"
