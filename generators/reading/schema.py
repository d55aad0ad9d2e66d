"""JSON Schemas (Draft-07) of the spec, the shop's files and readings, made from the declared keys.

They help an editor complete and check. What a schema of that draft cannot say (bounds of a text
with a unit, names that must exist) only the reader checks. What hangs on a key beside it (the parameters of a
kind) is said by if and then: a wrong parameter is one error, at that parameter.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from generators.model.spec.dressing import HeldThing
from generators.model.spec.fields import FEATURE_PATTERN, NAME_PATTERN, FieldSpec, SpecField, spec_fields
from generators.model.spec.forms.vehicle import VehicleReadings
from generators.model.spec.job import Job, Panel
from generators.model.spec.readings import Readings
from generators.model.spec.shelf.file import Shelf
from generators.model.spec.shelf.things import KEY, given_keys
from generators.model.spec.shop import Shop
from generators.reading.sizes.tokens import LONGEST
from generators.reading.toml import words
from generators.standards import clearance_rows, fastener_rows, material_rows
from generators.units import MAX_TEXT, UNITS_BY_KIND, Kind, pattern

DRAFT = "http://json-schema.org/draft-07/schema#"
_PLAIN_LINE = r"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]*$"

Schema = dict[str, Any]


def job_schema(kinds: Mapping[str, type]) -> Schema:
    """The schema of a spec; each part's ``parameters`` follow its ``kind``; quantities may be arithmetic."""
    schema = {"$schema": DRAFT, "title": "Job spec", **_table(Job, kinds)}
    _allow_arithmetic(schema)
    worked_out = {"type": "string", "pattern": _ARITHMETIC, "maxLength": LONGEST}
    return {**schema, "definitions": {"arithmetic": worked_out}}


def _allow_arithmetic(schema: Any) -> None:
    if isinstance(schema, list):
        for one in schema:
            _allow_arithmetic(one)
    elif isinstance(schema, dict):
        plain = schema.get("pattern")
        if isinstance(plain, str) and plain in _QUANTITIES:
            one_quantity = {key: schema.pop(key) for key in ("type", "pattern", "maxLength")}
            schema["anyOf"] = [one_quantity, {"$ref": "#/definitions/arithmetic"}]
            return
        for one in schema.values():
            _allow_arithmetic(one)


def shop_schema() -> Schema:
    """The schema of the shop file."""
    return {"$schema": DRAFT, "title": "Shop file", **_table(Shop, {})}


def shelf_schema() -> Schema:
    """The schema of the shelf's file."""
    return {"$schema": DRAFT, "title": "Shelf", **_table(Shelf, {})}


def readings_schema() -> Schema:
    """The schema of a file of readings (``pedalplate measure``)."""
    return {"$schema": DRAFT, "title": "Readings", **_table(Readings, {})}


def vehicle_schema() -> Schema:
    """The schema of a file of readings of one vehicle (``pedalplate fits``)."""
    return {"$schema": DRAFT, "title": "Readings of a vehicle", **_table(VehicleReadings, {})}


def _table(cls: type, kinds: Mapping[str, type]) -> Schema:
    declared = list(spec_fields(cls))
    # only beside the parameters of a kind does `kind` name a kind of bracket
    named = tuple(kinds) if any(f.spec.kind == "kind_table" for f in declared) else ()
    schema: Schema = {
        "type": "object",
        "description": (inspect.getdoc(cls) or "").partition("\n")[0],
        "properties": {
            f.key: _property(f, named if f.key == "kind" else _words_of(cls, f), kinds) for f in declared
        },
        "additionalProperties": False,
    }
    lent = given_keys(cls) if any(f.key == KEY for f in declared) else frozenset()
    required = [f.key for f in declared if f.required]
    if required:
        schema["required"] = [name for name in required if name not in lent]
    rules: list[Schema] = []
    if lent & set(required):
        missing = [name for name in required if name in lent]
        # a thing of the shelf may give them
        rules.append({"if": {"not": {"required": [KEY]}}, "then": {"required": missing}})
    for f in declared:
        if f.spec.kind == "kind_table":
            rules += [_rule(f.key, name, cls, kinds) for name, cls in kinds.items()]
    if rules:
        schema["allOf"] = rules
    return schema


def _rule(key: str, name: str, cls: type, kinds: Mapping[str, type]) -> Schema:
    """What the parameters are where the kind is this one."""
    parameters = _table(cls, kinds)
    then: Schema = {"properties": {key: parameters}}
    if parameters.get("required"):
        then["required"] = [key]
    return {"if": {"properties": {"kind": {"const": name}}, "required": ["kind"]}, "then": then}


def _words_of(cls: type, declared: SpecField) -> tuple[str, ...]:
    """What a text is one of, where a table of the standards says: materials and threads."""
    if declared.spec.kind != "text" or declared.key in _FREE or (cls, declared.key) in _FREE:
        return ()
    known = next((names() for word, names in _TABLES if re.fullmatch(rf"(.*_)?{word}", declared.key)), ())
    return (*known, "") if known and declared.default == "" else known


def _materials() -> tuple[str, ...]:
    return tuple(row.name for row in material_rows())


def _threads() -> tuple[str, ...]:
    """Threads of the tables of bolts and of their holes, each once."""
    bolts = [row.thread for row in fastener_rows()]
    return tuple(dict.fromkeys([*bolts, *(row.thread for row in clearance_rows())]))


_TABLES = (("material", _materials), ("thread", _threads))
_FREE: frozenset[str | tuple[type, str]] = frozenset(
    {(Panel, "material"), (HeldThing, "material"), "port_thread"}
)
"""Texts of the vehicle and of bought things, in the user's words."""


def _property(declared: SpecField, names: Sequence[str], kinds: Mapping[str, type]) -> Schema:
    schema = _kind(declared.spec, kinds)
    schema["description"] = _hover(declared.spec)
    if names:
        schema = {"type": "string", "enum": list(names), "description": declared.spec.doc}
    default = _default(declared)
    if default is not None:
        schema["default"] = default
    return schema


def _hover(spec: FieldSpec) -> str:
    """What an editor shows of a key: what it is for, what it may hold, and an example."""
    if spec.kind in ("table", "tables", "kind_table", "flag", "choice"):
        return spec.doc
    wanted = words.expected(spec)
    return f"{spec.doc.rstrip('.')}. {wanted[:1].upper()}{wanted[1:]}."


def _default(declared: SpecField) -> Any:
    """The default as it would be written in the file; ``None`` where it could not be written."""
    value = declared.default
    match declared.spec.kind:
        case "length" | "length_or" if isinstance(value, float | int):
            return words.millimetres(value)
        case "angle" if value is not None:
            return words.degrees(value)
        case kind if kind in words.QUANTITIES and value is not None:
            return words.QUANTITIES[kind].text(value)
        case "name" | "text" | "date" if not value:
            return None
        case "files" | "sizes" | "picks" | "overrides":
            return None
        case "table" | "tables" | "kind_table" | "names" | "features" | "curve":
            return None
        case "point" | "point3" | "points" | "lengths":
            return None
        case _:
            return value


def _array(items: Schema, lo: float | None, hi: float | None) -> Schema:
    schema: Schema = {"type": "array", "items": items}
    if lo is not None:
        schema["minItems"] = int(lo)
    if hi is not None:
        schema["maxItems"] = int(hi)
    return schema


def _bounded(kind: str, lowest: str, highest: str, spec: FieldSpec) -> Schema:
    schema: Schema = {"type": kind}
    if spec.lo is not None:
        schema[lowest] = spec.lo if kind == "number" else int(spec.lo)
    if spec.hi is not None:
        schema[highest] = spec.hi if kind == "number" else int(spec.hi)
    return schema


def _length() -> Schema:
    return {"type": "string", "pattern": pattern(Kind.LENGTH), "maxLength": MAX_TEXT}


def _quantity(kind: Kind) -> Callable[[FieldSpec], Schema]:
    return lambda spec: {**_length(), "pattern": pattern(kind)}


def _pairs(spec: FieldSpec) -> Schema:
    # a schema can say what stands at each place of a list
    pair = [_length(), {**_length(), "pattern": pattern(Kind.FORCE)}]
    return _array({"type": "array", "items": pair, "minItems": 2, "maxItems": 2}, spec.lo, spec.hi)


def _line_of_text(spec: FieldSpec) -> Schema:
    return {**_bounded("string", "minLength", "maxLength", spec), "pattern": _PLAIN_LINE}


_NAME: Mapping[str, Any] = MappingProxyType({"type": "string", "pattern": NAME_PATTERN})
_THICKNESS = f"(?:{pattern(Kind.LENGTH)})|(?:^ *[0-9]{{1,2}} *(?:ga|gauge|gage|swg|SWG) *$)"
_QUANTITIES = frozenset({_THICKNESS, *(pattern(kind) for kind in Kind)})
_NUMBER = r"(?:[0-9]+(?: +|-)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_UNITS = "|".join(re.escape(unit) for units in UNITS_BY_KIND.values() for unit in units)
_CALLED = NAME_PATTERN[1:-1]
_TERM = rf"(?:{_NUMBER}(?: *[A-Za-z°][A-Za-z0-9_/]*)?|{_CALLED})"
_ARITHMETIC = (
    rf"(?:^[ (+-]*{_TERM}[ )]*(?:[-+*/][ (+-]*{_TERM}[ )]*)+$)"
    rf"|(?:^(?! *[+-]? *{_NUMBER} *(?:{_UNITS}) *$) *[+-]? *(?:{_NUMBER} *)?{_CALLED} *$)"
)
"""Terms joined by signs, or one that calls a size. Brackets and unknown names only the reader sees."""

_PLAIN_KINDS: Mapping[str, Callable[[FieldSpec], Schema]] = MappingProxyType(
    {
        "length": lambda spec: _length(),
        "thickness": lambda spec: {**_length(), "pattern": _THICKNESS},
        "length_or": lambda spec: {"anyOf": [_length(), {"type": "string", "enum": list(spec.choices)}]},
        **{str(kind): _quantity(kind) for kind in (Kind.ANGLE, Kind.FORCE, Kind.PRESSURE)},
        **{
            str(kind): _quantity(kind) for kind in (Kind.VOLUME, Kind.SWELL, Kind.FLEX, Kind.TIME, Kind.SPEED)
        },
        "curve": _pairs,
        "integer": lambda spec: _bounded("integer", "minimum", "maximum", spec),
        "number": lambda spec: _bounded("number", "minimum", "maximum", spec),
        "text": _line_of_text,
        "date": lambda spec: {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"},
        "name": lambda spec: dict(_NAME),
        "names": lambda spec: _array(dict(_NAME), spec.lo, spec.hi),
        "features": lambda spec: _array({"type": "string", "pattern": FEATURE_PATTERN}, spec.lo, spec.hi),
        "files": lambda spec: _array({"type": "string", "minLength": 1}, spec.lo, spec.hi),
        "sizes": lambda spec: {"type": "object", "additionalProperties": {"type": ["string", "number"]}},
        "picks": lambda spec: {"type": "object", "additionalProperties": dict(_NAME)},
        "overrides": lambda spec: {"type": "object", "additionalProperties": {}},
        "flag": lambda spec: {"type": "boolean"},
        "choice": lambda spec: {"type": "string", "enum": list(spec.choices)},
        "point": lambda spec: _array(_length(), 2, 2),
        "point3": lambda spec: _array(_length(), 3, 3),
        "points": lambda spec: _array(_array(_length(), 2, 2), spec.lo, spec.hi),
        "lengths": lambda spec: _array(_length(), spec.lo, spec.hi),
    }
)


def _kind(spec: FieldSpec, kinds: Mapping[str, type]) -> Schema:
    """The schema of a key by its kind; only tables must look further."""
    plain = _PLAIN_KINDS.get(spec.kind)
    if plain is not None:
        return plain(spec)
    if spec.item is None:
        return {"type": "object"}
    table = _table(spec.item, kinds)
    return _array(table, spec.lo, spec.hi) if spec.kind == "tables" else table
