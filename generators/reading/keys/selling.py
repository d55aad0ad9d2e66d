"""What the keys of kits and labels say of each other."""

from __future__ import annotations

import re

from generators.model.spec.selling.kit import KitBag, KitBox, KitExtra
from generators.model.spec.selling.labels import LabelFormat
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader

SERIAL = re.compile(r"[A-Za-z0-9_]*")
LABELS = ("bags", "hoses")
_SAME_MM = 1e-6


def check_kit(reader: TableReader) -> None:
    """Report boxes named twice, boxes nobody knows, bags packed twice, and a serial that cannot be typed."""
    serial = reader.raw(("kit",), dict).get("serial", "")
    if isinstance(serial, str) and not SERIAL.fullmatch(serial):
        reader.refuse(("kit", "serial"), words.quoted(serial), "letters, digits and _ alone")
    boxes: list[str] = []
    for path, box in reader.items(("kit", "box"), KitBox):
        if box.name in boxes:
            reader.refuse((*path, "name"), f"the name {words.quoted(box.name)} again", "each box once")
        boxes.append(box.name)
    packed: set[str] = set()
    for path, bag in reader.items(("kit", "bag"), KitBag):
        if bag.bag in packed:
            reader.refuse((*path, "bag"), f"{words.quoted(bag.bag)} again", "each bag once")
        packed.add(bag.bag)
    rows: list[tuple[Path, KitBag | KitExtra]] = [
        *reader.items(("kit", "bag"), KitBag),
        *reader.items(("kit", "extra"), KitExtra),
    ]
    for path, row in rows:
        if row.box and row.box not in boxes:
            known = words.listed(boxes) if boxes else "none: there is no [[kit.box]]"
            hint = words.suggestion(row.box, boxes)
            reader.refuse((*path, "box"), f"the unknown box {words.quoted(row.box)}", f"a box: {known}", hint)


def check_labels(reader: TableReader) -> None:
    """Report labels that lie over each other or over the edge of their sheet."""
    for use in LABELS:
        path = ("labels", use)
        given = reader.built.get(path)
        if not isinstance(given, LabelFormat):
            continue
        if min(given.sheet) <= 0:
            reader.refuse((*path, "sheet"), "a side that is not above 0", "width and height of the sheet")
            continue
        for side, count, size, first, pitch, keys in (
            (
                given.sheet[0],
                given.columns,
                given.width_mm,
                given.left_mm,
                given.pitch_mm[0],
                ("across", "columns"),
            ),
            (given.sheet[1], given.rows, given.height_mm, given.top_mm, given.pitch_mm[1], ("down", "rows")),
        ):
            if pitch < size - _SAME_MM:
                found = f"a pitch of {words.millimetres(pitch)} for labels of {words.millimetres(size)}"
                reader.refuse((*path, keys[0]), found, f"{words.millimetres(size)} at least, or they overlap")
                continue
            end = first + (count - 1) * pitch + size
            if end > side + _SAME_MM:
                found = f"{count} labels that end at {words.millimetres(end)}"
                wanted = f"an end within the sheet's {words.millimetres(side)}"
                reader.refuse((*path, keys[1]), found, wanted)
