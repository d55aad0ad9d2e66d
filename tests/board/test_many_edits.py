"""Two hundred edits through the board in a real Chromium: neither the page nor the server grows."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Literal

import pytest
from boards import running
from playwright.sync_api import Browser, CDPSession, Page

EDITS, FIRST = 200, 24
ROUND = 8
"""After so many edits the text is as it was at first, so that sizes are of one and the same state."""
LOOKED = (ROUND, FIRST, 80, 144, EDITS)
"""After which edits all tabs are looked at: twice before the first sizes, so that what is kept once is there."""
TABS = ("parts", "pedal", "scene", "space", "shelf", "pages", "beside", "text", "panels")
MORE = 1.1
"""What may come on top between the first sizes and the last: the history of the text itself (ours)."""
LONG_MS = 240_000


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


def there(page: Page, selector: str, state: Literal["attached", "visible"] = "visible") -> None:
    """Wait for something, without a handle of it that would keep the picture it is in."""
    page.locator(selector).first.wait_for(state=state, timeout=LONG_MS)


def look_about(page: Page) -> None:
    """Every tab once, as it is shown when the job is solved, back to the panels."""
    there(page, 'body[data-stage="whole"]')
    for tab in TABS:
        page.locator(f'[data-tab="{tab}"]').click()
        if tab == "scene":
            there(page, "#pictures svg")
        elif tab == "space":
            there(page, "#space[data-shown]")
        elif tab == "pages":
            there(page, "#leaf[data-shown] img")
        elif tab == "beside":
            there(page, "#other option:nth-child(2)", "attached")
            page.locator("#other").select_option(index=1)
            there(page, "#differs[data-shown] pre")
    there(page, ".over .handle", "attached")


@pytest.mark.nightly
def test_two_hundred_edits_leave_page_and_server_as_large_as_they_were(browser: Browser, spec: Path) -> None:
    found: dict[int, dict[str, float]] = {}
    wrong: list[str] = []
    with running(spec) as (address, board):
        page = browser.new_page(viewport={"width": 1300, "height": 900})
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        there(page, ".over .handle", "attached")
        cdp = page.context.new_cdp_session(page)
        cdp.send("Performance.enable")
        before = spec.read_text(encoding="utf-8")
        for edit in range(1, EDITS + 1):
            was = page.get_attribute("body", "data-digest")
            changed(page, edit)
            # the first picture of it; what solves meanwhile is overtaken by the next edit
            there(page, f'body:not([data-digest="{was}"])')
            if edit in LOOKED:
                look_about(page)
            if edit in (FIRST, EDITS):
                found[edit] = sizes(cdp)
                print(edit, found[edit])
        assert spec.read_text(encoding="utf-8") == before
        # each round is four changes, two of them taken back and put on again
        assert board.desk.state["undo"] == EDITS // ROUND * 4
        page.close()
    assert wrong == []
    grown = {key: found[EDITS][key] / found[FIRST][key] for key in found[FIRST]}
    print(grown)
    assert {key: ratio for key, ratio in grown.items() if ratio > MORE} == {}, grown


def changed(page: Page, edit: int) -> None:
    """One of four ways to change the text, in turn; to and fro, so that it stays where it can be drawn."""
    match edit % 4:
        case 1:
            page.locator('.handle[data-thing="hole:firewall/clamp_upper"]').first.focus()
            page.keyboard.press("ArrowRight" if edit % ROUND == 1 else "ArrowLeft")
        case 2:
            field = page.locator('.value[data-path$=".at.v"] input')
            field.press("ArrowUp" if edit % ROUND == 2 else "ArrowDown")
        case 3:
            page.locator("#undo").click()
        case _:
            page.locator("#redo").click()
