"""What a kit holds cut or made up, its install sheet does not tell to cut."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from made_once import solved

from generators.jobs.kit.content import Asked, Content
from generators.jobs.make.line_sheets import job_guide
from generators.model.install import Guide
from generators.solve.job import Prepared


@pytest.fixture(scope="module")
def content() -> Content:
    return Content(prepared=solved("ferrow_bus"), asked=Asked(serial="FB-0001"))


def said(prepared: Prepared) -> tuple[Guide, dict[str, str], dict[str, tuple[str, ...]], str]:
    """The guide, its words at each hose's own step, its list of hoses, and the tools it asks for."""
    guide = job_guide(prepared, "0000000")
    steps = {step.do: step.how for step in guide.steps}
    lists = {listing.title: listing.table.rows for listing in guide.lists if listing.table is not None}
    hoses = {row[0]: row[1:] for row in lists["Hoses and lines"]}
    fits = {
        title: next(how for do, how in steps.items() if f"{title.lower()}, from" in do) for title in hoses
    }
    tools = " ".join(" ".join(row) for row in lists["At hand before you begin"])
    return guide, fits, hoses, tools


def test_the_sheet_of_a_kit_says_of_each_hose_what_its_packing_list_says(content: Content) -> None:
    _, fits, hoses, tools = said(replace(content.prepared, comes=content.comes))
    made_up, cut = content.made_up_words, content.cut_words
    assert made_up
    assert cut
    assert made_up.keys() | cut.keys() == hoses.keys()
    for title, words in cut.items():
        length = re.findall(r"cut to ([0-9.]+ mm)", words)[0]
        assert f"comes cut to {length}" in fits[title]
        assert hoses[title][2] == "nothing to cut, comes cut"
    for title, words in made_up.items():
        length = re.findall(r"made up, ([0-9.]+ mm)", words)[0]
        assert f"{length} (" in fits[title]
        assert "comes made up" in fits[title]
        assert hoses[title][2] == "nothing to cut, comes made up"
    for words in fits.values():
        assert not re.search(r"\bcut (it|the hose) [0-9]", words, re.IGNORECASE)
    assert "cutter" not in tools


def test_the_sheet_of_a_job_still_tells_to_cut_them(content: Content) -> None:
    _, fits, hoses, tools = said(content.prepared)
    for title, words in fits.items():
        assert re.search(r"\bcut (it|the hose) [0-9]", words, re.IGNORECASE), title
        assert hoses[title][2].startswith("when step")
    assert "tube cutter" in tools
    assert "hose cutter" in tools
