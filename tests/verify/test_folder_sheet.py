"""The setup sheet and page of a part bent on the folder: what is written reads, and what is wrong shows."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "bending"))
from bent_parts import MACHINES, TWO, channel, hat

from generators.bending.folder.trial import FolderSetting
from generators.bending.search import Both, Search
from generators.bending.steps import FoldStep, Sequence
from generators.bending.trial import Setting
from generators.drawing.bending import folder_words
from generators.drawing.bending.sheet import write_setup_sheet
from generators.model.plan import PartPlan
from generators.model.spec.tools.folder import FoldCapacity, Folder
from generators.sheets.setup.page import FRAMES, write_setup_page
from generators.units import UnitSystem
from generators.verify.html.setup import read_setup_page
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import read_pdf
from generators.verify.readback import ReadBack

FOLDER = Folder(name="demo", capacity=(FoldCapacity(thickness_mm=3.0, length_mm=1250.0),))
SHOP = replace(MACHINES, folder=FOLDER)
TOOLS = Tools(brake=TWO, dies=TWO.die, tensile_mpa=370.0, opening_mm=24.0, folder=FOLDER)
PLAN = replace(hat(80.0, 45.0, 20.0), name="top_hat", title="Hat, invented")
ON_FOLDER = FolderSetting(folder=FOLDER, tensile_mpa=370.0, springback_rad=0.02)
BENDS = Search(plan=PLAN, setting=ON_FOLDER).run()
ON_BRAKE = Setting(brake=TWO, tensile_mpa=370.0, opening_mm=24.0)
INSTEAD = Search(plan=PLAN, setting=ON_BRAKE).run()


def written(
    path: Path,
    bends: Sequence,
    units: UnitSystem = "metric",
    plan: PartPlan = PLAN,
    instead: Sequence | None = INSTEAD,
) -> Path:
    named: dict[str, Any] = {"job_title": "Toy", "revision": "abc1234", "units": units}
    write_setup_sheet(plan, path, bends=bends, machines=SHOP, instead=instead, **named)
    return path


def read(path: Path, plan: PartPlan = PLAN, tools: Tools = TOOLS) -> ReadBack:
    return read_setup_sheet(path, plan, tools=tools, job_title="Toy", revision="abc1234", rel="x")


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_what_is_written_reads(tmp_path: Path, units: UnitSystem) -> None:
    assert BENDS.found
    assert read(written(tmp_path / "s.pdf", BENDS, units)).problems == ()


CHANGES: dict[str, tuple[Callable[[FoldStep], FoldStep], str]] = {
    "stop": (
        lambda s: replace(s, stop=replace(s.stop, distance_mm=s.stop.distance_mm + 0.03)),
        "nothing to stop on",
    ),
    "line": (lambda s: replace(s, line_mm=s.line_mm + 0.03), "by the blank it is"),
    "set back": (lambda s: replace(s, setback_mm=s.setback_mm + 0.03), "by radius and sheet"),
    "leaf": (lambda s: replace(s, pressed_rad=s.pressed_rad - 0.05), "the leaf to"),
    "side": (lambda s: replace(s, flipped=not s.flipped), "side up"),
    "short": (lambda s: replace(s, fingers_mm=(50.0,)), "mm of fingers for a bend"),
    "finger": (lambda s: replace(s, fingers_mm=(101.0,)), "has no finger of 101 mm more"),
    "rear": (lambda s: replace(s, rear="nowhere"), "none of the bend's flanges"),
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_step_that_is_wrong_shows(tmp_path: Path, what: str) -> None:
    change, said = CHANGES[what]
    first = BENDS.steps[0]
    assert isinstance(first, FoldStep)
    bad = replace(BENDS, steps=(change(first), *BENDS.steps[1:]))
    problems = read(written(tmp_path / "s.pdf", bad)).problems
    assert any(said in p for p in problems), problems


def test_a_sheet_too_thick_for_the_plate_shows(tmp_path: Path) -> None:
    weak = replace(
        TOOLS, folder=replace(FOLDER, capacity=(FoldCapacity(thickness_mm=2.8, length_mm=1250.0),))
    )
    problems = read(written(tmp_path / "s.pdf", BENDS), tools=weak).problems
    assert any("does not bend 3 mm of 370 MPa" in p for p in problems)


def test_bends_shared_out_between_both_machines_read(tmp_path: Path) -> None:
    # a lip of 9 mm lies on no shoulder of a V 24; a channel 50 wide and 40 deep is no work for the folder
    base = channel(50.0, 40.0)
    edge = replace(
        base.bends[0], name="lip", parent="right", child="lip", start=(100.0, 40.0), end=(0.0, 40.0)
    )
    lip = replace(base.flanges[1], name="lip", contour=channel(50.0, 9.0).flanges[1].contour)
    plan = replace(
        base,
        name="top_hat",
        flanges=(*base.flanges, lip),
        bends=(*base.bends, replace(edge, direction="down")),
    )
    for alone in (ON_BRAKE, replace(ON_FOLDER, springback_rad=0.0)):
        assert not Search(plan=plan, setting=alone).run().found
    bends = Search(plan=plan, setting=Both(first=ON_BRAKE, second=ON_FOLDER)).run()
    assert bends.found
    assert {step.bend: step.machine for step in bends.steps} == {"r": "brake", "l": "brake", "lip": "folder"}
    no_order = Search(plan=plan, setting=ON_BRAKE).run()
    path = written(tmp_path / "s.pdf", bends, plan=plan, instead=no_order)
    assert read(path, plan).problems == ()
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert f"ON THE BRAKE ALONE no order of its bends was found: bend {no_order.refusals[0].bend}: " in text


def test_a_shop_with_a_brake_alone_has_an_order_too(tmp_path: Path) -> None:
    assert INSTEAD.found
    path = written(tmp_path / "s.pdf", BENDS)
    reading = read(path)
    assert reading.problems == ()
    assert reading.facts[0].startswith("4 of 4 bends in order")
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert "Steps 5 to 8: Steps on the brake instead make all bends where there is no folder" in text
    assert [
        m["number"] for m in re.finditer(r"(?P<number>\d) Bend [a-z ]+, on the brake instead:", text)
    ] == [*"5678"]
    silent = read(written(tmp_path / "t.pdf", BENDS, instead=None))
    assert "the sheet does not say whether a brake alone bends what its folder does" in silent.problems
    first = INSTEAD.on_brake[0]
    deeper = replace(INSTEAD, steps=(replace(first, depth_mm=first.depth_mm + 0.1), *INSTEAD.steps[1:]))
    assert any(
        "step 5" in p and "deep" in p
        for p in read(written(tmp_path / "u.pdf", BENDS, instead=deeper)).problems
    )
    order = replace(INSTEAD, steps=INSTEAD.steps[:3])
    assert any(
        "the steps make" in p for p in read(written(tmp_path / "v.pdf", BENDS, instead=order)).problems
    )


def test_k_is_told_with_the_v_it_was_measured_over(tmp_path: Path) -> None:
    path = written(tmp_path / "s.pdf", BENDS)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert (
        "K 0.430: shop test bend, over V 24 mm of the brake: over another V, or on the folder, bend a strip "
        "before the blank is cut."
    ) in text
    for tools, plan, found in (
        (replace(TOOLS, opening_mm=20.0), PLAN, "the shop's test bend is V 20"),
        (replace(TOOLS, opening_mm=None), PLAN, "wrong about the V that K 0.430"),
        (TOOLS, replace(PLAN, bends=tuple(replace(b, k_factor=0.44) for b in PLAN.bends)), "has K 0.430"),
        (
            TOOLS,
            replace(PLAN, bends=tuple(replace(b, k_source="material table (R2)") for b in PLAN.bends)),
            "has K",
        ),
    ):
        assert any(found in p for p in read(path, plan, tools).problems), found


def test_the_page_reads(tmp_path: Path) -> None:
    path = tmp_path / "setup.html"
    write_setup_page(
        path,
        job="toy",
        plan=PLAN,
        bends=BENDS,
        instead=INSTEAD,
        machines=SHOP,
        job_title="Toy",
        revision="abc1234",
    )

    def look() -> ReadBack:
        return read_setup_page(
            path, job="toy", plan=PLAN, tools=TOOLS, waived=(), job_title="Toy", revision="abc1234", rel="x"
        )

    reading = look()
    assert reading.problems == ()
    assert reading.facts == (f"4 of 4 bends as on the setup sheet, {8 * FRAMES} pictures at their angles",)
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"FINGERS [^.]*\.", "FINGERS 99 mm.", text, count=1), encoding="utf-8")
    assert any("has no finger of 99 mm" in p for p in look().problems)


def test_the_edge_of_a_stop_is_named_by_the_drawing_s_corners(tmp_path: Path) -> None:
    # the hat lies from a at the lower left, counter-clockwise; its left brim ends in the edge d to a
    texts = [
        w.text.strip() for page in read_pdf(written(tmp_path / "s.pdf", BENDS)).pages for w in page.words
    ]
    assert {"a", "b", "c", "d"} <= set(texts)
    assert "straight edge d to a of left brim" in " ".join(" ".join(texts).split())


@pytest.mark.parametrize("wrong", [" b to c", " a to b", " a to q", ""])
def test_another_edge_than_the_stop_s_shows(
    tmp_path: Path, wrong: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_words, "between", lambda plan, step: wrong)
    problems = read(written(tmp_path / "s.pdf", BENDS)).problems
    assert any("is not where its stop is" in p or "on the blank's picture" in p for p in problems), problems
