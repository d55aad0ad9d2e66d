"""What is slow to make, made once a run: by the first worker that asks for it, while others that ask wait.

It lies in a folder of the run's that all workers see. Nobody changes it: who spoils a file spoils a copy.
"""

from __future__ import annotations

import os
import pickle
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import pytest

if TYPE_CHECKING:
    from generators.solve.job import Prepared

SPECS = Path(__file__).parents[1] / "specs"
PATIENCE_S = 600.0
T = TypeVar("T")
_KNOWN: dict[Path, object] = {}


def once(factory: pytest.TempPathFactory, name: str, build: Callable[[Path], T]) -> T:
    """What ``build`` gives for the folder of this name; it must be such as can be pickled.

    Raises what ``build`` raises, and ``RuntimeError`` where it failed or ended in another worker.
    """
    base = factory.getbasetemp()
    place = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / name
    if place not in _KNOWN:
        try:
            place.mkdir()
        except FileExistsError:
            _KNOWN[place] = _of_another(place)
        else:
            _KNOWN[place] = _built(place, build)
    return _KNOWN[place]  # type: ignore[return-value]


def _built(place: Path, build: Callable[[Path], T]) -> T:
    try:
        made = build(place)
        (place / "half").write_bytes(pickle.dumps(made))
    except BaseException as error:
        (place / "failed").write_text(f"{type(error).__name__}: {error}", encoding="utf-8")
        raise
    (place / "half").rename(place / "whole")
    return made


def _of_another(place: Path) -> object:
    until = time.monotonic() + PATIENCE_S
    while not (place / "whole").exists():
        if (place / "failed").exists():
            raise RuntimeError((place / "failed").read_text(encoding="utf-8"))
        if time.monotonic() > until:
            raise RuntimeError(f"nobody made {place.name}")
        time.sleep(0.05)
    return pickle.loads((place / "whole").read_bytes())


@cache
def solved(demo: str) -> Prepared:
    """A demo as it is shipped, solved once by each worker. Nobody changes it."""
    from generators.solve.job import prepare

    return prepare(SPECS / f"{demo}.toml")
