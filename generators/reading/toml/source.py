"""Reads a TOML file that may be hostile: bounded, decoded, parsed, with the place of everything."""

from __future__ import annotations

import itertools
import os
import re
import stat
import tomllib
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path as FilePath
from typing import Any, NoReturn

from generators.errors import Fault, SpecError
from generators.reading.toml.nesting import NESTING_LIMIT, data_too_deep, too_deep
from generators.reading.toml.paths import Path, parse_path, path_text
from generators.reading.toml.positions import Places
from generators.reading.toml.words import did_you_mean, nearest

SIZE_LIMIT = 1024 * 1024
FILES_LOOKED_AT = 1000
_BOMS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_NO_WAIT = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
_SAVE_AS = "save the file as plain UTF-8"


@dataclass(frozen=True)
class TomlSource:
    """A parsed file: its name as given, its bytes, its text and its data.

    ``worked`` holds the values that are worked out, as they are written; ``table`` has what they come to.
    """

    file: str
    data_bytes: bytes
    text: str
    table: dict[str, Any]
    worked: dict[Path, str] = field(default_factory=dict, compare=False)

    @cached_property
    def places(self) -> Places:
        """The place of every key and value; worked out only when a fault needs one."""
        return Places(self.text)

    @property
    def mirror(self) -> bool:
        """True where the job is the mirror image of what is written."""
        return False

    def origin(self, path: Path) -> tuple[TomlSource, Path]:
        """The file a path is written in, and its path there: here, this one."""
        return self, path

    def is_lent(self, path: Path) -> bool:
        """True for a value the spec may give itself in place of one it takes from elsewhere."""
        return False

    def fault(
        self,
        path: Path | str,
        found: str,
        expected: str,
        hint: str = "",
        *,
        at_key: bool = False,
        letter: int = -1,
    ) -> Fault:
        """A fault at the value (or the key) of ``path``, or at its nearest ancestor, in the file it is in.

        ``letter`` of a text, from 0, puts it within the value.
        """
        source, steps = self.origin(parse_path(path) if isinstance(path, str) else path)
        place = source.places.key(steps) if at_key else source.places.value(steps)
        within = letter + 1 if letter >= 0 and source.written_plainly(steps) else 0
        return Fault(
            file=source.file,
            line=place.line,
            column=place.column + within,
            path=path_text(steps),
            found=found,
            expected=expected,
            hint=hint,
        )

    def written_plainly(self, path: Path) -> bool:
        """True for a text written letter by letter between one pair of quotes."""
        span = self.places.span(path)
        raw = b"" if span is None else self.text.encode()[span[0] : span[1]]
        return raw[:1] in (b'"', b"'") and raw[:3] not in (b'"""', b"'''") and b"\\" not in raw


def read_bytes(path: FilePath) -> bytes:
    """The bytes of a regular file of at most ``SIZE_LIMIT``. Raises ``SpecError``."""
    file = str(path)
    _require_name(file, path.name)
    try:
        # Asked by name first: opening a device can already move something.
        _require_regular(file, os.stat(path).st_mode)
        # A pipe put there since then would keep a plain open waiting for ever.
        handle = os.open(path, os.O_RDONLY | _NO_WAIT)
        with open(handle, "rb") as stream:
            _require_regular(file, os.fstat(handle).st_mode)
            data = stream.read(SIZE_LIMIT + 1)
    except FileNotFoundError:
        if os.path.islink(path):
            _refuse(file, "a link to a file that is not there", "a TOML file")
        _refuse(file, "no such file", "a TOML file", _meant(path))
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "an unusable path"
        _refuse(file, f"a file that cannot be read ({reason.lower()})", "a readable TOML file")
    if len(data) > SIZE_LIMIT:
        _refuse(file, f"a file larger than {SIZE_LIMIT} bytes", f"at most {SIZE_LIMIT} bytes")
    return data


def _meant(path: FilePath) -> str:
    """The file of that folder whose name is most like the one that is not there, as a hint."""
    try:
        with os.scandir(path.parent) as there:
            names = sorted(one.name for one in itertools.islice(there, FILES_LOOKED_AT))
    except OSError:
        names = []
    near = nearest(path.name, [name for name in names if name.endswith(".toml") and name.isprintable()])
    return did_you_mean(near) or "check the path"


def _require_name(file: str, name: str) -> None:
    """The name goes into the manifest and onto the screen, so both must be able to hold it."""
    try:
        name.encode("utf-8")
    except UnicodeEncodeError:
        _refuse(file, "a file name that is not UTF-8", "a name that can be printed", "rename the file")
    if not name.isprintable():
        found = "a file name with a line break or another control character"
        _refuse(file, found, "a name that can be printed", "rename the file")


def _require_regular(file: str, mode: int) -> None:
    if stat.S_ISDIR(mode):
        _refuse(file, "a folder", "a TOML file")
    if not stat.S_ISREG(mode):
        # A pipe or a device could be read for ever.
        _refuse(file, "a device or a pipe", "a regular TOML file")


def parse_bytes(file: str, data: bytes, *, may_be_empty: bool = False) -> TomlSource:
    """The parsed content of ``data``; ``file`` names it in faults.

    Raises:
        SpecError: not UTF-8, a byte order mark, a NUL, empty, nested too deep or not TOML.
    """
    text = _decode(file, data)
    if not may_be_empty and not text.strip():
        _refuse(file, "an empty file", "a TOML file with at least a [job] table")
    # tomllib reads CRLF as LF; with the same text its columns are ours.
    plain = text.replace("\r\n", "\n")
    deep = too_deep(plain)
    if deep is not None:
        _refuse_nesting(file, *_line_column(plain, deep))
    try:
        table = tomllib.loads(plain)
    except tomllib.TOMLDecodeError as error:
        _refuse_syntax(file, plain, str(error))
    except ValueError:
        # The interpreter's own bound on the digits of an integer; it does not say where.
        _refuse(file, "a whole number of thousands of digits", "numbers of a sensible length")
    source = TomlSource(file, data, text, table)
    path = data_too_deep(table)
    if path is not None:
        place = source.places.value(path)
        _refuse_nesting(file, place.line, place.column)
    return source


def _refuse(file: str, found: str, expected: str, hint: str = "", line: int = 0, column: int = 0) -> NoReturn:
    raise SpecError(
        [Fault(file=file, line=line, column=column, path="", found=found, expected=expected, hint=hint)]
    )


def _refuse_nesting(file: str, line: int, column: int) -> NoReturn:
    found = f"more than {NESTING_LIMIT} levels of nesting"
    _refuse(file, found, f"at most {NESTING_LIMIT} levels", "", line, column)


def _line_column(text: str, offset: int) -> tuple[int, int]:
    return text.count("\n", 0, offset) + 1, offset - text.rfind("\n", 0, offset)


def _decode(file: str, data: bytes) -> str:
    for bom in _BOMS:
        if data.startswith(bom):
            _refuse(file, "a byte order mark", "plain UTF-8 without one", _SAVE_AS, 1, 1)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        line, column = _line_column(before, len(before))
        _refuse(file, f"the byte 0x{data[error.start]:02x}", "UTF-8 text", _SAVE_AS, line, column)
    nul = text.find("\0")
    if nul >= 0:
        _refuse(file, "a NUL character", "text", _SAVE_AS, *_line_column(text, nul))
    return text


def _refuse_syntax(file: str, text: str, message: str) -> NoReturn:
    at = _AT.search(message)
    said = _AT.sub("", message)
    if at and at[1]:
        line, column = int(at[1]), int(at[2])
    else:
        ended = text.rstrip()
        line, column = _line_column(ended, len(ended))
    for start, found, expected in _SYNTAX:
        if said.startswith(start):
            _refuse(file, found, expected, likely_slip(start, text, line, column), line, column)
    # The rest of the parser's messages say what it wanted.
    printable = "".join(c if c.isprintable() else " " for c in said)[:120]
    _refuse(file, f"text that is not TOML: {printable}", "valid TOML", "", line, column)


def likely_slip(start: str, text: str, line: int, column: int) -> str:
    """What was most likely meant where the parser stopped (line and column from 1), or nothing."""
    lines = text.split("\n")
    here = lines[line - 1] if line <= len(lines) else ""
    if start == "Unclosed array":
        before = [(n, _bare(one)) for n, one in enumerate([*lines[: line - 1], here[: column - 1]], 1)]
        last = next(((n, one) for n, one in reversed(before) if one), None)
        if here[column - 1 : column] and last and last[1][-1] not in ",[=":
            return (
                f"a comma is missing at the end of line {last[0]}" if last[0] < line else "a comma before it"
            )
    elif start == "Expected newline" and here[column - 2 : column - 1] == '"' == here[column - 1 : column]:
        return "for inches write in, not the mark"
    elif start == "Invalid value" and here[column - 1 : column] in CURLED:
        return 'straight quotes: "'
    elif start == "Expected '=' after a key" and (told := _ADDRESS.match(here)):
        name, key = told[2], told[3]
        which = f"number {int(name) + 1} of" if name.isdigit() else f"the table named {name} among"
        return f"this is an address: go to {which} the [[{told[1]}]] and write {key} there"
    return ""


CURLED = tuple("\u201c\u201d\u201e\u2018\u2019\u00ab\u00bb")
"""Quotes a word processor puts in place of straight ones."""

_ADDRESS = re.compile(r"\s*(\w+)\[(\w+)\]\.([\w.\[\]]+)\s*=")
"""A key as findings and mends print it: ``hose[feed].clamps = …``."""


def _bare(line: str) -> str:
    """The line without its spaces and a comment at its end."""
    return re.sub(r"#[^\"']*$", "", line).strip()


_SYNTAX = (
    ("Cannot overwrite a value", "a key that was given before", "each key once"),
    ("Cannot declare", "a table that was given before", "each table once; [[name]] for a list of them"),
    ("Cannot mutate", "a table that was closed before", "each table written in one way"),
    ("Duplicate inline table key", "a key that was given before", "each key once"),
    ("Unterminated string", "a text without its closing quote", "the closing quote"),
    ("Expected \"'", "a text without its closing quote", "the closing quote"),
    ("Unclosed array", "a list without its ]", "the closing ]"),
    ("Unclosed inline table", "a table without its }", "the closing }"),
    ("Illegal character '\\n'", "a line break inside a text", "the closing quote on the same line"),
    ("Invalid value", "something that is no value", "a text in quotes, a number, true, false, [ or {"),
    ("Invalid statement", "something that is no key", "key = value, or [table]"),
    ("Expected newline", "more on the line", "one key = value a line"),
    ("Expected '=' after a key", "a key without =", "key = value"),
)
