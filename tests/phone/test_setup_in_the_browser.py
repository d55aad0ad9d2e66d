"""The setup page in Chromium: it moves with its script, stands at the end of each bend without, and asks nothing."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel

from generators.bending.search import Search
from generators.bending.trial import Setting
from generators.sheets.setup.page import FRAMES, write_setup_page

SHOWN = "[...document.querySelectorAll('#step1 .frame')].map(f => f.getClientRects().length > 0)"


@pytest.fixture(scope="module")
def page_of_channel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plan = replace(channel(80.0, 40.0), name="u", title="Channel, invented")
    bends = Search(plan=plan, setting=Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)).run()
    path = tmp_path_factory.mktemp("setup") / "setup.html"
    write_setup_page(
        path,
        job="toy",
        plan=plan,
        bends=bends,
        machines=MACHINES,
        job_title="Toy",
        revision="abc1234",
    )
    return path


@pytest.mark.parametrize("script", [True, False])
def test_it_moves_with_its_script_and_stands_at_the_end_without(
    browser: Browser, page_of_channel: Path, script: bool
) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 640}, java_script_enabled=script)
    context.set_offline(True)
    page, trouble = context.new_page(), []
    page.on("console", lambda message: trouble.append(message.text))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda r: trouble.append(r.url) if r.url != page_of_channel.as_uri() else None)
    page.goto(page_of_channel.as_uri())
    assert page.evaluate(SHOWN) == [False] * (FRAMES - 1) + [True]
    assert page.locator("#step1 .controls").is_visible() == script
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    if script:
        slide = page.locator("#step1 input")
        slide.fill("4")
        assert page.evaluate(SHOWN) == [i == 4 for i in range(FRAMES)]
        assert slide.get_attribute("aria-valuetext") == f"{math.degrees(math.pi / 2) / 2:.1f} degrees"
        page.locator("#step1 button").click()
        assert page.locator("#step1 button").inner_text() == "Stop"
        expect(page.locator("#step1 button")).to_have_text("Play")
        assert page.evaluate(SHOWN) == [False] * (FRAMES - 1) + [True]
        for target in ("#step1 button", "#step1 input"):
            box = page.locator(target).bounding_box()
            assert box is not None
            assert box["height"] >= 44  # WCAG 2.2, 2.5.5
    assert trouble == []
    context.close()
