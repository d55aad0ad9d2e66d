"""Drafts: drawn whatever the rules say, marked, reduced, and nothing in them for a cutter or a drill."""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as Tree
from pathlib import Path

import pdfplumber
import pytest

from generators.jobs.draft import run
from generators.jobs.draft.content import content_of
from generators.jobs.draft.pins import pinned
from generators.jobs.verify import verify
from generators.sheets.draft.mark import REDUCED, reduced
from generators.sheets.draft.page import write_draft_page
from generators.sheets.draft.pictures import What, drawn
from generators.sheets.draft.space import shown_names, space_data
from generators.solve.job import Prepared
from generators.verify.draft.files import read_html, read_pdf, read_png, read_svg
from generators.verify.draft.wanted import Shown

SPACE = "{http://www.w3.org/2000/svg}"


def quiet(_what: str, _done: int, _total: int) -> None:
    """No progress."""


def circles(path: Path) -> list[tuple[float, float, float]]:
    """Middles and diameters of all circles of an SVG file, y down, mm."""
    root = Tree.parse(path).getroot()
    rows = [[float(c.attrib[key]) for key in ("cx", "cy", "r")] for c in root.iter(f"{SPACE}circle")]
    return [(x, y, 2 * r) for x, y, r in rows]


def test_a_draft_is_drawn_though_a_rule_fails(prepared: Prepared, drafted: Path) -> None:
    assert prepared.blocked
    manifest = json.loads((drafted / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["kind"] == "draft"
    assert {"draft.pdf", "draft.html"} <= {entry["path"] for entry in manifest["files"]}


def test_nothing_in_it_is_for_a_machine(drafted: Path) -> None:
    endings = {path.suffix for path in drafted.rglob("*") if path.is_file()}
    assert endings == {".json", ".pdf", ".html", ".svg", ".png", ".toml"}


def test_every_page_says_what_it_is(drafted: Path) -> None:
    # read by another library than the program's own reader
    with pdfplumber.open(drafted / "draft.pdf") as document:
        texts = [page.extract_text() for page in document.pages]
    assert texts
    assert all("DRAFT, not issued, not for cutting or drilling" in text for text in texts)
    for path in (drafted / "svg").iterdir():
        words = [node.text for node in Tree.parse(path).getroot().iter(f"{SPACE}text")]
        assert words.count("DRAFT") >= 2, path.name  # over the picture and across it


def test_holes_lie_reduced_where_the_spec_has_them(drafted: Path) -> None:
    # by hand from the spec: heater_pipe (330, 160) of 1 in, column_bore (640, 110) of 2 3/4 in, drawn 1:5:
    # 310/5 = 62 to the right and 50/5 = 10 down; seen from the engine bay 62 to the left
    for face, sign in (("cab", 1.0), ("engine", -1.0)):
        found = circles(drafted / "svg" / f"panel_firewall_{face}.svg")
        heater = [(x, y) for x, y, d in found if math.isclose(d, 25.4 / 5, abs_tol=1e-3)]
        column = [(x, y) for x, y, d in found if math.isclose(d, 69.85 / 5, abs_tol=1e-3)]
        assert len(heater) == len(column) == 1
        assert column[0][0] - heater[0][0] == pytest.approx(sign * 62.0, abs=1e-3)
        assert column[0][1] - heater[0][1] == pytest.approx(10.0, abs=1e-3)


def test_scales_are_those_of_iso_5455_and_never_full() -> None:
    # ISO 5455:1979, table: reduction scales 1:2 1:5 1:10 1:20 1:50 1:100 1:200 1:500 1:1000 (M-high)
    assert REDUCED == (2, 5, 10, 20, 50, 100, 200, 500, 1000)
    assert reduced(10, 10, (180, 200)) == 2
    assert reduced(360, 10, (180, 200)) == 2
    assert reduced(360.1, 10, (180, 200)) == 5
    assert reduced(10, 1000.1, (180, 200)) == 10


def test_no_picture_is_at_full_size(drafted: Path) -> None:
    for path in (drafted / "svg").iterdir():
        said = re.findall(r"1:(\d+)", path.read_text(encoding="utf-8"))
        assert all(int(scale) >= 2 for scale in said), path.name


def test_findings_are_pinned_where_they_are(prepared: Prepared, drafted: Path) -> None:
    (pin,) = [p for p in pinned(prepared) if p.finding.code == "hole-off-panel"]
    assert pin.finding.blocks
    assert pin.spots == (("firewall", pytest.approx(140.0), pytest.approx(4.0)),)
    words = [
        n.text for n in Tree.parse(drafted / "svg" / "panel_firewall_cab.svg").getroot().iter(f"{SPACE}text")
    ]
    assert str(pin.number) in words
    assert "hole-off-panel" in (drafted / "draft.html").read_text(encoding="utf-8")


def test_findings_on_other_things_are_found(prepared: Prepared) -> None:
    pins = pinned(prepared)
    assert [p.number for p in pins] == list(range(1, len(prepared.findings) + 1))
    part = next(p for p in pins if p.finding.where.startswith("part:clutch_hanger"))
    assert "part:clutch_hanger" in part.things
    # the hanger's four bolts are at u 498 and 542, so its middle is at 520: by the spec, column_bore - 120
    assert part.spots[0][:2] == ("firewall", pytest.approx(520.0))


def test_verify_makes_it_again(drafted: Path) -> None:
    readings = verify(drafted, progress=quiet)
    assert [r.path for r in readings if not r.good] == []


def test_readers_see_what_is_wrong(drafted: Path, tmp_path: Path) -> None:
    good = (drafted / "svg" / "panel_firewall_cab.svg").read_text(encoding="utf-8")
    title = "Firewall as seen by the driver, 1:5"
    wanted = Shown(
        name="firewall", title=title, holes=((330.0, 160.0, 25.4), (640.0, 110.0, 69.85)), ratio=5.0
    )
    path = tmp_path / "a.svg"

    def said(text: str, other: Shown = wanted) -> str:
        path.write_text(text, encoding="utf-8")
        return "; ".join(read_svg(path, wanted=other, rel="a.svg").problems)

    assert said(good) == ""
    assert "does not say DRAFT" in said(good.replace(">DRAFT<", "><"))
    moved = Shown(
        name="firewall", title=title, holes=((330.0, 160.0, 25.4), (640.1, 110.0, 69.85)), ratio=5.0
    )
    assert "1 of 2 holes" in said(good, moved)
    assert "1 of 2 holes" in said(
        good, Shown(name="f", title=title, holes=wanted.holes, ratio=5.0, mirrored=True)
    )
    assert "half size at most" in said(
        good.replace("1:5", "1:1"), Shown(name="f", title="Firewall", ratio=1.0)
    )
    assert "no pin of finding 77" in said(good, Shown(name="f", title=title, pins=(77,)))
    assert "not drawn in mm" in said(good.replace('mm" viewBox', 'px" viewBox', 1))
    assert "is no SVG" in said("<svg")


def test_readers_of_other_files_see_what_is_wrong(drafted: Path, tmp_path: Path) -> None:
    one = Shown(name="x", title="Firewall as seen by the driver, 1:5")
    good = drafted / "draft.pdf"
    assert read_pdf(good, wanted=[one], codes=["hole-off-panel"], rel="d").good
    assert "does not list nonsense" in read_pdf(good, wanted=[one], codes=["nonsense"], rel="d").problems
    assert not read_pdf(good, wanted=[Shown(name="x", title="Bonnet")], codes=[], rel="d").good
    bad = tmp_path / "bad"
    bad.write_bytes(b"nothing")
    assert not read_pdf(bad, wanted=[], codes=[], rel="d").good
    assert not read_png(bad, wanted=one, size=(10, 10), rel="d").good
    picture = drafted / "png" / "panel_firewall_cab.png"
    assert not read_png(picture, wanted=one, size=(10, 10), rel="d").good
    text = (drafted / "draft.html").read_text(encoding="utf-8")
    bad.write_text(text.replace("</main>", '<img src="http://example.org/x.png"></main>'), encoding="utf-8")
    said = "; ".join(read_html(bad, wanted=[], codes=[], bodies=[], rel="d").problems)
    assert "<img>" in said
    assert "lists findings" in said


def test_bodies_are_made_without_the_kernel(prepared: Prepared, tmp_path: Path) -> None:
    content = content_of(prepared)
    data = space_data(content)
    assert [one["name"] for one in data["things"]] == shown_names(content)
    assert {"firewall", "clutch_hanger", "toe_board"} <= {one["name"] for one in data["things"]}
    assert {one["pedal"] for one in data["moving"]} == {"clutch"}
    assert all(len(one["poses"][0]) == 16 for one in data["moving"])
    page = tmp_path / "draft.html"
    scene: tuple[What, ...] = ("scene",)
    write_draft_page(page, content=content, whats=scene, revision="0000000")
    codes = [pin.finding.code for pin in content.pins]
    wanted = [
        Shown(name=one.name, title=one.title, pins=tuple(p.number for p in one.pins))
        for one in drawn(content, scene)
    ]
    reading = read_html(page, wanted=wanted, codes=codes, bodies=shown_names(content), rel="d")
    assert reading.problems == ()
    assert not read_html(page, wanted=wanted, codes=codes, bodies=["other"], rel="d").good


def test_the_command_needs_no_kernel(failing: Path, tmp_path: Path) -> None:
    code = (
        "import sys; from generators.cli.app import run;"
        f"sys.argv=['pedalplate','draft',{str(failing)!r},'--what','panels','--as','svg','--json','--out',{str(tmp_path)!r}];"
        "code=run(); print(code, sorted({'cadquery','OCP','vtkmodules','ezdxf'} & set(sys.modules)), file=sys.stderr)"
    )
    environment = {**os.environ, "PEDALPLATE_CORES": "1"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment)
    assert done.stderr.strip() == "0 []"
    told = json.loads(done.stdout)
    assert told["ok"]
    assert any(f["severity"] == "fail" for f in told["findings"])
    assert all("panel_" in p for p in told["files"] if p.endswith(".svg"))
    assert json.loads((tmp_path / "wrenfield_van_draft" / "manifest.json").read_text())["kind"] == run.KIND
