"""One row of a sweep solved, from bytes alone: wherever it runs, it needs nothing of this machine's files."""

from __future__ import annotations

import hashlib
import json
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from generators.errors import Fault, LookupFault, PedalplateError, SpecError, printable
from generators.issue.digest import made_with
from generators.jobs.sweep.measures import measures
from generators.model.findings import Severity
from generators.model.spec.shelf.things import names_a_thing
from generators.parts import KINDS
from generators.reading import JobFile, read_job
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


def with_things(file: JobFile, rows: Sequence[Mapping[str, Any]]) -> JobFile:
    """The file with every thing of the shelf that any row takes."""
    asked = {
        value for row in rows for key, value in row.items() if names_a_thing(key) and isinstance(value, str)
    }
    return file.lending(asked)


def bundle_of(file: JobFile) -> Bundle:
    """All a job was read from."""
    files = [(file.spec_path.name, file.spec_bytes)]
    if file.shop_path is not None:
        files.append((file.shop_path.name, file.shop_bytes))
    files += [(used.name, used.data) for used in file.used]
    code = this_program()
    return Bundle(spec=file.spec_path.name, files=tuple(files), variant=file.form.name, code=code)


def require_keys(file: JobFile, rows: Sequence[Mapping[str, Any]]) -> None:
    """Raises ``SpecError`` for a varied key that is refused whatever its value, before hours of work.

    A value that is refused is no fault of the key: its rows say so.
    """
    kinds = {f.name: f.parameters for f in KINDS}

    def refused(row: Mapping[str, Any]) -> dict[str, Fault]:
        try:
            read_job(file.spec_path, kinds, file.spec_bytes, file.form.name, row)
        except SpecError as error:
            return {_at(fault): fault for fault in error.faults}
        return {}

    first = refused(rows[0])
    for key in rows[0]:
        other = next((row for row in rows if row[key] != rows[0][key]), rows[0])
        if key in first and (again := refused(other).get(key)) and again.found == first[key].found:
            raise SpecError([first[key]])


def _at(fault: Fault) -> str:
    return fault.path.strip('"')


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
        said = f"{_at(fault)}: found {fault.found}, expected {fault.expected}"
    except (PedalplateError, LookupFault) as error:
        said = str(error)
    # one row must never end the others: it is told in its row, and solved again the next time
    except Exception as error:
        said = f"{UNEXPECTED}: {type(error).__name__}: {error}"
    return {**row, "fault": printable(said, LONGEST_FAULT)}


OTHER_VERSIONS = "a worker with other versions of the program or its libraries"
"""Fault of a row that was not solved because the results would not go together."""
UNEXPECTED = "something this program did not expect"
"""Begins a fault that is no fault of the spec: a full disk, too little memory, a slip of the program."""
LOST = "its worker was lost"
"""Begins the fault of a row whose workers ended before it was solved."""


def passing(row: Mapping[str, Any]) -> bool:
    """True for a row that was not solved for a reason that may be gone the next time."""
    return str(row["fault"]).startswith((OTHER_VERSIONS, UNEXPECTED, LOST))
