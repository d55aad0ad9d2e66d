"""Files of plain text as artefacts, their bytes the whole of them; a revised spec as it will read."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import partial
from pathlib import Path

from generators.errors import ReadBackError, SpecError
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.reading import JobFile
from generators.solve.job import Prepared, prepare
from generators.verify.readback import ReadBack


def _write(path: Path, *, text: str) -> None:
    path.write_bytes(text.encode("utf-8"))


def text_file(
    path: str,
    kind: str,
    text: str,
    *,
    owner: str = "",
    units: str = "mm",
    read: Callable[[Path], ReadBack] | None = None,
) -> Artefact:
    """A file that holds just this text; what it says of a revision is in the text."""
    return Artefact(
        entry=Entry(path=path, kind=kind, owner=owner, units=units),
        body=partial(_write, text=text),
        read=read,
        revised=False,
    )


def read_as(file: JobFile, name: str, text: str) -> Prepared:
    """A revised spec as it will read beside its shop file. Raises ``ReadBackError`` when it does not."""
    with tempfile.TemporaryDirectory(prefix="pedalplate_") as folder:
        (Path(folder) / name).write_bytes(text.encode())
        if file.shop_path is not None:
            (Path(folder) / file.shop_path.name).write_bytes(file.shop_bytes)
        for used in file.used:
            (Path(folder) / used.name).parent.mkdir(parents=True, exist_ok=True)
            (Path(folder) / used.name).write_bytes(used.data)
        try:
            return prepare(Path(folder) / name, variant=file.form.name)
        except SpecError as error:
            raise ReadBackError("the revised spec", f"does not read: {error}") from error
