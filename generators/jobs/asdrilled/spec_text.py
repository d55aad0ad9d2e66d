"""The spec with the holes as drilled and the rescue in it, comments kept."""

from __future__ import annotations

import math

from generators.errors import ExportError
from generators.jobs.asdrilled.revise import Setting, revised_text
from generators.jobs.asdrilled.weigh import AsDrilled, rework_of
from generators.measure.block import existing_table, millimetres, quoted
from generators.measure.fitting.fit import Fit
from generators.measure.fitting.rescue import Rescue
from generators.sheetmetal.lying import on_panel

NAME_LENGTH = 40


def unmoved(after: Fit, u: float, v: float) -> tuple[float, float]:
    """The inverse of ``Fit.place``."""
    c, s = math.cos(after.turn_rad), math.sin(after.turn_rad)
    du, dv = u - after.middle[0] - after.shift[0], v - after.middle[1] - after.shift[1]
    return after.middle[0] + c * du + s * dv, after.middle[1] - s * du + c * dv


def chosen(answer: AsDrilled) -> tuple[Rescue, Fit]:
    """The rescue to take and how the part then lies. Raises ``ExportError`` when there is none."""
    if answer.rescue is None or answer.after is None:
        raise ExportError("no single change makes the part go on; there is nothing to write")
    return answer.rescue, answer.after


def _mount_settings(answer: AsDrilled, after: Fit, part: tuple[str, int]) -> list[Setting]:
    """Where the part really comes to lie, when the readings are tied to the panel."""
    mount = (*part, "mount")
    out = [Setting(path=(*mount, "holes"), text="false", beside="panel")]
    if not answer.tied:
        return out
    at = answer.mount.at
    u, v = answer.place.du, answer.place.dv
    new_u, new_v = after.place(u, v)
    out.append(Setting(path=(*mount, "at", "u"), text=millimetres(at.u_mm + new_u - u), beside="at"))
    out.append(Setting(path=(*mount, "at", "v"), text=millimetres(at.v_mm + new_v - v), beside="at"))
    sense = 1.0 if answer.mount.face == "cab" else -1.0
    turn = math.degrees(answer.mount.rotate_rad + sense * after.turn_rad)
    if abs(after.turn_rad) > math.radians(0.0005):
        out.append(Setting(path=(*mount, "rotate"), text=f'"{turn:.4f} deg"', beside="panel"))
    return out


def _panel_block(answer: AsDrilled, rescue: Rescue, after: Fit) -> str:
    """The holes as drilled, and one to drill again, as tables of the panel."""
    part = answer.part.spec.name
    taken = {e.name for e in answer.panel.existing} | {h.name for h in answer.panel.hole}
    taken |= {d.name for d in answer.panel.datum}

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return point if answer.tied else unmoved(after, *point)

    def named(hole: str) -> str:
        base = f"{part}_{hole}"[:NAME_LENGTH].rstrip("_")
        name, k = base, 2
        while name in taken:
            name, k = f"{base[: NAME_LENGTH - 3]}_{k}", k + 1
        taken.add(name)
        return name

    out = [f"  # as drilled for {part}, measured"]
    for old, new in zip(answer.joints, rescue.joints, strict=True):
        again = rescue.kind == "redrill" and old.panel != new.panel
        action = "blank" if again else "keep"
        size = old.panel_dia_mm if again else max(old.panel_dia_mm, new.panel_dia_mm)
        what = f"drilled for {part}, {old.name}"
        whose = "" if again else part
        table = existing_table(named(old.name), at(old.panel), size, what, action, serves=whose)
        out.append(table.rstrip("\n"))
        if again:
            u, v = at(new.panel)
            lines = ["  [[panel.hole]]", f'  name = "{named(old.name)}"', '  kind = "plain"']
            lines.append(f"  diameter = {millimetres(new.panel_dia_mm)}")
            lines.append(f"  purpose = {quoted(f'{part}, {old.name}, drilled again'[:60])}")
            lines.append(f"  at = {{ u = {millimetres(u)}, v = {millimetres(v)} }}")
            out.append("\n".join(lines))
    measured = {joint.name for joint in answer.joints}
    for opening in on_panel(answer.part.plan).holes:
        # what was not measured goes through the panel all the same, where the part comes to lie
        if not opening.mates or opening.name in measured:
            continue
        u, v = at(after.place(*answer.place.apply(opening.u_mm, opening.v_mm)))
        lines = ["  [[panel.hole]]", f'  name = "{named(opening.name)}"', '  kind = "plain"']
        lines.append(f"  diameter = {millimetres(opening.diameter_mm)}")
        lines.append(f"  purpose = {quoted(f'{part}, {opening.name}, not measured'[:60])}")
        lines.append(f"  at = {{ u = {millimetres(u)}, v = {millimetres(v)} }}")
        out.append("\n".join(lines))
    return "\n\n".join(["\n".join(out[:2]), *out[2:]]) + "\n"


def _rework_block(answer: AsDrilled, rescue: Rescue) -> str:
    out = []
    for change in rescue.changes:
        r = rework_of(change, answer.place)
        lines = ["  [[part.rework]]", f'  hole = "{r.hole}"']
        if r.slot_mm:
            lines.append(f"  slot = {millimetres(r.slot_mm)}")
            lines.append(f'  toward = "{math.degrees(r.toward_rad):.1f} deg"')
        if r.diameter_mm is not None:
            lines.append(f'  diameter = "{r.diameter_mm:g} mm"')
        if r.move != (0.0, 0.0):
            lines.append(f"  move = [{millimetres(r.move[0])}, {millimetres(r.move[1])}]")
        out.append("\n".join(lines) + "\n")
    return "\n".join(out)


def revised_spec(answer: AsDrilled) -> str:
    """The text of the spec with the holes as drilled and the rescue in it, comments kept.

    Raises ``ExportError`` when nothing helps, or the spec's tables are written where lines cannot be added.
    """
    rescue, after = chosen(answer)
    file = answer.prepared.file
    path = file.part_path(answer.part.spec.name)
    if not path.endswith("]"):
        raise ExportError(
            f"{answer.part.spec.name} is the opposite hand of another part; write its table out first"
        )
    part = ("part", int(path.removeprefix("part[").removesuffix("]")))
    panel = ("panel", int(file.panel_path(answer.panel.name).removeprefix("panel[").removesuffix("]")))
    blocks = [(panel, _panel_block(answer, rescue, after))]
    if rescue.changes:
        blocks.append((part, _rework_block(answer, rescue)))
    return revised_text(file.source, _mount_settings(answer, after, part), blocks)
