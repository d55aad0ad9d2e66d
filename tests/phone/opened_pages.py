"""The page opened in a browser as on a phone, and what is asked of what it shows."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page

PHONE = {"width": 390, "height": 844}


@contextmanager
def opened(browser: Browser, file: Path, **how: Any) -> Iterator[Page]:
    """The page in a fresh context that cannot reach a network, with everything it says of trouble."""
    before = how.pop("before", "")
    context = browser.new_context(**{"viewport": PHONE, **how})
    context.set_offline(True)
    page = context.new_page()
    trouble: list[str] = []
    page.on(
        "console",
        lambda message: trouble.append(message.text) if message.type in ("error", "warning") else None,
    )
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda request: trouble.append(request.url) if request.url != file.as_uri() else None)
    if before:
        page.add_init_script(before)
    page.goto(file.as_uri())
    yield page
    context.close()
    assert trouble == []


def box_of(page: Page, what: str) -> tuple[float, float, float, float]:
    """Left, top, width and height of the first of them, CSS px."""
    box = page.locator(what).first.bounding_box()
    assert box is not None
    return box["x"], box["y"], box["width"], box["height"]


def middle_of(page: Page, what: str) -> tuple[float, float]:
    """The middle of the first of them."""
    x, y, wide, tall = box_of(page, what)
    return x + wide / 2, y + tall / 2


def contrast(one: str, other: str) -> float:
    """Of two colours as a browser computes them, ``rgb(1, 2, 3)``: WCAG 2.2, relative luminance and contrast."""

    def luminance(colour: str) -> float:
        parts = [float(c) / 255 for c in colour[colour.index("(") + 1 : -1].split(",")[:3]]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


SIZES = """() => {
  const out = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const owner = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || owner.closest("script, style, noscript, [hidden]")) continue;
    const svg = owner.closest("svg");
    const scale = svg ? svg.getBoundingClientRect().width / svg.viewBox.baseVal.width : 1;
    const px = svg ? parseFloat(owner.getAttribute("font-size")) * scale : parseFloat(getComputedStyle(owner).fontSize);
    out.push([walk.currentNode.textContent.trim().slice(0, 30), px, svg !== null]);
  }
  return out;
}"""


TEXTS = """() => [...document.querySelectorAll(
  "h1, h2, .sub, .order, .how, td, .caution li, .caution > strong, button, .button, figcaption, summary, a"
)].filter((e) => e.offsetParent).map((e) => {
  let ground = e;
  while (ground && getComputedStyle(ground).backgroundColor === "rgba(0, 0, 0, 0)") ground = ground.parentElement;
  return [e.className + " " + e.textContent.slice(0, 20), getComputedStyle(e).color, getComputedStyle(ground).backgroundColor];
})"""
