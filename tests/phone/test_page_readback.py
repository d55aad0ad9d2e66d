"""The finished page read back: true as it is, and every way to spoil it is told."""

from __future__ import annotations

import base64
import io
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from generators.issue.artefact import Artefact
from generators.model.install import Guide, InstallOrder, Phase, Step, StepTable
from generators.model.plan import PanelLayout
from generators.sheets.hose_words import LinesSheet
from generators.sheets.phone.lengths import with_lengths
from generators.sheets.phone.page import write_phone_page
from generators.sheets.space.sheet import SpaceSheet
from generators.verify.html.page import Wanted, read_page
from generators.verify.html.tree import parsed

ROOT = Path(__file__).parents[2]


def problems(artefact: Artefact, path: Path) -> str:
    assert artefact.read is not None
    return "; ".join(artefact.read(path).problems)


def test_the_page_as_made_says_what_the_guide_says(
    artefact: Artefact, made_from: Mapping[str, Any], page_file: Path
) -> None:
    assert artefact.read is not None
    reading = artefact.read(page_file)
    assert reading.problems == ()
    guide: Guide = made_from["guide"]
    layouts: Sequence[PanelLayout] = made_from["layouts"]
    holes = sum(len(layout.holes) for layout in layouts)
    assert f"{len(list(guide.steps))} steps, {holes} holes" in reading.facts[0]


def swapped(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        assert old in text
        return text.replace(old, new, count)

    return spoil


def cut(pattern: str) -> Callable[[str], str]:
    def spoil(text: str) -> str:
        out, count = re.subn(pattern, "", text, count=1, flags=re.DOTALL)
        assert count == 1
        return out

    return spoil


def moved(text: str) -> str:
    """The bodies with one of them a centimetre to the side."""
    found = re.search(r'id="assembly">([^<]*)<', text)
    assert found is not None
    scene = trimesh.load_scene(io.BytesIO(base64.b64decode(found[1])), file_type="glb")
    pose, _ = scene.graph["firewall"]
    pose = np.array(pose)
    pose[0, 3] += 0.01
    scene.graph.update(frame_to="firewall", matrix=pose)
    return text.replace(found[1], base64.b64encode(scene.export(file_type="glb")).decode())


MOVED = "translate(3 4)"
"""A corner of a picture far from every hole but one."""

FLAWS: dict[str, tuple[Callable[[str], str], str]] = {
    "a step gone": (cut(r'<li id="step-9".*?</li>(?=<li id="step-10")'), "steps, wanted"),
    "a step's words": (cut(r'(?<=<span class="order">)[^<]+'), "step 1: says"),
    "how it is done": (
        cut(r'<p class="how">.*?</p>'),
        "step 1: says",
    ),
    "a box of another number": (swapped('value="7"', 'value="8"'), "has no box"),
    "a row of a table": (
        swapped('data-said="400.25 mm (15.758 in, ~15 49/64)"', 'data-said="400.52 mm"'),
        "lacks the row",
    ),
    "what is shown of a length": (
        swapped('<span class="mm">400.25 mm</span>', '<span class="mm">402.25 mm</span>'),
        "which are not",
    ),
    "its inches": (swapped("15.758 in", "15.785 in", 3), "not the same"),
    "a hole's tool": (
        swapped('data-head="with">step drill', 'data-head="with">twist drill'),
        "says with 'twist drill",
    ),
    "a hole's number": (
        swapped('<td data-head="hole">7</td>', '<td data-head="hole">8</td>', -1),
        "has holes 1",
    ),
    "a caution": (cut(r"<li>Brake fluid harms.*?</li>"), "lacks the caution"),
    "a revision": (swapped('data-revision="', 'data-revision="0'), "data-revision"),
    "a revision in words": (swapped('<span class="revision">', '<span class="revision">0'), "says revision"),
    "the job": (swapped('data-job="wrenfield_van"', 'data-job="other"'), "data-job"),
    "something loaded": (swapped("<header>", '<header><img src="https://example.org/a.png">'), "has a <img>"),
    "a link that leads out": (
        swapped('href="#steps"', 'href="https://example.org"'),
        "leads out of the file",
    ),
    "a script's letter": (swapped('"use strict";\n// Ticks', '"use strict";\n// ticks'), "script-src"),
    "a script of its own": (swapped("<main>", "<script>1</script><main>"), "script-src"),
    "a wider policy": (swapped("default-src &#x27;none&#x27;", "default-src *"), "default-src"),
    "a handler": (swapped("<main>", '<main onclick="x()">'), "has onclick"),
    "a phone's width": (swapped("initial-scale=1", "initial-scale=1, user-scalable=no"), "enlarge"),
    "a body gone": (swapped('"fitting_plate": "', '"fitting_place": "'), "by their titles"),
    "a body moved": (moved, "away from its place"),
    "a picture gone": (
        cut(r'<svg [^>]*aria-label="As the driver sees it.*?</svg>'),
        "pictures",
    ),
    "a step that does not lead to its holes": (
        cut(r'<a href="#hole-firewall-D" class="to-hole">D</a>'),
        "does not lead to hole D",
    ),
    "a section that is not in the contents": (
        cut(r'<li><a href="#holes">[^<]*</a></li>'),
        "does not have 'holes' in its contents",
    ),
    "an empty cell": (
        swapped('<td data-head="with" class="none">–</td>', '<td data-head="with"></td>'),
        "has an empty cell 'with'",
    ),
    "the step that closes a hole": (
        cut(r'(?<=<td data-head="step"><a href="#step-17">)17(?=</a>)'),
        "says step",
    ),
    "a check distance": (
        swapped(
            '<td data-head="distance"><span class="length one" data-said="',
            '<td data-head="distance"><span class="length one" data-said="1',
        ),
        "the check distance",
    ),
    "a check distance from a middle that is a rim": (
        swapped('<td data-head="from">rim of ', '<td data-head="from">'),
        "does not run from rims",
    ),
    "a check distance to no hole": (
        cut(r'(?<=<td data-head="to">)[^<]+'),
        "which is no hole",
    ),
    "check distances gone": (cut(r'<table class="checks".*?</table>'), "no distances to check"),
    "a step that does not lead to its distances": (
        cut(r'<a href="#checks-[^"]*">Check distances</a>'),
        "does not lead to the distances",
    ),
    "a number without its leader": (
        lambda text: re.sub(r"<line [^>]*></line>(?=<text [^>]*>17</text>)", "", text),
        "the number 17 stands at hole",
    ),
    "a number that went away": (
        lambda text: re.sub(r'(?<=<text transform=")translate\([^)]*\)(?=[^>]*>17</text>)', MOVED, text),
        "the number 17 stands at hole",
    ),
    "a number that is not in the picture": (
        lambda text: re.sub(r"<text [^>]*>17</text>", "", text),
        "does not name hole 17",
    ),
    "a disc elsewhere": (
        lambda text: re.sub(r'(aria-label="Toe board.*?<circle cx=")[^"]*', r"\g<1>20.2", text, count=1),
        "do not lie as they do",
    ),
    "words over an edge": (
        swapped(">Clutch slave</text>", ">Clutch slave cylinder with its hose and its fitting</text>"),
        "over its edge",
    ),
    "a name twice": (swapped('id="step-8"', 'id="step-7"'), "twice"),
    "not closed": (swapped("</header>", ""), "closes nothing"),
}


@pytest.mark.parametrize("flaw", FLAWS)
def test_what_is_spoiled_is_told(artefact: Artefact, page_file: Path, tmp_path: Path, flaw: str) -> None:
    spoil, said = FLAWS[flaw]
    spoiled = tmp_path / "install.html"
    spoiled.write_text(spoil(page_file.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
    assert said in problems(artefact, spoiled)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"<html>", b"<p>no page</p>"])
def test_what_is_no_page_is_told(artefact: Artefact, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "install.html"
    path.write_bytes(content)
    assert problems(artefact, path)


def test_a_file_that_is_gone_is_told(artefact: Artefact, tmp_path: Path) -> None:
    assert "cannot be read" in problems(artefact, tmp_path / "none.html")


HOSTILE = "</script><script>alert(1)</script> \" ' & <b> ]]> $style ${job} \u2028"


def test_no_text_of_a_spec_becomes_markup(tmp_path: Path) -> None:
    table = StepTable(
        head=("a", "b", "c"), rows=((HOSTILE, "2 mm", HOSTILE),), shares=(0.3, 0.3, 0.4), lead=HOSTILE
    )
    step = Step(do=HOSTILE, how=HOSTILE, number=1, tables=(table,))
    guide = Guide(
        title=HOSTILE,
        revision="abcdef0",
        before=(HOSTILE,),
        phases=(Phase(title=HOSTILE, steps=(step,), cautions=(HOSTILE,)),),
    )
    path = tmp_path / "install.html"
    remarks = write_phone_page(
        path,
        job="job",
        guide=guide,
        layouts=(),
        lines=LinesSheet(order=InstallOrder(tasks=(), needs=())),
        sheet=SpaceSheet(),
        space=None,
        inch_first=True,
    )
    assert remarks == ()
    root, wrong = parsed(path.read_text(encoding="utf-8"))
    assert wrong == []
    assert len(root.all("script")) == 1
    wanted = Wanted(job="job", revision="abcdef0", first="in", layouts=(), titles={})
    assert read_page(path, guide=guide, wanted=wanted, rel="install.html").problems == ()


@pytest.mark.parametrize(
    ("text", "mm", "inch"),
    [
        # 1 in = 25.4 mm exactly (international inch of 1959); the rest by hand
        ("25.4 mm", "25.4 mm", "1.000 in"),
        ("in steps of 2 to 3 mm or", "2 to 3 mm", "0.08 to 0.12 in"),
        ("38.10 mm (1.500 in, 1 1/2)", "38.10 mm", "1.500 in, 1 1/2"),
        ("1.500 in (1 1/2, 38.10 mm)", "38.10 mm", "1.500 in, 1 1/2"),
        ("108.5 mm (4.272 in), pedal", "108.5 mm", "4.272 in"),
        ("a 15/32 in drill", "11.91 mm", "15/32 in"),
        ("1 1/2 in of it", "38.10 mm", "1 1/2 in"),
        # 3.175 and 9.525 mm exactly, as every table rounds them
        ("1/8 in drill", "3.18 mm", "1/8 in"),
        ("3/8 in drill", "9.53 mm", "3/8 in"),
        ("v -65 mm)", "-65 mm", "-2.56 in"),
    ],
)
def test_a_length_is_said_in_both_units(text: str, mm: str, inch: str) -> None:
    (length,) = [piece for piece in with_lengths(text) if not isinstance(piece, str)]
    said = {part.get("class"): part.text for part in length}  # type: ignore[union-attr]
    assert (said["mm"], said["in"]) == (mm, inch)


@pytest.mark.parametrize(
    "text", ["holes 11 in the firewall", "M8 bolt", "3 mm² of it", "7/16-20 nut", "1 3/4 flats", "4 in 5"]
)
def test_what_is_no_length_stays_a_text(text: str) -> None:
    assert "".join(piece for piece in with_lengths(text) if isinstance(piece, str)) == text


def test_the_wheel_holds_every_file_of_the_template() -> None:
    folder = ROOT / "generators"
    globs = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"][
        "package-data"
    ]["generators"]
    kept = [p for p in (folder / "sheets" / "phone").iterdir() if p.is_file() and p.suffix != ".py"]
    assert len(kept) >= 5
    for path in kept:
        name = path.relative_to(folder).as_posix()
        assert any(fnmatch(name, glob) and name.count("/") == glob.count("/") for glob in globs), name


def test_the_library_comes_with_its_licence(page_file: Path) -> None:
    # the MIT licence asks for its notice in all copies (opensource.org/license/mit)
    text = page_file.read_text(encoding="utf-8")
    assert "Three.js Authors" in text
    assert "Permission is hereby granted, free of charge" in text
    assert "Copyright © 2010-2022 three.js authors" in text
