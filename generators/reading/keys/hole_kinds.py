"""Which keys each kind of hole and each shape of obstacle needs, and which it refuses."""

from __future__ import annotations

from types import MappingProxyType

from generators.errors import LookupFault
from generators.model.spec.job import HoleSpec, Obstacle
from generators.model.words import FACES, Fit
from generators.reading.keys.outlines import outline_faults
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import bulkhead, clearance_hole, fastener

HOLE_KEYS = MappingProxyType(
    {
        "plain": ("diameter",),
        "grommet": ("diameter",),
        "insert": ("diameter", "thread", "grip"),
        "bolt": ("thread",),
        "bulkhead": ("dash",),
        "weld_nut": ("diameter", "thread", "weld_face"),
        "stud": ("thread", "weld_face", "length"),
        "countersunk": ("thread", "head", "nut_face"),
    }
)
"""The keys that size a hole, by kind; none of another kind may stand beside them."""

MAY_HAVE = MappingProxyType({"countersunk": ("head_angle", "dimpled", "fit"), "bolt": ("fit",)})
"""The keys that go with a kind and need not be given."""

SIZING_KEYS = (
    "diameter",
    "dash",
    "thread",
    "fit",
    "grip",
    "weld_face",
    "length",
    "head",
    "head_angle",
    "dimpled",
)
_AN = MappingProxyType({"insert": "an", "weld_nut": "a"})
SHAPES = MappingProxyType(
    {"box": ("corner", "size"), "circle": ("centre", "diameter"), "polygon": ("outline",)}
)


def check_hole(reader: TableReader, path: Path, hole: HoleSpec) -> None:
    """Report missing and needless keys of a hole, and sizes the tables do not have."""
    given = reader.raw(path, dict)
    needed = HOLE_KEYS[hole.kind]
    wanted = f"{words.listed(needed)} for a {hole.kind} hole"
    for key in needed:
        if key not in given and (*path, key) not in reader.misspelt:
            reader.refuse((*path, key), f'no key "{key}"', wanted)
    for key in SIZING_KEYS:
        if key in given and key not in (*needed, *MAY_HAVE.get(hole.kind, ())):
            reader.refuse((*path, key), f'the key "{key}"', f"only {wanted}", "leave it out", at_key=True)
    if hole.kind in ("bolt", "countersunk") and hole.thread is not None:
        check_thread(reader, path, hole.thread, hole.fit)
    if hole.kind in ("insert", "weld_nut"):
        _check_insert(reader, path, hole)
    if hole.kind == "stud" and hole.thread is not None:
        check_bolt(reader, (*path, "thread"), hole.thread)
    if hole.kind == "countersunk":
        _check_countersunk(reader, path, hole)
    if hole.limits_mm is not None:
        _check_limits(reader, path, hole)
    if hole.kind == "bulkhead" and hole.dash is not None:
        try:
            bulkhead(hole.dash)
        except LookupFault as fault:
            wanted = f"a size of the table of bulkhead fittings: {words.listed(fault.known)}"
            reader.refuse((*path, "dash"), f"the dash size {hole.dash}", wanted)


def _check_limits(reader: TableReader, path: Path, hole: HoleSpec) -> None:
    """Limits go from small to large, and the size the hole is asked for lies between them."""
    least, most = hole.limits_mm or (0.0, 0.0)
    found = f"{words.millimetres(least)} to {words.millimetres(most)}"
    if hole.kind == "stud":
        reader.refuse((*path, "limits"), "limits of a stud", "none: nothing is drilled for it", at_key=True)
    elif not 0 < least < most:
        reader.refuse((*path, "limits"), found, "the least diameter, above 0 mm, then the greatest")
    elif (size := _asked_mm(hole)) is not None and not least <= size <= most:
        wanted = f"limits that its {words.millimetres(size)} lies within"
        reader.refuse((*path, "limits"), found, wanted)


def _asked_mm(hole: HoleSpec) -> float | None:
    """The diameter a hole is asked for, mm; None where the tables do not have it, which is told apart."""
    try:
        if hole.kind == "bulkhead":
            return bulkhead(hole.dash or 0).hole_mm
        if hole.kind in ("bolt", "countersunk"):
            return clearance_hole(hole.thread or "", hole.fit).diameter_mm
    except LookupFault:
        return None
    return hole.diameter_mm


def _check_insert(reader: TableReader, path: Path, hole: HoleSpec) -> None:
    if hole.thread is not None and check_bolt(reader, (*path, "thread"), hole.thread):
        major = fastener(hole.thread).major_mm
        if hole.diameter_mm is not None and hole.diameter_mm <= major:
            what = hole.kind.replace("_", " ")
            found = f"{words.millimetres(hole.diameter_mm)} for {_AN[hole.kind]} {what} of {hole.thread}"
            wanted = f"a hole wider than its {words.millimetres(major)} thread"
            reader.refuse((*path, "diameter"), found, wanted)
    if hole.grip_mm is not None and not 0 < hole.grip_mm[0] < hole.grip_mm[1]:
        found = " to ".join(words.millimetres(grip) for grip in hole.grip_mm)
        reader.refuse((*path, "grip"), found, "the least sheet it grips, above 0 mm, then the greatest")


def _check_countersunk(reader: TableReader, path: Path, hole: HoleSpec) -> None:
    given = reader.raw(path, dict)
    if "nut_face" in given and hole.nut_face not in FACES:
        found = f"a nut on {words.quoted(hole.nut_face)}"
        reader.refuse((*path, "nut_face"), found, "cab or engine: the head is flush with the other face")
    if hole.head_mm is None or hole.thread is None:
        return
    try:
        wide = clearance_hole(hole.thread, hole.fit).diameter_mm
    except LookupFault:
        return  # reported with the thread
    if hole.head_mm <= wide:
        found = f"a head of {words.millimetres(hole.head_mm)}"
        reader.refuse((*path, "head"), found, f"more than its hole of {words.millimetres(wide)}")


def check_bolt(reader: TableReader, path: Path, thread: str) -> bool:
    """Report a thread the table of bolts does not have; True where it has it."""
    try:
        fastener(thread)
    except LookupFault as fault:
        hint = words.suggestion(fault.key, fault.known)
        wanted = f"one of the table of bolts: {words.listed(fault.known)}"
        reader.refuse(path, f"the thread {words.quoted(thread)}", wanted, hint)
        return False
    return True


def check_thread(reader: TableReader, path: Path, thread: str, fit: Fit) -> None:
    """Report a thread or a fit that has no clearance hole, and a thread without bolts; keys of ``path``."""
    try:
        clearance_hole(thread, fit)
    except LookupFault as fault:
        # The table is asked by thread first and by fit second; the key tells which it missed.
        key = "thread" if fault.key == thread else "fit"
        wanted = f"one of the clearance table: {words.listed(fault.known)}"
        hint = words.suggestion(fault.key, fault.known)
        reader.refuse((*path, key), f"the {key} {words.quoted(fault.key)}", wanted, hint)
    else:
        check_bolt(reader, (*path, "thread"), thread)


def check_obstacle(reader: TableReader, path: Path, obstacle: Obstacle) -> None:
    """Report an obstacle without exactly one whole shape, or with an impossible one."""
    given = reader.raw(path, dict)
    begun = [shape for shape, keys in SHAPES.items() if any(key in given for key in keys)]
    choices = "exactly one of corner + size, centre + diameter, outline"
    if not begun:
        reader.refuse(path, "no shape", choices)
    for shape in begun[1:]:
        first = next(key for key in SHAPES[shape] if key in given)
        reader.refuse((*path, first), f"a {shape} beside a {begun[0]}", choices, at_key=True)
    for shape in begun:
        for key in SHAPES[shape]:
            if key not in given and (*path, key) not in reader.misspelt:
                reader.refuse((*path, key), f'no key "{key}"', f"{' and '.join(SHAPES[shape])} for a {shape}")
    if obstacle.zone is not None and obstacle.movable:
        reader.refuse((*path, "movable"), "room that can be moved aside", "only a body to be movable")
    for index, side in enumerate(obstacle.size or ()):
        if side <= 0:
            reader.refuse((*path, "size", index), words.millimetres(side), "a size above 0 mm")
    if obstacle.outline is not None:
        check_outline(reader, (*path, "outline"), obstacle.outline)


def check_outline(reader: TableReader, path: Path, corners: tuple[tuple[float, float], ...]) -> None:
    """Report what keeps a list of corners from being an outline, at the corner concerned."""
    for fault in outline_faults(corners):
        reader.refuse((*path, fault.corner), fault.found, fault.expected, fault.hint)
