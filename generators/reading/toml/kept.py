"""What is kept of a file of readings, whatever it is of."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path as FilePath

from generators.errors import Fault
from generators.reading.toml.source import TomlSource


@dataclass(frozen=True, kw_only=True)
class KeptFile:
    """The path of a file as read, its bytes, a revision of seven digits, and its source for later faults."""

    path: FilePath
    data: bytes
    revision: str
    source: TomlSource = field(repr=False, compare=False)

    def fault_at(self, path: str, found: str, expected: str, hint: str = "") -> Fault:
        """A fault at a path like ``reading[3].is``, or its nearest ancestor."""
        return self.source.fault(path, found, expected, hint)
