"""Line and column of every key and value of a TOML text.

``tomllib`` gives values without places and tree-sitter gives places without values; they meet
here in the path. Where the grammar of tree-sitter finds less than ``tomllib`` did, the place of
the nearest ancestor stands in.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from generators.reading.toml.paths import Path


@dataclass(frozen=True, slots=True)
class Place:
    """A spot of a text, counted from 1 in characters, with the line itself. 0 is the whole file."""

    line: int
    column: int
    source: str


WHOLE_FILE = Place(0, 0, "")


class Places:
    """The places of one text; ``key`` and ``value`` never fail, they fall back to an ancestor."""

    def __init__(self, text: str) -> None:
        self._lines = text.encode().split(b"\n")
        self._keys: dict[Path, tuple[int, int]] = {}
        self._values: dict[Path, tuple[int, int]] = {}
        self._headed: set[Path] = set()
        self._spans: dict[Path, tuple[int, int]] = {}
        self._extents: dict[Path, tuple[int, int]] = {}
        self._lengths: dict[Path, int] = {}
        self._walk_document(_parser().parse(text.encode()).root_node)

    def key(self, path: Path) -> Place:
        """Where the key at ``path`` is written."""
        return self._nearest(path, self._keys, self._values)

    def value(self, path: Path) -> Place:
        """Where the value at ``path`` begins; for a table made by a header, its header."""
        return self._nearest(path, self._values, self._keys)

    def span(self, path: Path) -> tuple[int, int] | None:
        """Bytes of the value at ``path`` in the UTF-8 text: first, and past the last; None for no value."""
        return self._spans.get(path)

    def extent(self, path: Path) -> tuple[int, int] | None:
        """Bytes of a value with its key, or of a table from its header on; None for neither."""
        return self._extents.get(path)

    def header(self, path: Path) -> Place | None:
        """Where the header of a table is written, or None for a table without one."""
        return self._place(*self._keys[path]) if path in self._headed else None

    def _nearest(self, path: Path, *maps: dict[Path, tuple[int, int]]) -> Place:
        for end in range(len(path), 0, -1):
            for places in maps:
                if path[:end] in places:
                    return self._place(*places[path[:end]])
        return WHOLE_FILE

    def _place(self, row: int, byte_column: int) -> Place:
        line = self._lines[row] if row < len(self._lines) else b""
        column = len(line[:byte_column].decode("utf-8", "replace")) + 1
        return Place(row + 1, column, line.decode("utf-8", "replace").rstrip("\r"))

    def _walk_document(self, root: Node) -> None:
        for node in root.named_children:
            if node.type == "pair":
                self._walk_pair(node, ())
            elif node.type in {"table", "table_array_element"}:
                self._walk_table(node)

    def _walk_table(self, node: Node) -> None:
        children = [child for child in node.named_children if child.type != "comment"]
        parts = _key_parts(children[0]) if children else []
        if not parts:
            # The grammar stumbled over this header: nothing below it can be placed.
            return
        base: Path = ()
        for number, (name, part) in enumerate(parts):
            base = (*base, name)
            self._keys.setdefault(base, _start(part))
            last = number == len(parts) - 1
            if last and node.type == "table_array_element":
                self._lengths[base] = self._lengths.get(base, 0) + 1
            if base in self._lengths:
                base = (*base, self._lengths[base] - 1)
                self._keys.setdefault(base, _start(part))
        self._headed.add(base)
        # A header seen earlier only as an ancestor gives way to the table's own header.
        self._keys[base] = _start(parts[-1][1])
        self._extents[base] = (node.start_byte, children[-1].end_byte)
        for child in children[1:]:
            if child.type == "pair":
                self._walk_pair(child, base)

    def _walk_pair(self, node: Node, base: Path) -> None:
        children = [child for child in node.named_children if child.type != "comment"]
        if not children:
            return
        path = base
        for name, part in _key_parts(children[0]):
            path = (*path, name)
            self._keys.setdefault(path, _start(part))
        self._extents.setdefault(path, (node.start_byte, node.end_byte))
        if len(children) > 1:
            self._walk_value(children[1], path)

    def _walk_value(self, node: Node, path: Path) -> None:
        self._values.setdefault(path, _start(node))
        self._spans.setdefault(path, (node.start_byte, node.end_byte))
        children = [child for child in node.named_children if child.type != "comment"]
        if node.type == "array":
            for index, child in enumerate(children):
                self._walk_value(child, (*path, index))
        elif node.type == "inline_table":
            for child in children:
                if child.type == "pair":
                    self._walk_pair(child, path)


@cache
def _parser() -> Parser:
    return Parser(Language(tree_sitter_toml.language()))


def _start(node: Node) -> tuple[int, int]:
    return node.start_point[0], node.start_point[1]


def _key_parts(node: Node) -> list[tuple[str, Node]]:
    """The parts of a key, left to right; the grammar nests dotted keys to the left."""
    parts: list[tuple[str, Node]] = []
    waiting = [node]
    while waiting:
        current = waiting.pop()
        if current.type == "dotted_key":
            waiting.extend(current.named_children)
        elif current.type in {"bare_key", "quoted_key"}:
            parts.append((_key_name(current), current))
    return parts[::-1]


def _key_name(node: Node) -> str:
    raw = (node.text or b"").decode("utf-8", "replace")
    if node.type == "bare_key":
        return raw
    # Escapes in a quoted key mean what the TOML parser says they mean.
    try:
        return next(iter(tomllib.loads(f"{raw} = 0")))
    except tomllib.TOMLDecodeError:
        return raw
