"""The board as a person has it: in a real Chromium, on a spec that is really written."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from boards import running, until
from playwright.sync_api import Browser, Locator, Page

CLAMP = "hole:firewall/clamp_upper"
TOLD = """() => new Promise((done) => {
  const events = new EventSource("events");
  events.onmessage = () => { events.close(); done(); };
})"""
"""Waits until the page is told the newest state, as the page itself is."""


@contextmanager
def opened(browser: Browser, address: str) -> Iterator[Page]:
    """A page of a board, drawn; no error of its script is let pass, and nothing asked of anybody else."""
    page = browser.new_page(viewport={"width": 1300, "height": 900})
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("request", lambda r: None if r.url.startswith(address) else wrong.append(r.url))
    page.goto(address)
    page.wait_for_selector(".over .handle", timeout=60_000)
    yield page
    assert wrong == []
    page.close()


def clamp(page: Page) -> Locator:
    return page.locator(f'.handle[data-thing="{CLAMP}"]').first


def place(spec: Path) -> dict[str, Any]:
    """Where the clamp's hole is, as the file says it."""
    table = tomllib.loads(spec.read_text(encoding="utf-8"))
    firewall = next(p for p in table["panel"] if p["name"] == "firewall")
    place: dict[str, Any] = next(h for h in firewall["hole"] if h["name"] == "clamp_upper")["at"]
    return place


def drawn_after(page: Page, was: str) -> str:
    """Wait for the picture of another text; its name."""
    page.wait_for_selector(f'body:not([data-digest="{was}"])', timeout=60_000)
    return page.get_attribute("body", "data-digest") or ""


def test_a_hole_is_dragged_typed_stepped_and_taken_back(browser: Browser, spec: Path) -> None:
    before = spec.read_bytes()
    assert place(spec) == {"from": "heater_pipe", "u": "3 1/4 in", "v": "-2 3/4 in"}
    with running(spec, solves=False) as (address, board), opened(browser, address) as page:
        digest = page.get_attribute("body", "data-digest") or ""
        box = clamp(page).bounding_box()
        drawing = page.locator(".over").bounding_box()
        assert box is not None
        assert drawing is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 30, y, steps=3)
        # what is said is what will be written, to 1/32 in
        page.wait_for_selector(".told")
        page.mouse.up()
        digest = drawn_after(page, digest)
        at = place(spec)
        assert at["u"].endswith(" in")
        assert "." not in at["u"]
        assert at["v"] == "-2 3/4 in"
        # the picture is 1:5 and so many px wide for so many mm, so 30 px are this far, to the millimetre it snaps to
        wide = float((page.locator(".over").get_attribute("viewBox") or "").split()[2])
        moved = 25.4 * (_inches(at["u"]) - 3.25)
        assert abs(moved - 30 * wide / drawing["width"] * 5) <= 0.5 + 25.4 / 64
        # nothing else of the file has changed
        old, new = before.decode().split("\n"), spec.read_text(encoding="utf-8").split("\n")
        assert len([1 for a, b in zip(old, new, strict=True) if a != b]) == 1

        page.keyboard.press("Control+z")
        digest = drawn_after(page, digest)
        assert spec.read_bytes() == before
        page.keyboard.press("Control+y")
        digest = drawn_after(page, digest)
        assert place(spec) == at
        page.locator("#undo").click()
        digest = drawn_after(page, digest)

        # saved in an editor while the hole is held: the drag goes on, and both are in the file
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 30, y, steps=3)
        spec.write_bytes(before + b"# saved meanwhile\n")
        until(lambda: board.desk.state["text"].endswith("# saved meanwhile\n"))
        page.evaluate(TOLD)
        assert page.locator(".handle.held").count() > 0
        page.mouse.up()
        until(lambda: place(spec) == at)
        assert spec.read_bytes().endswith(b"# saved meanwhile\n")
        until(lambda: board.desk.state["text"] == spec.read_text(encoding="utf-8"))
        until(lambda: page.get_attribute("body", "data-digest") == board.desk.state["digest"])
        digest = board.desk.state["digest"]
        page.locator("#undo").click()
        digest = drawn_after(page, digest)

        # by the keys alone: the handle is reached and moved, up 1 mm
        clamp(page).focus()
        page.keyboard.press("ArrowUp")
        digest = drawn_after(page, digest)
        # -2 3/4 in + 1 mm = -2.7106 in, to 1/32: -2 23/32
        assert place(spec)["v"] == "-2 23/32 in"

        # a part is taken hold of by its outline, or by any of its holes
        hanger = page.locator('path.handle[data-thing="part:clutch_hanger"]').first
        hanger.focus()
        # of all its values those of its place are in sight
        room, place_of = (
            page.locator("#values").bounding_box(),
            page.locator('.value[data-path$=".mount.at.u"]').bounding_box(),
        )
        assert room is not None
        assert place_of is not None
        assert room["y"] <= place_of["y"] < room["y"] + room["height"]
        page.keyboard.press("Shift+ArrowRight")
        digest = drawn_after(page, digest)
        table = tomllib.loads(spec.read_text(encoding="utf-8"))
        mount = next(p for p in table["part"] if p["name"] == "clutch_hanger")["mount"]
        assert mount["at"]["u"] == "-110 mm"  # -120 mm and ten steps of 1 mm
        clamp(page).focus()

        # a number typed without a unit keeps the one there
        field = page.locator('.value[data-path$=".at.u"] input')
        field.fill("3 1/2")
        field.press("Enter")
        digest = drawn_after(page, digest)
        assert place(spec)["u"] == "3 1/2 in"
        # it is shown as it was written, and taken back from within the field
        field = page.locator('.value[data-path$=".at.u"] input')
        assert field.input_value() == "3 1/2 in"
        field.press("Control+z")
        digest = drawn_after(page, digest)
        assert place(spec)["u"] == "3 1/4 in"
        field.press("Control+y")
        digest = drawn_after(page, digest)
        field = page.locator('.value[data-path$=".at.u"] input')
        field.press("ArrowDown")
        digest = drawn_after(page, digest)
        assert place(spec)["u"] == "3 7/16 in"
        # what cannot stand there is refused in words, and the file stays
        kept = spec.read_bytes()
        field = page.locator('.value[data-path$=".at.u"] input')
        field.fill("3 kg")
        field.press("Enter")
        page.wait_for_selector('#now[data-is="refused"]')
        assert "a mass" in (page.locator("#now").text_content() or "")
        assert spec.read_bytes() == kept
        assert field.input_value() == "3 kg"
        # the same value again changes nothing, and what comes after it does not wait for a new picture
        field.fill("3 7/16")
        with page.expect_response("**/edit") as answer:
            field.press("Enter")
        assert answer.value.json()["digest"] == digest


def _inches(text: str) -> float:
    number = text.removesuffix(" in")
    whole, _, part = number.rpartition(" ")
    top, _, under = part.partition("/")
    return float(whole or 0) + float(top) / float(under or 1)


def test_a_spec_with_faults_keeps_the_last_good_picture(browser: Browser, spec: Path) -> None:
    good = spec.read_text(encoding="utf-8")
    with running(spec) as (address, board), opened(browser, address) as page:
        digest = page.get_attribute("body", "data-digest") or ""
        count = page.locator(".handle").count()
        # saved in an editor, with a length that is none, then as no TOML at all
        spec.write_text(good.replace('thickness = "1.2 mm"', 'thickness = "1.2 apples"', 1), encoding="utf-8")
        digest = drawn_after(page, digest)
        assert page.locator("#faults").is_visible()
        assert "apples" in (page.locator("#faults li").text_content() or "")
        assert page.locator(".handle").count() == count
        spec.write_text(good + "\n[[", encoding="utf-8")
        digest = drawn_after(page, digest)
        assert page.locator(".handle").count() == count
        # a fault is taken back like anything else
        page.locator("#undo").click()
        digest = drawn_after(page, digest)
        page.locator("#undo").click()
        drawn_after(page, digest)
        assert not page.locator("#faults").is_visible()
        assert spec.read_text(encoding="utf-8") == good
        # the whole answer comes by itself, with the findings: a click on a pin opens its own
        page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
        # how many there are is said at the head of the page, in sight whatever the list is scrolled to
        severities = [f["severity"] for f in board.desk.state["findings"]]
        said = ", ".join(f"{severities.count(kind)} {kind}" for kind in ("fail", "warn", "note"))
        assert page.locator("#now").text_content() == f"Drawn and checked: {said}"
        pin = page.locator(".pin").first
        number = pin.get_attribute("data-number")
        pin.click()
        page.wait_for_selector(f'#findings li.lit[data-number="{number}"]')
        line = page.locator("#findings li.lit code").text_content() or ""
        assert line.partition(": ")[2] in good
        assert line.partition(": ")[2]
        finding = page.locator("#findings li").first
        finding.get_by_role("button", name="Rule").click()
        page.wait_for_selector("#rule[open]")
        code = finding.get_attribute("data-code") or "?"
        assert code in (page.locator("#rule-head").text_content() or "")
        assert code in {f["code"] for f in board.desk.state["findings"]}


def test_two_boards_and_two_pages_do_not_mix(browser: Browser, spec: Path) -> None:
    other = spec.with_name("other.toml")
    other.write_text(spec.read_text(encoding="utf-8").replace("-2 3/4 in", "-3 in", 1), encoding="utf-8")
    with running(spec, solves=False) as (one, first), running(other, solves=False) as (two, second):
        assert first.token != second.token
        with opened(browser, one) as page, opened(browser, one) as same, opened(browser, two) as third:
            digest = page.get_attribute("body", "data-digest") or ""
            apart = third.get_attribute("body", "data-digest") or ""
            kept = other.read_bytes()
            clamp(page).focus()
            page.keyboard.press("ArrowRight")
            new = drawn_after(page, digest)
            # both pages of the one board show it, the other board and its file do not
            assert drawn_after(same, digest) == new
            assert third.get_attribute("body", "data-digest") == apart
            assert other.read_bytes() == kept
            # and the second page goes on from there
            clamp(same).focus()
            same.keyboard.press("ArrowRight")
            drawn_after(page, new)
            until(lambda: first.desk.state["undo"] == 2)
