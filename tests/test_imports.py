"""No circle among modules, counting imports inside functions and for types as well."""

from __future__ import annotations

import ast
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = "generators"


def modules() -> dict[str, Path]:
    """Every module of the package with its file."""
    out = {}
    for path in sorted((ROOT / PACKAGE).rglob("*.py")):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        out[name.removesuffix(".__init__")] = path
    return out


def imported(text: str, known: dict[str, Path]) -> Iterator[str]:
    """Modules of the package that a module imports, wherever in it the import stands."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module is not None and node.module in known:
            inner = [f"{node.module}.{alias.name}" for alias in node.names]
            yield from (name for name in inner if name in known)
            if any(name not in known for name in inner):
                yield node.module


def circles(graph: dict[str, set[str]]) -> list[list[str]]:
    """Sets of modules that import each other, round about (Tarjan's strongly connected components)."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    found: list[list[str]] = []

    def visit(name: str) -> None:
        index[name] = low[name] = len(index)
        stack.append(name)
        for other in graph[name]:
            if other not in index:
                visit(other)
                low[name] = min(low[name], low[other])
            elif other in stack:
                low[name] = min(low[name], index[other])
        if low[name] == index[name]:
            at = stack.index(name)
            if len(stack) - at > 1 or name in graph[name]:
                found.append(sorted(stack[at:]))
            del stack[at:]

    limit = sys.getrecursionlimit()
    sys.setrecursionlimit(10_000)
    try:
        for name in graph:
            if name not in index:
                visit(name)
    finally:
        sys.setrecursionlimit(limit)
    return found


def test_no_module_imports_one_that_imports_it() -> None:
    known = modules()
    assert len(known) > 300
    graph = {name: set(imported(path.read_text(encoding="utf-8"), known)) for name, path in known.items()}
    assert graph["generators.jobs.verify"] >= {"generators.issue.prove", "generators.jobs.make.run"}
    assert circles(graph) == []


@pytest.mark.parametrize(
    ("graph", "wanted"),
    [
        ({"a": {"b"}, "b": {"c"}, "c": set()}, []),
        ({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}, [["a", "b", "c"]]),
        ({"a": {"a"}}, [["a"]]),
    ],
)
def test_a_circle_is_seen(graph: dict[str, set[str]], wanted: list[list[str]]) -> None:
    assert circles(graph) == wanted


def test_late_and_typing_imports_count() -> None:
    known = dict.fromkeys(("p", "p.a", "p.b", "p.c"), Path())
    text = (
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from p.a import x\n"
        "def f():\n    from p import b\n    import p.c\n"
    )
    assert set(imported(text, known)) == {"p.a", "p.b", "p.c"}


def test_no_room_holds_more_than_a_person_can_overlook() -> None:
    rooms: dict[Path, int] = {}
    for path in modules().values():
        if path.name != "__init__.py":
            rooms[path.parent] = rooms.get(path.parent, 0) + 1
    crowded = {room.relative_to(ROOT).as_posix(): count for room, count in rooms.items() if count > 14}
    # one file for each kind of bracket, by design
    crowded.pop("generators/parts", None)
    assert crowded == {}


def test_no_file_is_longer_than_a_sitting() -> None:
    long = {
        name: count
        for name, path in modules().items()
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}


def test_no_two_files_of_tests_share_a_name() -> None:
    """The runner puts their folders on the path: of two files of one name it collects only the first."""
    names = Counter(p.name for p in Path(__file__).parent.rglob("test_*.py"))
    assert [name for name, count in names.items() if count > 1] == []
