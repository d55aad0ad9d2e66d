"""The bent profile at full size: by hand, measured again, and spoiled ones are named."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from drawing.part_cases import JOB, REVISION, cases, make

from generators.drawing.bending import profile_sheet
from generators.drawing.bending.chains import chains
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.standing import Standing, standing
from generators.geometry.contours import area, rectangle
from generators.model.plan import PartPlan
from generators.model.words import BendDirection
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.profile.sheet import read_profile_sheet
from generators.verify.readback import ReadBack

CARD = "THE PART DOES NOT STAND ON THIS PROFILE: print it on card"
CASES = cases()
BENT = [name for name, plan in CASES.items() if plan.bends]


def drawn(plan: PartPlan, path: Path, paper: str = "A4") -> ReadBack:
    write_profile_sheet(plan, path, job_title=JOB, revision=REVISION, paper=paper)
    return read(plan, path)


def read(plan: PartPlan, path: Path, *, waived: bool = False) -> ReadBack:
    return read_profile_sheet(path, plan, job_title=JOB, revision=REVISION, rel="p.pdf", waived=waived)


@pytest.mark.parametrize("name", BENT)
def test_every_profile_measures_as_planned(name: str, tmp_path: Path) -> None:
    assert drawn(CASES[name], tmp_path / "p.pdf", "letter" if len(name) % 2 else "A4").problems == ()


def test_a_shelf_by_hand() -> None:
    """Legs of 60 and 80 outside in 3 mm over R3: flats of 54 and 74, and a quarter ring of 3 and 6."""
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    (chain,) = chains(plan)
    assert sorted(leg.flat_mm for leg in chain.legs) == pytest.approx([54.0, 74.0])
    assert sorted(leg.outside_mm for leg in chain.legs) == pytest.approx([60.0, 80.0])
    assert area(chain.outline()) == pytest.approx((54 + 74) * 3 + math.pi / 4 * (36 - 9))


def test_a_joggle_turns_both_ways() -> None:
    """Up, then down by the same angle: the last leg runs on as the first."""
    plan = CASES["throttle_back"]
    (chain,) = chains(plan)
    signs = [math.copysign(1, t) for t in chain.turns]
    assert signs == [1 if b.direction == "up" else -1 for b in chain.bends]
    assert area(chain.outline()) > 0


def test_opposite_bends_are_one_profile() -> None:
    """Both gussets of a slave bracket and their upright are one chain; the base and it another."""
    assert sorted(len(chain.bends) for chain in chains(CASES["slave"])) == [1, 2]


@pytest.mark.parametrize(
    ("change", "wanted"),
    [
        ({"inside_radius_mm": 3.1}, "the outline turns by"),
        ({"angle_rad": math.radians(89.0)}, "is in no profile"),
    ],
    ids=["radius", "angle"],
)
def test_another_bend_is_found_out(tmp_path: Path, change: dict[str, float], wanted: str) -> None:
    plan = make("reservoir_bracket")
    path = tmp_path / "p.pdf"
    assert drawn(plan, path).problems == ()
    (bend,) = plan.bends
    other = replace(plan, bends=(replace(bend, **change),))  # type: ignore[arg-type]
    assert any(wanted in p for p in read(other, path).problems)


def test_another_length_thickness_and_side_are_found_out(tmp_path: Path) -> None:
    path = tmp_path / "p.pdf"
    plan = CASES["throttle"]
    assert drawn(plan, path).problems == ()
    longer = read(make("throttle_pedal_bracket", offset_mm=58.2), path).problems
    assert any("mm long on both sides" in p for p in longer)
    assert any("mm thick" in p for p in read(replace(plan, thickness_mm=3.2), path).problems)
    first, *rest = plan.bends
    turned = replace(first, direction="down" if first.direction == "up" else "up")
    said = read(replace(plan, bends=(turned, *rest)), path).problems
    assert "page 1: bends turn to another side than planned" in said


@pytest.mark.parametrize("shelf", [80.0, 400.0], ids=["whole", "drawn short"])
def test_another_length_is_found_out_where_legs_are_drawn_short(tmp_path: Path, shelf: float) -> None:
    """On A4, 210 wide, a shelf of 400 is cut off: its length stands in its label alone, the base is whole."""
    path = tmp_path / "p.pdf"
    assert drawn(make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=shelf), path).problems == ()
    deeper = read(make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=shelf + 0.02), path).problems
    assert any("shelf is said to be" in p for p in deeper)
    higher = read(make("reservoir_bracket", base_height_mm=75.0, shelf_depth_mm=shelf), path).problems
    assert any("base is said to be 60 outside, by the plan 75.00" in p for p in higher)
    assert any("base is not 69.00 mm long" in p for p in higher)


@pytest.mark.parametrize(
    ("lie", "said"),
    [
        (lambda text: text.replace("80 outside", "90 outside"), "said to be 90 outside, by the plan 80.00"),
        (lambda text: text.replace("80 outside", "80 over all"), "gives 0 lengths of shelf"),
        (lambda text: text.replace("80 outside", "80 outside, drawn short"), "does not say why"),
        (lambda text: text.replace("shelf: 80", "self: 80"), "names a leg self"),
    ],
    ids=["wrong", "none", "short", "name"],
)
def test_a_label_that_lies_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lie: Callable[[str], str], said: str
) -> None:
    honest = profile_sheet.place_label

    def lying(pen: Any, clutter: Any, anchor: Any, radius: float, text: str, **more: Any) -> None:
        honest(pen, clutter, anchor, radius, lie(text), **more)

    monkeypatch.setattr(profile_sheet, "place_label", lying)
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    assert any(said in p for p in drawn(plan, tmp_path / "p.pdf").problems)


def tree(*ways: BendDirection) -> PartPlan:
    """A web with a leg bent off its side, another on that one, and a third on its own fourth side."""
    plan = CASES["tree"]
    bends = (replace(b, direction=way) for b, way in zip(plan.bends, ways, strict=True))
    return replace(plan, bends=tuple(bends))


CARDS = [
    # both sides free between the gussets: the outside, which the lengths are given to
    (CASES["slave"], "outside of the bend", "around it over"),
    # leg three goes down, away from where one and two stand up: over it they are in the way, within it nothing is
    (tree("up", "up", "down"), "inside of the bend", "within it into"),
    # and with them it is the other way round
    (tree("up", "up", "up"), "outside of the bend", "around it over"),
    (tree("down", "down", "down"), "outside of the bend", "around it over"),
    (tree("down", "down", "up"), "inside of the bend", "within it into"),
]


@pytest.mark.parametrize(("plan", "side", "how"), CARDS, ids=["gussets", "away", "with", "both down", "back"])
def test_a_card_is_cut_for_the_side_that_is_free(plan: PartPlan, side: str, how: str, tmp_path: Path) -> None:
    """Of the two lines of the outline one is cut, and the sheet says which: cut on both it is a limp strip."""
    path = tmp_path / "p.pdf"
    assert drawn(plan, path).problems == ()
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert (
        f"cut the thick line away ({side}), on to the sheet's edges, and hold the piece {how} the bend"
        in text
    )
    assert "print it on card or glue it to card" in text


@pytest.mark.parametrize(
    ("what", "now", "wanted"),
    [
        ("CUT_MM", 0.35, "has 0 thick lines to cut"),
        ("CUT_OUT", f"{CARD}.", "does not say along which line a card is cut"),
        (
            "upper_is_free",
            lambda *_: True,
            "mm are free; on the other are 24 mm",
        ),
        (
            "SIDES",
            dict.fromkeys(profile_sheet.SIDES, "the piece around it over"),
            "cuts a card for the inside and",
        ),
    ],
    ids=["thin", "no words", "side", "piece"],
)
def test_a_card_for_the_wrong_line_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str, now: object, wanted: str
) -> None:
    monkeypatch.setattr(profile_sheet, what, now)
    problems = drawn(tree("up", "up", "down"), tmp_path / "p.pdf").problems
    assert any(wanted in p for p in problems), problems


def test_a_thick_line_on_the_other_side_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The words say outside, the line runs round the inside: shorter by what the arcs differ."""
    honest = profile_sheet.CUT_OUT
    monkeypatch.setattr(profile_sheet, "upper_is_free", lambda *_: True)
    monkeypatch.setattr(profile_sheet, "CUT_OUT", honest.replace("{side}", "outside"))
    monkeypatch.setitem(profile_sheet.SIDES, "inside", "the piece around it over")
    problems = drawn(CASES["slave"], tmp_path / "p.pdf").problems
    assert any("mm long; the outside is" in p for p in problems), problems


def test_words_and_waivers(tmp_path: Path) -> None:
    path = tmp_path / "p.pdf"
    plan = make("reservoir_bracket")
    drawn(plan, path)
    assert any("WAIVED" in p for p in read(plan, path, waived=True).problems)
    path.write_bytes(b"")
    assert not read(plan, path).good


def test_a_shelf_stands_on_its_side_by_hand() -> None:
    """Corners of R8 at both far ends: of flats of 54 and 74 the first 46 and 66 from the bend touch."""
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    (chain,) = chains(plan)
    stood = standing(plan, chain)
    assert stood is not None
    assert [[round(x, 6) for x in span] for leg in stood.spans for span in leg] == [[8, 54], [0, 66]]
    # the blank's long sides are b to c and d to a, either may be down
    assert stood.edges in ((("b", "c"),), (("d", "a"),))


def test_a_hanger_stands_on_its_lower_edge_and_never_on_its_tab_s_profile() -> None:
    """Cheeks slope up from a to b's ends, 9 mm out of their bends; beside the tab's profile the cheeks go lower.

    Looked at from above, the web to the right, its upper side (the cheeks) is below it: the walk along the web
    with the upper side on the left is seen turned over.
    """
    plan = make("pedal_hanger")
    channel, tab = chains(plan)
    stood = standing(plan, channel)
    assert stood is not None
    assert [[round(x, 6) for x in span] for leg in stood.spans for span in leg] == [
        [99, 108],
        [0, 84],
        [0, 9],
    ]
    assert stood.edges == (("a", "b"),)
    assert [leg.name for leg in channel.legs] == ["left_cheek", "web", "right_cheek"]
    assert stood.mirrored
    assert standing(plan, tab) is None


def test_what_stands_lower_keeps_the_part_off_a_profile() -> None:
    """A base a millimetre wider than its bend at either end: it stands on that, and the bend is off the paper."""
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    (chain,) = chains(plan)
    wide = replace(
        plan, flanges=(replace(plan.flanges[0], contour=rectangle(-46.0, -22.0, 46.0, 32.0)), plan.flanges[1])
    )
    assert standing(plan, chain) is not None
    assert standing(wide, chain) is None


@pytest.mark.parametrize(
    ("lie", "said"),
    [
        (lambda s: replace(s, spans=(((0.0, 46.0),), s.spans[1])), "the metal touches 0.0 to 46"),
        (lambda s: replace(s, edges=(("a", "b"),)), "stands on metal that is not on a to b"),
        (lambda s: replace(s, edges=(*s.edges, ("a", "b"))), "names an edge of"),
        (lambda s: replace(s, edges=(("a", "c"),)), "which the blank has not"),
        (lambda s: replace(s, mirrored=not s.mirrored), "as its mirror image"),
        (lambda s: replace(s, spans=((), ())), "grey is nowhere"),
        (lambda s: replace(s, over=("base",)), "says that base hides the outline"),
        (lambda _: None, "on which edge the part stands"),
    ],
    ids=["elsewhere", "edge", "edges", "no edge", "mirrored", "none", "hides", "not"],
)
def test_a_sheet_that_says_otherwise_how_the_part_stands_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lie: Callable[[Any], Any], said: str
) -> None:
    monkeypatch.setattr(profile_sheet, "standing", lambda plan, chain: lie(standing(plan, chain)))
    plan = make("reservoir_bracket", base_height_mm=60.0, shelf_depth_mm=80.0)
    problems = drawn(plan, tmp_path / "p.pdf").problems
    assert any(said in p for p in problems), problems


WHITE = "White is metal above the paper: set a square up against it."


def test_what_hides_the_outline_is_told_and_how_to_look(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stands on the upper edge of its upright with its base on top: 136 by 104 from the upright's face, over
    gussets 110 apart and 72 deep."""
    plan = make("slave_bracket", t=4.0)
    chain = next(c for c in chains(plan) if any("gusset" in leg.name for leg in c.legs))
    stood = standing(plan, chain)
    assert stood is not None
    assert stood.over == ("base",)
    path = tmp_path / "p.pdf"
    assert drawn(plan, path).problems == ()
    text = " ".join(page_text(path))
    assert "Base hides some of the outline from above: look in under it, level with the paper." in text
    monkeypatch.setattr(profile_sheet, "standing", lambda p, c: none_over(standing(p, c)))
    assert any("is wrong about base" in p for p in drawn(plan, path).problems)


def test_a_shelf_that_hides_nothing_says_what_its_white_is(tmp_path: Path) -> None:
    """Rounded corners leave 8 mm of each leg above the paper; with square ones nothing is white, and no word of it."""
    path = tmp_path / "p.pdf"
    sizes: dict[str, Any] = {"base_height_mm": 60.0, "shelf_depth_mm": 80.0}
    for plan, said in (
        (make("reservoir_bracket", **sizes), True),
        (make("reservoir_bracket", corner_radius_mm=0.0, **sizes), False),
    ):
        assert drawn(plan, path).problems == ()
        text = " ".join(page_text(path))
        assert (WHITE in text) == said
        assert "hides" not in text


def page_text(path: Path) -> list[str]:
    """Each page's words with single blanks."""
    with pypdfium2.PdfDocument(path) as pdf:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]


def none_over(stood: Standing | None) -> Standing | None:
    """The same, with nothing that hides the outline."""
    return None if stood is None else replace(stood, over=())


def test_a_part_said_to_stand_where_it_does_not_is_found_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = make("pedal_hanger")
    monkeypatch.setattr(
        profile_sheet,
        "standing",
        lambda _, chain: Standing(spans=((),) * len(chain.legs), mirrored=False, edges=(("a", "b"),)),
    )
    said = drawn(plan, tmp_path / "p.pdf").problems
    assert "page 2: does not say that the part does not stand on the profile" in said


def test_nothing_is_said_of_drilling_where_nothing_is_drilled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = CASES["shelf_30"]
    assert drawn(plan, tmp_path / "p.pdf").problems == ()
    text = " ".join(" ".join(page.text for page in read_pdf(tmp_path / "p.pdf").pages).split())
    assert "checked by a licensed mechanic and follow local codes" in text
    assert "Before drilling" not in text
    monkeypatch.setattr("generators.drawing.paper.furniture.NO_UP", ())
    found = drawn(plan, tmp_path / "q.pdf").problems
    assert "page 1 speaks of drilling, and nothing is drilled by it" in found
