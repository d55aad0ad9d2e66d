"""The finished page in Chromium, as wide as a phone: by thumb, by keyboard, without network, script or storage."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from opened_pages import PHONE, SIZES, TEXTS, box_of, contrast, middle_of, opened
from PIL import Image
from playwright.sync_api import Browser, Page, expect

Pixels = NDArray[np.uint8]
NARROW = {"width": 360, "height": 640}
LEAST_PX = 16.0
AA = 4.5
"""Least contrast of text: WCAG 2.2, success criterion 1.4.3."""

CHECKED = ".step:has-text('A (speedometer cable grommet) to B')"
"""The step that checks the firewall: two holes of the spec 400.25 mm apart."""

TARGET_PX = 44.0
"""Least height of what is pressed: WCAG 2.2, success criterion 2.5.5 (44 by 44 CSS px)."""


def test_contrast_of_black_on_white_is_21_to_1() -> None:
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21.0)
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("size", [NARROW, PHONE, {"width": 820, "height": 1180}])
def test_it_fits_the_width_and_no_letter_is_under_16_px(
    browser: Browser, page_file: Path, size: dict[str, int]
) -> None:
    with opened(browser, page_file, viewport=size) as page:
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        sizes = page.evaluate(SIZES)
        assert len(sizes) > 300
        # a picture is as wide as its column; its letters are that large where it is opened (tested below)
        assert [(text, px) for text, px, drawn in sizes if px < LEAST_PX and not drawn] == []
        wide = page.evaluate(
            "[...document.querySelectorAll('.picture')].map((e) => [e.scrollWidth - e.clientWidth,"
            " e.querySelector('svg').getBoundingClientRect().right])"
        )
        assert len(wide) > 10
        assert [(over, right) for over, right in wide if over > 0 or right > size["width"]] == []
        heights = page.evaluate(
            "[...document.querySelectorAll('button, .bar a, summary, .step label, nav a, .leads a')]"
            ".map((e) => e.getBoundingClientRect()).filter((r) => r.width).map((r) => r.height)"
        )
        assert len(heights) > 40
        assert min(heights) >= TARGET_PX
        assert box_of(page, ".caution")[1] < box_of(page, ".step")[1]


def test_ticks_are_kept_for_this_revision_only(browser: Browser, page_file: Path, tmp_path: Path) -> None:
    with opened(browser, page_file) as page:
        page.locator("label[for=tick-3]").click()
        page.locator("label[for=tick-1]").click()
        page.locator(".units button[value=in]").click()
        page.reload()
        ticked = page.evaluate(
            "[...document.querySelectorAll('.step input:checked')].map((box) => box.value)"
        )
        assert ticked == ["1", "3"]
        assert page.locator("#count").inner_text().startswith("2 of ")
        assert page.locator("#next").inner_text() == "Next: step 2"
        # not by colour alone
        assert page.locator("#step-3 .tag").is_visible()
        assert not page.locator("#step-2 .tag").is_visible()
        assert page.evaluate("document.documentElement.dataset.units") == "in"
        revision = page.evaluate("document.documentElement.dataset.revision")
        other = page_file.with_name("other.html")
        other.write_text(page_file.read_text(encoding="utf-8").replace(revision, "0000000"), encoding="utf-8")
    with opened(browser, other) as page:
        page.evaluate(
            "localStorage.setItem(" + json.dumps(f"pedalplate:wrenfield_van:{revision}:done") + ", '[\"1\"]')"
        )
        page.reload()
        assert page.locator(".step input:checked").count() == 0
        page.locator("label[for=tick-2]").click()
        clear = page.locator("#clear")
        clear.click()
        assert page.locator(".step input:checked").count() == 1
        clear.click()
        assert page.locator(".step input:checked").count() == 0
    other.unlink()


def test_a_ticked_step_shows_its_order_alone_until_it_is_opened(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        more, button = page.locator("#more-9"), page.locator("#step-9 .fold")
        assert more.is_visible()
        assert not button.is_visible()
        page.locator("#tick-9").focus()
        page.keyboard.press("Space")
        assert not more.is_visible()
        assert page.locator("#step-9 .order").is_visible()
        # by keyboard: the next stop of the tab key opens it, and the tick stays
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.getAttribute('aria-controls')") == "more-9"
        assert button.get_attribute("aria-expanded") == "false"
        page.keyboard.press("Enter")
        assert more.is_visible()
        assert button.get_attribute("aria-expanded") == "true"
        assert page.locator("#tick-9").is_checked()
        page.keyboard.press("Enter")
        assert not more.is_visible()
        page.reload()
        assert page.locator("#tick-9").is_checked()
        assert not more.is_visible()
        page.locator("#tick-9").focus()
        page.keyboard.press("Space")
        assert more.is_visible()
        assert not button.is_visible()


def test_every_section_is_in_the_contents(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        page.locator("nav summary").click()
        for link in page.locator("nav a").all():
            link.click()
            where = link.get_attribute("href")
            assert where is not None
            top = page.locator(where).evaluate("(e) => e.getBoundingClientRect().top")
            # at the upper edge, or as near to it as the end of the page allows
            end = page.evaluate("scrollY + innerHeight >= document.documentElement.scrollHeight - 2")
            assert abs(top) < 40 or end
        heads = page.locator("h2").all_inner_texts()
        named = [words.split(", from step ")[0] for words in page.locator("nav a").all_inner_texts()]
        assert set(heads) <= set(named)


def test_from_a_step_to_its_holes_and_back(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        lead = page.locator("#step-17 .to-hole")
        assert lead.inner_text() == "D"
        lead.click()
        row = page.locator("#hole-firewall-D")
        assert 0 <= row.evaluate("(e) => e.getBoundingClientRect().top") < PHONE["height"]
        expect(page.locator("#list")).to_have_text("To step 17")
        page.locator("#list").click()
        assert abs(page.locator("#step-17").evaluate("(e) => e.getBoundingClientRect().top")) < 40
        # from any step, also one without holes, and from the list's own link to the step that closes the hole
        page.locator("#step-60").evaluate("(e) => e.scrollIntoView()")
        page.locator("#list").click()
        expect(page.locator("#list")).to_have_text("To step 60")
        row.locator("a").click()
        assert abs(page.locator("#step-17").evaluate("(e) => e.getBoundingClientRect().top")) < 40
        # the old pedal's hole is closed with the last step of its plate
        plate = page.locator("#hole-toe_board-F a").inner_text()
        assert "Fit the blanking plate" in page.locator(f"#step-{plate} .order").inner_text()
        # one that is there and stays has no step, and no cell is empty
        assert page.locator("#hole-firewall-A a").count() == 0
        empty = "[...document.querySelectorAll('td, th')].filter((e) => !e.textContent.trim()).length"
        assert page.evaluate(empty) == 0


def test_a_picture_opens_at_a_size_its_letters_can_be_read_at(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        count = page.locator(".picture").count()
        for k in range(count):
            picture = page.locator(".picture").nth(k)
            picture.focus()
            page.keyboard.press("Enter")
            assert page.locator("#large").is_visible()
            least = page.evaluate(
                "(() => { const s = document.querySelector('#large svg'); const scale ="
                " s.getBoundingClientRect().width / s.viewBox.baseVal.width; return Math.min(99,"
                " ...[...s.querySelectorAll('text')].map((t) => parseFloat(t.getAttribute('font-size')) * scale)); })()"
            )
            assert least >= LEAST_PX - 0.01
            page.keyboard.press("Escape")
            assert not page.locator("#large").is_visible()
            assert page.evaluate("document.activeElement.className") == "picture"
        page.locator(".picture").last.click()
        assert page.locator("#large .words").inner_text()
        page.locator("#large [data-closes]").click()
        assert not page.locator("#large").is_visible()


REFUSED = "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('refused', 'SecurityError'); } });"
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
SPOILED = "for (const key of ['done', 'units']) localStorage.setItem('pedalplate:wrenfield_van:REVISION:' + key, '{');"


@pytest.mark.parametrize("before", [REFUSED, FULL])
def test_where_nothing_may_be_kept_it_says_so_and_still_ticks(
    browser: Browser, page_file: Path, before: str
) -> None:
    with opened(browser, page_file, before=before) as page:
        page.locator("label[for=tick-1]").click()
        assert page.locator("#count").inner_text().startswith("1 of ")
        assert "keeps no ticks" in page.locator("#kept").inner_text()
        page.locator(".units button[value=in]").click()
        assert page.evaluate("document.documentElement.dataset.units") == "in"


def test_spoiled_ticks_are_no_ticks(browser: Browser, page_file: Path, made_from: Mapping[str, Any]) -> None:
    before = SPOILED.replace("REVISION", made_from["revision"])
    with opened(browser, page_file, before=before) as page:
        assert page.locator("#count").inner_text().startswith("0 of ")
        assert page.evaluate("document.documentElement.dataset.units") == "mm"


def test_lengths_change_unit(browser: Browser, page_file: Path) -> None:
    # 400.25 mm / 25.4 = 15.758 in, 2 mm / 25.4 = 0.08 in: by hand
    with opened(browser, page_file) as page:
        step = page.locator(CHECKED)
        assert "400.25 mm" in step.inner_text()
        assert "15.758 in" not in step.inner_text()
        page.locator(".units button[value=in]").click()
        said = step.inner_text()
        # a distance checked with a rule keeps its mm: no rule shows decimals of an inch
        assert "400.25 mm (15.758 in, ~15 49/64)" in said
        # what was given in one unit only stays beside the other
        assert "0.08 in (2 mm)" in said
        assert page.locator(".units button[value=in]").get_attribute("aria-pressed") == "true"


def test_it_reads_without_its_script(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file, java_script_enabled=False) as page:
        assert page.locator("#step-1 .order").is_visible()
        assert page.locator(f"{CHECKED} table").is_visible()
        assert "400.25 mm (15.758 in, ~15 49/64)" in page.locator(CHECKED).inner_text()
        assert "2 mm (0.08 in)" in page.locator(CHECKED).inner_text()
        assert not page.locator(".bar").is_visible()
        assert page.locator("noscript").is_visible()
        assert page.locator("#step-1 input").is_enabled()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_by_day_and_by_night(browser: Browser, page_file: Path, scheme: str) -> None:
    with opened(browser, page_file, color_scheme=scheme) as page:
        page.locator("label[for=tick-1]").click()
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (contrast(ground, "rgb(0, 0, 0)") < 2) == (scheme == "dark")
        seen = page.evaluate(TEXTS)
        assert len(seen) > 100
        assert [(what, round(contrast(a, b), 2)) for what, a, b in seen if contrast(a, b) < AA] == []


def shot(page: Page) -> Pixels:
    """The drawn view as it is seen, once it has been drawn."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return np.asarray(Image.open(io.BytesIO(page.locator("#space canvas").screenshot())).convert("RGB"))


def changed(one: Pixels, other: Pixels) -> float:
    """Share of points that differ."""
    return float(np.any(one != other, axis=2).mean())


def drawn_in_3d(page: Page) -> Pixels:
    """The view, opened and drawn."""
    page.locator("#finished [data-opens]").click()
    page.wait_for_function("document.querySelector('#space .said').textContent === ''")
    seen = shot(page)
    assert len(np.unique(seen.reshape(-1, 3), axis=0)) > 20
    return seen


def test_the_assembly_turns_by_mouse_wheel_and_buttons(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        was = drawn_in_3d(page)
        x, y = middle_of(page, "#space canvas")
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 90, y + 20, steps=3)
        page.mouse.up()
        turned = shot(page)
        assert changed(was, turned) > 0.05
        page.mouse.wheel(0, 300)
        smaller = shot(page)
        assert changed(turned, smaller) > 0.05
        page.locator("[data-view=driver]").click()
        assert changed(smaller, shot(page)) > 0.05
        page.keyboard.press("Escape")
        assert not page.locator("#space").is_visible()


def test_the_assembly_turns_under_a_finger_and_tells_what_is_touched(
    browser: Browser, page_file: Path
) -> None:
    with opened(browser, page_file, has_touch=True, is_mobile=True) as page:
        was = drawn_in_3d(page)
        stood = page.evaluate("window.scrollY")
        x, y = middle_of(page, "#space canvas")
        touch = page.context.new_cdp_session(page)

        def finger(kind: str, *at: tuple[float, float]) -> None:
            points = [{"x": px, "y": py, "id": k} for k, (px, py) in enumerate(at)]
            touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

        finger("touchStart", (x, y))
        finger("touchMove", (x - 60, y))
        finger("touchMove", (x - 120, y + 10))
        finger("touchEnd")
        turned = shot(page)
        assert changed(was, turned) > 0.05
        finger("touchStart", (x - 20, y), (x + 20, y))
        finger("touchMove", (x - 80, y), (x + 80, y))
        finger("touchEnd")
        assert changed(turned, shot(page)) > 0.05
        # the page behind must not move under the finger
        assert page.evaluate("window.scrollY") == stood
        page.locator("[data-view=driver]").tap()
        page.touchscreen.tap(x, y)
        assert page.locator("#space .said").inner_text() == "Firewall"


def test_all_of_it_goes_by_keyboard(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "tick-1"
        page.keyboard.press("Space")
        assert page.locator("#tick-1").is_checked()
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
        page.locator("#next").focus()
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "tick-2"
        page.locator(".units button[value=in]").focus()
        page.keyboard.press("Enter")
        assert page.evaluate("document.documentElement.dataset.units") == "in"
        button = page.locator(".step [data-opens]").first
        button.focus()
        page.keyboard.press("Enter")
        page.wait_for_function("document.querySelector('#space select').value !== ''")
        name = button.get_attribute("data-opens")
        assert page.locator("#space select").input_value() == name
        assert page.evaluate("document.activeElement.tagName") == "CANVAS"
        was = shot(page)
        for key in ("ArrowRight", "ArrowUp"):
            page.keyboard.press(key)
            now = shot(page)
            assert changed(was, now) > 0.02
            was = now
        page.keyboard.press("+")
        assert changed(was, shot(page)) > 0.02
        page.keyboard.press("Escape")
        # back where it was opened
        assert page.evaluate("document.activeElement.dataset.opens") == name


def test_every_button_and_link_can_be_reached_with_the_tab_key(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        wanted = page.evaluate(
            "[...document.querySelectorAll('a, button, input, summary, select, .slides')]"
            ".filter((e) => !e.closest('dialog') && e.offsetParent !== null && !e.closest('details:not([open])')).length"
            " + document.querySelectorAll('summary').length"
        )
        met = page.evaluate(
            "() => { window.met = new Set(); document.addEventListener('focusin', (e) => met.add(e.target)); }"
        )
        assert met is None
        for _ in range(wanted + 20):
            page.keyboard.press("Tab")
        assert page.evaluate("met.size") >= wanted - 1


def test_a_step_named_on_paper_is_gone_to_by_its_number(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        page.locator("#goto").fill("9")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "tick-9"
        assert abs(box_of(page, "#step-9")[1]) < TARGET_PX
        page.locator("#goto").fill("999")
        page.keyboard.press("Enter")
        steps = page.locator(".step").count()
        assert page.locator("#nowhere").inner_text() == f"steps 1 to {steps}"
