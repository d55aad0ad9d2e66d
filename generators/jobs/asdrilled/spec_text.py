"""The spec with the holes as drilled and the rescue in it, comments kept.

Only what was measured is taken over: every other hole of the part stays as designed, where the part comes
to lie.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from generators.errors import ExportError
from generators.jobs.asdrilled.case import Case, rework_of, unmoved
from generators.jobs.asdrilled.revise import LeftOut, Setting, revised_text
from generators.measure.block import existing_table, millimetres
from generators.measure.fitting.fit import Fit
from generators.measure.fitting.rescue import Rescue
from generators.model.spec.job import ExistingHole

NAME_LENGTH = 40
IDLE = "the holes it leads a drill to are drilled"
"""Why a tool of the panel is not needed any more."""

SAME_HOLE_MM = 0.5
"""An existing hole this near to a part's hole as planned is the one its bolt reuses, as in the layout."""


def _mount_settings(case: Case, after: Fit, part: tuple[str, int]) -> list[Setting]:
    """Where the part really comes to lie, when the readings are tied to the panel."""
    mount = (*part, "mount")
    if not case.tied:
        return []
    at = case.mount.at
    u, v = case.place.du, case.place.dv
    new_u, new_v = after.place(u, v)
    out = [
        Setting(path=(*mount, "at", "u"), text=millimetres(at.u_mm + new_u - u), beside="at"),
        Setting(path=(*mount, "at", "v"), text=millimetres(at.v_mm + new_v - v), beside="at"),
    ]
    sense = 1.0 if case.mount.face == "cab" else -1.0
    turn = math.degrees(math.remainder(case.mount.rotate_rad + sense * after.turn_rad, 2 * math.pi))
    if abs(after.turn_rad) > math.radians(0.0005):
        out.append(Setting(path=(*mount, "rotate"), text=f'"{turn:.4f} deg"', beside="panel"))
    return out


class _Holes:
    """The holes as drilled as the panel's tables say it: new tables, and values of those that stand."""

    def __init__(self, case: Case, rescue: Rescue, after: Fit, panel: tuple[str, int]) -> None:
        self.case, self.rescue, self.after, self.panel = case, rescue, after, panel
        self.tables: list[str] = []
        self.settings: list[Setting] = []
        self.taken = {e.name for e in case.panel.existing} | {h.name for h in case.panel.hole}
        self.taken |= {d.name for d in case.panel.datum}
        for old, new in zip(case.joints, rescue.joints, strict=True):
            there = self._standing(old.name, old.part)
            again = rescue.kind == "redrill" and old.panel != new.panel
            at = old.panel if case.tied else unmoved(after, *old.panel)
            opened = new.panel_dia_mm if not again and new.panel_dia_mm > old.panel_dia_mm + 0.005 else 0.0
            if there is None:
                self._table(old.name, at, old.panel_dia_mm, opened, again=again)
            else:
                self._set(there, old.name, at, old.panel_dia_mm, opened, again=again)

    def _standing(self, hole: str, planned: tuple[float, float]) -> int | None:
        """The existing hole the spec already has there: measured before, or one the part's bolt reuses."""
        part = self.case.part.spec.name
        for index, e in enumerate(self.case.panel.existing):
            if (e.serves, e.serves_hole) == (part, hole):
                return index
        for index, e in enumerate(self.case.panel.existing):
            free = e.action == "reuse" and not e.serves_hole and e.length_mm is None
            if free and math.dist(e.at, planned) <= SAME_HOLE_MM:
                return index
        return None

    def _named(self, hole: str) -> str:
        base = f"{self.case.part.spec.name}_{hole}"[:NAME_LENGTH].rstrip("_")
        name, k = base, 2
        while name in self.taken:
            name, k = f"{base[: NAME_LENGTH - 3]}_{k}", k + 1
        self.taken.add(name)
        return name

    def _table(self, hole: str, at: tuple[float, float], size: float, opened: float, *, again: bool) -> None:
        part = self.case.part.spec.name
        what = f"drilled for {part}, {hole}"[:80]
        # a part that drills nothing (holes = false) has no hole there to take the place of
        mine = part if not again else ""
        takes = hole if mine and self.case.mount.holes else ""
        action = "blank" if again else "reuse" if takes else "keep"
        table = existing_table(
            self._named(hole),
            at,
            opened if opened and not takes else size,
            what,
            action,
            serves=mine,
            serves_hole=takes,
            open_to_mm=opened if takes else 0.0,
        )
        self.tables.append(table.rstrip("\n"))

    def _set(
        self, index: int, hole: str, at: tuple[float, float], size: float, opened: float, *, again: bool
    ) -> None:
        path = (*self.panel, "existing", index)
        there: ExistingHole = self.case.panel.existing[index]
        for axis in (0, 1):
            self._put((*path, "at", axis), millimetres(at[axis]), "at")
        self._put((*path, "diameter"), millimetres(size), "diameter")
        if again:
            self._put((*path, "action"), '"blank"', "diameter")
            if there.serves_hole:
                self._put((*path, "serves_hole"), '""', "serves")
            return
        self._put((*path, "action"), '"reuse"', "diameter")
        self._put((*path, "serves"), f'"{self.case.part.spec.name}"', "diameter")
        self._put((*path, "serves_hole"), f'"{hole}"', "diameter")
        if opened:
            self._put((*path, "open_to"), f'"{opened:.6g} mm"', "diameter")

    def _put(self, path: tuple[str | int, ...], text: str, beside: str) -> None:
        self.settings.append(Setting(path=path, text=text, beside=beside))

    def block(self) -> str:
        """The new tables as text; empty where every hole stood in the spec."""
        if not self.tables:
            return ""
        first = f"  # as drilled for {self.case.part.spec.name}, measured"
        return "\n\n".join([f"{first}\n{self.tables[0]}", *self.tables[1:]]) + "\n"


def _rework_blocks(case: Case, rescue: Rescue) -> Iterator[str]:
    for change in rescue.changes:
        if change.on_panel:
            continue
        r = rework_of(change, case.place)
        lines = ["  [[part.rework]]", f'  hole = "{r.hole}"']
        if r.slot_mm:
            lines.append(f"  slot = {millimetres(r.slot_mm)}")
            lines.append(f'  toward = "{math.degrees(r.toward_rad):.1f} deg"')
        if r.diameter_mm is not None:
            lines.append(f'  diameter = "{r.diameter_mm:.6g} mm"')
        if r.move != (0.0, 0.0):
            lines.append(f"  move = [{millimetres(r.move[0])}, {millimetres(r.move[1])}]")
        yield "\n".join(lines) + "\n"


def spec_with(case: Case, rescue: Rescue, after: Fit, idle: Sequence[str] = ()) -> str:
    """The text of the spec with the holes as drilled and the rescue in it, comments kept.

    ``idle`` names tools of the panel whose holes are drilled: they stay as a comment. Raises ``ExportError``
    when the spec's tables are written where lines cannot be added.
    """
    file = case.prepared.file
    path = file.part_path(case.part.spec.name)
    if not path.endswith("]"):
        name = case.part.spec.name
        raise ExportError(f"{name} is the opposite hand of another part; write its table out first")
    part = ("part", _index(path))
    panel = ("panel", int(file.panel_path(case.panel.name).removeprefix("panel[").removesuffix("]")))
    holes = _Holes(case, rescue, after, panel)
    blocks = [(panel, holes.block())] if holes.tables else []
    rework = "\n".join(_rework_blocks(case, rescue))
    if rework:
        blocks.append((part, rework))
    left_out = [
        LeftOut(table="part", index=_index(file.part_path(name)), why=f"{name} is left out: {IDLE}")
        for name in idle
    ]
    return revised_text(file.source, [*_mount_settings(case, after, part), *holes.settings], blocks, left_out)


def _index(path: str) -> int:
    """Which ``part[...]`` a path names."""
    return int(path.removeprefix("part[").removesuffix("]"))
