"""Two hundred edits through the board in a real Chromium: neither the page nor the server grows."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Any

import pytest
from boards import running, until
from playwright.sync_api import Browser, CDPSession, Page

EDITS, FIRST = 200, 20
LOOKED = (10, FIRST, 80, 140, EDITS)
"""After which edits all tabs are looked at: twice before the first sizes, so that what is kept once is there."""
TABS = ("parts", "pedal", "scene", "space", "pages", "beside", "text", "panels")
MORE = 1.1
"""What may come on top between the twentieth edit and the last: the history of the text itself (ours)."""


def sizes(cdp: CDPSession) -> dict[str, float]:
    """What page and server hold once all that is not needed is let go: bytes, nodes, listeners, objects."""
    for _ in range(3):
        cdp.send("HeapProfiler.collectGarbage")
    told = {one["name"]: one["value"] for one in cdp.send("Performance.getMetrics")["metrics"]}
    gc.collect()
    found = {key: float(told[key]) for key in ("JSHeapUsedSize", "Nodes", "JSEventListeners")}
    status = Path("/proc/self/status")
    if status.exists():  # Linux
        rows = status.read_text(encoding="utf-8").splitlines()
        found["VmRSS"] = float(next(row for row in rows if row.startswith("VmRSS")).split()[1])
    return {**found, "objects": float(len(gc.get_objects()))}


def look_about(page: Page) -> None:
    """Every tab once, as it is shown when the job is solved, back to the panels."""
    page.wait_for_selector('body[data-stage="whole"]', timeout=120_000)
    for tab in TABS:
        page.locator(f'[data-tab="{tab}"]').click()
        if tab == "scene":
            page.wait_for_selector("#pictures svg", timeout=120_000)
        elif tab == "space":
            page.wait_for_selector("#space[data-shown]", timeout=120_000)
        elif tab == "pages":
            page.wait_for_selector("#leaf[data-shown] img", timeout=120_000)
        elif tab == "beside":
            page.wait_for_selector("#other option:nth-child(2)", state="attached", timeout=120_000)
            page.locator("#other").select_option(index=1)
            page.wait_for_selector("#differs[data-shown] pre", timeout=120_000)
    page.wait_for_selector(".over .handle")


@pytest.mark.nightly
def test_two_hundred_edits_leave_page_and_server_as_large_as_they_were(browser: Browser, spec: Path) -> None:
    found: dict[int, dict[str, float]] = {}
    wrong: list[str] = []
    with running(spec) as (address, board):
        page = browser.new_page(viewport={"width": 1300, "height": 900})
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        page.wait_for_selector(".over .handle", timeout=120_000)
        cdp = page.context.new_cdp_session(page)
        cdp.send("Performance.enable")
        handle = page.locator('.handle[data-thing="hole:firewall/clamp_upper"]').first
        for edit in range(1, EDITS + 1):
            was = page.get_attribute("body", "data-digest")
            _edit(page, handle, edit)
            page.wait_for_selector(f'body:not([data-digest="{was}"])', timeout=120_000)
            if edit in LOOKED:
                look_about(page)
            if edit in (FIRST, EDITS):
                found[edit] = sizes(cdp)
        until(lambda: sum(board.desk.state[way] for way in ("undo", "redo")) > EDITS / 4)
        page.close()
    assert wrong == []
    grown = {key: found[EDITS][key] / found[FIRST][key] for key in found[FIRST]}
    assert {key: ratio for key, ratio in grown.items() if ratio > MORE} == {}, grown


def _edit(page: Page, handle: Any, edit: int) -> None:
    """One of four ways to change the text, in turn; to and fro, so that it stays where it can be drawn."""
    match edit % 4:
        case 1:
            handle.focus()
            page.keyboard.press("ArrowRight" if edit % 8 == 1 else "ArrowLeft")
        case 2:
            field = page.locator('.value[data-path$=".at.v"] input')
            field.press("ArrowUp" if edit % 8 == 2 else "ArrowDown")
        case 3:
            page.locator("#undo").click()
        case _:
            page.locator("#redo").click()
