"""Pictures of the board as a desk, a desk at night and a tablet show it.

``python tests/board/look.py SPEC OUT`` writes OUT_desk.png, OUT_night.png, OUT_tablet.png with all tabs side by side, and
OUT_first.png, which the README shows as ``templates_out/pictures/board.png``; the spec is not changed.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "phone"))

from boards import running
from browsers import launched

SCREENS: dict[str, tuple[int, int, Literal["light", "dark"]]] = {
    "desk": (1400, 900, "light"),
    "night": (1400, 900, "dark"),
    "tablet": (820, 1180, "light"),
}
COLOURS = 48
TABS = ("panels", "parts", "pedal", "scene", "space", "shelf", "text", "pages", "beside")
ACROSS = 5


def screens(browser: Browser, address: str, size: tuple[int, int, Literal["light", "dark"]]) -> Image.Image:
    """Every tab, side by side in two rows."""
    width, height, scheme = size
    page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
    page.on("pageerror", lambda error: print(error, file=sys.stderr))
    page.goto(address)
    page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
    page.locator("#findings button").first.click()
    out = Image.new("RGB", (width * ACROSS, height * -(-len(TABS) // ACROSS)))
    for k, tab in enumerate(TABS):
        page.locator(f'[data-tab="{tab}"]').click()
        if tab == "scene":
            page.wait_for_selector("#pictures svg")
        if tab == "space":
            page.wait_for_selector("#space[data-shown]")
            page.wait_for_timeout(800)
        if tab == "shelf":
            page.wait_for_selector("#shelf[data-shown]")
        if tab == "pages":
            page.wait_for_selector("#leaf[data-shown]", timeout=60_000)
        if tab == "beside":
            page.wait_for_selector("#other option:nth-child(2)", state="attached")
            page.locator("#other").select_option(index=2)
            page.wait_for_selector("#differs[data-shown] pre", timeout=60_000)
        page.evaluate("window.scrollTo(0, 0)")
        shot = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
        out.paste(shot, (width * (k % ACROSS), height * (k // ACROSS)))
    page.close()
    return out


def main() -> None:
    """Write the three."""
    spec, stem = Path(sys.argv[1]), sys.argv[2]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shutil.copytree(spec.parent, Path(folder) / "specs")
        browser = launched(playwright)
        with running(Path(folder) / "specs" / spec.name) as (address, _board):
            for name, size in SCREENS.items():
                shots = screens(browser, address, size)
                shots.save(f"{stem}_{name}.png")
                if name == "desk":
                    first = shots.crop((0, 0, size[0], size[1]))
                    first.quantize(COLOURS).save(f"{stem}_first.png", optimize=True)
        browser.close()


if __name__ == "__main__":
    main()
