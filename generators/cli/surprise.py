"""What nobody foresaw becomes one line and a small file to send, never a screen of program text."""

from __future__ import annotations

import platform
import shlex
import sys
import tempfile
import traceback
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

import generators
from generators.errors import printable

NAME = "pedalplate_fault"
HEAD = "pedalplate fault report"
TRIES = 9
FIRST, LAST = 12, 18  # steps shown of a long way down
CHAIN = 5
LINE_LIMIT = 400
_PACKAGES = (
    "cadquery", "cadquery-ocp", "click", "ezdxf", "netgen-mesher", "ngsolve", "numpy", "pint", "pypdfium2",
    "reportlab", "rich", "scipy", "shapely", "tomlkit", "tree-sitter", "tree-sitter-toml", "trimesh",
)  # fmt: skip
# these speak of the program and the machine; the words of any other may quote the spec
_OWN_WORDS = (
    ArithmeticError, AttributeError, ImportError, MemoryError, NameError, RecursionError, TypeError,
)  # fmt: skip
_PLACES = ("generators", "site-packages", "dist-packages", "lib")


def message(error: BaseException) -> str:
    """The error in one line, for the person who met it."""
    words = printable(str(error), LINE_LIMIT)
    return f"{type(error).__name__}: {words}" if words else type(error).__name__


def write_report(error: BaseException) -> Path | None:
    """Write the report into the current folder, or else the temporary one; ``None`` if neither takes it.

    The same fault met again is the same file. Nothing that is there already is written over.
    """
    try:
        text = report(error)
    except Exception:
        return None  # short of memory or of stack; the line on the screen must still come
    for folder in (Path.cwd, lambda: Path(tempfile.gettempdir())):
        try:
            return _kept(folder(), text)
        except OSError:
            continue
    return None


def _kept(folder: Path, text: str) -> Path:
    for number in range(1, TRIES + 1):
        path = folder / (f"{NAME}.txt" if number == 1 else f"{NAME}_{number}.txt")
        try:
            with path.open("x", encoding="utf-8") as out:
                out.write(text)
        except FileExistsError:
            if path.is_file() and not path.is_symlink() and path.read_bytes() == text.encode("utf-8"):
                return path
            continue
        return path
    raise FileExistsError(f"{NAME}.txt")


def report(error: BaseException) -> str:
    """The text to send: versions, command line, and where the program was. No text of a spec."""
    return "\n".join(
        [
            HEAD,
            "It holds no text of a spec: of errors whose words may quote one, only the name is kept.",
            "The command line is as it was typed; look whether you want to send it.",
            "",
            f"pedalplate {generators.__version__}",
            f"python {platform.python_version()} on {platform.system()} {platform.machine()}",
            *(f"{name} {version}" for name, version in _versions()),
            f"command: {printable(shlex.join(['pedalplate', *sys.argv[1:]]), 10 * LINE_LIMIT)}",
            "",
            *_chain(error),
            "",
        ]
    )


def _versions() -> Iterator[tuple[str, str]]:
    for name in _PACKAGES:
        try:
            yield name, metadata.version(name)
        except metadata.PackageNotFoundError:
            continue


def _chain(error: BaseException) -> Iterator[str]:
    """The error and what it came from, the last first."""
    seen: list[int] = []
    now: BaseException | None = error
    while now is not None and id(now) not in seen and len(seen) < CHAIN:
        yield f"{'came from ' if seen else ''}{_words(now)}"
        frames = traceback.extract_tb(now.__traceback__)
        for at, frame in enumerate(frames):
            if FIRST <= at < len(frames) - LAST:
                if at == FIRST:
                    yield f"  ({len(frames) - FIRST - LAST} steps left out)"
                continue
            yield f"  {_place(frame.filename)}:{frame.lineno} in {frame.name}"
            if frame.line:
                yield f"    {frame.line}"
        seen.append(id(now))
        now = now.__cause__ or (None if now.__suppress_context__ else now.__context__)


def _words(error: BaseException) -> str:
    name = type(error).__name__
    if isinstance(error, OSError):
        return f"{name}: {error.strerror or 'no reason given'}"
    if isinstance(error, _OWN_WORDS):
        return message(error)
    return f"{name} (its words are left out)"


def _place(filename: str) -> str:
    """A file of the program without the folders of the machine it is on."""
    parts = Path(filename).parts
    for mark in _PLACES:
        if mark in parts:
            return "/".join(parts[len(parts) - 1 - parts[::-1].index(mark) :])
    return parts[-1] if parts else filename
