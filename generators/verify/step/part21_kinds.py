"""What a STEP file of a part may hold, and what must stand in each of its places.

Every reference must lead to an instance of the kind its place calls for, and only planes,
cylinders, cones, lines and circles are let through: a spline where an arc should be is named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import islice

from generators.verify.step.part21 import File21, Ref, Value, Word

MOST_NAMED = 5
SURFACES = "PLANE|CYLINDRICAL_SURFACE|CONICAL_SURFACE"
CURVES = "LINE|CIRCLE"
# What stands in each place: s text, r number, + number above 0, xyz three numbers, dir three
# numbers not all 0, b .T. or .F., * derived, ? whatever, KIND|KIND a reference, [KIND] a list of them.
SHAPES: Mapping[str, tuple[str, ...]] = {
    "CARTESIAN_POINT": ("s", "xyz"),
    "DIRECTION": ("s", "dir"),
    "VECTOR": ("s", "DIRECTION", "+"),
    "LINE": ("s", "CARTESIAN_POINT", "VECTOR"),
    "AXIS2_PLACEMENT_3D": ("s", "CARTESIAN_POINT", "DIRECTION", "DIRECTION"),
    "CIRCLE": ("s", "AXIS2_PLACEMENT_3D", "+"),
    "PLANE": ("s", "AXIS2_PLACEMENT_3D"),
    "CYLINDRICAL_SURFACE": ("s", "AXIS2_PLACEMENT_3D", "+"),
    "CONICAL_SURFACE": ("s", "AXIS2_PLACEMENT_3D", "+", "+"),
    "VERTEX_POINT": ("s", "CARTESIAN_POINT"),
    "EDGE_CURVE": ("s", "VERTEX_POINT", "VERTEX_POINT", CURVES, "b"),
    "ORIENTED_EDGE": ("s", "*", "*", "EDGE_CURVE", "b"),
    "EDGE_LOOP": ("s", "[ORIENTED_EDGE]"),
    "FACE_BOUND": ("s", "EDGE_LOOP", "b"),
    "FACE_OUTER_BOUND": ("s", "EDGE_LOOP", "b"),
    "ADVANCED_FACE": ("s", "[FACE_BOUND|FACE_OUTER_BOUND]", SURFACES, "b"),
    "CLOSED_SHELL": ("s", "[ADVANCED_FACE]"),
    "MANIFOLD_SOLID_BREP": ("s", "CLOSED_SHELL"),
    "ADVANCED_BREP_SHAPE_REPRESENTATION": (
        "s",
        "[AXIS2_PLACEMENT_3D|MANIFOLD_SOLID_BREP]",
        "GEOMETRIC_REPRESENTATION_CONTEXT",
    ),
    "SHAPE_DEFINITION_REPRESENTATION": ("PRODUCT_DEFINITION_SHAPE", "ADVANCED_BREP_SHAPE_REPRESENTATION"),
    "PRODUCT_DEFINITION_SHAPE": ("s", "s", "PRODUCT_DEFINITION"),
    "PRODUCT_DEFINITION": ("s", "s", "PRODUCT_DEFINITION_FORMATION", "PRODUCT_DEFINITION_CONTEXT"),
    "PRODUCT_DEFINITION_FORMATION": ("s", "s", "PRODUCT"),
    "PRODUCT": ("s", "s", "s", "[PRODUCT_CONTEXT]"),
    "PRODUCT_CONTEXT": ("s", "APPLICATION_CONTEXT", "s"),
    "PRODUCT_DEFINITION_CONTEXT": ("s", "APPLICATION_CONTEXT", "s"),
    "PRODUCT_RELATED_PRODUCT_CATEGORY": ("s", "?", "[PRODUCT]"),
    "APPLICATION_CONTEXT": ("s",),
    "APPLICATION_PROTOCOL_DEFINITION": ("s", "s", "r", "APPLICATION_CONTEXT"),
    "GEOMETRIC_REPRESENTATION_CONTEXT": ("r",),
    "GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT": ("[UNCERTAINTY_MEASURE_WITH_UNIT]",),
    "GLOBAL_UNIT_ASSIGNED_CONTEXT": ("[LENGTH_UNIT|PLANE_ANGLE_UNIT|SOLID_ANGLE_UNIT]",),
    "REPRESENTATION_CONTEXT": ("s", "s"),
    "UNCERTAINTY_MEASURE_WITH_UNIT": ("?", "LENGTH_UNIT", "s", "s"),
    "LENGTH_UNIT": (),
    "PLANE_ANGLE_UNIT": (),
    "SOLID_ANGLE_UNIT": (),
    "NAMED_UNIT": ("?",),
    "SI_UNIT": ("?", "?"),
    "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION": (
        "s",
        "[STYLED_ITEM]",
        "GEOMETRIC_REPRESENTATION_CONTEXT",
    ),
    "STYLED_ITEM": ("s", "[PRESENTATION_STYLE_ASSIGNMENT]", "MANIFOLD_SOLID_BREP"),
    "PRESENTATION_STYLE_ASSIGNMENT": ("[SURFACE_STYLE_USAGE]",),
    "SURFACE_STYLE_USAGE": ("?", "SURFACE_SIDE_STYLE"),
    "SURFACE_SIDE_STYLE": ("s", "[SURFACE_STYLE_FILL_AREA]"),
    "SURFACE_STYLE_FILL_AREA": ("FILL_AREA_STYLE",),
    "FILL_AREA_STYLE": ("s", "[FILL_AREA_STYLE_COLOUR]"),
    "FILL_AREA_STYLE_COLOUR": ("s", "COLOUR_RGB"),
    "COLOUR_RGB": ("s", "r", "r", "r"),
}


def faults(file: File21) -> list[str]:
    """What keeps the instances from being a sheet-metal part, in words; the first few."""
    return list(islice(_faults(file), MOST_NAMED))


def _faults(file: File21) -> Iterator[str]:
    for number, pieces in file.instances.items():
        for piece in pieces:
            what = f"#{number} {piece.kind}"
            shape = SHAPES.get(piece.kind)
            if shape is None:
                yield f"{what} does not belong in a sheet-metal part in mm: planes, cylinders, lines, arcs"
            elif len(shape) != len(piece.values):
                yield f"{what} has {len(piece.values)} values, not {len(shape)}"
            else:
                for i, (wanted, value) in enumerate(zip(shape, piece.values, strict=True), 1):
                    if not _fits(wanted, value, file):
                        yield f"{what}: value {i} is not {WORDS.get(wanted, f'a reference to {wanted}')}"


def _number(value: Value) -> bool:
    return isinstance(value, int | float)


def _three(value: Value) -> bool:
    return isinstance(value, tuple) and len(value) == 3 and all(isinstance(v, float) for v in value)


PLAIN: Mapping[str, Callable[[Value], bool]] = {
    "?": lambda _: True,
    "s": lambda value: isinstance(value, str),
    "r": _number,
    "+": lambda value: isinstance(value, int | float) and value > 0,
    "b": lambda value: value in (Word(".T."), Word(".F.")),
    "*": lambda value: value == Word("*"),
    "xyz": _three,
    "dir": lambda value: _three(value) and isinstance(value, tuple) and any(value),
}
WORDS: Mapping[str, str] = {
    "s": "a text",
    "r": "a number",
    "+": "a number above 0",
    "b": ".T. or .F.",
    "*": "derived",
    "xyz": "three numbers",
    "dir": "a direction",
}


def _fits(wanted: str, value: Value, file: File21) -> bool:
    plain = PLAIN.get(wanted)
    if plain is not None:
        return plain(value)
    if wanted.startswith("["):
        return isinstance(value, tuple) and bool(value) and all(_leads(wanted[1:-1], v, file) for v in value)
    return _leads(wanted, value, file)


def _leads(kinds: str, value: Value, file: File21) -> bool:
    if not isinstance(value, Ref):
        return False
    return any(piece.kind in kinds.split("|") for piece in file.instances.get(value.number, ()))
