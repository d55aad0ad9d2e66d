"""An assembly written to a file, for tests of what it holds."""

from pathlib import Path
from typing import Any

from generators.solids.files.assembly import glb_data


def write_glb(path: Path, *bodies: Any, revision: str = "") -> tuple[str, ...]:
    """Write the GLB of what ``glb_data`` takes; the names of its nodes."""
    data, names = glb_data(*bodies, revision=revision)
    path.write_bytes(data)
    return names
