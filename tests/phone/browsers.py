"""A Chromium to look at pages with: the system's, the one playwright fetched, or a Chrome that is there."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Error, Playwright, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
ARGUMENTS = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-gpu-rasterization",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
"""Drawn without a graphics card, and nothing asked of the network by the browser itself.

Some systems have it rasterize "on the card" by default: without one, that is emulated, and slow.
"""


def launched(playwright: Playwright) -> Browser:
    """A browser without a window. Raises playwright's ``Error`` where there is none."""
    found = [path for name in NAMES if (path := shutil.which(name))]
    for path in found[:1]:
        return playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
    try:
        return playwright.chromium.launch(args=ARGUMENTS)
    except Error:
        return playwright.chromium.launch(channel="chrome", args=ARGUMENTS)


def opened_or_skipped() -> Iterator[Browser]:
    """A browser for a fixture. Without one the tests are left out, but not where everything is decided."""
    with sync_playwright() as playwright:
        try:
            browser = launched(playwright)
        except Error as error:
            reason = f"needs Chromium (Debian: apt-get install chromium): {str(error).splitlines()[0]}"
            if os.environ.get("CI", "").lower() == "true":
                pytest.fail(reason)
            pytest.skip(reason)
        yield browser
        browser.close()
