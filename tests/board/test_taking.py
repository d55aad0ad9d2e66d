"""A cylinder of a start is taken of the shelf in one go: the same job, said in another place."""

from __future__ import annotations

import copy
import dataclasses
import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from boards import running, until
from playwright.sync_api import Browser

from generators.board.edits import differing
from generators.board.numbers import Refused
from generators.board.shelf import shelf_of, with_thing
from generators.parts import KINDS
from generators.reading import read_job
from generators.reading.toml.edits import edited
from generators.reading.toml.source import parse_bytes

ROOT = Path(__file__).parents[2]
STARTS = ROOT / "generators" / "cli" / "starts"
ALL = {kind.name: kind.parameters for kind in KINDS}


def start(folder: Path, name: str) -> Path:
    """A start as ``new`` writes it, with the demo's shelf beside it."""
    shutil.copy(ROOT / "specs" / "shelf.toml", folder)
    spec = folder / "my.toml"
    text = (STARTS / f"{name}.toml").read_text(encoding="utf-8").replace("@NAME@", "my")
    spec.write_text(
        "\n".join(row for row in text.split("\n") if not row.startswith("shop =")), encoding="utf-8"
    )
    return spec


def take(spec: Path, place: str, thing: str) -> str:
    """A thing taken; what was said of it."""
    done = with_thing(spec, parse_bytes(str(spec), spec.read_bytes()), place, thing)
    spec.write_text(done.text, encoding="utf-8")
    return done.words


def plain(data: Any) -> Any:
    """A job as plain data, without where its values come from."""
    if dataclasses.is_dataclass(data):
        names = [field.name for field in dataclasses.fields(data) if not field.name.endswith("shelf")]
        return {name: plain(getattr(data, name)) for name in names}
    return [plain(one) for one in data] if isinstance(data, tuple | list) else data


def test_a_start_whose_parts_lie_on_the_shelf_is_the_same_job_taken_from_it(tmp_path: Path) -> None:
    spec = start(tmp_path, "hanging_clutch")
    before, text = plain(read_job(spec, ALL).job), spec.read_text(encoding="utf-8")
    # the invented figures of the start are those of the demo shelf's things
    for place, thing in (
        ("component[0].shelf", "master_7_8"),
        ("component[1].shelf", "reservoir_60"),
        ("component[4].shelf", "slave_1_1_8"),
        ("component[2].shelf", "bulkhead_4_elbow"),
        ("pedal[0].arm_shelf", "flat_25x8"),
    ):
        assert thing in take(spec, place, thing)
    file = read_job(spec, ALL)
    assert plain(file.job) == before
    assert {one.at for one in file.taken if one.thing == "master_7_8"} == {
        "part[clutch_hanger]", "component[master]", "pedal[clutch].master",
    }  # fmt: skip
    after = spec.read_text(encoding="utf-8")
    # one word swaps it everywhere, and nothing of it is said twice
    assert after.count('"master_7_8"') == 1
    assert '"7/8 in"                              # measure: caliper, or what is cast on it' not in after
    rows = text.split("\n")
    added = [row for row in after.split("\n") if row.strip() and row not in rows]
    # an elbow's leg is the fitting's; which way it points is the job's
    names = ("master", "slave", "reservoir", 'elbow = { face = "cab", toward = "left" }')
    assert all("shelf" in row or row.startswith(names) for row in added)
    places = shelf_of(spec, parse_bytes(str(spec), spec.read_bytes()))["places"]
    assert {p["what"]: p["now"] for p in places if p["now"]} == {
        "master": "master_7_8",
        "reservoir": "reservoir_60",
        "slave": "slave_1_1_8",
        "firewall fitting": "bulkhead_4_elbow",
        "clutch, arm": "flat_25x8",
    }


def test_of_three_masters_on_one_part_each_goes_to_its_own_pedal(tmp_path: Path) -> None:
    spec = start(tmp_path, "clutch_and_brake")
    places = shelf_of(spec, parse_bytes(str(spec), spec.read_bytes()))["places"]
    masters = {p["path"]: p["times"] for p in places if "master_3_4" in p["fits"]}
    # the clutch's has its pedal's table, those of the brakes have circuits of their own
    assert masters == {
        "component[0].shelf": 2,
        "component[1].shelf": 1,
        "component[2].shelf": 1,
        "pedal[1].brake.front.shelf": 1,
        "pedal[1].brake.rear.shelf": 1,
    }
    table = tomllib.loads(spec.read_text(encoding="utf-8"))
    take(spec, "component[0].shelf", "master_3_4")
    after = tomllib.loads(spec.read_text(encoding="utf-8"))
    assert after["shelf"] == {"clutch_master": "master_3_4"}
    assert after["pedal"][0]["master"]["shelf"] == "clutch_master"
    assert (after["part"], after["pedal"][1:]) == (table["part"], table["pedal"][1:])


def test_what_the_shelf_does_not_say_of_another_body_is_told(tmp_path: Path) -> None:
    spec = start(tmp_path, "clutch_and_brake")
    # that reservoir's body stands aside of its flange; the shelf's has none of that
    words = take(spec, "component[3].shelf", "reservoir_60")
    assert "the shelf does not say body_along, body_at" in words
    taken = tomllib.loads(spec.read_text(encoding="utf-8"))["component"][3]
    assert {*taken} == {"name", "title", "kind", "shelf", "on"}


def test_a_port_that_says_more_and_one_the_thing_lacks_stay(tmp_path: Path) -> None:
    spec = start(tmp_path, "hanging_clutch")
    text = spec.read_text(encoding="utf-8")
    more = '  [[component.port]]\n  name = "bleed"\n  at = ["9 mm", "0 mm", "9 mm"]\n  facing = "up"\n\n'
    spec.write_text(
        text.replace("  [[component.port]]\n", more + "  [[component.port]]\n", 1), encoding="utf-8"
    )
    take(spec, "component[0].shelf", "master_7_8")
    ports = tomllib.loads(spec.read_text(encoding="utf-8"))["component"][0]["port"]
    assert [port["name"] for port in ports] == ["bleed"]
    (master, *_) = read_job(spec, ALL).job.component
    assert {port.name for port in master.port} == {"bleed", "inlet", "outlet"}


def test_places_and_things_that_do_not_go_together_are_refused(tmp_path: Path) -> None:
    spec = start(tmp_path, "hanging_clutch")
    for place, thing in (
        ("component[0].shelf", "slave_1"),
        ("component[0].shelf", "none_such"),
        ("component[99].shelf", "master_1"),
        ("job.name", "master_1"),
        ("../shelf", "master_1"),
    ):
        with pytest.raises(Refused):
            take(spec, place, thing)
    take(spec, "component[0].shelf", "master_1")
    with pytest.raises(Refused):  # it is taken: swapped by its name, not taken again
        take(spec, "component[0].shelf", "master_7_8")


@pytest.mark.parametrize("name", ["hanging_clutch", "clutch_and_brake"])
def test_any_value_taken_out_leaves_the_rest_as_it_reads(name: str) -> None:
    """Beside the standard library's own reader."""
    text = (STARTS / f"{name}.toml").read_text(encoding="utf-8")
    source = parse_bytes("x.toml", text.encode())

    def keys(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
        """Paths of all keys of all tables."""
        for step, one in data.items() if isinstance(data, dict) else enumerate(data):
            if isinstance(step, str):
                yield (*path, step)
            if isinstance(one, dict | list):
                yield from keys(one, (*path, step))

    looked = 0
    for path in [*keys(source.table)][::6]:
        if source.places.span(path) is None:
            continue
        wanted = copy.deepcopy(source.table)
        here: Any = wanted
        for step in path[:-1]:
            here = here[step]
        del here[path[-1]]
        assert [*differing(tomllib.loads(edited(source, [], without=[path])), wanted)] == [], path
        looked += 1
    assert looked > 30


@pytest.mark.nightly
def test_whatever_is_offered_of_any_job_can_be_taken_and_reads(tmp_path: Path) -> None:
    names = [path.stem for path in STARTS.glob("*.toml") if "[[panel]]" in path.read_text(encoding="utf-8")]
    looked = 0
    for name in names:
        spec = start(tmp_path, name)
        text = spec.read_text(encoding="utf-8")
        for place in shelf_of(spec, parse_bytes(str(spec), text.encode()))["places"]:
            for thing in place["fits"]:
                take(spec, place["path"], thing)
                assert thing in {one.thing for one in read_job(spec, ALL).taken}
                spec.write_text(text, encoding="utf-8")
                looked += 1
    assert looked > 50


def test_taken_by_a_click_and_by_keys_and_back_in_one_step(browser: Browser, tmp_path: Path) -> None:
    spec = start(tmp_path, "hanging_clutch")
    text = spec.read_text(encoding="utf-8")
    with running(spec, solves=False) as (address, board):
        page = browser.new_page(viewport={"width": 1300, "height": 900})
        page.goto(address)
        page.wait_for_selector(".over .handle")
        page.locator('[data-tab="shelf"]').click()
        button = page.locator('#shelf-things li[data-thing="master_3_4"] button', has_text="Take as master")
        button.click()
        until(lambda: 'master = "master_3_4"' in spec.read_text(encoding="utf-8"))
        page.locator('#shelf-things li[data-thing="master_3_4"] button:disabled').wait_for()
        # what is found is in sight beside the open shelf
        assert page.locator("#findings-head").is_visible()
        page.locator("#undo").click()
        until(lambda: spec.read_text(encoding="utf-8") == text)
        choice = page.locator('#shelf-places select[data-key="slave"]')
        page.locator('#shelf-places select[data-path="component[4].shelf"]').wait_for()
        choice.focus()
        page.keyboard.press("ArrowDown")
        until(
            lambda: tomllib.loads(spec.read_text(encoding="utf-8")).get("shelf") == {"slave": "slave_1_1_8"}
        )
        page.locator('#shelf-places select[data-path="shelf.slave"]').wait_for()
        assert page.evaluate("document.activeElement.dataset.path") == "shelf.slave"
        page.locator("#shelf-done", has_text="slave_1_1_8 taken of the shelf in 2 places").wait_for()
        page.locator("#form").select_option("+")
        until(lambda: board.desk.state["form"] == "other_hand")
        page.close()
