"""What a rescue leaves behind: the spec with the holes as drilled, and the part's blank for it."""

from __future__ import annotations

import json
import math
import tempfile
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from generators.errors import ExportError, ReadBackError, SpecError
from generators.issue.artefact import Job, Kept
from generators.issue.issue import Issued, issue
from generators.issue.manifest import NAME, Entry, Manifest, finding_json
from generators.issue.prove import require_kept
from generators.issue.stamp import Stamp
from generators.issue.work import Progress
from generators.jobs.asdrilled.revise import Setting, revised_text
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled, rework_of
from generators.jobs.blanks import blank
from generators.jobs.make.run import spec_files
from generators.jobs.texts import text_file
from generators.layout.mounting import placement
from generators.measure.block import existing_table, millimetres, quoted
from generators.measure.fitting.fit import Fit, fit
from generators.measure.fitting.rescue import Rescue
from generators.sheetmetal.cut_file import flat_tail
from generators.solve.job import Prepared, prepare
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


def _revised(answer: AsDrilled, name: str, text: str) -> Prepared:
    """The revised spec as it will read. Raises ``ReadBackError`` when it does not."""
    file = answer.prepared.file
    with tempfile.TemporaryDirectory(prefix="pedalplate_") as folder:
        (Path(folder) / name).write_bytes(text.encode())
        if file.shop_path is not None:
            (Path(folder) / file.shop_path.name).write_bytes(file.shop_bytes)
        try:
            return prepare(Path(folder) / name)
        except SpecError as error:
            raise ReadBackError("the revised spec", f"does not read: {error}") from error


def job_of(answer: AsDrilled) -> Job:
    """The folder of a rescue as a job: the revised spec, the part's blank, the figures.

    Raises ``ExportError`` when nothing helps or two of the files have one name, ``ReadBackError`` when the
    revised spec does not read.
    """
    file, measured = answer.prepared.file, answer.measured.file
    name = f"{file.spec_path.stem}_asdrilled.toml"
    text = revised_spec(answer)
    revised = _revised(answer, name, text)
    part = next(p for p in revised.parts if p.spec.name == answer.part.spec.name)
    readings = Kept(entry=Entry(path=f"{WAS}/{measured.path.name}", kind="readings"), content=measured.data)
    kept = [*spec_files(file, WAS), readings]
    if file.shop_path is not None:
        kept.append(Kept(entry=Entry(path=file.shop_path.name, kind="revised_shop"), content=file.shop_bytes))
    artefacts = [
        text_file(
            name, "revised_spec", text, units="", read=partial(_read_spec, rel=name, answer=answer, text=text)
        )
    ]
    if not part.plan.printed:
        artefacts.append(blank(revised, part, f"{part.spec.name}{flat_tail(revised.file.shop.cutting)}"))
    artefacts.append(text_file(FIGURES, "figures", _json_text(answer), owner=part.spec.name))
    names = [*(k.entry.path for k in kept), *(a.entry.path for a in artefacts)]
    if len(set(names)) < len(names):
        raise ExportError("the spec, the shop file and the readings need different names")
    return Job(
        kind=KIND,
        stamp=Stamp(job=file.job.job.name, title=file.job.job.title, revision=revised.file.revision),
        head={
            "spec": f"{WAS}/{file.spec_path.name}",
            "readings": f"{WAS}/{measured.path.name}",
        },
        kept=tuple(kept),
        artefacts=tuple(artefacts),
        findings=answer.findings,
    )


def write_asdrilled(answer: AsDrilled, out: Path, *, progress: Progress) -> Issued:
    """Write, read back and swap in the folder ``<readings>_asdrilled`` with the revised spec and blank.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    name = f"{answer.measured.file.readings.measure.name}_asdrilled"
    return issue(job_of(answer), out / name, progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished folder of ``asdrilled``: spec and readings in it are weighed again.

    Raises ``ReadBackError``, and what ``as_drilled`` raises.
    """
    spec = require_kept(folder, manifest.of_kind("spec"), "spec")
    own = require_kept(folder, manifest.of_kind("readings"), "readings")
    for key, path in (("spec", spec), ("readings", own)):
        if manifest.said(key) != path.relative_to(folder).as_posix():
            raise ReadBackError(NAME, f"does not name the {key} the files were made from")
    return job_of(as_drilled(spec, own))


def _read_spec(path: Path, *, rel: str, answer: AsDrilled, text: str) -> ReadBack:
    """In the revised spec the part must lie on its holes where it is, with the clearance promised."""
    rescue, after = _chosen(answer)
    if path.read_bytes() != text.encode():
        return ReadBack(path=rel, problems=("is not what spec and readings give",))
    revised = prepare(path)
    part = next(p for p in revised.parts if p.spec.name == answer.part.spec.name)
    panel = next(p for p in revised.file.job.panel if p.name == answer.panel.name)
    if part.mount is None:
        return ReadBack(path=rel, problems=("has lost the part's mount",))
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
    return ReadBack(path=rel, facts=(fact,), problems=tuple(problems))
