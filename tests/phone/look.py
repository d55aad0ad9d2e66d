"""Pictures of a finished page as a phone, a phone at night and a tablet show it.

``python tests/phone/look.py FOLDER/install.html OUT`` writes OUT_phone.png, OUT_night.png, OUT_tablet.png. The README
shows ``templates_out/pictures/install_page_phone.png``.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import Literal

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

sys.path.insert(0, str(Path(__file__).parent))

from browsers import launched

SCREENS: dict[str, tuple[int, int, Literal["light", "dark"]]] = {
    "phone": (390, 844, "light"),
    "night": (390, 844, "dark"),
    "tablet": (820, 1180, "light"),
}
GAP, COLOURS = 24, 64


def screens(
    browser: Browser, file: Path, size: tuple[int, int, Literal["light", "dark"]]
) -> list[Image.Image]:
    """The top, a step with its picture, and the view in 3D."""
    width, height, scheme = size
    page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
    page.goto(file.resolve().as_uri())
    out = [page.screenshot()]
    page.locator(".step:has(svg)").first.scroll_into_view_if_needed()
    page.evaluate("document.querySelector('.step:has(svg)').scrollIntoView()")
    out.append(page.screenshot())
    page.locator("#finished [data-opens]").click()
    page.wait_for_function("document.querySelector('#space .said').textContent === ''")
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    out.append(page.screenshot())
    page.close()
    return [Image.open(io.BytesIO(data)).convert("RGB") for data in out]


def beside(images: list[Image.Image]) -> Image.Image:
    """Pictures of one height in a row."""
    width = sum(image.width + GAP for image in images) - GAP
    out = Image.new("RGB", (width, images[0].height), "white")
    at = 0
    for image in images:
        out.paste(image, (at, 0))
        at += image.width + GAP
    return out


def main() -> None:
    file, stem = Path(sys.argv[1]), sys.argv[2]
    with sync_playwright() as playwright:
        browser = launched(playwright)
        for name, size in SCREENS.items():
            beside(screens(browser, file, size)).quantize(COLOURS).save(f"{stem}_{name}.png", optimize=True)
        browser.close()


if __name__ == "__main__":
    main()
