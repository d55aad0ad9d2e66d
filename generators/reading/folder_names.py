"""Names that become folders: some no Windows machine can make."""

from __future__ import annotations

from generators.model.spec.fields import DEVICE_NAMES
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader


def refuse_device_name(reader: TableReader, path: Path) -> None:
    """Report a name that Windows keeps for a device."""
    name = reader.raw(path, str)
    if name in DEVICE_NAMES:
        reader.refuse(path, f"the name {words.quoted(name)}", "a name every system can make a folder of")
