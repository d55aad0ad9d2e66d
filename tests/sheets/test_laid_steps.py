"""The steps follow the sheets chosen to mark from: which pages, joined or loose, and what is on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from made_once import solved

from generators.drawing.template.view import cut_words, legend
from generators.geometry.contours import bounds
from generators.geometry.rims import from_rim
from generators.jobs.make.line_sheets import job_guide, with_steps
from generators.jobs.make.pack_files import Pack, packs_of
from generators.model.contour import Contour
from generators.model.install import Guide, Laid
from generators.solve.job import Prepared
from generators.verify.pdf.template.works import label_problems


@pytest.fixture(scope="module")
def van(demo_spec: Path) -> Prepared:
    return with_steps(solved("wrenfield_van"))


@pytest.fixture(scope="module")
def pack(van: Prepared) -> Pack:
    return packs_of(van, (), "A4")[0]


def words(guide: Guide) -> str:
    return " ".join(f"{step.do} {step.how}" for step in guide.steps)


def test_the_number_of_steps_does_not_hang_on_the_sheets(van: Prepared, pack: Pack) -> None:
    """The sheets carry numbers of steps, so those are counted before there are sheets."""
    chosen, bare = job_guide(van, "", pack.laid), job_guide(van, "")
    assert [s.tasks for s in chosen.steps] == [s.tasks for s in bare.steps]
    assert [s.number for s in chosen.steps] == [s.number for s in bare.steps]


def test_loose_sheets_are_not_joined(van: Prepared, pack: Pack) -> None:
    assert [x.way for x in pack.laid] == ["loose", "one"]
    said = words(job_guide(van, "", pack.laid))
    for laid in pack.laid:
        assert f"of {laid.pages} to the cab side" in said
    assert "Join pages" not in said
    assert "Do not join them" in said
    assert "engine template" not in said


def test_a_witness_hole_is_named_where_a_sheet_shows_it(van: Prepared, pack: Pack) -> None:
    layout = van.layouts[0]
    witness = next(h for h in layout.holes if h.name == layout.witness_hole)
    text = f"Hole {witness.number} on the paper must lie on the {witness.purpose}."
    assert witness.number not in pack.laid[0].shows
    assert text not in words(job_guide(van, "", pack.laid))
    there = replace(pack.laid[0], shows=(witness.number,))
    assert text in words(job_guide(van, "", (there, *pack.laid[1:])))


@pytest.mark.parametrize("way", ["joined", "fold"])
def test_joined_sheets_are_joined(van: Prepared, pack: Pack, way: str) -> None:
    names, titles = zip(*((x.panel, x.title) for x in van.layouts[:2]), strict=True)
    panels = names if way == "fold" else names[:1]
    laid = Laid(panels=panels, titles=titles, face="cab", way=way, first=3, last=8)  # type: ignore[arg-type]
    said = words(job_guide(van, "", (laid,)))
    assert "Join pages 3 to 8: lay marks with the same u and v on top of each other" in said
    assert "Tape the joined sheets of pages 3 to 8" in said
    assert ("round the fold" in said) is (way == "fold")


def test_heads_give_distances_to_the_rim(van: Prepared, pack: Pack) -> None:
    """Pythagoras, less half the bore: the column bore is at (640, 110), Ø69.85 mm (2 3/4 in)."""
    layout = van.layouts[0]
    three = next(h for h in layout.holes if h.number == "3")
    bore = next(h for h in layout.holes if h.number == "C")
    centres = ((three.u_mm - 640.0) ** 2 + (three.v_mm - 110.0) ** 2) ** 0.5
    assert from_rim(three.u_mm, three.v_mm, bore) == pytest.approx(centres - 69.85 / 2, abs=1e-9)
    heads = " ".join(leaf.words.lay for leaf in pack.sets[0].way.leaves)
    assert f"hole 3: {centres - 69.85 / 2:.1f} mm from the rim of C" in heads


def test_a_label_that_hides_the_pilot_is_found(van: Prepared) -> None:
    hole = next(h for h in van.layouts[0].holes if h.number == "9")
    after = f"after step {hole.work.step}"
    assert label_problems(hole, [f"9  pilot Ø3 now, Ø9  {after}"]) == []
    assert label_problems(hole, [f"9  Ø9  {after}"]) != []


def test_the_legend_names_what_a_sheet_shows(van: Prepared, pack: Pack) -> None:
    """The van's column goes through a 2 3/4 in bore at (640, 110); at (440, 250) nothing stands."""
    layout = van.layouts[0]
    assert any(abs(x - 640) < 40 and abs(y - 110) < 40 for x, y in middles(p.contour for p in layout.passing))
    round_it, over_its_rim, away = (540, 10, 740, 210), (640, 10, 740, 210), (440, 250, 445, 255)
    assert "where a sheet says slit here, cut in from its edge" in legend([(layout, "cab", round_it)])
    beside = legend([(layout, "cab", over_its_rim)])
    assert "Cut the paper out wherever something stands." in beside
    assert "slit" not in beside
    assert "Cut the paper out" not in legend([(layout, "cab", away)])
    bare = replace(layout, keepouts=(), footprints=(), passing=())
    assert legend([(bare, "cab", round_it)]) == ""
    assert "marks for joining" in legend([(bare, "cab", round_it), (bare, "cab", away)])


def test_steps_speak_of_slits_where_a_sheet_has_one(van: Prepared, pack: Pack) -> None:
    bare = replace(pack.laid[0], cut="")
    assert "Cut the paper out" not in words(job_guide(van, "", (bare,)))
    layout = van.layouts[0]
    slit = replace(bare, cut=cut_words([(layout, "cab", (540, 10, 740, 210))]))
    assert "where a sheet says slit here" in words(job_guide(van, "", (slit, bare)))


def middles(contours: Iterable[Contour]) -> Iterator[tuple[float, float]]:
    for contour in contours:
        u0, v0, u1, v1 = bounds(contour)
        yield (u0 + u1) / 2, (v0 + v1) / 2
