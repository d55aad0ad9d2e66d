"""What the keys of the press brake say of each other."""

from __future__ import annotations

import math
from typing import Any

from generators.model.spec.shop import Stock
from generators.model.spec.tools.press import CLAMPED_MM, Brake, Die, Punch
from generators.reading.keys.outlines import outline_faults
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader

BRAKE: Path = ("brake",)
SAME_MM = 0.01


def check_brake(reader: TableReader) -> None:
    """Report tools that are none, names used twice, and sheets bent over a die the brake has not."""
    brake = reader.built.get(BRAKE)
    length = brake.length_mm if isinstance(brake, Brake) else math.inf
    punches = list(reader.items((*BRAKE, "punch"), Punch))
    dies = list(reader.items((*BRAKE, "die"), Die))
    _names_once(reader, punches)
    _names_once(reader, dies)
    for path, punch in punches:
        _pieces(reader, path, punch.segments_mm, length)
        if punch.profile:
            _outline(reader, (*path, "profile"), punch.profile)
            _profile(reader, path, punch)
        else:
            _neck(reader, path, punch)
    for path, die in dies:
        _pieces(reader, path, die.segments_mm, length)
        _die(reader, path, die)
    if isinstance(brake, Brake):
        _machine(reader, brake)
        _room_for(reader, brake.open_mm, punches, [die for _, die in dies])
    _stock(reader, [die for _, die in dies])


def _names_once(reader: TableReader, tools: list[tuple[Path, Any]]) -> None:
    seen: set[str] = set()
    for path, tool in tools:
        if tool.name in seen:
            reader.refuse((*path, "name"), f"{words.quoted(tool.name)} again", "each name once")
        seen.add(tool.name)


def _pieces(reader: TableReader, path: Path, pieces: tuple[float, ...], longest: float) -> None:
    for index, piece in enumerate(pieces):
        if not 1.0 <= piece <= longest:
            most = f" to {words.millimetres(longest)}, the brake's length" if math.isfinite(longest) else ""
            reader.refuse((*path, "segments", index), words.millimetres(piece), f"a piece of 1 mm{most}")


def _outline(reader: TableReader, path: Path, points: tuple[tuple[float, float], ...]) -> None:
    for fault in outline_faults(points):
        reader.refuse((*path, fault.corner), fault.found, fault.expected, fault.hint)


def _profile(reader: TableReader, path: Path, punch: Punch) -> None:
    low, high = (pick(z for _, z in punch.profile) for pick in (min, max))
    if not any(math.hypot(y, z) < SAME_MM for y, z in punch.profile) or low < -SAME_MM:
        reader.refuse(
            (*path, "profile"),
            f"an outline from {words.millimetres(low)} up",
            'one that has its tip at ["0 mm", "0 mm"], and nothing lower',
        )
    elif abs(high - punch.height_mm) > SAME_MM:
        reader.refuse((*path, "profile"), f"{words.millimetres(high)} high", "as high as height says")
    else:
        top = [y for y, z in punch.profile if z > high - SAME_MM]
        if not min(top) - SAME_MM <= 0 <= max(top) + SAME_MM:
            found = (
                f"a top from {words.millimetres(min(top))} to {words.millimetres(max(top))} behind the tip"
            )
            reader.refuse((*path, "profile"), found, "a top over the tip, where the clamp holds it")


def _neck(reader: TableReader, path: Path, punch: Punch) -> None:
    if punch.neck_depth_mm <= 0:
        if punch.neck_from_mm is not None:
            reader.refuse((*path, "neck_from"), "a neck without a depth", "neck_depth beside it")
        if punch.neck_to_mm is not None:
            reader.refuse((*path, "neck_to"), "a neck without a depth", "neck_depth beside it")
        return
    if punch.neck_from_mm is None:
        reader.refuse((*path, "neck_depth"), "a neck that begins nowhere", "neck_from beside it")
        return
    # lower, the neck would stand outside the flank its tip has toward the sheet behind
    least = (punch.neck_depth_mm + punch.width_mm) / math.tan(punch.angle_rad / 2)
    if punch.neck_from_mm < least - SAME_MM:
        found = f"a neck from {words.millimetres(punch.neck_from_mm)} above the tip"
        rounded = math.ceil(least - SAME_MM)
        wanted = (
            f"at least {words.millimetres(rounded)}: below, a neck {words.millimetres(punch.neck_depth_mm)} "
            f"back and {words.millimetres(punch.width_mm)} wide stands in the sheet behind it; or its profile"
        )
        reader.refuse((*path, "neck_from"), found, wanted)
    elif punch.neck_from_mm >= punch.throat_top_mm:
        top = words.millimetres(punch.throat_top_mm)
        wanted = f"less than {top}, where the neck ends" + (
            "" if punch.neck_to_mm is not None else f": neck_to, else {CLAMPED_MM:g} mm under the top"
        )
        reader.refuse((*path, "neck_from"), words.millimetres(punch.neck_from_mm), wanted)
    elif punch.throat_top_mm >= punch.height_mm:
        reader.refuse((*path, "neck_to"), words.millimetres(punch.throat_top_mm), "less than height")


def _die(reader: TableReader, path: Path, die: Die) -> None:
    depth = die.opening_mm / 2 / math.tan(die.angle_rad / 2)
    if die.width_mm <= die.opening_mm:
        found = f"{words.millimetres(die.width_mm)} over a V of {words.millimetres(die.opening_mm)}"
        reader.refuse((*path, "width"), found, "more than its opening")
    else:
        # where the rounding of a shoulder ends on the top, it must still be on the die
        slope = math.pi / 2 - die.angle_rad / 2
        need = die.opening_mm + 2 * die.shoulder_radius_mm * math.tan(slope / 2)
        if need > die.width_mm + SAME_MM:
            found = (
                f"{words.millimetres(die.shoulder_radius_mm)} on a V of {words.millimetres(die.opening_mm)}"
            )
            wanted = f"shoulders that end on the die, which is {words.millimetres(die.width_mm)} wide"
            reader.refuse((*path, "shoulder_radius"), found, wanted)
    if depth >= die.height_mm:
        found = f"{words.millimetres(die.height_mm)}, with a V {words.millimetres(round(depth, 1))} deep"
        reader.refuse((*path, "height"), found, "more than its V is deep")


def _room_for(reader: TableReader, opens: float, punches: list[tuple[Path, Punch]], dies: list[Die]) -> None:
    """A punch that does not go into the open brake over the lowest die is none of this brake's."""
    low = min((die.height_mm for die in dies), default=0.0)
    for path, punch in punches:
        if punch.height_mm + low >= opens:
            over = f" over a die of {words.millimetres(low)}" if low else ""
            wanted = f"less than the brake opens, {words.millimetres(opens)}"
            reader.refuse((*path, "height"), f"{words.millimetres(punch.height_mm)}{over}", wanted)


def _at_middle(points: tuple[tuple[float, float], ...]) -> list[float]:
    """Heights at which an outline crosses the tip's plane."""
    found: list[float] = []
    for (ay, az), (by, bz) in zip(points, (*points[1:], points[0]), strict=True):
        if ay == by == 0:
            found += [az, bz]
        elif min(ay, by) <= 0 <= max(ay, by) and ay != by:
            found.append(az + (bz - az) * ay / (ay - by))
    return found


def _machine(reader: TableReader, brake: Brake) -> None:
    _outline(reader, (*BRAKE, "ram"), brake.ram)
    _outline(reader, (*BRAKE, "table"), brake.table)
    ram, table = _at_middle(brake.ram), _at_middle(brake.table)
    if not ram or abs(min(ram)) > SAME_MM:
        found = f"{words.millimetres(round(min(ram), 2))} over it" if ram else "an outline beside it"
        reader.refuse(
            (*BRAKE, "ram"), found, "one that presses on the top of the punch: 0 mm up, over the tip"
        )
    if not table or abs(max(table)) > SAME_MM:
        found = f"{words.millimetres(round(max(table), 2))} up" if table else "an outline beside the middle"
        reader.refuse((*BRAKE, "table"), found, "one the die's foot stands on: 0 mm up, in the middle")
    gauge = brake.gauge
    if gauge.nearest_mm >= gauge.reach_mm:
        found = words.millimetres(gauge.nearest_mm)
        reader.refuse((*BRAKE, "gauge", "nearest"), found, "less than reach")
    if brake.stroke_mm > brake.open_mm:
        found = words.millimetres(brake.stroke_mm)
        reader.refuse((*BRAKE, "stroke"), found, f"at most open, {words.millimetres(brake.open_mm)}")


def _stock(reader: TableReader, dies: list[Die]) -> None:
    """A sheet's die is one of the brake's, where the brake names its dies."""
    if not dies:
        return
    known = sorted({d.opening_mm for d in dies})
    for path, stock in reader.items(("stock",), Stock):
        opening = stock.die_opening_mm
        if opening is not None and not any(abs(opening - v) < SAME_MM for v in known):
            wanted = f"the opening of a die of the brake: {', '.join(f'{v:g} mm' for v in known)}"
            reader.refuse((*path, "die_opening"), words.millimetres(opening), wanted)
