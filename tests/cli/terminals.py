"""Runs a command in this process on streams of any encoding, or with nobody at the other end."""

from __future__ import annotations

import io
import os
import sys
from dataclasses import dataclass
from typing import TextIO

import pytest

from generators.cli.app import finish, run
from generators.cli.terminal import guarded


@dataclass(frozen=True)
class Said:
    """What a command answered, undecoded."""

    code: int
    out: bytes
    err: bytes


def answer(
    monkeypatch: pytest.MonkeyPatch, arguments: list[str], *, out: str = "utf-8", err: str = "utf-8"
) -> Said:
    """The answer with those encodings, strict as the interpreter sets them in a pipe."""
    kept = io.BytesIO(), io.BytesIO()
    streams = [
        guarded(io.TextIOWrapper(where, encoding=name, errors="strict", newline="\n"))
        for where, name in zip(kept, (out, err), strict=True)
    ]
    code = _run(monkeypatch, arguments, *streams)
    return Said(code, kept[0].getvalue(), kept[1].getvalue())


def abandoned(monkeypatch: pytest.MonkeyPatch, arguments: list[str]) -> int:
    """The exit code when nobody reads, neither stdout nor stderr: two pipes closed at the other end."""
    ends = []
    for _ in range(2):
        reader, writer = os.pipe()
        os.close(reader)
        ends.append(writer)
    streams = [guarded(open(end, "w", encoding="utf-8", closefd=False)) for end in ends]  # noqa: SIM115
    try:
        return _run(monkeypatch, arguments, *streams)
    finally:
        for stream, end in zip(streams, ends, strict=True):
            stream.close()
            os.close(end)


def _run(monkeypatch: pytest.MonkeyPatch, arguments: list[str], out: TextIO, err: TextIO) -> int:
    with monkeypatch.context() as patch:
        patch.setattr(sys, "argv", ["pedalplate", *arguments])
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", err)
        return finish(run())
