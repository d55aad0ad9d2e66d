"""What the keys of the press brake say of each other."""

from __future__ import annotations

import math
from typing import Any

from generators.model.spec.shop import Stock
from generators.model.spec.tools.press import Brake, Die, Punch
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


def _neck(reader: TableReader, path: Path, punch: Punch) -> None:
    if punch.neck_depth_mm <= 0:
        if punch.neck_from_mm is not None:
            reader.refuse((*path, "neck_from"), "a neck without a depth", "neck_depth beside it")
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
    elif punch.neck_from_mm >= punch.height_mm:
        reader.refuse((*path, "neck_from"), words.millimetres(punch.neck_from_mm), "less than height")


def _die(reader: TableReader, path: Path, die: Die) -> None:
    depth = die.opening_mm / 2 / math.tan(die.angle_rad / 2)
    if die.width_mm <= die.opening_mm:
        found = f"{words.millimetres(die.width_mm)} over a V of {words.millimetres(die.opening_mm)}"
        reader.refuse((*path, "width"), found, "more than its opening")
    if depth >= die.height_mm:
        found = f"{words.millimetres(die.height_mm)}, with a V {words.millimetres(round(depth, 1))} deep"
        reader.refuse((*path, "height"), found, "more than its V is deep")


def _machine(reader: TableReader, brake: Brake) -> None:
    _outline(reader, (*BRAKE, "ram"), brake.ram)
    _outline(reader, (*BRAKE, "table"), brake.table)
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
