"""One way to set up and save a DXF file, so that the same plan always gives the same bytes.

Every layer has the neutral colour 7, black on paper and white on a dark screen: layers are told apart by the
line types and line weights of ISO 128-2.

Dates, GUIDs and the program's marker are fixed through ezdxf's own switch; handles are counted
from the same start in every new document. Units are declared twice ($INSUNITS and $MEASUREMENT)
wherever the release has room for them: R12 has neither.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.lldxf.const import DXFError

from generators.errors import ExportError

INSUNITS_MM = 4
MEASUREMENT_METRIC = 1


NEUTRAL_COLOR = 7
_BETWEEN = "BETWEEN_NAMES_"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineType:
    """A line of ISO 128-2: weight in mm, dashes (positive) and gaps (negative) in line weights.

    The lengths are the ones ISO 128-2 shares with ISO 128-20 (from memory; tests compare them with ezdxf's
    own ISO patterns).
    """

    name: str
    weight_mm: float
    pattern: tuple[float, ...] = ()


CONTINUOUS_WIDE = LineType(name="Continuous", weight_mm=0.5)
CONTINUOUS_NARROW = LineType(name="Continuous", weight_mm=0.25)
DASHED = LineType(name="ISO128_02", weight_mm=0.25, pattern=(12, -3))
CHAIN = LineType(name="ISO128_04", weight_mm=0.25, pattern=(24, -3, 0.5, -3))
DOUBLE_CHAIN = LineType(name="ISO128_05", weight_mm=0.25, pattern=(24, -3, 0.5, -3, 0.5, -3))


@dataclass(frozen=True, slots=True, kw_only=True)
class DxfLayer:
    """A layer and the line everything on it is drawn with."""

    name: str
    line: LineType


@contextmanager
def _fixed_metadata() -> Iterator[None]:
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def new_dxf(release: str, layers: Sequence[DxfLayer]) -> Drawing:
    """An empty document in mm with its layers. ``release`` is ``R12`` or ``R2010``."""
    with _fixed_metadata():
        doc = Drawing.new(release)  # ezdxf.new would set units on R12 as well, and warn
    if release != "R12":
        doc.header["$INSUNITS"] = INSUNITS_MM
        doc.header["$MEASUREMENT"] = MEASUREMENT_METRIC
    for layer in layers:
        _add_layer(doc, layer)
    return doc


def _add_layer(doc: Drawing, layer: DxfLayer) -> None:
    line = layer.line
    if line.pattern and line.name not in doc.linetypes:
        lengths = [length * line.weight_mm for length in line.pattern]
        doc.linetypes.add(line.name, pattern=[sum(abs(x) for x in lengths), *lengths], description=line.name)
    # every document has layer 0
    entry = doc.layers.get(layer.name) if layer.name in doc.layers else doc.layers.add(layer.name)
    entry.color = NEUTRAL_COLOR
    entry.dxf.linetype = line.name
    if doc.dxfversion != "AC1009":  # R12 has no line weights
        entry.dxf.lineweight = round(line.weight_mm * 100)


def rename_layers(doc: Drawing, names: Mapping[str, str]) -> None:
    """Give layers the names a shop wants, two of them exchanged included; what lies on them follows."""
    changed = {old: new for old, new in names.items() if old != new}
    for number, old in enumerate(changed):
        doc.layers.get(old).rename(f"{_BETWEEN}{number}")
    for number, new in enumerate(changed.values()):
        doc.layers.get(f"{_BETWEEN}{number}").rename(new)


def save_dxf(
    doc: Drawing,
    path: Path,
    bounds: tuple[float, float, float, float],
    *,
    comments: Sequence[str] = (),
) -> None:
    """Write the document; ``bounds`` (mm) is what a viewer shows first. Raises ``ExportError``.

    ``comments`` come first, in groups 999 that every reader passes over: even a file without text tells
    whoever opens it in an editor what it is.
    """
    u0, v0, u1, v1 = bounds
    msp = doc.modelspace()
    msp.reset_extents((u0, v0, 0.0), (u1, v1, 0.0))
    msp.reset_limits((u0, v0), (u1, v1))
    doc.set_modelspace_vport(height=max(v1 - v0, (u1 - u0) / 2) * 1.2, center=((u0 + u1) / 2, (v0 + v1) / 2))
    # ezdxf adds these from a set, in an order that differs from one process to the next
    for kind in sorted(doc.entitydb.dxf_types_in_use()):
        doc.classes.add_class(kind)
    stream = io.StringIO()
    try:
        with _fixed_metadata():
            doc.write(stream)
        before = "".join(f"999\n{line}\n" for line in comments)
        path.write_bytes(doc.encode(before + stream.getvalue()))
    except (OSError, DXFError) as fault:
        raise ExportError(f"{path.name}: {fault}") from fault
