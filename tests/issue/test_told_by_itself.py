"""Pictures that are told by what they show are drawn alike wherever they are told alike, on page and paper."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from issue.small import TEXT
from issue.ways import silent
from made_once import solved

from generators.drawing.paper.svg_pen import SvgPen
from generators.issue.digest import Digests
from generators.issue.work import CORES
from generators.jobs.make.run import job_of, make
from generators.sheets.document import Picture
from generators.sheets.phone import pictures
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.stand import StandView
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
DEMO = "wrenfield_van"
HERE = 'from = "heater_pipe", u = "-190 mm", v = "-100 mm"'
MOVED = 'from = "heater_pipe", u = "-190 mm", v = "-103 mm"'
"""A fitting of the demo, and three millimetres below."""


def moved_demo(folder: Path) -> Prepared:
    """The demo with one of its holes moved."""
    text = (SPECS / f"{DEMO}.toml").read_text(encoding="utf-8")
    assert text.count(HERE) == 1
    spec = folder / f"{DEMO}.toml"
    spec.write_text(text.replace(HERE, MOVED), encoding="utf-8")
    (folder / "shop.toml").write_bytes((SPECS / "shop.toml").read_bytes())
    return prepare(spec)


def views_of(prepared: Prepared, folder: Path, monkeypatch: pytest.MonkeyPatch) -> list[Picture]:
    """Every picture of the job's page for a phone, in the widths that may be chosen from."""
    seen: list[Picture] = []

    def noted(views: Any, words: str, wanted: Any, before: int) -> Any:
        seen.extend(views)
        return straight(views, words, wanted, before)

    straight = pictures._drawn
    with monkeypatch.context() as patched:
        patched.setattr(pictures, "_drawn", noted)
        page = next(a for a in job_of(prepared, "A4").artefacts if a.entry.path == "install.html")
        page.body(path=folder / "install.html")
    return seen


def painted(view: Picture) -> str:
    """What a picture draws, all of it."""
    pen = SvgPen(Path(), *view.size, title="", subject="")
    view.paint(pen)
    return pen.drawn()


def told(views: list[Picture]) -> Iterator[tuple[str, Picture]]:
    """Each view with what it is told by."""
    names = Digests()
    return ((names.of(view.made_of), view) for view in views)


def test_pictures_told_alike_are_drawn_alike_though_a_hole_has_moved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = dict(told(views_of(solved(DEMO), tmp_path, monkeypatch)))
    after = dict(told(views_of(moved_demo(tmp_path), tmp_path, monkeypatch)))
    alike = before.keys() & after.keys()
    # some thing stands in its place that has nothing to do with the hole, and the panel of the hole is drawn anew
    assert {type(before[key]) for key in alike} >= {StandView}
    assert before.keys() - after.keys()
    for key in alike:
        assert painted(before[key]) == painted(after[key])


def test_a_view_holds_nothing_that_it_is_not_told_by(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = [view for view in views_of(solved(DEMO), tmp_path, monkeypatch) if isinstance(view, SpaceView)]
    assert {type(view) for view in seen} == {SpaceView, StandView}
    for view in seen:
        # the lines are worked out of the rest when they are first asked for
        assert vars(view).keys() - {"drawn"} == {"made_of", *view.made_of.keywords}


def test_the_second_page_draws_only_the_pictures_the_moved_hole_is_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(CORES, "1")
    drawn: list[str] = []
    straight = pictures._svg

    def counted(view: Any, words: str, own: str) -> Any:
        drawn.append(words)
        return straight(view, words, own)

    monkeypatch.setattr(pictures, "_svg", counted)
    spec = tmp_path / "small.toml"
    spec.write_text(TEXT, encoding="utf-8", newline="\n")
    make(prepare(spec), tmp_path / "out", paper="A4", progress=silent)
    first = drawn[:]
    assert any(words.startswith("Right panel") for words in first)
    drawn.clear()
    spec.write_text(
        TEXT.replace('u = "100 mm", v = "100 mm"', 'u = "103 mm", v = "100 mm"'), encoding="utf-8"
    )
    assert spec.read_text(encoding="utf-8") != TEXT
    make(prepare(spec), tmp_path / "out", paper="A4", progress=silent)
    assert drawn
    assert not any(words.startswith("Right panel") for words in drawn)
    # from nothing all of them are drawn, and the page is the same
    drawn.clear()
    make(prepare(spec), tmp_path / "anew", paper="A4", progress=silent)
    assert sorted(drawn) == sorted(first)
    page = "small/install.html"
    assert (tmp_path / "out" / page).read_bytes() == (tmp_path / "anew" / page).read_bytes()
    reuse = "small/reuse.json"
    assert (tmp_path / "out" / reuse).read_bytes() == (tmp_path / "anew" / reuse).read_bytes()
