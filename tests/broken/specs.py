"""One sound spec, and what happens to it when somebody breaks it."""

from __future__ import annotations

from dataclasses import dataclass

from generators.model.spec import fields as key

BASE = """\
# An invented job with one of everything.
[job]
name = "toy_job"
title = "Toy job"

[limits]
hole_edge_ratio = 2.5

[[panel]]
name = "firewall"
title = "Firewall"
material = "body steel, about 1 mm"
thickness = "1.2 mm"
origin = ["0 mm", "-200 mm", "400 mm"]
tilt = "-5 deg"
outline = [["0 mm", "0 mm"], ["20 in", "0 mm"], ["20 in", "300 mm"], ["0 mm", "300 mm"]]
witness_hole = "column_bore"

[[panel.datum]]
name = "seam"
kind = "vertical"
at = ["40 mm", "0 mm"]
what = "Spot-welded seam left of the column"

[[panel.existing]]
name = "column_bore"
at = ["100 mm", "60 mm"]
diameter = "52 mm"
what = "Steering column"

[[panel.hole]]
name = "line_out"
at = { u = "120 mm", v = "1 3/8 in", from = "column_bore" }
kind = "bulkhead"
dash = 4
purpose = "Hydraulic line"

[[panel.hole]]
name = "clamp"
at = { u = "30 mm", v = "35 mm", u_from = "seam", v_from = "bottom" }
kind = "bolt"
thread = "5/16"
purpose = "Clamp for the line"

[[panel.hole]]
name = "loom"
kind = "grommet"
diameter = "22 mm"
purpose = "Wiring loom"
[panel.hole.at]
u = "300 mm"
v = "200 mm"

[[panel.obstacle]]
name = "fuse_box"
face = "cab"
what = "Fuse box"
corner = ["400 mm", "200 mm"]
size = ["60 mm", "80 mm"]
depth = "45 mm"

[[panel.bead]]
name = "bead_low"
start = ["150 mm", "20 mm"]
end = ["450 mm", "20 mm"]
width = "12 mm"

[[panel]]
name = "toe_board"
title = "Toe board"
material = "body steel"
thickness = "1.2 mm"
origin = ["0 mm", "-200 mm", "400 mm"]
outline = [["0 mm", "0 mm"], ["508 mm", "0 mm"], ["508 mm", "-250 mm"], ["0 mm", "-250 mm"]]

[[fold]]
panels = ["firewall", "toe_board"]
inside_radius = "8 mm"

[[part]]
name = "hanger"
kind = "toy_plate"
material = "S235 steel"
thickness = "3 mm"

[part.parameters]
width = "120 mm"
count = 4

[part.mount]
panel = "firewall"
face = "cab"
at = { u = "200 mm", v = "120 mm" }
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToyPlate:
    """A kind for these tests alone."""

    width_mm: float = key.length("Width", lo=10.0, hi=500.0)
    count: int = key.integer("Holes in the row", lo=1, hi=50, default=2)
    lean_rad: float = key.angle("Lean", lo=0.0, hi=1.5, default=0.0)
    stations_mm: tuple[float, ...] = key.points("Corners", lo=0, hi=4, default=())


KINDS: dict[str, type] = {"toy_plate": ToyPlate}


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A file, and one of the faults it must give: at ``path``, on the line that holds ``mark``.

    Without a mark the fault belongs to the whole file. ``says`` is in what was found or expected.
    """

    id: str
    text: str | bytes
    path: str
    says: str
    mark: str = ""
    alone: bool = True


def swap(old: str, new: str) -> str:
    """``BASE`` with its one ``old`` made ``new``."""
    if BASE.count(old) != 1:
        raise ValueError(f"{old!r} is {BASE.count(old)} times in BASE")
    return BASE.replace(old, new)


def swapped(
    id_: str, old: str, new: str, path: str, says: str, mark: str | None = None, *, alone: bool = True
) -> Broken:
    """``BASE`` with one change; the mark is what was put in unless another is given."""
    here = new if mark is None else mark
    return Broken(id=id_, text=swap(old, new), path=path, says=says, mark=here, alone=alone)


_WIDTH = 'width = "120 mm"'
_LINE_AT = '{ u = "120 mm", v = "1 3/8 in", from = "column_bore" }'
_WIDE = "part[0].parameters.width"

VALUES = (
    swapped("wrong-unit", _WIDTH, 'width = "120 kg"', _WIDE, "a mass"),
    swapped("unknown-unit", _WIDTH, 'width = "120 furlong"', _WIDE, "unknown unit"),
    swapped("bare-number", _WIDTH, "width = 120", _WIDE, "the bare number 120"),
    swapped("number-in-quotes", _WIDTH, 'width = "120"', _WIDE, "without a unit"),
    swapped("nan-length", _WIDTH, "width = nan", _WIDE, "the bare number nan"),
    swapped("nan-in-quotes", _WIDTH, 'width = "nan mm"', _WIDE, "a length with its unit"),
    swapped("flag-for-length", _WIDTH, "width = true", _WIDE, "the flag true"),
    swapped("date-for-length", _WIDTH, "width = 2020-02-02", _WIDE, "a date"),
    swapped("list-for-length", _WIDTH, 'width = ["1 mm"]', _WIDE, "a list of 1"),
    swapped("too-wide", _WIDTH, 'width = "600 mm"', _WIDE, "10 mm to 500 mm"),
    swapped("too-wide-in-inches", _WIDTH, 'width = "20 in"', _WIDE, "508 mm"),
    swapped("endless-quantity", _WIDTH, f'width = "{"9" * 5000} mm"', _WIDE, "at most 64", 'width = "9'),
    swapped("formula", _WIDTH, 'width = "60 mm ** 2"', _WIDE, "a quantity or the name of a size"),
    swapped("angle-for-length", 'tilt = "-5 deg"', 'tilt = "5 mm"', "panel[0].tilt", "a length"),
    swapped("tilted-over", 'tilt = "-5 deg"', 'tilt = "100 deg"', "panel[0].tilt", "-95 deg to 95 deg"),
    swapped("nan-number", "ratio = 2.5", "ratio = nan", "limits.hole_edge_ratio", "nan"),
    swapped("infinite-number", "ratio = 2.5", "ratio = inf", "limits.hole_edge_ratio", "inf"),
    swapped("number-too-large", "ratio = 2.5", "ratio = 1e999", "limits.hole_edge_ratio", "inf"),
    swapped(
        "number-of-many-digits",
        "ratio = 2.5",
        f"ratio = {'9' * 400}",
        "limits.hole_edge_ratio",
        "more than 38 digits",
        "ratio = 9",
    ),
    swapped("text-for-number", "ratio = 2.5", 'ratio = "2.5"', "limits.hole_edge_ratio", "the text"),
    swapped(
        "thousand-million-holes", "count = 4", "count = 1000000000", "part[0].parameters.count", "1 to 50"
    ),
    swapped("flag-for-count", "count = 4", "count = true", "part[0].parameters.count", "the flag true"),
    swapped("fraction-for-count", "count = 4", "count = 4.0", "part[0].parameters.count", "a whole number"),
    swapped(
        "negative-thickness",
        'thickness = "3 mm"',
        'thickness = "-3 mm"',
        "part[0].thickness",
        "which is -3 mm",
    ),
    swapped("capital-in-name", '"hanger"', '"Hanger"', "part[0].name", "lower case"),
    swapped("climbing-name", '"toy_job"', '"../x"', "job.name", "lower case"),
    swapped("name-with-line-break", '"toy_job"', '"toy_job\\n"', "job.name", "lower case"),
    swapped("text-with-line-break", '"Toy job"', '"Toy\\njob"', "job.title", "U+000A"),
    swapped("text-with-escape", '"Toy job"', '"Toy\\u001b[31m"', "job.title", "U+001B"),
    swapped("text-turned-about", '"Toy job"', '"Toy \\u202e boj"', "job.title", "U+202E"),
    swapped("text-too-long", '"Toy job"', f'"{"x" * 61}"', "job.title", "61 characters"),
    swapped("text-of-blanks", '"Toy job"', '"   "', "job.title", "1 to 60 characters"),
    swapped("short-point", '["100 mm", "60 mm"]', '["100 mm"]', "panel[0].existing[0].at", "two lengths"),
    swapped(
        "bare-coordinate", '["100 mm", "60 mm"]', '["100 mm", 60]', "panel[0].existing[0].at[1]", "number 60"
    ),
    swapped("unknown-choice", 'kind = "bolt"', 'kind = "bolts"', "panel[0].hole[1].kind", "one of plain"),
    swapped("key-with-typo", _WIDTH, 'widht = "120 mm"', "part[0].parameters.widht", "unknown key"),
    swapped("missing-key", _WIDTH, "", _WIDE, 'no key "width"', "[part.parameters]"),
    swapped(
        "missing-inline-key", 'v = "1 3/8 in", ', "", "panel[0].hole[0].at.v", 'no key "v"', '{ u = "120'
    ),
    swapped("unknown-kind", '"toy_plate"', '"toy_plait"', "part[0].kind", "the kinds toy_plate"),
    swapped("table-for-list", "[[fold]]", "[fold]", "fold", "a list of 0 to 20 tables"),
    swapped("list-for-table", "[job]", "[[job]]", "job", "a list of 1"),
    swapped("text-for-table", _LINE_AT, '"bore"', "panel[0].hole[0].at", "a table"),
)

FILES = (
    Broken(id="empty", text="", path="", says="an empty file"),
    Broken(id="blank", text=" \n\t\n", path="", says="an empty file"),
    Broken(id="comment-only", text="# nothing\n", path="job", says='no key "job"'),
    Broken(id="nul", text=BASE.replace("Toy job", "Toy\0job"), path="", says="a NUL", mark="Toy\0job"),
    Broken(
        id="byte-order-mark", text=b"\xef\xbb\xbf" + BASE.encode(), path="", says="byte order", mark="# An"
    ),
    Broken(id="utf-16", text=BASE.encode("utf-16"), path="", says="byte order mark", mark="# An"),
    Broken(
        id="latin-1", text=BASE.encode().replace(b"Toy job", b"Toy \xe9"), path="", says="0xe9", mark="title"
    ),
    Broken(id="huge", text="#" * (1024 * 1024 + 1), path="", says="larger than 1048576 bytes"),
    Broken(id="deep-lists", text="x = " + "[" * 50_000, path="", says="levels of nesting", mark="x ="),
    Broken(id="deep-inline", text="x = " + "{a=" * 50_000, path="", says="levels of nesting", mark="x ="),
    Broken(id="deep-key", text=".".join("a" * 50_000) + " = 1", path="", says="levels of nesting", mark="a"),
    Broken(id="deep-header", text=f"[{'.'.join('a' * 400)}]", path="", says="levels of nesting", mark="[a"),
    Broken(
        id="deep-by-parts",
        text=f"[{'.'.join('abcdefghij')}]\n{'.'.join('abcdefghij')} = 1\n",
        path="",
        says="levels of nesting",
        mark="a.b.c.d.e.f.g.h.i.j =",
    ),
    Broken(
        id="key-twice", text=swap("dash = 4", "dash = 4\ndash = 5"), path="", says="before", mark="dash = 5"
    ),
    Broken(id="table-twice", text=BASE + "[job]\n", path="", says="a table that was given before", mark=""),
    Broken(
        id="open-text", text=swap('"Toy job"', '"Toy job'), path="", says="the closing quote", mark='"Toy job'
    ),
    Broken(id="no-value", text=swap("dash = 4", "dash ="), path="", says="no value", mark="dash ="),
    Broken(id="endless-number", text="x = " + "9" * 5000, path="", says="thousands of digits"),
    Broken(
        id="endless-hex", text="x = 0x" + "f" * 9000, path="x", says="unknown key", mark="x =", alone=False
    ),
    Broken(id="not-toml", text="<html>", path="", says="key", mark="<html>"),
    Broken(
        id="wrong-type-everywhere",
        text="job = 1\nlimits = []\npanel = 'x'\nfold = {}\npart = true\n",
        path="part",
        says="the flag true",
        mark="part",
        alone=False,
    ),
    Broken(
        id="twenty-thousand-keys",
        text="".join(f"k{n} = 1\n" for n in range(20_000)),
        path="",
        says="more faults",
        alone=False,
    ),
)
