"""One row of a sweep solved, from bytes alone: wherever it runs, it needs nothing of this machine's files."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from generators.errors import LookupFault, PedalplateError, SpecError, printable
from generators.issue.digest import made_with
from generators.jobs.sweep.measures import measures
from generators.model.findings import Severity
from generators.reading import JobFile
from generators.solve.job import prepare

LONGEST_FAULT = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Bundle:
    """A spec with all it is read with, by path from its folder, and the program it is solved by."""

    spec: str
    files: tuple[tuple[str, bytes], ...]
    variant: str
    code: str

    def key(self, values: Mapping[str, Any]) -> str:
        """What a row is known by: changes with the spec, the values and the program."""
        hasher = hashlib.sha256()
        for part in (self.spec, self.variant, self.code, json.dumps(values, sort_keys=True)):
            hasher.update(part.encode() + b"\\0")
        for name, data in self.files:
            hasher.update(name.encode() + b"\\0" + data + b"\\0")
        return hasher.hexdigest()[:24]


@cache
def this_program() -> str:
    """Versions of all that a row comes from, as text."""
    return json.dumps(made_with(), sort_keys=True)


def bundle_of(file: JobFile) -> Bundle:
    """All a job was read from."""
    files = [(file.spec_path.name, file.spec_bytes)]
    if file.shop_path is not None:
        files.append((file.shop_path.name, file.shop_bytes))
    files += [(used.name, used.data) for used in file.used]
    code = this_program()
    return Bundle(spec=file.spec_path.name, files=tuple(files), variant=file.form.name, code=code)


def solved(bundle: Bundle, values: Mapping[str, Any]) -> dict[str, Any]:
    """A row: its key, values, ``measures`` by path with their units, failed rules, or its ``fault``.

    Raises nothing: what cannot be solved is a row with its fault.
    """
    row: dict[str, Any] = {"key": bundle.key(values), "values": dict(values), "measures": {}, "failed": []}
    if bundle.code != this_program():
        return {**row, "fault": OTHER_VERSIONS}
    try:
        with tempfile.TemporaryDirectory(prefix="pedalplate_") as folder:
            for name, data in bundle.files:
                path = Path(folder) / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(data)
            prepared = prepare(Path(folder) / bundle.spec, variant=bundle.variant, values=values)
        found = measures(prepared)
        failed = sorted({f.code for f in prepared.findings if f.severity is Severity.FAIL})
        return {**row, "measures": {k: list(v) for k, v in found.items()}, "failed": failed, "fault": ""}
    except SpecError as error:
        fault = error.faults[0]
        at = fault.path.strip('"')
        said = f"{at}: found {fault.found}, expected {fault.expected}"
    except (PedalplateError, LookupFault) as error:
        said = str(error)
    except Exception as error:  # one row must never end the others
        said = f"something this program did not expect: {type(error).__name__}: {error}"
    return {**row, "fault": printable(said, LONGEST_FAULT)}


OTHER_VERSIONS = "a worker with other versions of the program or its libraries"
"""Fault of a row that was not solved because the results would not go together."""
