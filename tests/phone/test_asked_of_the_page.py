"""What people asked of the page who had nothing but it: pictures that can be enlarged, titles, steps of holes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from opened_pages import box_of, opened
from playwright.sync_api import Browser


def test_a_small_picture_is_enlarged_by_a_finger_and_by_keys_without_a_network(
    browser: Browser, page_file: Path
) -> None:
    wide = "document.querySelector('#large svg').getBoundingClientRect().width"
    with opened(browser, page_file, has_touch=True, is_mobile=True) as page:
        small = page.locator(".step .picture").first
        small.scroll_into_view_if_needed()
        before = box_of(page, ".step .picture svg")[2]
        small.tap()
        assert page.evaluate(wide) >= 1.7 * before
        was = page.evaluate(wide)
        page.locator("#large [aria-label=Larger]").tap()
        assert page.evaluate(wide) == pytest.approx(1.4 * was, rel=0.01)
        # no smaller than the pane, however often it is asked for
        for _ in range(9):
            page.locator("#large [aria-label=Smaller]").tap()
        assert page.evaluate(wide) == pytest.approx(
            page.evaluate("document.querySelector('#large .pane').clientWidth"), abs=1
        )
        page.locator("#large [data-closes]").tap()
        page.locator(".step figcaption").first.tap()
        assert page.locator("#large").is_visible()
        assert page.evaluate("document.querySelector('#large .words').textContent")
    with opened(browser, page_file) as page:
        page.locator(".step .picture").first.focus()
        page.keyboard.press(" ")
        was = page.evaluate(wide)
        page.locator("#large [aria-label=Larger]").focus()
        page.keyboard.press("Enter")
        assert page.evaluate(wide) > 1.3 * was


KEY = re.compile(r"[A-Za-z0-9][_.][A-Za-z0-9]")
"""A key of the spec, or two with their dot; no figure stands in a title."""


def test_no_key_of_the_spec_is_seen_on_the_page(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        titles = page.evaluate("[...document.querySelectorAll('#space option')].map((o) => o.textContent)")
        assert len(titles) > 20
        assert [title for title in titles if KEY.search(title)] == []
        told = page.evaluate("Object.values(JSON.parse(document.getElementById('titles').textContent))")
        assert sorted(told) == sorted(titles[1:])
        seen = re.findall(r"\S*[a-z0-9]_[a-z0-9]\S*", page.locator("body").inner_text())
        # files are called by their names
        assert [word for word in seen if not word.startswith(("print_me", "parts/"))] == []


def test_every_hole_that_is_made_names_the_step_that_makes_it(browser: Browser, page_file: Path) -> None:
    with opened(browser, page_file) as page:
        rows = page.locator("#holes table:not(.checks) tbody tr")
        made = [rows.nth(k) for k in range(rows.count()) if "never" not in rows.nth(k).inner_text()]
        assert len(made) > 10
        for row in made:
            cell = row.locator("td[data-head=step]")
            assert cell.is_visible()
            number = cell.inner_text().strip()
            hole = row.locator("td[data-head=hole]").inner_text().strip()
            assert cell.locator("a").get_attribute("href") == f"#step-{number}"
            assert re.search(rf"\b{hole}\b", page.locator(f"#step-{number}").inner_text())
