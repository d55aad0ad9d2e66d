"""A vehicle's own spec: the job as it was, with what was measured and the moves written in, comments kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from generators.errors import ExportError, LookupFault
from generators.issue.issue import Issued
from generators.issue.work import Progress
from generators.jobs.fits.answer import Fits, own_values
from generators.jobs.make.run import make
from generators.reading.toml.edits import Setting, edited
from generators.reading.toml.named import spec_path
from generators.reading.toml.source import parse_bytes
from generators.solve.job import prepare


def own_text(fits: Fits) -> str:
    """The spec as text. Raises ``ExportError`` for a value that stands in another file or is worked out."""
    file = fits.measured.form.prepared.file
    source = parse_bytes(str(file.spec_path), file.spec_bytes)
    values: dict[str, Any] = {**fits.values, **own_values(fits.measured)}
    try:
        settings = [
            Setting(path=spec_path(source.table, key), text=json.dumps(value, ensure_ascii=False))
            for key, value in values.items()
        ]
    except LookupFault as fault:
        raise ExportError(f"{fault.key} does not stand in {file.spec_path.name} itself") from None
    return edited(source, settings)


def write_own(fits: Fits, out: Path, *, paper: str, progress: Progress) -> Issued:
    """The vehicle's own spec in ``<out>/<vehicle>/spec``, and all its files beside it by ``make``.

    Raises what ``make`` does.
    """
    file = fits.measured.form.prepared.file
    text = own_text(fits)
    folder = out / "spec"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        spec = folder / file.spec_path.name
        spec.write_text(text, encoding="utf-8", newline="\n")
        if file.shop_path is not None:
            (folder / file.shop_path.name).write_bytes(file.shop_bytes)
        for used in file.used:
            (folder / used.name).parent.mkdir(parents=True, exist_ok=True)
            (folder / used.name).write_bytes(used.data)
    except OSError as error:
        raise ExportError(f"cannot write {folder}: {error.strerror or error}") from error
    return make(prepare(spec, variant=file.form.name), out, paper=paper, progress=progress)
