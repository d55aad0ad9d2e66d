"""Bend lines, centre marks and text of a flat DXF against the plan."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.mtext import MText
from ezdxf.entities.text import Text
from ezdxf.lldxf.encoding import decode_dxf_unicode

from generators.figures import fixed
from generators.geometry.contours import bounds
from generators.model.plan import PartPlan, Slot
from generators.model.spec.shop import Cutting
from generators.sheetmetal.allowance import deduction
from generators.sheetmetal.cut_file import LayerNames
from generators.sheetmetal.folding import FlatBend, FlatPattern
from generators.verify.dxf.cut_contours import at

SAME_MM = 1e-6
LABEL_NEAR_MM = 6.0
KERF_NOTE = re.compile(r"KERF OFFSET APPLIED for a cut (?P<kerf>[\d.]+) mm wide: .*")
GRAIN_NOTE = re.compile(r"Grain \(rolling direction\) along (?P<axis>[XY]) of the blank")
BEND_NOTE = re.compile(
    r"bend (?P<name>\w+): (?P<direction>UP|DOWN) (?P<angle>[\d.]+) deg, inside R (?P<radius>[\d.]+) mm, "
    r"K (?P<k>[\d.]+), allowance (?P<allowance>[\d.]+) mm, deduction (?:(?P<deduction>-?[\d.]+) mm|none .*)"
)


@dataclass(slots=True)
class Sheet:
    """The model space, sorted by layer. ``lines`` are all straight lines on layers of bends and marks."""

    cuts: list[DXFEntity] = field(default_factory=list)
    lines: list[tuple[str, Line]] = field(default_factory=list)
    texts: list[tuple[str, tuple[float, float]]] = field(default_factory=list)
    grain: list[Line] = field(default_factory=list)
    etch: list[DXFGraphic] = field(default_factory=list)
    letters: list[tuple[str, tuple[float, float], float]] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)


def add_text(sheet: Sheet, layer: str, layers: LayerNames, entity: Text | MText) -> None:
    """Sort a text by its layer: notes, letters of corners, or a problem."""
    insert = entity.dxf.insert
    if layer == layers.notes:
        content = entity.dxf.text if isinstance(entity, Text) else entity.text
        # R12 has no letters but its code page's: others stand as ``\U+`` and four digits
        sheet.texts.append((decode_dxf_unicode(content), (insert.x, insert.y)))
    elif layer == layers.corners and isinstance(entity, Text):
        sheet.letters.append((entity.dxf.text, (insert.x, insert.y), entity.dxf.height))
    else:
        sheet.problems.append(f"{entity.dxftype()} does not belong on the layer {layer}")


def note_problems(sheet: Sheet, cutting: Cutting, job: str = "") -> Iterator[str]:
    """What the text must say whatever the part: the job, units, and the kerf if there is one."""
    if not cutting.notes:
        return
    if job and not any(text == f"Job: {job}" for text, _ in sheet.texts):
        yield f"no note says that it is of the job {job!r}"
    if not any("UNITS: mm" in text for text, _ in sheet.texts):
        yield "no note says that the units are mm"
    said = [float(m["kerf"]) for text, _ in sheet.texts if (m := KERF_NOTE.fullmatch(text))]
    if cutting.kerf_mm is None:
        if said:
            yield f"a note says that a kerf of {said[0]:g} mm is offset, the shop asks for none"
        elif not any(text == "No kerf offset." for text, _ in sheet.texts):
            yield "no note says that there is no kerf offset"
    elif not said or abs(said[0] - cutting.kerf_mm) > 0.00501:
        yield f"no note declares the kerf offset of {cutting.kerf_mm:g} mm"


def mark_problems(
    lines: Iterable[Line],
    places: Iterable[tuple[str, tuple[float, float], float]],
    sheet: Sheet,
    cutting: Cutting,
) -> Iterator[str]:
    """Each centre mark is two short lines that cross in the middle, with a note for the drill."""
    middles = [((m.dxf.start.x + m.dxf.end.x) / 2, (m.dxf.start.y + m.dxf.end.y) / 2) for m in lines]
    used: set[int] = set()
    for name, place, diameter in places:
        here = [i for i, m in enumerate(middles) if math.dist(m, place) < SAME_MM]
        used.update(here)
        if len(here) != 2:
            yield f"opening {name!r}: no centre mark of two lines at {at(place)}"
        if not cutting.notes:
            continue
        if not any(
            f" {name}: centre mark" in t and f"drill {fixed(diameter, 2)} mm" in t for t, _ in sheet.texts
        ):
            yield f"opening {name!r}: no note says to drill {diameter:.2f} mm"
    for i, middle in enumerate(middles):
        if i not in used:
            yield f"a mark at {at(middle)} is not in the plan"


def grain_problems(sheet: Sheet, plan: PartPlan, flat: FlatPattern, cutting: Cutting) -> Iterator[str]:
    """The arrow lies on the blank as the part orders it, and a note says so; none where none is ordered."""
    wanted = {"along_u": "X", "along_v": "Y"}.get(plan.grain, "")
    notes = [m["axis"] for text, _ in sheet.texts if (m := GRAIN_NOTE.match(text))]
    if cutting.notes and notes != ([wanted] if wanted else []):
        yield f"notes give the grain along {notes or 'nothing'}, the part orders {wanted or 'none'}"
    if not sheet.grain or not wanted:
        if bool(sheet.grain) != bool(wanted):
            yield f"{len(sheet.grain)} lines of a grain arrow, the part orders {wanted or 'none'}"
        return
    ends = [((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)) for e in sheet.grain]
    shaft = max(ends, key=lambda line: math.dist(*line))
    (u0, v0), (u1, v1) = shaft
    off = abs(v1 - v0) if wanted == "X" else abs(u1 - u0)
    if off > SAME_MM:
        yield f"the grain arrow does not run along {wanted}"
    heads = [sum(math.dist(line[0], tip) < SAME_MM for line in ends if line is not shaft) for tip in shaft]
    if heads != [2, 2]:
        yield f"the grain arrow has {heads} barbs, two at each end are wanted"
    x0, y0, x1, y1 = bounds(flat.contour)
    if not all(x0 <= u <= x1 and y0 <= v <= y1 for line in ends for u, v in line):
        yield "the grain arrow is not on the blank"


def bend_problems(
    sheet: Sheet, flat: FlatPattern, thickness_mm: float, cutting: Cutting, layers: LayerNames
) -> tuple[list[str], list[tuple[str, Line]]]:
    """What is wrong with the bends, and the lines that belong to none."""
    left = list(sheet.lines)
    problems: list[str] = []
    notes = {m["name"]: m for text, _ in sheet.texts if (m := BEND_NOTE.fullmatch(text))}
    for strip in flat.bends:
        bend = strip.bend
        found = next((item for item in left if _same_line(item[1], strip.middle)), None)
        if found is not None:
            left.remove(found)
            if not cutting.bend_lines:
                problems.append(f"bend {bend.name!r} has a line, the shop asks for none")
            elif found[0] != layers.bend(bend.direction):
                problems.append(f"bend {bend.name!r} is on {found[0]}, the plan bends it {bend.direction}")
        elif cutting.bend_lines:
            problems.append(
                f"bend {bend.name!r}: no bend line at {at(strip.middle[0])} to {at(strip.middle[1])}"
            )
        if not cutting.notes:
            continue
        label = f"{bend.name} {bend.direction.upper()} "
        labels = (place for text, place in sheet.texts if text.startswith(label))
        if cutting.bend_lines and not any(_distance(p, strip.middle) < LABEL_NEAR_MM for p in labels):
            problems.append(f"bend {bend.name!r} has no text beside its line")
        note = notes.get(bend.name)
        if note is None:
            problems.append(f"bend {bend.name!r} has no note with angle, radius, K and deduction")
        else:
            problems += _note_problems(note, strip, thickness_mm)
    return problems, left


def _note_problems(note: re.Match[str], strip: FlatBend, thickness_mm: float) -> Iterator[str]:
    bend = strip.bend
    checks = [
        ("angle", math.degrees(bend.angle_rad), 0.005),
        ("radius", bend.inside_radius_mm, 0.00501),
        ("k", bend.k_factor, 0.0000501),
        ("allowance", strip.allowance_mm, 0.00501),
    ]
    if bend.angle_rad < math.pi:
        takes = deduction(bend.angle_rad, bend.inside_radius_mm, thickness_mm, bend.k_factor)
        checks.append(("deduction", takes, 0.00501))
    if note["direction"] != bend.direction.upper():
        yield f"bend {bend.name!r}: the note says {note['direction']}, the plan bends it {bend.direction}"
    for group, wanted, within in checks:
        said = note[group]
        if said is None or abs(float(said) - wanted) > within:
            yield f"bend {bend.name!r}: the note gives {group} {said}, the plan {wanted:.4f}"


def slot_ends(slot: Slot) -> tuple[tuple[float, float], tuple[float, float]]:
    """Centres of the round ends of a slot, mm."""
    du = math.cos(slot.angle_rad) * slot.travel_mm / 2
    dv = math.sin(slot.angle_rad) * slot.travel_mm / 2
    return (slot.u_mm - du, slot.v_mm - dv), (slot.u_mm + du, slot.v_mm + dv)


def _same_line(line: Line, wanted: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    a, b = (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)
    return any(
        math.dist(p, wanted[0]) < SAME_MM and math.dist(q, wanted[1]) < SAME_MM for p, q in ((a, b), (b, a))
    )


def _distance(point: tuple[float, float], line: tuple[tuple[float, float], tuple[float, float]]) -> float:
    (u0, v0), (u1, v1) = line
    du, dv = u1 - u0, v1 - v0
    t = ((point[0] - u0) * du + (point[1] - v0) * dv) / (du * du + dv * dv)
    t = min(1.0, max(0.0, t))
    return math.dist(point, (u0 + t * du, v0 + t * dv))


def off_plane(entity: DXFEntity) -> bool:
    """True for an entity above or below the sheet, or drawn looking from behind (mirrored)."""
    heights: list[float] = []
    if isinstance(entity, Circle):  # arcs too
        heights = [entity.dxf.center.z]
    elif isinstance(entity, Line):
        heights = [entity.dxf.start.z, entity.dxf.end.z]
    elif isinstance(entity, LWPolyline):
        heights = [entity.dxf.get("elevation", 0.0)]
    elif isinstance(entity, Text | MText):
        heights = [entity.dxf.insert.z]
    flipped = entity.dxf.hasattr("extrusion") and not entity.dxf.extrusion.isclose((0, 0, 1))
    return flipped or any(abs(h) > SAME_MM for h in heights)
