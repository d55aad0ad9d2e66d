"""What a rescue leaves behind: the spec with the holes as drilled, and the part's blank for it."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import generators
from generators.errors import ExportError, ReadBackError, SpecError
from generators.issue.folder import swapped_in
from generators.issue.manifest import NAME, Entry, entries_of, file_hash, finding_json, write_manifest
from generators.jobs.asdrilled.revise import Setting, revised_text
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled, rework_of
from generators.layout.mounting import placement
from generators.measure.block import existing_table, millimetres, quoted
from generators.measure.fitting.fit import Fit, fit
from generators.measure.fitting.rescue import Rescue
from generators.sheetmetal.cut_file import flat_tail
from generators.solve.job import prepare, smallest_hole
from generators.verify.readback import ReadBack

KIND = "asdrilled"
WAS = "was"
FIGURES = "asdrilled.json"
NAME_LENGTH = 40


def _unmoved(after: Fit, u: float, v: float) -> tuple[float, float]:
    """The inverse of ``Fit.place``."""
    c, s = math.cos(after.turn_rad), math.sin(after.turn_rad)
    du, dv = u - after.middle[0] - after.shift[0], v - after.middle[1] - after.shift[1]
    return after.middle[0] + c * du + s * dv, after.middle[1] - s * du + c * dv


def _chosen(answer: AsDrilled) -> tuple[Rescue, Fit]:
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
        return point if answer.tied else _unmoved(after, *point)

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
    rescue, after = _chosen(answer)
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


def figures(answer: AsDrilled) -> dict[str, Any]:
    """The result as plain data; mm to 0.001, degrees to 0.001."""

    def near(value: float) -> float:
        return round(float(value), 3) + 0.0

    def rescue_data(r: Rescue) -> dict[str, Any]:
        return {"kind": r.kind, "words": r.words, "metal_mm3": near(r.metal_mm3), "cannot": r.cannot}

    return {
        "part": answer.part.spec.name,
        "panel": answer.panel.name,
        "goes": answer.goes,
        "fit": {
            "shift_mm": [near(x) for x in answer.fit.shift],
            "turn_deg": near(math.degrees(answer.fit.turn_rad)),
            "tied_to_panel": answer.tied,
        },
        "holes": [
            {
                "name": j.name,
                "fastener": "fixed" if j.fixed else "floating",
                "shank_mm": near(j.shank_mm),
                "part_dia_mm": near(j.part_dia_mm),
                "panel_dia_mm": near(j.panel_dia_mm),
                "clearance_mm": near(j.clearance_mm),
                "off_mm": [near(x) for x in off],
                "left_mm": near(left),
            }
            for j, off, left in zip(answer.joints, answer.fit.off_mm, answer.fit.left_mm, strict=True)
        ],
        "skipped": [{"hole": name, "why": why} for name, why in answer.skipped],
        "probability": near(answer.chance.share),
        "within": near(answer.chance.within),
        "converged": [[n, near(share)] for n, share in answer.chance.running],
        "rescue": rescue_data(answer.rescue) if answer.rescue is not None else None,
        "after": None
        if answer.after is None or answer.after_chance is None
        else {
            "left_mm": [near(x) for x in answer.after.left_mm],
            "probability": near(answer.after_chance.share),
        },
        "options": [rescue_data(o) for o in answer.options],
        "findings": [finding_json(f) for f in answer.findings],
    }


def _json_text(answer: AsDrilled) -> str:
    return json.dumps(figures(answer), indent=2, ensure_ascii=False) + "\n"


def _inputs(answer: AsDrilled) -> list[tuple[Path, bytes, str]]:
    file = answer.prepared.file
    out = [(file.spec_path, file.spec_bytes, "spec")]
    if file.shop_path is not None:
        out.append((file.shop_path, file.shop_bytes, "shop"))
    return [*out, (answer.measured.file.path, answer.measured.file.data, "readings")]


def _entries(answer: AsDrilled) -> list[Entry]:
    file, part = answer.prepared.file, answer.part.spec.name
    entries = [Entry(path=f"{WAS}/{path.name}", kind=kind) for path, _, kind in _inputs(answer)]
    entries.append(Entry(path=f"{file.spec_path.stem}_asdrilled.toml", kind="revised_spec"))
    if file.shop_path is not None:
        entries.append(Entry(path=file.shop_path.name, kind="revised_shop"))
    if not answer.part.plan.printed:
        tail = flat_tail(file.shop.cutting)
        entries.append(Entry(path=f"{part}{tail}", kind="flat_dxf", owner=part, units="mm"))
    return [*entries, Entry(path=FIGURES, kind="figures", owner=part, units="mm")]


def write_asdrilled(
    answer: AsDrilled, out: Path, *, progress: Callable[[str, int, int], None]
) -> tuple[Path, tuple[ReadBack, ...]]:
    """Write, read back and swap in the folder ``<readings>_asdrilled`` with the revised spec and blank.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    from generators.drawing.dxf.flat import write_flat_dxf
    from generators.jobs.make.run import last_run

    target = out / f"{answer.measured.file.readings.measure.name}_asdrilled"
    last_run(target)
    text = revised_spec(answer)
    entries = _entries(answer)
    names = [e.path for e in entries]
    if len(set(names)) < len(names):
        raise ExportError("the spec, the shop file and the readings need different names")
    with swapped_in(target) as fresh:
        (fresh / WAS).mkdir()
        for path, data, _ in _inputs(answer):
            (fresh / WAS / path.name).write_bytes(data)
        progress("write the spec", 0, len(entries))
        for entry in entries:
            if entry.kind == "revised_spec":
                (fresh / entry.path).write_text(text, encoding="utf-8")
            elif entry.kind == "revised_shop":
                (fresh / entry.path).write_bytes(answer.prepared.file.shop_bytes)
            elif entry.kind == "figures":
                (fresh / entry.path).write_text(_json_text(answer), encoding="utf-8")
        try:
            revised = prepare(fresh / f"{answer.prepared.file.spec_path.stem}_asdrilled.toml")
        except SpecError as error:
            raise ReadBackError("the revised spec", f"does not read: {error}") from error
        plan = next(p.plan for p in revised.parts if p.spec.name == answer.part.spec.name)
        for entry in entries:
            if entry.kind == "flat_dxf":
                write_flat_dxf(
                    plan,
                    fresh / entry.path,
                    revision=revised.file.revision,
                    cutting=revised.file.shop.cutting,
                    smallest_hole_mm=smallest_hole(revised.file, plan),
                )
        hashed = [e.hashed(fresh) for e in entries]
        head = {
            "kind": KIND,
            "job": answer.prepared.file.job.job.name,
            "title": answer.prepared.file.job.job.title,
            "revision": revised.file.revision,
            "version": generators.__version__,
            "units": "mm",
            "spec": f"{WAS}/{answer.prepared.file.spec_path.name}",
            "readings": f"{WAS}/{answer.measured.file.path.name}",
        }
        write_manifest(fresh, hashed, head=head, findings=answer.findings)
        readings = [_read_back(fresh, e, answer) for e in hashed]
        bad = [f"{r.path}: {p}" for r in readings for p in r.problems]
        if bad:
            raise ReadBackError(bad[0].split(": ", 1)[0], "; ".join(bad))
    return target, tuple(readings)


def _read_back(folder: Path, entry: Entry, answer: AsDrilled) -> ReadBack:
    from generators.verify.dxf.flat import read_flat_dxf

    path = folder / entry.path
    spec = folder / f"{answer.prepared.file.spec_path.stem}_asdrilled.toml"
    if entry.kind == "flat_dxf":
        revised = prepare(spec)
        plan = next(p.plan for p in revised.parts if p.spec.name == entry.owner)
        cutting, least = revised.file.shop.cutting, smallest_hole(revised.file, plan)
        reading = read_flat_dxf(path, plan, rel=entry.path, cutting=cutting, smallest_hole_mm=least)
        if revised.file.revision.encode() in path.read_bytes():
            return reading
        return ReadBack(path=entry.path, problems=("does not carry the revision of the revised spec",))
    if entry.kind == "revised_spec":
        return _spec_read_back(path, entry, answer)
    if entry.kind == "figures":
        same = path.read_text(encoding="utf-8") == _json_text(answer)
        problems = () if same else ("does not say what spec and readings give",)
        return ReadBack(path=entry.path, facts=("as weighed again",), problems=problems)
    return ReadBack(path=entry.path, facts=("reads without a fault",))


def _spec_read_back(path: Path, entry: Entry, answer: AsDrilled) -> ReadBack:
    """In the revised spec the part must lie on its holes where it is, with the clearance promised."""
    rescue, after = _chosen(answer)
    if path.read_text(encoding="utf-8") != revised_spec(answer):
        return ReadBack(path=entry.path, problems=("is not what spec and readings give",))
    revised = prepare(path)
    part = next(p for p in revised.parts if p.spec.name == answer.part.spec.name)
    panel = next(p for p in revised.file.job.panel if p.name == answer.panel.name)
    if part.mount is None:
        return ReadBack(path=entry.path, problems=("has lost the part's mount",))
    place = placement(panel, part.mount)
    root = part.plan.flanges[0]
    holes = {h.name: (h.u_mm, h.v_mm, h.diameter_mm) for h in root.holes}
    holes |= {s.name: (s.u_mm, s.v_mm, s.width_mm) for s in root.slots}
    joints = []
    for j in rescue.joints:
        u, v, size = holes[j.name]
        at = j.panel if answer.tied else _unmoved(after, *j.panel)
        turned = j.slot_rad + (after.turn_rad if answer.tied else 0.0)
        joints.append(replace(j, part=place.apply(u, v), part_dia_mm=size, panel=at, slot_rad=turned))
    again = fit(joints)
    moved = max(math.dist(again.place(*j.part), j.part) for j in joints)
    problems = []
    if again.worst_mm < after.worst_mm - 0.02:
        problems.append(f"leaves {again.worst_mm:.2f} mm of clearance, not {after.worst_mm:.2f} mm")
    if moved > 0.1:
        problems.append(f"lays the part {moved:.2f} mm from where it goes on")
    fact = f"the part goes on with {again.worst_mm:.2f} mm of clearance left"
    return ReadBack(path=entry.path, facts=(fact,), problems=tuple(problems))


def prove_asdrilled(
    folder: Path, content: dict[str, Any], step: Callable[[str, int], None]
) -> list[ReadBack]:
    """Read a finished folder back: spec and readings in it are weighed again.

    Raises ``ReadBackError`` when they cannot be used at all.
    """
    entries = entries_of(content)
    kept = {e.path for e in entries}
    spec, own = content.get("spec"), content.get("readings")
    if not isinstance(spec, str) or not isinstance(own, str) or not {spec, own} <= kept:
        raise ReadBackError(NAME, "does not name the spec and the readings the files were made from")
    try:
        answer = as_drilled(folder / spec, folder / own)
    except SpecError as error:
        raise ReadBackError(NAME, f"spec or readings no longer read: {error}") from error
    wanted = {e.path: e for e in _entries(answer)}
    out = []
    for index, entry in enumerate(entries):
        step(f"read back {entry.path}", index)
        path = folder / entry.path
        if not path.is_file() or path.is_symlink():
            out.append(ReadBack(path=entry.path, problems=("is missing",)))
        elif entry.path not in wanted:
            out.append(ReadBack(path=entry.path, problems=("is no file of this rescue",)))
        elif file_hash(path) != entry.sha256:
            out.append(ReadBack(path=entry.path, problems=("was changed after it was made (sha256)",)))
        else:
            out.append(_read_back(folder, wanted[entry.path], answer))
    problems = [f"does not list {path}" for path in sorted(set(wanted) - kept)]
    if content["findings"] != [finding_json(f) for f in answer.findings]:
        problems.append("does not list the findings of its spec and readings")
    out.append(ReadBack(path=NAME, facts=(f"lists {len(entries)} files",), problems=tuple(problems)))
    for path in sorted(folder.rglob("*")):
        relative = path.relative_to(folder).as_posix()
        if not path.is_dir() and relative not in kept | {NAME}:
            out.append(ReadBack(path=relative, problems=("is no file of this job",)))
    return out
