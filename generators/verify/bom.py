"""Reads a finished ``bom.csv`` back: every bolt of the plan is in it, long enough, and its two torques agree.

What a bolt must at least be is worked out here from the plain nut of ISO 4032 or ASME B18.2.2 and two
pitches, without washers: a bound that no right length can be under.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path

from generators.model.words import BILL_KINDS
from generators.standards import fastener_rows
from generators.verify.readback import ReadBack, said

HEAD = ["bag", "kind", "item", "quantity", "size", "torque", "for"]
_BOLT = re.compile(
    r"^(?:bolt|countersunk screw|stop bolt|weld stud) ([#M0-9/]+)(?:-\d+)?(?:×([0-9]+)| × ([0-9 /]+) in)?"
)
_GRIP = re.compile(r"((?:\d+ )?\d+/\d+|[0-9.]+) (mm|in) gripped")
_UNIT_MM = {"mm": 1.0, "in": 25.4}
_ROUNDED_MM = {"mm": 1e-6, "in": 0.0128}
_TORQUE = re.compile(r"(?P<nm>[0-9.]+) N·m \((?P<lb>[0-9.]+) lbf·(?P<arm>ft|in)\)")
_TORQUE_INCH = re.compile(r"(?P<lb>[0-9.]+) lbf·(?P<arm>ft|in) \((?P<nm>[0-9.]+) N·m\)")
_FOOT_POUND_NM = 1.3558179483314004
_PITCHES = 2.0
_SAME_MM = 1e-6


def read_bom(
    path: Path, *, rel: str, bolts: Mapping[str, int], bags: Sequence[str], ends: Mapping[str, int]
) -> ReadBack:
    """A bill as it lies on disk, against the bolts counted from the plans by thread and the bags of the job.

    ``ends`` counts what sits on the ends of hoses and lines, by its name up to a comma.

    A file that is no such table is a problem, not an exception.
    """
    try:
        lines = list(csv.reader(path.read_text(encoding="utf-8").splitlines(), strict=True))
    except (OSError, UnicodeError, csv.Error) as error:
        return ReadBack(path=rel, problems=(f"is no table: {said(error)}",))
    if not lines or lines[0] != HEAD:
        return ReadBack(path=rel, problems=(f"does not begin with {', '.join(HEAD)}",))
    problems: list[str] = []
    counted: Counter[str] = Counter()
    joined: Counter[str] = Counter()
    for number, cells in enumerate(lines[1:], 2):
        problems += [f"line {number}: {words}" for words in _row(cells, bags, counted)]
        if len(cells) == len(HEAD) and cells[1] == "end" and cells[3].isdecimal():
            joined[cells[2].partition(",")[0]] += int(cells[3])
    for thread in sorted({*bolts, *counted}):
        if counted[thread] != bolts.get(thread, 0):
            problems.append(
                f"has {counted[thread]} bolts of {thread}, and the plans have {bolts.get(thread, 0)}"
            )
    problems += [
        f"has {joined[what]} of {what!r}, and the hoses and lines take {ends.get(what, 0)}"
        for what in sorted({*ends, *joined})
        if joined[what] != ends.get(what, 0)
    ]
    facts = (f"{sum(counted.values())} bolts in {len({cells[0] for cells in lines[1:]})} bags",)
    return ReadBack(path=rel, facts=facts, problems=tuple(problems))


def _row(cells: Sequence[str], bags: Sequence[str], counted: Counter[str]) -> Iterator[str]:
    if len(cells) != len(HEAD):
        yield f"{len(cells)} cells, expected {len(HEAD)}"
        return
    bag, kind, item, quantity, size, torque, _use = cells
    if bag not in bags:
        yield f"the bag {bag!r} is none of the job's"
    if kind not in BILL_KINDS:
        yield f"the kind {kind!r} is none"
    if not re.fullmatch(r"[1-9][0-9]*", quantity):
        yield f"the quantity {quantity!r} is no count"
        return
    bolt = _BOLT.match(item) if kind == "fastener" else None
    if bolt is not None:
        counted[bolt[1]] += int(quantity)
        yield from _length(bolt[1], bolt[2] or bolt[3], size, item)
    metric = _TORQUE.search(torque)
    both = metric or _TORQUE_INCH.search(torque)
    if both is not None:
        arm = 12 if both["arm"] == "in" else 1
        newton, pound = float(both["nm"]), float(both["lb"]) * _FOOT_POUND_NM / arm
        # the one in brackets is worked out from the other as printed: it alone may be rounded
        apart = _FOOT_POUND_NM / (2 * arm) if metric else 0.05 if "." in both["nm"] else 0.5
        if abs(newton - pound) > apart + _SAME_MM:
            yield f"{both['nm']} N·m is not {both['lb']} lbf·{both['arm']}"


def _length(thread: str, text: str | None, size: str, item: str) -> Iterator[str]:
    row = next((r for r in fastener_rows() if r.thread == thread), None)
    if row is None:
        yield f"{item!r} has a thread no table has"
        return
    found = _GRIP.findall(size)
    if not text or not found:
        return
    grip = max(float(sum(map(Fraction, said.split()))) * _UNIT_MM[unit] for said, unit in found)
    length = float(sum(Fraction(piece) for piece in text.split())) * (1.0 if thread.startswith("M") else 25.4)
    least = grip + row.nut_height_mm + _PITCHES * row.pitch_mm
    if length < least - max(_ROUNDED_MM[unit] for _, unit in found):
        yield f"{item!r} is {length:.1f} mm long and grips {grip:g} mm: its nut does not go on whole"
