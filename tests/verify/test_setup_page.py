"""The page of a setup sheet: what is written reads, what is changed on it shows, and it moves in a browser."""

from __future__ import annotations

import math
import re
import sys
import tomllib
from collections.abc import Callable
from dataclasses import replace
from fnmatch import fnmatch
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, hat

from generators.bending.search import Search
from generators.bending.steps import Sequence
from generators.bending.trial import Setting
from generators.model.findings import Waived
from generators.sheets.setup.page import FRAMES, write_setup_page
from generators.units import UnitSystem
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.tools import Tools
from generators.verify.readback import ReadBack

ROOT = Path(__file__).parents[2]
PLAN = replace(hat(80.0, 40.0, 30.0), name="top_hat", title="Hat & brim, invented", grain="along_u")
SETTING = Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0, springback_rad=math.radians(1))
BENDS = Search(plan=PLAN, setting=SETTING).run()
WAIVED = (Waived(code="bend-radius", reason="one of a kind <b>looked at</b>"),)


def written(path: Path, bends: Sequence = BENDS, units: UnitSystem = "metric") -> Path:
    write_setup_page(
        path,
        job="toy",
        plan=PLAN,
        bends=bends,
        machines=MACHINES,
        job_title="Toy job, Öl",
        revision="abc1234",
        waived=WAIVED,
        units=units,
    )
    return path


def read(path: Path) -> ReadBack:
    return read_setup_page(
        path,
        job="toy",
        plan=PLAN,
        tools=Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0),
        waived=WAIVED,
        job_title="Toy job, Öl",
        revision="abc1234",
        rel="x",
    )


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_what_is_written_reads(tmp_path: Path, units: UnitSystem) -> None:
    reading = read(written(tmp_path / "setup.html", units=units))
    assert reading.problems == ()
    assert reading.facts == (f"4 of 4 bends as on the setup sheet, {4 * FRAMES} pictures at their angles",)


CHANGES: dict[str, tuple[Callable[[str], str], str]] = {
    "stop": (lambda t: re.sub(r"STOP ([\d.]+)", "STOP 12.34", t, count=1), "nothing to stop on"),
    "a script of somebody's": (lambda t: t.replace("</main>", "<script>1</script></main>"), "content policy"),
    "a style": (lambda t: t.replace("<main>", '<main style="color: red">'), "does not allow"),
    "an address": (lambda t: t.replace("<main>", '<main><a href="https://x.example">x</a>'), "leads out"),
    "two frames at once": (
        lambda t: t.replace(' hidden=""', "", 1) if 'class="frame"' in t else t,
        "stand at its end",
    ),
    "revision": (lambda t: t.replace("abc1234", "abc1235"), "data-revision"),
    "a step gone": (
        lambda t: re.sub(r'<section class="step" id="step4">.*?</section>', "", t, flags=re.S),
        "for 4 bends",
    ),
    "caution": (lambda t: t.replace("Hands clear", "Hands near"), "Hands clear"),
    "waived": (lambda t: t.replace("bend-radius", "bend-x"), "waived rule bend-radius"),
}


@pytest.mark.parametrize("what", CHANGES)
def test_what_is_changed_shows(tmp_path: Path, what: str) -> None:
    change, said = CHANGES[what]
    path = written(tmp_path / "setup.html")
    before = path.read_text(encoding="utf-8")
    after = change(before)
    assert after != before
    path.write_text(after, encoding="utf-8")
    assert any(said in p for p in read(path).problems), read(path).problems


def test_a_picture_at_another_angle_shows(tmp_path: Path) -> None:
    # drawn pressed to 92 degrees, while the words say 91
    steps = tuple(replace(s, pressed_rad=math.radians(92)) for s in BENDS.steps)
    path = written(tmp_path / "a.html", replace(BENDS, steps=steps))
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("to 92° under", "to 91° under"), encoding="utf-8")
    assert [p for p in read(path).problems if f"picture {FRAMES}: no leg at 45.5°" in p]


def test_a_picture_from_the_other_end_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("generators.drawing.bending.views.on_brake.from_the_left", lambda *_: True)
    found = read(written(tmp_path / "a.html")).problems
    assert len([p for p in found if "the picture is not seen from the right end" in p]) == len(BENDS.steps)


def test_nothing_of_a_spec_is_markup(tmp_path: Path) -> None:
    text = written(tmp_path / "setup.html").read_text(encoding="utf-8")
    assert "<b>" not in text
    assert "Hat &amp; brim" in text


def test_the_wheel_holds_the_template() -> None:
    folder = ROOT / "generators"
    made = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    globs = made["tool"]["setuptools"]["package-data"]["generators"]
    kept = [p for p in (folder / "sheets" / "setup").iterdir() if p.is_file() and p.suffix != ".py"]
    assert len(kept) == 3
    for path in kept:
        name = path.relative_to(folder).as_posix()
        assert any(fnmatch(name, glob) and name.count("/") == glob.count("/") for glob in globs), name
