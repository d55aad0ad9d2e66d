"""The shop's shelf on the board: its things with pictures, and one swapped by a click and by keys."""

from __future__ import annotations

import sys
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path
from types import SimpleNamespace

import pytest
from boards import running, until
from playwright.sync_api import Browser

sys.path.insert(0, str(Path(__file__).parents[1] / "shelf"))

from shelf_jobs import SHELF, SPEC, shelf_job

from generators.board.shelf import shelf_of
from generators.model.spec.shelf.things import THINGS
from generators.reading.shelf.file import read_shelf
from generators.reading.toml.source import parse_bytes
from generators.sheets.draft.shelf import shapes_of, thing_picture

DEMO = Path(__file__).parents[2] / "specs" / "shelf.toml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf_job(tmp_path)


def told(job: Path) -> dict[str, dict[str, object]]:
    answer = shelf_of(job, parse_bytes(str(job), job.read_bytes()))
    return {str(place["path"]): place for place in answer["places"]}


def test_every_place_is_told_once_with_what_fits_there(job: Path) -> None:
    places = told(job)
    assert {path: place["fits"] for path, place in places.items()} == {
        "shelf.clutch_master": ["small", "large"],
        "component[1].shelf": ["can"],
        "hose[0].shelf": ["feed"],
        "hose[0].from_end.shelf": ["straight"],
        "pedal[0].arm_shelf": ["flat"],
    }
    master = places["shelf.clutch_master"]
    # its component, the pedal's cylinder and the hanger's bolts
    assert [places[path]["what"] for path in places] == [
        "clutch master",
        "reservoir",
        "feed hose, from end",
        "feed hose",
        "clutch, arm",
    ]
    assert (master["now"], master["times"], master["what"]) == ("small", 3, "clutch master")
    assert SPEC.split("\n")[int(str(master["line"])) - 1] == 'clutch_master = "small"'


def test_a_spec_that_takes_nothing_is_told_so(job: Path) -> None:
    source = parse_bytes(str(job), b'[job]\nname = "alone"\n')
    answer = shelf_of(job, source)
    assert answer["places"] == []
    assert "takes none" in answer["said"]
    assert "takes none" not in shelf_of(job, parse_bytes(str(job), job.read_bytes()))["said"]


def test_bolts_of_a_demo_master_go_past_its_body() -> None:
    """A 5/16 in plain washer is 11/16 in across (ASME B18.21.1 type A, narrow, from memory)."""
    shelf, _ = read_shelf(DEMO)
    masters = [one.said for one in shelf.things.values() if one.thing.name == "master"]
    bolted = [one for one in masters if one.bolt_thread == "5/16"]
    assert bolted
    for one in bolted:
        assert one.bolt_spacing_mm / 2 - one.diameter_mm / 2 > 11 / 16 * 25.4 / 2


def test_every_kind_of_thing_has_a_picture_of_its_sizes() -> None:
    shelf, faults = read_shelf(DEMO)
    assert faults == ()
    assert {one.thing.name for one in shelf.things.values()} == {thing.name for thing in THINGS}
    for one in shelf.things.values():
        drawn = ET.fromstring(thing_picture(one.thing.name, one.said, one.name))
        assert len(drawn.findall(".//{*}polygon") + drawn.findall(".//{*}circle")) >= 1
    body = shapes_of("master", shelf.things["master_7_8"].said)[1]
    # a rod of 36 mm, 140 mm from the sheet on, its axis level
    assert sorted(set(body.corners)) == [(0.0, -18.0), (0.0, 18.0), (140.0, -18.0), (140.0, 18.0)]
    (bar,) = shapes_of("steel", shelf.things["flat_25x8"].said)
    assert max(bar.corners) == (25.0, 8.0)


def test_a_thing_that_says_little_is_drawn_all_the_same() -> None:
    for thing in THINGS:
        said = SimpleNamespace(**{**dict.fromkeys(thing.fields()), "port": ()})
        ET.fromstring(thing_picture(thing.name, said, thing.name))


def test_a_shelf_with_faults_says_so_and_a_spec_without_one_has_none(job: Path, tmp_path: Path) -> None:
    source = parse_bytes(str(job), job.read_bytes())
    (tmp_path / "shelf.toml").write_text(SHELF.replace('"3/4 in"', '"3/4"'), encoding="utf-8")
    answer = shelf_of(job, source)
    assert "shelf.toml:7" in answer["fault"]
    assert "small" not in {thing["name"] for thing in answer["things"]}
    (tmp_path / "shelf.toml").write_text("[[", encoding="utf-8")
    assert shelf_of(job, source)["fault"]
    (tmp_path / "shelf.toml").unlink()
    answer = shelf_of(job, source)
    assert answer["things"] == []
    assert "No shelf.toml is beside the spec" in answer["said"]


def taken(job: Path) -> str:
    return str(tomllib.loads(job.read_text(encoding="utf-8"))["shelf"]["clutch_master"])


def test_a_thing_is_swapped_by_a_click_and_by_keys_and_taken_back(browser: Browser, job: Path) -> None:
    with running(job, solves=False) as (address, board):
        page = browser.new_page(viewport={"width": 1300, "height": 900})
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        page.locator('[data-tab="shelf"]').click()
        page.wait_for_selector("#shelf[data-shown]", timeout=60_000)
        assert page.locator("#shelf-things li").count() == 6
        large = page.locator('#shelf-things li[data-thing="large"]')
        assert large.locator("svg circle").count() >= 2  # its ports
        before = job.read_text(encoding="utf-8")
        large.locator("button").click()
        until(lambda: taken(job) == "large")
        # nothing but that one word
        assert job.read_text(encoding="utf-8") == before.replace(
            'clutch_master = "small"', 'clutch_master = "large"'
        )
        until(lambda: large.locator("button").is_disabled())
        choice = page.locator('#shelf-places select[data-path="shelf.clutch_master"]')
        assert choice.input_value() == "large"
        choice.focus()
        page.keyboard.press("ArrowUp")
        until(lambda: taken(job) == "small")
        page.locator("#undo").click()
        until(lambda: taken(job) == "large")
        assert wrong == []
        page.close()
        assert board.desk.state["faults"] == []
