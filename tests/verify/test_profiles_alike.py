"""One drawn profile for two of a part's: only where the part, or a card, is laid on it for both."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from drawing.part_cases import JOB, REVISION, cases, make

from generators.drawing.bending import alike, profile_sheet
from generators.drawing.bending.chains import Chain, chains
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.standing import Standing
from generators.geometry.contours import polygon
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import bend_length
from generators.verify.pdf.content import Shape, read_pdf
from generators.verify.pdf.profile.sheet import read_profile_sheet

HANGER = make("carried_hanger")
"""Both tops are bent outward off the upper ends of two cheeks: the one L is the mirror image of the other."""


def drawn(plan: PartPlan, path: Path) -> tuple[str, ...]:
    write_profile_sheet(plan, path, job_title=JOB, revision=REVISION)
    return read_profile_sheet(path, plan, job_title=JOB, revision=REVISION, rel="p.pdf").problems


def pages(path: Path) -> list[str]:
    """Each page's words with single blanks."""
    with pypdfium2.PdfDocument(path) as pdf:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]


def outlines(path: Path) -> list[Shape]:
    found = []
    for page in read_pdf(path).pages:
        (one,) = (s for s in page.shapes if s.closed and s.stroked and s.curves and not s.dashed)
        found.append(one)
    return found


def turn(outline: Shape, first_mm: float, second_mm: float) -> float:
    """1 where the outside of an L turns left from its side of the one length to that of the other."""
    ring = [*outline.points, outline.points[0]]
    longest = sorted(itertools.pairwise(ring), key=lambda s: -math.dist(*s))[:4]
    one, two = (
        next(s for s in longest if abs(math.dist(*s) - length) < 0.05) for length in (first_mm, second_mm)
    )
    # both as they lie, from the corner outward or not: told by which ends are near to each other
    (a, b), (c, d) = min(
        ((p, q) for p in (one, one[::-1]) for q in (two, two[::-1])),
        key=lambda k: math.dist(k[0][1], k[1][0]),
    )
    return math.copysign(1.0, (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0]))


def test_a_mirror_image_has_a_page_of_its_own(tmp_path: Path) -> None:
    """Flats of 42 and 147 from bends of R3 in 3 mm; both stand on the end the web stands on, feet outward."""
    path = tmp_path / "p.pdf"
    assert drawn(HANGER, path) == ()
    text = pages(path)
    tops = [i for i, said in enumerate(text) if re.search(r"\b(left|right) top: 48 outside", said)]
    assert len(tops) == 2
    assert not any("alike" in said or "THE SAME PROFILE" in said for said in text)
    left, right = (turn(outlines(path)[i], 147.0, 42.0) for i in tops)
    assert left == -right


def test_a_mirror_image_said_to_be_alike_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def either_hand(chain: Chain, stood: Standing | None, *, upper: bool) -> tuple[object, ...]:
        legs = sorted((round(leg.flat_mm, 3), round(leg.outside_mm, 3)) for leg in chain.legs)
        return (tuple(legs), stood is None)

    monkeypatch.setattr(profile_sheet, "lies", either_hand)
    problems = drawn(HANGER, tmp_path / "p.pdf")
    assert any(re.search(r"(left|right) top cannot be laid on this profile", p) for p in problems), problems


def test_one_bent_the_other_way_is_laid_on_the_same_profile(tmp_path: Path) -> None:
    """Two legs off a web too wide for the paper, one up and one down: turned round, the one L is the other."""
    path = tmp_path / "p.pdf"
    plan = cases()["twin_one_brake"]
    assert drawn(plan, path) == ()
    (text,) = pages(path)
    assert "profile of 2 alike" in text
    assert "THE SAME PROFILE: bend right, on its edge a to b." in text
    # 2× beside 1:1 would read as a scale
    assert "×" not in text


@pytest.mark.parametrize(
    ("said", "now", "wanted"),
    [
        (
            "THE SAME PROFILE: bend right, on its edge a to b.",
            "",
            "is said to be profile of 2 alike, and names 0 more",
        ),
        ("bend right,", "bend write,", "names bends of the same profile that the part has not"),
        ("on its edge a to b", "on its edge b to c", "right: stands on metal that is not on b to c"),
    ],
    ids=["none", "no bend", "edge"],
)
def test_words_of_like_profiles_that_lie_are_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str, now: str, wanted: str
) -> None:
    honest = alike.same_words
    monkeypatch.setattr(profile_sheet, "same_words", lambda likes: honest(likes).replace(said, now))
    problems = drawn(cases()["twin_one_brake"], tmp_path / "p.pdf")
    assert any(wanted in p for p in problems), problems


def kept_off() -> PartPlan:
    """The hanger with tops 10 mm longer than their bends at either end, 20 mm from these: it stands on that alone."""
    flanges = {f.name: f for f in HANGER.flanges}
    for bend in HANGER.bends:
        for name in {bend.parent, bend.child} & {"left_top", "right_top"}:
            start, end = (
                ((0.0, 0.0), (bend_length(bend), 0.0)) if name == bend.child else (bend.start, bend.end)
            )
            u, v = ((y - x) / bend_length(bend) for x, y in zip(start, end, strict=True))
            long = bend_length(bend)
            ring = [(0, 0), (long, 0), (long, 20), (long + 10, 20), (long + 10, 42)]
            ring += [(-10, 42), (-10, 20), (0, 20)]
            # a flange lies to the left of its bend
            placed = [(start[0] + u * x - v * y, start[1] + v * x + u * y) for x, y in ring]
            flanges[name] = replace(flanges[name], contour=polygon(placed), holes=())
    return replace(HANGER, flanges=tuple(flanges.values()))


def test_a_card_is_turned_over_for_the_mirror_image(tmp_path: Path) -> None:
    path = tmp_path / "p.pdf"
    plan = kept_off()
    assert drawn(plan, path) == ()
    (like,) = (said for said in pages(path) if "alike" in said)
    assert "THE PART DOES NOT STAND ON THIS PROFILE" in like
    assert re.search(r"THE SAME PROFILE: bend left top\.", like)
    assert len(chains(plan)) == len(pages(path)) + 1
