"""A small invented job with every kind of file, and its folder in every way ``make`` can be asked for it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from issue.small import TEXT
from spec_pieces import existing, wire_hole
from strength.hanger_specs import write as hanger_spec

from generators.jobs.make.run import make
from generators.jobs.stiffness import kept, solve_job
from generators.solve.job import Prepared, for_printer, large_type, prepare

GUIDE = """
[[part]]
name = "guide"
title = "Guide for the wire"
kind = "drill_guide"
material = "PETG"
thickness = "12 mm"
  [part.parameters]
  over = ["wire"]
  pegs = ["old_a", "old_b"]
  [part.mount]
  panel = "left"
  face = "cab"
  at = { from = "old_a", u = "0 mm", v = "0 mm" }
"""
SHOP = """
[[paper_printer]]
name = "hall laser"
x_scale = 1.004
y_scale = 0.998
skew = "0.1 deg"

[[paper_printer]]
name = "office"
x_scale = 0.997
y_scale = 1.002
"""
EDGE = "trial panel, never fitted"


def rich_text(*, near_edge: bool = False) -> str:
    """The spec: two panels, a plate, a printed guide; with ``near_edge`` a hole too near the panel's edge."""
    holes = "\n" + existing("old_a", 140, 100, 20, "an old hole")
    holes += "\n" + existing("old_b", 60, 160, 20, "an old hole")
    if near_edge:
        holes += "\n" + wire_hole("edge", 5, 220, diameter_mm=8)
    first, second, rest = TEXT.partition('\n[[panel]]\nname = "right"')
    return (first + holes + second + rest + GUIDE).replace('"small"', '"rich"', 1)


def rich_spec(folder: Path, *, near_edge: bool = False) -> Path:
    """Spec and shop file, written into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8", newline="\n")
    path = folder / "rich.toml"
    path.write_text(rich_text(near_edge=near_edge), encoding="utf-8", newline="\n")
    return path


def silent(what: str, done: int, total: int) -> None:
    assert what
    assert done <= total


def _made(prepared: Prepared, out: Path, paper: str = "A4", only: tuple[str, ...] = ()) -> Path:
    return make(prepared, out, paper=paper, only=only, progress=silent).folder


def whole(out: Path) -> Path:
    """All of it, on A4."""
    return _made(prepare(rich_spec(out / "from")), out)


def only(out: Path) -> Path:
    """Made with ``--only``."""
    return _made(prepare(rich_spec(out / "from")), out, only=("plate", "left"))


def printer(out: Path) -> Path:
    """For a calibrated printer."""
    return _made(for_printer(prepare(rich_spec(out / "from")), "hall laser"), out)


def waived(out: Path) -> Path:
    """With a failing rule waived."""
    spec = rich_spec(out / "from", near_edge=True)
    return _made(prepare(spec, {"hole-ligament": EDGE}), out)


def letter(out: Path) -> Path:
    """On letter, with large type."""
    return _made(large_type(prepare(rich_spec(out / "from"))), out, paper="letter")


def solved(out: Path) -> Path:
    """With ``--stiffness``; needs the solver."""
    (out / "from").mkdir(parents=True)
    spec = hanger_spec(out / "from")
    results = kept(solve_job(prepare(spec), changes=False))
    return _made(prepare(spec, {}, results), out)


WAYS: dict[str, Callable[[Path], Path]] = {
    "whole": whole,
    "only": only,
    "printer": printer,
    "waived": waived,
    "letter": letter,
    "solved": solved,
}
