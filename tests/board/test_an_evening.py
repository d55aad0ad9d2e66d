"""A designer's evening at the board in a real Chromium, from a start to the finished folder, with pictures.

``python -m pytest -n 0 -m nightly tests/board/test_an_evening.py -s --pictures=FOLDER`` keeps what was on the screen
after each step, and prints how long each took as a multiple of the plain answer (``prepare``) on this machine.
"""

from __future__ import annotations

import csv
import os
import re
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from boards import running, until
from playwright.sync_api import Browser, Locator, Page

from generators.solve.job import prepare

ROOT = Path(__file__).parents[2]
WHOLE = 'body[data-stage="whole"]'
LONG_MS = 300_000


def pedalplate(*arguments: object, folder: Path) -> tuple[int, str]:
    """A command as it is typed; its exit code and what it said."""
    done = subprocess.run(
        [sys.executable, "-m", "generators.cli", *map(str, arguments)],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return done.returncode, done.stdout + done.stderr


@dataclass
class Evening:
    """The page, where its pictures go, and how long each step took."""

    page: Page
    spec: Path
    pictures: Path | None
    steps: list[tuple[str, float]] = field(default_factory=list)

    @contextmanager
    def step(self, words: str, *, solved: bool = True) -> Iterator[None]:
        """Something done by hand, and the picture of it once the answer is there."""
        begin = time.perf_counter()
        yield
        if solved:
            self.page.wait_for_selector(WHOLE, timeout=LONG_MS)
        self.steps.append((words, time.perf_counter() - begin))
        self.shot(words)

    def shot(self, words: str) -> None:
        """The screen as it is."""
        if self.pictures is not None:
            name = re.sub(r"[^a-z0-9]+", "_", words.lower()).strip("_")
            self.page.screenshot(path=self.pictures / f"{len(self.steps):02}_{name}.png")

    def changed(self, do: Any) -> None:
        """Do something that changes the text, and wait until its picture has come."""
        was = self.page.get_attribute("body", "data-digest")
        do()
        self.page.wait_for_selector(f'body:not([data-digest="{was}"])', timeout=LONG_MS)

    def value(self, path: str) -> Locator:
        return self.page.locator(f'.value[data-path$="{path}"] input')

    def typed(self, path: str, text: str) -> None:
        """A value found by a word of its path, typed and set."""
        self.page.locator("#find").fill(path.rpartition("]")[2].strip(".") or path)
        there = self.value(path).first
        there.fill(text)
        self.changed(lambda: there.press("Enter"))
        self.page.locator("#find").fill("")

    def findings(self) -> set[str]:
        return {str(row.get_attribute("data-code")) for row in self.page.locator("#findings li").all()}


@pytest.mark.nightly
def test_an_evening_from_a_start_to_a_folder(
    browser: Browser, tmp_path: Path, pytestconfig: pytest.Config
) -> None:
    asked = pytestconfig.getoption("--pictures")
    pictures = Path(str(asked)) if asked else None
    if pictures is not None:
        pictures.mkdir(parents=True, exist_ok=True)
    code, said = pedalplate("new", "evening", "--like", "hanging_clutch", "--dir", ".", folder=tmp_path)
    assert code == 0, said
    spec = tmp_path / "evening.toml"
    shutil.copy(ROOT / "specs" / "shelf.toml", tmp_path)
    shutil.copy(spec, tmp_path / "yesterday.toml")
    begin = time.perf_counter()
    prepare(spec)
    plain = time.perf_counter() - begin

    with running(spec, others=(tmp_path / "yesterday.toml",)) as (address, board):
        page = browser.new_page(viewport={"width": 1400, "height": 900})
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        one = Evening(page, spec, pictures)
        with one.step("the start on the board"):
            page.goto(address)
        assert not one.findings() & {"keep-out", "part-on-obstacle"}

        with one.step("ratio: the rod's pin lower on the arm"):
            one.typed("pedal[0].pin[1]", "-72 mm")
        with one.step("bore"):
            one.typed("pedal[0].master.bore", "3/4 in")
            page.locator('[data-tab="pedal"]').click()
        with one.step("and back"):
            one.changed(lambda: page.locator("#undo").click())
        assert tomllib.loads(spec.read_text("utf-8"))["pedal"][0]["master"]["bore"] == "7/8 in"

        page.locator('[data-tab="panels"]').click()
        with one.step("a bracket placed where the heater box is"):
            one.typed("part[2].mount.at.v", "60 mm")
        blocked = one.findings()
        assert "keep-out" in blocked
        with one.step("the bracket dragged out of it"):
            _dragged(one, "part:clutch_reservoir")
        assert "keep-out" not in one.findings()

        with one.step("the master taken of the shelf"):
            page.locator('[data-tab="shelf"]').click()
            one.changed(_shelved(page, "master_7_8").click)
        assert board.desk.state["faults"] == []
        with one.step("another master of the shelf"):
            one.changed(_shelved(page, "master_3_4").click)
        assert tomllib.loads(spec.read_text("utf-8"))["shelf"] == {"master": "master_3_4"}
        with one.step("and the first again"):
            one.changed(lambda: page.locator("#undo").click())

        with one.step("a mirrored vehicle"):
            page.locator("#form").select_option("+")
            until(lambda: board.desk.state.get("form") == "other_hand")
            until(lambda: board.desk.state["stage"] == "whole")
        with one.step("as written again"):
            page.locator("#form").select_option("")
            until(lambda: board.desk.state.get("form") == "" and board.desk.state["stage"] == "whole")

        with one.step("beside yesterday", solved=False):
            page.locator('[data-tab="beside"]').click()
            page.wait_for_selector("#other option:nth-child(3)", state="attached", timeout=LONG_MS)
            page.locator("#other").select_option(index=2)
            page.wait_for_selector("#differs[data-shown] pre", timeout=LONG_MS)
        differs = page.locator("#differs pre").text_content() or ""
        assert "clutch_reservoir" in differs.replace(" ", "_")
        with one.step("in space", solved=False):
            page.locator('[data-tab="space"]').click()
            page.wait_for_selector("#space[data-shown]", timeout=LONG_MS)
        with one.step("the pages", solved=False):
            page.locator('[data-tab="pages"]').click()
            page.wait_for_selector("#leaf[data-shown] img", timeout=LONG_MS)
        assert wrong == []
        page.close()
        steps = one.steps

    begin = time.perf_counter()
    code, said = pedalplate(
        "sweep", spec, "--vary", "pedal[clutch].master.bore = 3/4 in, 7/8 in",
        "--vary", "part[clutch_hanger].parameters.pivot_up = 64 mm, 68 mm",
        "--want", "least pedal[clutch].peak_effort", "--out", "swept", folder=tmp_path,
    )  # fmt: skip
    assert code in (0, 1), said
    (table,) = (tmp_path / "swept").rglob("*.csv")
    assert len([*csv.reader(table.read_text(encoding="utf-8").splitlines())]) >= 5
    steps.append(("sweep of bore and pivot, four rows", time.perf_counter() - begin))
    begin = time.perf_counter()
    code, said = pedalplate("make", spec, "--out", "made", folder=tmp_path)
    assert code == 0, said
    steps.append(("make", time.perf_counter() - begin))
    assert (tmp_path / "made" / "evening" / "print_me.pdf").is_file()
    print()
    for words, seconds in steps:
        print(f"{seconds / plain:6.1f} × prepare  {words}")


def _shelved(page: Page, thing: str) -> Locator:
    """The button that takes a thing as the master, once the shelf shows what the spec takes."""
    button = page.locator(f'#shelf-things li[data-thing="{thing}"] button', has_text="Take as master")
    button.wait_for(timeout=LONG_MS)
    return button


def _dragged(one: Evening, thing: str) -> None:
    """Upward, until the board says that it is 96 mm."""
    page = one.page
    page.evaluate("window.scrollTo(0, 0)")
    handle = page.locator(f'path.handle[data-thing="{thing}"]').first
    box = handle.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.15
    page.mouse.move(x, y)
    page.mouse.down()
    for far in range(400):
        page.mouse.move(x, y - far)
        told = page.locator(".told").text_content() if far > 5 else ""
        if (found := re.fullmatch(r"([0-9.]+) mm up", told or "")) and float(found[1]) >= 96:
            break
    one.shot("held")
    one.changed(page.mouse.up)
