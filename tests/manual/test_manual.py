"""The manual holds all the code knows, leads nowhere but into itself, and is the same at every run."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cached_property
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser
from playwright.sync_api import Page as Tab

from generators.checks.register import RULES
from generators.cli.app import commands, run
from generators.cli.output import EXITS
from generators.model.spec.fields import spec_fields
from generators.model.spec.forms.vehicle import VehicleReadings
from generators.model.spec.job import Job
from generators.model.spec.readings import Readings
from generators.model.spec.shelf.file import Shelf
from generators.model.spec.shop import Shop
from generators.parts import KINDS
from generators.reading.schema import job_schema, readings_schema, shelf_schema, shop_schema, vehicle_schema
from generators.reading.toml.values import read_value
from generators.sheets.manual.content import GUIDE
from generators.sheets.manual.keys import example
from generators.sheets.manual.sources import TRUST
from generators.standards import Trust
from generators.verify.html.manual import read_manual

ROOT = Path(__file__).parents[2]


class Page(HTMLParser):
    """Places, links and words of a page, by the standard library's parser alone."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.places: list[str] = []
        self.links: list[str] = []
        self.names: set[str] = set()
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name == "id":
                self.places.append(value or "")
            elif name == "data-find":
                self.names.add(value or "")
            elif name in ("href", "src"):
                self.links.append(value or "")

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @cached_property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


@pytest.fixture(scope="session")
def read(page: Path) -> Page:
    return Page(page.read_text(encoding="utf-8"))


def schema_keys(schema: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every key of a schema with what is said of it: another way round the declarations."""
    for name, inner in schema.get("properties", {}).items():
        if "description" in inner:
            yield name, inner["description"]
        yield from schema_keys(inner)
        yield from schema_keys(inner.get("items", {}))


def stands(said: str, page: str) -> bool:
    """True where a page says it, or what an editor shows before and after one of its full stops."""
    if said in page:
        return True
    cuts = [k for k in range(len(said)) if said.startswith(". ", k)]
    rests = [(said[:k], said[k + 2].lower() + said[k + 3 :].rstrip(".")) for k in cuts]
    return any(doc in page and rest in page for doc, rest in rests)


def test_every_key_stands_in_it_with_what_is_said_of_it(read: Page) -> None:
    plain = read.text.replace("`", "")
    job = job_schema({k.name: k.parameters for k in KINDS})
    for schema in (job, shop_schema(), shelf_schema(), readings_schema(), vehicle_schema()):
        listed = list(schema_keys(schema))
        assert len(listed) > 8
        for name, said in listed:
            assert name in read.names
            assert stands(" ".join(said.replace("`", "").split()), plain), (name, said)


def test_every_rule_kind_and_command_stands_in_it(read: Page) -> None:
    for rule in RULES:
        assert f"rule-{rule.code}" in read.places
        for words in (rule.title, rule.formula, f"{rule.source} [{rule.trust}]"):
            assert " ".join(words.split()) in read.text
        assert f"--accept {rule.code}" in read.text
    for kind in KINDS:
        assert f"kind-{kind.name}" in read.places
        for field in spec_fields(kind.parameters):
            assert f"kind-{kind.name}.{field.key}" in read.places
    for name, command in commands.commands.items():
        assert f"command-{name}" in read.places
        for option in command.params:
            for written in getattr(option, "opts", ()):
                if written.startswith("--"):
                    assert written in read.text, (name, written)
    for code, meaning in EXITS.items():
        assert f"{code}{meaning}" in read.text.replace(f"{code} {meaning}", f"{code}{meaning}")
    assert "\b" not in read.text


def test_a_limit_leads_to_its_rule_and_the_rule_to_its_limit(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    rule = text[text.index('id="rule-hole-edge-distance"') :]
    assert 'href="#job-limits.hole_edge_ratio"' in rule[: rule.index("</article>")]
    key = text[text.index('id="job-limits.hole_edge_ratio"') :]
    assert 'href="#rule-hole-edge-distance"' in key[: key.index("</tr>")]


def test_links_lead_into_the_page_and_every_place_is_one(read: Page) -> None:
    assert len(read.links) > 500
    assert [link for link in read.links if not link.startswith("#")] == []
    assert {link[1:] for link in read.links} <= set(read.places)
    assert len(read.places) == len(set(read.places))


def test_words_of_a_chapter_lead_to_what_they_name(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert '<a href="#rule-mating"><code>mating</code></a>' in text
    assert '<a href="#command-board"><code>pedalplate board specs/wrenfield_van.toml</code></a>' in text
    assert '<a href="#job-panel-obstacle"><code>[[obstacle]]</code></a>' in text or "[[obstacle]]" in text
    # what a file of a vehicle's readings holds, and how each kind of reading is taken
    assert '<a href="#vehicle-vehicle"><code>[vehicle]</code></a>' in text
    assert "<td>across its bare metal, with a caliper</td>" in text
    assert "$" not in re.sub(r"<(script|style)>.*?</\1>", "", text, flags=re.S).partition("<main")[2]
    assert len(GUIDE) == len(list((ROOT / "generators/sheets/manual/guide").glob("*.md")))


def classes() -> Iterator[type]:
    seen: set[type] = set()
    left: list[type] = [Job, Shop, Shelf, Readings, VehicleReadings, *(kind.parameters for kind in KINDS)]
    while left:
        cls = left.pop()
        if cls in seen:
            continue
        seen.add(cls)
        yield cls
        left += [f.spec.item for f in spec_fields(cls) if f.spec.item is not None]


def test_every_example_is_taken_by_the_reader() -> None:
    refused: list[str] = []

    def refuse(path: Any, found: str, expected: str, hint: str = "") -> Any:
        refused.append(f"{path}: {found}, expected {expected}")

    count = 0
    for cls in classes():
        for field in spec_fields(cls):
            if field.spec.item is not None or field.spec.kind == "kind_table":
                continue
            line = example(field)
            read_value(field.spec, tomllib.loads(line)[field.key], (cls.__name__, line), refuse)
            count += 1
    assert refused == []
    assert count > 500


def test_every_mark_of_trust_is_explained(read: Page) -> None:
    assert set(TRUST) == set(Trust)
    data = ROOT / "generators" / "standards" / "data"
    for path in data.glob("*.csv"):
        assert path.stem.replace("_", " ") in read.text


def test_it_is_the_same_whatever_python_hashes_by() -> None:
    code = (
        "import hashlib;"
        "from generators.sheets.manual.content import FORMS;"
        "from generators.sheets.manual import keys, kinds, rules, sources;"
        "from generators.parts import KINDS;"
        "said = [keys.tables(c) for _, _, c in FORMS], rules.subjects(), sources.sources(), kinds._page(KINDS[0]);"
        "print(hashlib.sha256(repr(said).encode()).hexdigest())"
    )
    answers = set()
    for seed in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            timeout=300,
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert done.returncode == 0, done.stderr
        answers.add(done.stdout)
    assert len(answers) == 1


def wanted() -> dict[str, Any]:
    return {
        "commands": list(commands.commands),
        "keys": {},
        "rules": [rule.code for rule in RULES],
        "kinds": {kind.name: [f.key for f in spec_fields(kind.parameters)] for kind in KINDS},
    }


def test_the_reader_misses_what_is_taken_out(page: Path, tmp_path: Path) -> None:
    assert read_manual(page, **wanted()).problems == ()
    # without the pictures, which take long to read
    text = re.sub(r"<svg.*?</svg>", "", page.read_text(encoding="utf-8"), flags=re.S)
    worse = {
        "lacks mating under rules": text.replace('data-find="mating"', 'data-find="mate"'),
        "lacks overlap under kinds": re.sub(
            r'<code data-find="overlap"[^>]*>|<code id="[^"]*" data-find="overlap">', "<code>", text
        ),
        "which is not there": text.replace('href="#rules"', 'href="#no-rules"').replace(
            'href="#rule-mating"', 'href="#x"'
        ),
        "leads out of the file": text.replace('href="#rules"', 'href="https://example.org"'),
        "has no caution": text.replace("licensed mechanic", "mechanic"),
    }
    for said, changed in worse.items():
        assert changed != text, said
        path = tmp_path / "manual.html"
        path.write_text(changed, encoding="utf-8")
        assert any(said in p for p in read_manual(path, **wanted()).problems), said


def test_what_is_no_manual_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    mine = tmp_path / "manual.html"
    mine.write_text("my own notes", encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["pedalplate", "manual", str(tmp_path)])
    assert run() == 4
    assert "is no manual of this program" in capsys.readouterr().err
    assert mine.read_text(encoding="utf-8") == "my own notes"


def block(marker: str, kind: str) -> str:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(rf"<!-- {marker} -->\n```{kind}\n(.*?)```\n", text, re.S)
    assert found is not None, marker
    return found[1]


def test_the_first_spec_of_the_readme_says_what_is_printed_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = tmp_path / "first.toml"
    lines = block("first spec", "toml")
    assert len(lines.splitlines()) == 15
    spec.write_text(lines, encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["pedalplate", "check", str(spec)])
    assert run() == 1
    screen = capsys.readouterr().out
    assert screen == block("first screen", "text")
    # and what it says to type clears it
    change = re.search(r'part\[cover\]\.mount\.at\.v = (".*?")  # line 15, was (".*?")', screen)
    assert change is not None
    spec.write_text(lines.replace(f"v = {change[2]}", f"v = {change[1]}"), encoding="utf-8")
    assert run() == 0
    assert "0 fail, 0 warn" in capsys.readouterr().out


def test_the_readme_names_every_command_and_no_other() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    table = text[text.index("## Commands") : text.index("`--json` everywhere")]
    assert set(re.findall(r"^\| `pedalplate ([a-z]+)", table, re.M)) == set(commands.commands)
    for picture in re.findall(r"\]\((templates_out/[^)]*)\)", text):
        assert (ROOT / picture).is_file(), picture
    for spec in re.findall(r"specs/[a-z_]+\.toml", text):
        assert (ROOT / spec).is_file() or "my_van" in spec


# ------------------------------------------------------------------------------ in a real Chromium
def opened(browser: Browser, path: Path, width: int, scheme: str = "light") -> tuple[Tab, list[str]]:
    context = browser.new_context(
        viewport={"width": width, "height": 800},
        color_scheme="dark" if scheme == "dark" else "light",
        offline=True,
    )
    tab = context.new_page()
    told: list[str] = []
    tab.on("console", lambda message: told.append(message.text))
    tab.on("pageerror", lambda error: told.append(str(error)))
    tab.on("request", lambda request: told.append(request.url) if request.url != path.as_uri() else None)
    tab.goto(path.as_uri())
    return tab, told


@pytest.mark.parametrize("width", [390, 1300])
def test_it_fits_the_width_and_asks_for_nothing(browser: Browser, page: Path, width: int) -> None:
    tab, told = opened(browser, page, width)
    assert tab.evaluate("document.documentElement.scrollWidth") <= width
    # no text smaller than 16 px but in pictures
    small = tab.evaluate(
        "[...document.querySelectorAll('p, td, dd, li, code, a')].filter(n => n.offsetWidth && "
        "parseFloat(getComputedStyle(n).fontSize) < 15.9).length"
    )
    assert small == 0
    assert told == []
    tab.context.close()


def test_a_name_is_found_by_keyboard_alone(browser: Browser, page: Path) -> None:
    tab, told = opened(browser, page, 1300)
    tab.keyboard.press("/")
    tab.keyboard.type("hole_edge")
    assert tab.locator("#found a").first.inner_text().startswith("hole_edge_ratio")
    tab.keyboard.press("Enter")
    tab.wait_for_selector('[id="job-limits.hole_edge_ratio"]:target')
    assert tab.locator("#found").is_hidden()
    tab.keyboard.press("/")
    tab.keyboard.type("mating")
    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#rule-mating:target")
    # in sight below the head that stays
    seen = "n => n.getBoundingClientRect()"
    top = tab.locator("#rule-mating").evaluate(seen)["top"]
    assert tab.locator("header").evaluate(seen)["bottom"] <= top < 800
    tab.keyboard.press("/")
    tab.keyboard.type("no such thing at all")
    assert tab.locator("#found").inner_text() == "Nothing has that word."
    tab.keyboard.press("Escape")
    assert tab.locator("#found").is_hidden()
    assert told == []
    tab.context.close()


def test_it_is_dark_where_the_screen_is_and_light_on_paper(browser: Browser, page: Path) -> None:
    tab, _ = opened(browser, page, 1300, "dark")
    ground = "getComputedStyle(document.body).backgroundColor"
    assert tab.evaluate(ground) == "rgb(21, 25, 28)"
    tab.emulate_media(media="print")
    assert tab.evaluate(ground) == "rgb(255, 255, 255)"
    assert tab.locator(".search").is_hidden()
    tab.context.close()
