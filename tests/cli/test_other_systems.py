"""What holds on Windows and macOS as well: line ends, encodings, names, consoles of another code page."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import generators
from generators.cli.app import run

ROOT = Path(generators.__file__).parent

ONE_SYSTEM = {"fcntl", "grp", "msvcrt", "pwd", "resource", "termios", "winreg"}
"""Modules of the standard library that some systems lack (Python's library reference, Availability)."""


def calls(tree: ast.AST, name: str) -> list[ast.Call]:
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == name
    ]


def test_text_is_written_with_an_encoding_and_plain_line_ends() -> None:
    bare = set()
    for path in ROOT.rglob("*.py"):
        for call in calls(ast.parse(path.read_text(encoding="utf-8")), "write_text"):
            given = {word.arg for word in call.keywords}
            assert "encoding" in given, f"{path}:{call.lineno}"
            if "newline" not in given:
                bare.add(path.relative_to(ROOT).as_posix())
    assert bare == set()


def test_text_is_read_with_an_encoding() -> None:
    for path in ROOT.rglob("*.py"):
        for call in calls(ast.parse(path.read_text(encoding="utf-8")), "read_text"):
            assert any(word.arg == "encoding" for word in call.keywords), f"{path}:{call.lineno}"


def test_no_module_needs_what_one_system_lacks() -> None:
    """Imports at the top of a file: those inside a function stand behind a look at the system."""
    for path in ROOT.rglob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not {name.split(".")[0] for name in names} & ONE_SYSTEM, f"{path}:{node.lineno}"


@pytest.mark.parametrize("arguments", [[], ["--json"]])
def test_a_console_of_another_code_page(tmp_path: Path, arguments: list[str]) -> None:
    """Code page 437 has no Ж: a fault that repeats one must not end in another fault, and JSON keeps it."""
    spec = tmp_path / "van.toml"
    spec.write_text('[job]\nname = "van"\ntitle = "Ж≥"\n"Ж" = "Ж"\n', encoding="utf-8")
    command = [sys.executable, "-m", "generators.cli", "check", str(spec), *arguments]
    said = {}
    for code in ("cp437", "utf-8"):
        environment = {**os.environ, "PYTHONIOENCODING": code, "PYTHONUTF8": "0"}
        done = subprocess.run(command, capture_output=True, env=environment, timeout=300)
        assert done.returncode == 3, done.stderr
        said[code] = (done.stdout if arguments else done.stderr).decode(code)
    assert "Ж" in said["utf-8"]
    if arguments:
        assert json.loads(said["cp437"]) == json.loads(said["utf-8"])
    else:
        # what the page lacks is told by its number; the rest is as it was
        assert "\\u0416" in said["cp437"]
        assert said["cp437"].count("expected") == said["utf-8"].count("expected") > 1


@pytest.mark.parametrize("name", ["con", "aux", "com1", "lpt9"])
def test_no_starter_of_a_device_name(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    """Microsoft, Naming Files, Paths, and Namespaces: these names are reserved whatever their ending."""
    monkeypatch.setattr(sys, "argv", ["pedalplate", "new", name, "--dir", str(tmp_path)])
    assert run() == 2
    assert "Windows" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
