"""Other looks at the job on the board: variants, printed pages, what differs; and what is carried by hand."""

from __future__ import annotations

import io
import json
import tomllib
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest
from boards import running, until
from PIL import Image
from playwright.sync_api import Browser
from spec_pieces import existing, panel

from generators.board.beside import short_names
from generators.board.desk import Desk
from generators.board.edits import changed
from generators.board.numbers import Refused
from generators.board.pages import LONGEST_PX
from generators.reading.toml.source import parse_bytes

PLATE = (
    """[job]
name = "plate"
title = "Plate"

"""
    + panel("wall", 300, 200, witness="old")
    + "\n"
    + existing("old", 40, 60, 20, "old hole")
    + """
  [[panel.hole]]
  name = "bolt"
  kind = "bolt"
  thread = "M8"
  purpose = "a bolt"
  at = { u = "200 mm", v = "100 mm" } # as measured

  [[panel.obstacle]]
  name = "loom"
  face = "engine"
  what = "wiring loom"
  corner = ["0 mm", "170 mm"]
  size = ["300 mm", "20 mm"]
  depth = "20 mm"

  [[panel.obstacle]]
  name = "duct"
  face = "engine"
  what = "air duct"
  outline = [["10 mm", "2 in"], ["30 mm", "50 mm"], ["20 mm", "30 mm"]]
  depth = "20 mm"

[[variant]]
name = "right"
title = "The other way round"
mirror = "vehicle"

[[variant]]
name = "large"
  [variant.set]
  "panel[wall].hole[bolt].at.u" = "230 mm"
"""
)
FREE = """
[[clamp]]
name = "held"
what = "on the frame"
on = { at = ["78 mm", "1 1/2 in", "164 mm"], facing = "engine" } # by tape

[[obstacle]]
name = "shaft"
what = "steering shaft"
start = ["250 mm", "590 mm", "730 mm"]
end = ["400 mm", "590 mm", "600 mm"]
diameter = "30 mm"
is = "fixed"
"""


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    path = tmp_path / "plate.toml"
    path.write_text(PLATE, encoding="utf-8")
    return path


def done(text: str, **wish: Any) -> dict[str, Any]:
    """The table after a wish, and that no line but those of its values reads otherwise."""
    source = parse_bytes("plate.toml", text.encode())
    return tomllib.loads(changed(source, None, wish).text)


def test_what_stands_free_is_carried_and_keeps_its_units() -> None:
    after = done(PLATE + FREE, do="carry", thing="clamp:held", by=[10, 25.4, 0])
    # by hand: 1 1/2 in and 25.4 mm are 2 1/2 in; a fraction stays one
    assert after["clamp"][0]["on"]["at"] == ["88 mm", "2 1/2 in", "164 mm"]
    after = done(PLATE + FREE, do="carry", thing="obstacle:shaft", by=[0, -5, 2.5])
    assert after["obstacle"][0]["start"] == ["250 mm", "585 mm", "732.5 mm"]
    assert after["obstacle"][0]["end"] == ["400 mm", "585 mm", "602.5 mm"]


@pytest.mark.parametrize(
    ("thing", "by"),
    [
        ("clamp:held", [10, 0]),
        ("clamp:held", [10, 0, "1"]),
        ("clamp:held", [1e9, 0, 0]),
        ("clamp:held", [float("nan"), 0, 0]),
        ("clamp:nobody", [1, 0, 0]),
        ("obstacle:loom", [1, 0, 0]),
        ("panel:wall", [1, 0, 0]),
        ("clamp:held", [0, 0, 0]),
    ],
)
def test_what_does_not_stand_free_is_not_carried(thing: str, by: list[Any]) -> None:
    with pytest.raises(Refused):
        done(PLATE + FREE, do="carry", thing=thing, by=by)


def test_an_obstacle_of_a_panel_moves_with_all_its_corners(plate: Path) -> None:
    desk = Desk(plate, lambda _state: None)
    desk.first()
    base = desk.state["digest"]
    desk.edit({"do": "move", "thing": "obstacle:wall/loom", "u": 0, "v": -10, "base": base})
    desk.edit({"do": "move", "thing": "obstacle:wall/duct", "u": 25.4, "v": 0, "base": desk.state["digest"]})
    loom, duct = tomllib.loads(plate.read_text(encoding="utf-8"))["panel"][0]["obstacle"]
    assert loom["corner"] == ["0 mm", "160 mm"]
    assert duct["outline"] == [["35.4 mm", "2 in"], ["55.4 mm", "50 mm"], ["45.4 mm", "30 mm"]]


def test_a_variant_is_looked_at_and_not_dragged(plate: Path) -> None:
    told: list[dict[str, Any]] = []
    desk = Desk(plate, told.append)
    desk.first()
    assert desk.state["forms"] == ["right", "large"]

    def hole() -> dict[str, Any]:
        (picture,) = [p for p in desk.state["pictures"] if p["name"] == "panel_wall_cab"]
        found: dict[str, Any] = next(h for h in picture["handles"] if h["thing"] == "hole:wall/bolt")
        return found

    written = hole()
    assert written["moves"]
    desk.look_at("large")
    # 30 mm further right on a picture of 1:2
    large = hole()
    assert not large["moves"]
    per_u = next(p for p in desk.state["pictures"] if p["name"] == "panel_wall_cab")["frame"][0]
    assert large["x"] - written["x"] == pytest.approx(30 * per_u, abs=2e-3)
    desk.look_at("right")
    # the mirror image of 300 mm: 200 mm from the left is 200 mm from the right
    assert hole()["x"] != pytest.approx(written["x"], abs=1)
    wish = {"do": "move", "thing": "hole:wall/bolt", "u": 1, "v": 0, "base": desk.state["digest"]}
    with pytest.raises(Refused, match="as written"):
        desk.edit(wish)
    with pytest.raises(Refused, match="no such variant"):
        desk.look_at("blue")
    # a value is typed in any form; it is that of the file
    desk.edit({"do": "set", "path": "panel[0].thickness", "text": "2 mm", "base": desk.state["digest"]})
    assert desk.state["form"] == "right"
    # the variant goes from the file: the job as written is shown
    plate.write_text(PLATE[: PLATE.index("[[variant]]")], encoding="utf-8")
    desk.first()
    assert (desk.state["form"], desk.state["forms"], desk.state["faults"]) == ("", [], [])
    assert hole()["moves"]
    # the other hand of drive is added here, once
    alone = plate.read_text(encoding="utf-8")
    desk.edit({"do": "mirror", "base": desk.state["digest"]})
    assert desk.state["forms"] == ["other_hand"]
    assert plate.read_text(encoding="utf-8").startswith(alone.rstrip())
    desk.look_at("other_hand")
    assert desk.state["title"].endswith(", other hand")
    assert hole()["x"] != pytest.approx(written["x"], abs=1)
    with pytest.raises(Refused, match="mirrored variant already"):
        desk.edit({"do": "mirror", "base": desk.state["digest"]})
    desk.undo({"base": desk.state["digest"]})
    assert (plate.read_text(encoding="utf-8"), desk.state["form"]) == (alone, "")


def test_what_is_looked_at_is_told_first(plate: Path) -> None:
    told: list[dict[str, Any]] = []
    desk = Desk(plate, told.append)
    desk.first()
    desk.seen = "panel_wall_engine"
    told.clear()
    plate.write_text(
        PLATE.replace("200 mm", "210 mm", 1).replace('u = "200 mm"', 'u = "190 mm"'), encoding="utf-8"
    )
    desk.first()
    early, late = told
    assert early["digest"] == late["digest"]
    fresh = {p["name"] for p in early["pictures"] if not p.get("before")}
    assert fresh == {"panel_wall_engine"}
    assert not any(p.get("before") for p in late["pictures"])
    same = [next(p for p in state["pictures"] if p["name"] == "panel_wall_engine") for state in told]
    assert same[0] == same[1]
    # a name that is no picture's changes nothing
    desk.seen = "no_such_picture"
    told.clear()
    plate.write_text(PLATE, encoding="utf-8")
    desk.first()
    assert len(told) == 1


def get(address: str) -> tuple[int, bytes]:
    try:
        with urllib.request.urlopen(address, timeout=120) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.read()


def test_pages_and_comparisons_are_told_by_number_alone(plate: Path, tmp_path: Path) -> None:
    other = tmp_path / "older.toml"
    other.write_text(PLATE.replace('u = "200 mm"', 'u = "180 mm"'), encoding="utf-8")
    with running(plate, others=(other,)) as (address, board):
        until(lambda: board.desk.state["stage"] == "whole")
        files = json.loads(get(f"{address}pages/A4")[1])["told"]
        assert files[0]["path"] == "print_me.pdf"
        assert {"install_sheet.pdf", "report.pdf"} <= {f["path"] for f in files}
        count = json.loads(get(f"{address}leaves/0")[1])["told"]
        assert count >= 3
        status, png = get(f"{address}leaf/0/0")
        assert (status, png[:8]) == (200, b"\x89PNG\r\n\x1a\n")
        image = Image.open(io.BytesIO(png))
        # A4 is 210 by 297 mm (ISO 216); 1100 px of 297 mm are far from any printer's 1:1
        assert max(image.size) == LONGEST_PX
        assert image.size[0] / image.size[1] == pytest.approx(210 / 297, abs=0.01)
        # the word lies over the middle of the page, where the pack's first page is white
        wide, tall = image.size
        middle = image.convert("L").crop((0.2 * wide, 0.3 * tall, 0.8 * wide, 0.7 * tall))
        assert sum(middle.histogram()[150:230]) > 0.02 * middle.size[0] * middle.size[1]
        for path in ("leaf/0/99", "leaf/999/0", "leaves/999", "pages/A5", "beside/99"):
            assert get(address + path)[0] == 409, path
        for path in ("leaf/0/../0", "leaf/-1/0", "beside/..%2fsecret", "pages/..", "form/right"):
            assert get(address + path)[0] in (403, 404, 405), path
        words = [one["words"] for one in json.loads(get(f"{address}beside")[1])["told"]]
        assert words == [
            "As the board was opened",
            "older.toml",
            "The job as written",
            "Variant right",
            "Variant large",
        ]
        told = json.loads(get(f"{address}beside/1")[1])["told"]
        (hole,) = told["holes"]
        # by hand: 200 mm less 180 mm
        assert hole["far"].startswith("20")
        assert [p["name"] for p in told["pictures"]] == ["compared_wall"]
        assert json.loads(get(f"{address}beside/0")[1])["told"]["same"]
        other.unlink()
        # a file of the folder is gone, so the board looks at the spec again first
        until(lambda: "cannot be read" in json.loads(get(f"{address}beside/1")[1])["words"])
        assert get(f"{address}beside/1")[0] == 409


def test_other_states_go_by_as_many_of_their_last_names_as_tell_them_apart() -> None:
    given = [Path("/a/out/van"), Path("/a/old/van"), Path("/a/today.toml"), Path("/b/old/van")]
    assert short_names(given) == ["out/van", "a/old/van", "today.toml", "b/old/van"]
    assert short_names([Path("/van"), Path("/van")]) == ["/van", "/van"]


def test_by_keyboard_a_variant_its_pages_and_what_differs(browser: Browser, plate: Path) -> None:
    with running(plate) as (address, board):
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        # an answer asked for while the spec is being worked out is refused (409), and asked for again
        page.on(
            "console",
            lambda m: wrong.append(m.text) if m.type == "error" and "409" not in m.text else None,
        )
        page.goto(address)
        page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
        assert page.evaluate("document.documentElement.scrollWidth") <= 820
        # an obstacle by the arrow keys
        page.locator('[data-name="panel_wall_engine"]').press("Enter")
        loom = page.locator('.handle[data-thing="obstacle:wall/loom"]')
        loom.focus()
        digest = page.get_attribute("body", "data-digest")
        page.keyboard.press("Shift+ArrowDown")
        until(lambda: '"160 mm"' in plate.read_text(encoding="utf-8"))
        page.wait_for_selector(f'body[data-stage="whole"]:not([data-digest="{digest}"])', timeout=60_000)
        digest = page.get_attribute("body", "data-digest")
        # the same one dragged: 1:2, so a px of the screen is 2 mm and what the picture is enlarged by
        box = page.locator('.handle[data-thing="obstacle:wall/loom"]').bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2 + 30, steps=3)
        page.wait_for_selector(".told")
        page.mouse.up()
        until(lambda: '"160 mm"' not in plate.read_text(encoding="utf-8"))
        page.wait_for_selector(f'body[data-stage="whole"]:not([data-digest="{digest}"])', timeout=60_000)
        # the pages
        page.locator('[data-tab="pages"]').press("Enter")
        page.wait_for_selector('#leaf[data-shown="0/0"] img', timeout=60_000)
        page.locator("#after").focus()
        page.keyboard.press("ArrowRight")
        page.wait_for_selector('#leaf[data-shown="0/1"] img', timeout=60_000)
        assert page.locator("#leaf img").get_attribute("alt") == "DRAFT of page 2 of print_me.pdf, reduced"
        page.emulate_media(media="print")
        assert page.locator("#leaf img").is_hidden()
        page.emulate_media(media="screen")
        # what differs from how it was opened
        page.locator('[data-tab="beside"]').press("Enter")
        page.wait_for_selector("#other option:nth-child(4)", state="attached")
        page.locator("#other").select_option(label="Variant large")
        page.wait_for_selector("#differs[data-shown] svg", timeout=60_000)
        assert "30" in (page.locator("#differs pre").text_content() or "")
        # a variant
        page.locator("#form").focus()
        page.keyboard.press("ArrowDown")
        page.wait_for_selector('body[data-form="right"][data-stage="whole"]', timeout=60_000)
        page.locator('[data-tab="panels"]').press("Enter")
        assert page.locator(".handle.moves").count() == 0
        assert page.locator(".handle").count() > 0
        assert board.desk.form == "right"
        assert wrong == []
        page.close()


def test_what_stands_free_is_taken_hold_of_in_the_views_of_the_vehicle(spec: Path) -> None:
    desk = Desk(spec, lambda _state: None)
    desk.first()
    desk.whole()
    views = {p["title"].partition(", 1:")[0]: p for p in desk.scene()}
    left = views["In the vehicle, from the left"]
    held = {h["thing"]: h for h in left["handles"]}
    assert {"obstacle:column", "component:slave"} <= set(held)
    # what sits in a panel's hole goes with that hole, and what a panel's face has is moved there
    assert not [
        thing for thing in held if thing.startswith(("part:", "panel:", "hose:", "clamp:clamp_upper"))
    ]
    column = held["obstacle:column"]
    assert column["axes"] == [[1, 0, 0], [0, 0, 1]]
    # x from 250 to 900 mm, a rod 2 in thick: 650 mm and at most its thickness more, and a rim for the finger
    xs = [float(pair.split()[0]) for pair in column["d"].strip("M Z").split(" L")]
    scale = left["frame"][0]
    assert 650 * scale <= max(xs) - min(xs) <= (650 + 50.8) * scale + 4.5
    assert not any(h["moves"] for h in views["In the vehicle, from behind, the left and above"]["handles"])
    # 10 mm to the right of that view is 10 mm rearward
    by = [10 * c for c in column["axes"][0]]
    desk.edit({"do": "carry", "thing": "obstacle:column", "by": by, "base": desk.state["digest"]})
    (rod,) = tomllib.loads(spec.read_text(encoding="utf-8"))["obstacle"]
    assert (rod["start"][0], rod["end"][0]) == ("260 mm", "910 mm")
    assert (rod["start"][2], rod["end"][2]) == ("730 mm", "1150 mm")
