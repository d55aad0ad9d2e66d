"""Forms of a job that what is measured on one vehicle can be written into."""

from __future__ import annotations

from generators.errors import ExportError, SpecError
from generators.reading import JobFile
from generators.reading.toml.source import TomlSource


def require_own_hand(file: JobFile) -> None:
    """Raises ``SpecError`` for a form that is a mirror image: its places are not those the spec writes."""
    if not file.form.mirrored:
        return
    at = next(k for k, name in enumerate(file.variants) if name == file.form.name)
    raise SpecError(
        [
            file.source.fault(
                ("variant", at, "mirror"),
                f"holes measured on the vehicle of {file.form.name}, a mirror image of what the spec writes",
                "a spec written in that vehicle's own hand, which what was measured can be written into",
            )
        ]
    )


def own_index(source: TomlSource, table: str, index: int) -> int:
    """Which ``[[table]]`` of the spec's own text that of the whole job is.

    Raises ``ExportError`` for one that is written in a file the spec uses.
    """
    there, path = source.origin((table, index))
    if there.file != source.file or not isinstance(path[-1], int):
        raise ExportError(
            f"{table} {index + 1} is written in {there.file}, which the spec uses; change it there"
        )
    return path[-1]
