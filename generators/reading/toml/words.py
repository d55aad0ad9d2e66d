"""Values and wishes in words, short and safe to print whatever the file holds."""

from __future__ import annotations

import datetime
import difflib
import itertools
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from generators.model.spec.fields import FieldSpec, SpecField

SHOWN_CHARACTERS = 60
# Beyond this many digits Python refuses to print an int, and nobody wants to read it.
_SHOWN_BITS = 128


def quoted(text: str) -> str:
    """The text in double quotes, cut to ``SHOWN_CHARACTERS``, without control characters."""
    cut = text if len(text) <= SHOWN_CHARACTERS else text[:SHOWN_CHARACTERS] + "…"
    safe = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in cut)
    return f'"{safe}"'


def _whole(value: int) -> str:
    if value.bit_length() > _SHOWN_BITS:
        return "a whole number of more than 38 digits"
    return f"the bare number {value}"


# The first type that fits counts: a flag is also an int to Python.
_FOUND: tuple[tuple[type | tuple[type, ...], Callable[[Any], str]], ...] = (
    (bool, lambda value: f"the flag {str(value).lower()}"),
    (int, _whole),
    (float, lambda value: f"the bare number {value:g}"),
    (str, lambda value: f"the text {quoted(value)}"),
    (list, lambda value: f"a list of {len(value)}"),
    (dict, lambda value: "a table"),
    ((datetime.date, datetime.time), lambda value: "a date or time"),
)


def found(value: object) -> str:
    """What a TOML value is, in words."""
    return next((say(value) for kind, say in _FOUND if isinstance(value, kind)), "something else")


def number_text(value: float) -> str:
    """A number without needless digits: ``12``, ``0.3``."""
    return f"{value:.10g}"


def millimetres(value: float) -> str:
    """A length for people: ``12 mm``."""
    return f"{number_text(value)} mm"


def degrees(value: float) -> str:
    """An angle for people, from radians: ``90 deg``."""
    return f"{number_text(round(math.degrees(value), 6))} deg"


@dataclass(frozen=True, slots=True)
class Quantity:
    """How a kind of quantity is shown: ``scale`` times the base unit, in ``unit``."""

    what: str
    unit: str
    scale: float
    example: str

    def text(self, value: float) -> str:
        """A value in base units for people: ``12 cc`` from 12000 mm3."""
        return f"{number_text(value * self.scale)} {self.unit}"


QUANTITIES = MappingProxyType(
    {
        "force": Quantity("a force", "N", 1.0, '"400 N" or "90 lbf"'),
        "pressure": Quantity("a pressure", "MPa", 1.0, '"7 MPa" or "1000 psi"'),
        "volume": Quantity("a volume", "cc", 0.001, '"10 cc" or "0.62 in3"'),
        # 1 mm3 per mm is 1 cc per m.
        "swell": Quantity("a volume per length", "cc/m", 1.0, '"0.33 cc/ft" or "1.1 cc/m"'),
        "flex": Quantity("a length per force", "mm/kN", 1000.0, '"0.4 mm/kN"'),
        "time": Quantity("a time", "s", 1.0, '"1.5 s" or "12 min"'),
        "speed": Quantity("a speed", "m/min", 0.06, '"3.2 m/min" or "120 in/min"'),
    }
)
"""The kinds of quantity beside lengths and angles."""


def _between(spec: FieldSpec, show: str) -> str:
    def words(bound: float) -> str:
        if show in QUANTITIES:
            return QUANTITIES[show].text(bound)
        return {"mm": millimetres, "deg": degrees}.get(show, number_text)(bound)

    if spec.lo is not None and spec.hi is not None:
        return f" from {words(spec.lo)} to {words(spec.hi)}"
    if spec.hi is not None:
        return f" up to {words(spec.hi)}"
    return f" from {words(spec.lo)}" if spec.lo is not None else ""


def _items(spec: FieldSpec) -> str:
    lo, hi = int(spec.lo or 0), spec.hi
    if hi is None:
        return ""
    return f"{lo} " if lo == hi else f"{lo} to {int(hi)} "


def _quantity(spec: FieldSpec) -> str:
    quantity = QUANTITIES[spec.kind]
    return f"{quantity.what}{_between(spec, spec.kind)}, like {quantity.example}"


_EXPECTED: Mapping[str, Callable[[FieldSpec], str]] = MappingProxyType(
    {
        "length": lambda spec: f'a length{_between(spec, "mm")}, like "38 mm" or "1 1/2 in"',
        "thickness": lambda spec: f'a thickness{_between(spec, "mm")}, like "2 mm", "14 ga" or "16 swg"',
        "length_or": lambda spec: (
            f'a length{_between(spec, "mm")}, like "38 mm", or the word {" or ".join(spec.choices)}'
        ),
        "angle": lambda spec: f'an angle{_between(spec, "deg")}, like "12 deg"',
        **dict.fromkeys(QUANTITIES, _quantity),
        "curve": lambda spec: f'a list of {_items(spec)}pairs of travel and force, like ["2 mm", "900 N"]',
        "integer": lambda spec: f"a whole number{_between(spec, '')}",
        "number": lambda spec: f"a bare number{_between(spec, '')}",
        "text": lambda spec: f"a line of text of {_items(spec)}characters",
        "date": lambda spec: 'a day as year, month and day, like "2026-03-14"',
        "name": lambda spec: (
            "a name: lower case letters, digits and _, a letter first, 40 characters at most"
        ),
        "names": lambda spec: f"a list of {_items(spec)}names",
        "feature": lambda spec: "a name, alone or with its owner's before it: line_out or hanger.mount_1",
        "features": lambda spec: f"a list of {_items(spec)}names like line_out or hanger.mount_1",
        "files": lambda spec: f'a list of {_items(spec)}files, like ["cab.toml"]',
        "sizes": lambda spec: 'a table of names and quantities, like gap = "3 mm"',
        "picks": lambda spec: 'a table of names and things of the shelf, like clutch_master = "master_7_8"',
        "overrides": lambda spec: 'a table of key paths and values, like "part[hanger].mount.at.u" = "38 mm"',
        "flag": lambda spec: "true or false",
        "choice": lambda spec: "one of " + ", ".join(filter(None, spec.choices)),
        "point": lambda spec: f'two lengths{_between(spec, "mm")}, like ["120 mm", "35 mm"]',
        "point3": lambda spec: f'three lengths{_between(spec, "mm")}, like ["0 mm", "120 mm", "35 mm"]',
        "points": lambda spec: f'a list of {_items(spec)}points, like [["0 mm", "0 mm"], ["9 in", "0 mm"]]',
        "lengths": lambda spec: f'a list of {_items(spec)}lengths, like ["10 mm", "20 mm"]',
        "tables": lambda spec: f"a list of {_items(spec)}tables",
    }
)


def expected(spec: FieldSpec) -> str:
    """What a key may hold, in words, with its bounds and an example."""
    words = _EXPECTED.get(spec.kind)
    return "a table" if words is None else words(spec)


def default_words(key: SpecField) -> str:
    """What counts where a key is left out, as it would be written; ``"none"`` for nothing."""
    value: Any = key.default
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        if key.spec.kind in QUANTITIES:
            return QUANTITIES[key.spec.kind].text(value)
        if key.spec.kind in ("length", "length_or", "thickness"):
            return millimetres(value)
        return degrees(value) if key.spec.kind == "angle" else number_text(value)
    if isinstance(value, tuple) and value and all(isinstance(v, float | int) for v in value):
        return ", ".join(map(millimetres, value))
    return value if isinstance(value, str) and value else "none"


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like ``word``, or ``""`` when none is much like it."""
    # Bounded: comparing is slow, and a hostile file may define tens of thousands of names.
    few = list(itertools.islice(known, 500))
    near = difflib.get_close_matches(word[:SHOWN_CHARACTERS], few, n=1, cutoff=0.6)
    return near[0] if near else ""


RENAMED: Mapping[str, str] = MappingProxyType(
    {
        "family": "kind",
        "lands": "decides",
        "key_hole": "witness_hole",
        "bulkhead_plate": "fitting_plate",
        "cut": "cut_each_way",
    }
)
"""Keys and kinds of older specs and what they are called now."""

MOVED: Mapping[tuple[str, str], str] = MappingProxyType(
    {
        ("brake", "punch_height"): "height under [[brake.punch]]",
        ("brake", "neck_depth"): "neck_depth under [[brake.punch]]",
        ("brake", "neck_from"): "neck_from under [[brake.punch]]",
    }
)
"""Keys of older files by the table they stood in, and where they are now."""


def moved_to(old: str, now: str) -> str:
    """`` `punch_height` is now height under [[brake.punch]]``."""
    return f"`{old}` is now {now}"


def now_called(old: str, now: str) -> str:
    """```family` is now `kind```."""
    return f"`{old}` is now `{now}`"


def did_you_mean(word: str) -> str:
    """The question as a hint; ``""`` for no word."""
    return f'did you mean "{word}"?' if word else ""


def suggestion(word: str, known: Iterable[str]) -> str:
    """``did you mean "x"?`` for the nearest known word, or ``""``."""
    return did_you_mean(nearest(word, known))


def listed(known: Iterable[str], most: int = 30) -> str:
    """Known words as a list for people, cut after ``most``; ``none`` when there are none."""
    words = list(known)
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return (", ".join(words[:most]) + more) or "none"
