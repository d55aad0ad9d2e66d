"""Faults as a person sees them, and as a program does."""

from __future__ import annotations

import json

from generators.errors import Fault
from generators.reading import faults_json, render


def fault(column: int, line: int = 2) -> Fault:
    return Fault(file="a.toml", line=line, column=column, path="b.c", found="x", expected="y", hint="z")


def test_the_caret_stands_under_the_column() -> None:
    text = 'first\nwidth = "120 kg"\r\n'
    assert render([fault(9)], text).split("\n") == [
        "a.toml:2:9: b.c: found x, expected y (z)",
        '    2 | width = "120 kg"',
        "      |         ^",
    ]


def test_wide_and_combining_characters_move_it() -> None:
    assert render([fault(4)], "\n漢e\u0301x").split("\n")[2] == "      |    ^"


def test_a_long_line_is_cut_around_the_column() -> None:
    shown, caret = render([fault(5000)], "\n" + "a" * 4999 + "X" + "b" * 5000).split("\n")[1:]
    assert len(shown) < 120
    assert shown[caret.index("^")] == "X"


def test_control_characters_do_not_reach_the_terminal() -> None:
    assert "\x1b" not in render([fault(1)], "\n\x1b[31mred")


def test_a_fault_of_the_whole_file_has_no_excerpt() -> None:
    assert "\n" not in render([fault(0, 0)], "text")
    assert "\n" not in render([fault(1, 99)], {"other.toml": "text"})


def test_as_data() -> None:
    (row,) = json.loads(json.dumps(faults_json([fault(9)])))
    assert row == {
        "file": "a.toml",
        "line": 2,
        "column": 9,
        "path": "b.c",
        "found": "x",
        "expected": "y",
        "hint": "z",
    }
