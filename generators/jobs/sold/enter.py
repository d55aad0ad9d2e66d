"""Enter a kit: a serial first, the hashes of its pack when that is finished."""

from __future__ import annotations

from pathlib import Path

from generators.issue.issue import Issued
from generators.jobs.issued.mark import letter_of
from generators.jobs.make.run import spec_files
from generators.register.kits import Sold, begin, finish
from generators.register.store import register_path, writing
from generators.solve.comparing.numbers import numbers_of
from generators.solve.job import Prepared


def base_name(prepared: Prepared) -> str:
    """The job's name as the spec has it, without that of its form."""
    name, form = prepared.file.job.job.name, prepared.file.form.name
    return name.removesuffix(f"_{form}") if form else name


def serial_letters(prepared: Prepared) -> str:
    """The letters before the running number: all forms of a job are counted in one row."""
    return prepared.file.job.kit.serial or base_name(prepared)


def sold_of(prepared: Prepared) -> Sold:
    """What a kit of that job is of."""
    file = prepared.file
    return Sold(
        job=base_name(prepared),
        title=file.job.job.title,
        variant=file.form.name,
        letter=letter_of(prepared),
        issued=prepared.issued.date if prepared.issued is not None else "",
        revision=file.revision,
        spec=file.spec_path.name,
        numbers=numbers_of(prepared),
        kept=tuple((kept.entry.path.lstrip("/"), kept.content) for kept in spec_files(file, "")),
    )


def serial_for(prepared: Prepared, folder: Path, *, order: str, day: str) -> str:
    """The serial of the kit of that order: the one it has, or the next. Raises as ``register.begin``."""
    with writing(register_path(folder)) as register:
        return begin(register, sold_of(prepared), letters=serial_letters(prepared), order=order, day=day)


def packed(folder: Path, serial: str, made: Issued) -> None:
    """Enter what the finished folder holds. Raises as ``register.writing``."""
    with writing(register_path(folder)) as register:
        finish(register, serial, {entry.path: entry.sha256 for entry in made.entries})
