"""What was asked by somebody who had only the box and its papers: read from the finished papers of the bus's kit."""

from __future__ import annotations

import re
from collections.abc import Mapping

import pypdfium2
import pytest
from made_once import solved

from generators.issue.work import Order, carry_out
from generators.jobs.kit.content import Asked, Content
from generators.jobs.kit.files import artefacts

KINDS = {"packing_list": "packing_list.pdf", "labels_bags": "labels_bags.pdf", "print_me_pdf": "print_me.pdf"}
PLUG = "-4 plug 7/16-20, screwed in"
"""SAE J514: a -4 union of 37 degrees has the thread 7/16-20; its nut has it inside."""


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, str]:
    """The text of each paper, with single blanks; each was read back when it was written."""
    folder = tmp_path_factory.mktemp("box")
    content = Content(prepared=solved("ferrow_bus"), asked=Asked(serial="FB-0001"))
    out = {}
    for k, one in enumerate(artefacts(content, "A4")):
        if one.entry.kind not in KINDS:
            continue
        (folder / one.entry.path).parent.mkdir(exist_ok=True, parents=True)
        order = Order(index=k, folder=folder, revision=content.prepared.file.revision, found=folder)
        done = carry_out(one, order)
        assert done.reading.problems == ()
        pages = pypdfium2.PdfDocument(folder / one.entry.path)
        out[one.entry.kind] = " ".join(" ".join(p.get_textpage().get_text_range() for p in pages).split())
    assert out.keys() == KINDS.keys()
    return out


def step(papers: Mapping[str, str], words: str) -> str:
    """The step of the pack that begins with these words."""
    steps = re.split(r"\u274f [0-9]{1,3}\. ", papers["print_me_pdf"])
    (found,) = (one for one in steps if one.startswith(words))
    return found


def test_the_finish_of_a_made_part_is_on_list_label_and_step(papers: Mapping[str, str]) -> None:
    steel = "bare for trial fit, then zinc phosphate primer, black enamel, 80 to 120 µm in all"
    soft = "bare for trial fit, then etch primer, black enamel, 60 to 90 µm in all"
    for paper in ("packing_list", "labels_bags"):
        assert papers[paper].count(steel) == 2
        assert papers[paper].count(soft) == 1
    own = papers["print_me_pdf"]
    assert "Painting the carried clutch hanger" in own
    for title in (
        "carried clutch hanger",
        "clutch reservoir bracket",
        "blanking plate for the old rod's hole",
    ):
        said = step(papers, f"Fit the {title} on the ")
        assert said.index("dry first") < said.index("off again for its finish") < said.index("cut edges and")


def test_a_flared_tube_is_closed_by_a_plug_whose_thread_is_named(papers: Mapping[str, str]) -> None:
    """Two ends: a cap on each bare end of the tube, and for each a plug once its nut is on."""
    tube = step(papers, "Fit the line from the bulkhead to the master,")
    assert f"plug both nuts ({PLUG})" in tube
    assert not re.search(r"\bcaps?\b", tube)
    for paper in ("packing_list", "labels_bags"):
        assert "2 × cap to push on, for 6.35 mm tube" in papers[paper]
        assert f"2 × {PLUG}" in papers[paper]
        assert "once it is flared" in papers[paper]


def test_labels_of_a_tube_hang_where_nobody_flares_or_bends(papers: Mapping[str, str]) -> None:
    for paper in ("packing_list", "labels_bags"):
        assert "round the middle of the tube, one for each end" in papers[paper]
        # the two hoses have theirs at their ends
        assert re.search(r"4 × label of a hose or line:? tied on by us, one at each end", papers[paper])


def test_a_cap_is_on_and_a_plug_in(papers: Mapping[str, str]) -> None:
    text = " ".join(papers.values())
    assert not re.search(r"caps? in\b(?! place)|plugs? on\b|caps? out\b|plugs? off\b", text)
    hose = step(papers, "Fit the hose to the slave,")
    assert "leave its ends on and its plugs in; take each out" in hose


def test_tightness_and_fluid_are_said_with_their_source(papers: Mapping[str, str]) -> None:
    pack = papers["print_me_pdf"]
    assert "-4 by 1 1/2 to 1 3/4 flats (TM 9-2320-364-20-4, table 2-67)" in pack
    assert "the nut of a bulkhead fitting, adapters, bleed screws, hollow bolts: as the fitting's" in pack
    assert "as the fitting's maker gives" in step(papers, "Fit the fitting in the bulkhead in hole 3")
    assert "with DOT 4 brake fluid (FMVSS 116)" in step(papers, "Fill the reservoir")
    assert "from a sealed bottle: DOT 4 brake fluid (FMVSS 116)" in pack


def test_nothing_points_at_what_is_not_said(papers: Mapping[str, str]) -> None:
    for text in papers.values():
        assert "this one" not in text
    assert "page install.html for a phone" in papers["packing_list"]
    assert "page install.html on a phone" in papers["print_me_pdf"]
    assert "pen for readings and marks" in papers["print_me_pdf"]
