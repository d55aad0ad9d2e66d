"""Puts small faults into a scratch copy of the tree and counts those the room's tests find.

    python tests/mutation hydraulics --seed 1 --count 60

One mutant at a time, in one process. Which tests run a line is measured first, by coverage; a mutant meets
those tests, quickest first, and if it survives them the rest of the same files (fixtures and caches hide
who ran a line). Nothing is written into the tree the tool is started from.
"""

from __future__ import annotations

import argparse
import difflib
import os
import random
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

from mutants import Mutant, mutants
from rooms import ROOMS
from runs import Map, killed, mapped, preload

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("generators", "tests", "specs", "pyproject.toml", "README.md", "DEVELOPERS.md")


def scratch() -> Path:
    """A copy of what the tests read, in a temporary folder."""
    into = Path(tempfile.mkdtemp(prefix="mutants-"))
    for name in COPIED:
        src = ROOT / name
        if src.is_dir():
            shutil.copytree(src, into / name, ignore=shutil.ignore_patterns("__pycache__", ".*"))
        else:
            shutil.copy(src, into / name)
    (into / "templates_out").mkdir()
    return into


def drawn(tree: Path, room: str, seed: int, count: int, only: str) -> list[Mutant]:
    """``count`` mutants of a room drawn at random, in the order of the files."""
    every: list[Mutant] = []
    for file in sorted((tree / "generators" / room).rglob("*.py")):
        if only in file.name:
            every += mutants(str(file.relative_to(tree)), file.read_bytes())
    chosen = random.Random(seed).sample(every, min(count, len(every)))
    return sorted(chosen, key=lambda m: (m.path, m.begin, m.text))


def difference(tree: Path, mutant: Mutant) -> str:
    """The lines of a mutant, as a diff without its head."""
    source = (tree / mutant.path).read_bytes()
    old, new = source.decode().splitlines(), mutant.apply(source).decode().splitlines()
    return "\n".join(
        d
        for d in difflib.unified_diff(old, new, n=0, lineterm="")
        if d[:2] not in {"--", "++", "generators."}
    )


def main() -> int:
    """Runs the mutants of one room; 0 whatever the score, 1 when the tests fail unmutated."""
    parser = argparse.ArgumentParser(prog="python tests/mutation", description=__doc__.splitlines()[0])
    parser.add_argument("room", choices=sorted(ROOMS))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--only", default="", help="part of a file's name")
    asked = parser.parse_args()
    tree = scratch()
    try:
        os.chdir(tree)
        preload(tree, asked.room)
        ran = mapped(tree, asked.room, ROOMS[asked.room])
        if ran is None:
            print("the room's tests fail without any mutant", file=sys.stderr)
            return 1
        chosen = drawn(tree, asked.room, asked.seed, asked.count, asked.only)
        _report(asked.room, asked.seed, tree, chosen, ran)
    finally:
        os.chdir(ROOT)
        shutil.rmtree(tree)
    return 0


def _report(room: str, seed: int, tree: Path, chosen: list[Mutant], ran: Map) -> None:
    count: Counter[str] = Counter()
    for number, mutant in enumerate(chosen, 1):
        end = killed(tree, mutant, ran)
        count[end] += 1
        if end in {"survived", "no test"}:
            print(f"{number}/{len(chosen)} {end}: {mutant.path}:{mutant.line} ({mutant.what})", flush=True)
            print(difference(tree, mutant), flush=True)
    dead = count["killed"] + count["too long"]
    share = 100.0 * dead / max(len(chosen), 1)
    print(f"{room}, seed {seed}: {dead} of {len(chosen)} killed ({share:.0f} %)", dict(count), flush=True)


if __name__ == "__main__":
    sys.exit(main())
