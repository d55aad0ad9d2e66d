"""How narrow the gap of a weld may come out, bends and blank at the limits that close it: by hand, in the rule, in a
job and its mends, and on the sheets of setup and inspection."""

from __future__ import annotations

import math
import shutil
import sys
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from test_part_welds import R, T, corner

from generators.bending.setting import machines_of, sequence_of
from generators.checks.part.finishing.weld_gaps import check_weld_gaps
from generators.drawing.bending.profile_sheet import write_profile_sheet
from generators.drawing.bending.sheet import write_setup_sheet
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.tables.welds import weld_lines
from generators.model.changes import Change
from generators.model.findings import Severity
from generators.model.spec.shop import Shop
from generators.sheetmetal.seams import never_past, seams
from generators.solve.job import prepare
from generators.solve.mends.tries import with_mends
from generators.solve.parts import sample_plan
from generators.verify.pdf.bending.setup import read_setup_sheet
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.pdf.profile.sheet import read_profile_sheet

SPECS = Path(__file__).parents[2] / "specs"


def narrowest(gap: float, past_deg: float) -> float:
    """The gap at either end of the cheek's edge: plane geometry by hand.

    The upright turns about a line R over the base's upper face, from which the cheek's edge lies ``gap`` - R up and
    y out. Its own length takes 0.5 of the gap, the cheek's puts the edge's ends at -0.5 and 60.5 from the tangent;
    the bend's outer rim, R + t from its axis, goes on as the cheek is bent on. So the far end comes nearest as
    far past square as may be, the near one a degree short of it. The blank takes 0.1. A thicker sheet takes what
    of it is left over 0.1 mm, in hundredths, and 0.08 where less is; it is never more than 0.43 thicker, or what
    blank, stop and bend leave of the upright's 0.5 is gone: 0.1, 0.1 and a degree of R / 2 + T (1 - 0.21) = 10.32 make
    0.229, and (0.5 - 0.229) / (1 - 0.42 pi / 4) = 0.404.
    """
    past, short = math.radians(past_deg), math.radians(1)
    low = gap - 0.5 - R
    far = low * math.cos(past) - (60.5 * math.cos(past) + (R + T) * math.sin(past)) * math.sin(past)
    near = low * math.cos(short) - (0.5 * math.cos(short) + (R + T) * math.sin(short)) * math.sin(short)
    left = R + min(far, near) - 0.1
    return left - min(max(math.floor((left - 0.1) * 100) / 100, 0.08), 0.4)


@pytest.mark.parametrize("past_deg", [0.0, 0.4, 1.0])
def test_the_closest_case_is_that_of_both_limits_by_hand(past_deg: float) -> None:
    ((_, seam),) = seams(never_past(corner(1.5), math.radians(past_deg)))
    assert seam is not None
    assert seam.closest_mm == pytest.approx(narrowest(1.5, past_deg), abs=1e-6)


# a gap that leaves 0.1 mm, and one that leaves nothing, each from either side
@pytest.mark.parametrize("past_deg", [0.0, 0.4, 1.0])
@pytest.mark.parametrize(
    ("left", "severity"),
    [(0.102, None), (0.098, Severity.WARN), (0.002, Severity.WARN), (-0.002, Severity.FAIL)],
)
def test_a_gap_that_closes_before_the_bend_is_made_is_refused(
    past_deg: float, left: float, severity: Severity | None
) -> None:
    first = narrowest(0.5, past_deg)
    gap = 0.5 + (left - first) / (narrowest(0.3, past_deg) - first) * -0.2
    plan = never_past(corner(gap), math.radians(past_deg))
    found = [f for f in check_weld_gaps(plan) if f.code == "weld-gap-closes"]
    assert [f.severity for f in found] == ([severity] if severity else [])
    for f in found:
        assert f.value == pytest.approx(left, abs=1e-6)
        assert f.limit == 0.1
        assert ("they meet by" in f.found) == (left < 0)
        # only where an angle may be passed is it an angle that mends it
        assert [p.steps for p in f.proposals] == (
            [(Change(path="part[p].bend_past", to=0.0, unit="deg", rounding="down"),)] if past_deg else []
        )


def test_only_a_bend_that_would_close_a_gap_is_held_to_its_angle() -> None:
    assert [b.past_rad for b in never_past(corner(1.0)).bends] == [0.0, None]
    # 3 - 0.5 - 0.1 - 61 sin 1 = 1.3 is left at a degree past square
    assert [b.past_rad for b in never_past(corner(3.0)).bends] == [None, None]
    # a cheek over no base welds to nothing
    assert [b.past_rad for b in never_past(replace(corner(1.0), welds=())).bends] == [None, None]


def test_a_bend_that_may_pass_its_angle_fails_the_job_and_the_mend_was_solved(tmp_path: Path) -> None:
    """On the tractor's bracket the far end is 86 out: a degree takes 1.5 of the 0.2 left."""
    text = (SPECS / "dray_tractor.toml").read_text(encoding="utf-8")
    for beside in ("shop.toml", "shelf.toml"):
        shutil.copy(SPECS / beside, tmp_path / beside)
    assert 'etch = "DT-210 A"' in text
    path = tmp_path / "job.toml"
    for key, words in (('bend_past = "1 deg"\n', "never past"), ("", "gusset_gap")):
        changed = text.replace('etch = "DT-210 A"', f'{key}etch = "DT-210 A"', 1)
        if not key:
            changed = changed.replace(
                'gusset_depth = "110 mm"', 'gusset_depth = "110 mm"\ngusset_gap = "0.65 mm"'
            )
        path.write_text(changed, encoding="utf-8")
        job = with_mends(prepare(path), lambda f: f.code == "weld-gap-closes")
        found = [f for f in job.findings if f.code == "weld-gap-closes"]
        assert {f.severity for f in found} == {Severity.FAIL} if key else {Severity.WARN}
        for f in found:
            assert f.mend is not None
            assert f.mend.holds, f.mend
            assert words in f.mend.words


@pytest.mark.parametrize("kind", ["slave_bracket", "stop_bracket"])
def test_the_setup_sheet_says_how_far_the_bend_may_go(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan, shop = sample_plan(kind)[0], Shop()
    machines = machines_of(plan, shop)
    tools = Tools(brake=machines.brake, dies=machines.brake.die, tensile_mpa=370.0)
    bends, _ = sequence_of(plan, shop)
    assert bends.found

    def problems(*about: str) -> str:
        path = tmp_path / "s.pdf"
        write_setup_sheet(plan, path, bends=bends, machines=machines, job_title="x", revision="abc1234")
        read = read_setup_sheet(path, plan, tools=tools, job_title="x", revision="abc1234", rel="x")
        return " ".join(p for p in read.problems if not about or any(word in p for word in about))

    limits = ("°", "closes")
    assert problems(*limits) == ""
    past = "once sprung back, never past"
    for words, said in (
        ("", "does not say that it may be 89° to 90° only"),
        (f"bent by 88° to 90° {past} (90° to 91° between the faces)", "88° to 90°; it may be 89° to 90°"),
        (f"bent by 89° to 90° {past} (89° to 90° between the faces)", "that is 90° to 91°"),
        (
            f"bent by 89° to 90° {past} (90° to 91° between the faces)",
            "past its angle it closes the gap of 1",
        ),
    ):
        monkeypatch.setattr("generators.drawing.bending.figures.never_past_text", lambda *_, w=words: w)
        assert said in problems(*limits)
    # without what is between the faces the step is none that can be read, on a page with no other too
    words = f"bent by 89° to 90° {past}"
    monkeypatch.setattr("generators.drawing.bending.figures.never_past_text", lambda *_: words)
    assert "upright" in problems()


def test_the_profile_says_how_far_the_bend_may_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page is held into the bend: what it says must be what is between the faces too."""
    plan = sample_plan("slave_bracket")[0]
    path = tmp_path / "p.pdf"

    def problems() -> tuple[str, ...]:
        write_profile_sheet(plan, path, job_title="x", revision="abc1234")
        return read_profile_sheet(path, plan, job_title="x", revision="abc1234", rel="p.pdf").problems

    assert problems() == ()
    past = "once sprung back, never past"
    for words, said in (
        ("", "bend upright does not say that it may be 89° to 90° only"),
        (f"bent by 89° to 91° {past} (90° to 91° between the faces)", "89° to 91°; it may be 89° to 90°"),
        (f"bent by 89° to 90° {past} (89° to 90° between the faces)", "that is 90° to 91°"),
    ):
        monkeypatch.setattr("generators.drawing.bending.profile_sheet.held_text", lambda *_, w=words: w)
        assert any(said in p for p in problems()), said


def test_the_inspection_sheet_has_the_gap_and_the_angle_s_own_limits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = sample_plan("slave_bracket")[0]
    rows = {item.key: item for item in inspected(plan)}
    # bent by 89 to 90 degrees leaves 91 to 90 between; the gussets may be a degree either way
    for key, least, most in (("B1", 90.0, 91.0), ("B2", 89.0, 91.0), ("B3", 89.0, 91.0)):
        limits = (rows[key].least, rows[key].most)
        assert limits == (pytest.approx(math.radians(least)), pytest.approx(math.radians(most)))
    # closed is as near as practicable (AWS D1.1); no leg grows to 1/16 in
    assert (rows["V1"].nominal, rows["V1"].least, rows["V1"].most) == pytest.approx((0.8, 0.0, 1.5875))
    assert (rows["T"].least, rows["T"].most) == pytest.approx((2.82, 3.1))
    held = "limits that hold the gap of WELD 1 and 2; do not cut this part of a sheet outside them"
    assert rows["T"].what == f"thickness, before it is cut; {held}"
    # 1/16 in and 3/16 in, in hundredths inward; what passes how is said in the drawing's words
    past = "over that to 4.76 mm with a leg of 3 mm and the gap"
    assert rows["V1"].what.endswith(
        f"clamped square, all along: passes from least to most; {past} (Z1); all else fails"
    )
    assert f"clamped square 0 to 1.58 mm: tack, then weld; {past}." in " ".join(weld_lines(plan, ()))
    assert rows["V1"].using == "feeler gauge"
    path = tmp_path / "i.pdf"

    def problems() -> str:
        write_inspection_sheet(plan, path, job_title="x", revision="abc1234")
        return " ".join(
            read_inspection_sheet(path, plan, job_title="x", revision="abc1234", rel="x").problems
        )

    assert problems() == ""
    from generators.drawing.inspection import finishes, items

    for room, name, lie, said in (
        (finishes, "over_text", lambda _: "over that to 4.76 mm with a leg of 5 mm and the gap", "item V1"),
        (finishes, "over_text", lambda _: "", "item V1"),
        (finishes, "fits_mm", lambda _: 1.7, "item V1: most 1.70"),
        (items, "thickness_limits", lambda _: (-0.18, 0.5), "item T: most 3.50"),
        (items, "held_by_sheet", lambda _: "", "item T: 'thickness, before it is cut; limits half way"),
        (finishes, "FEELERS", "caliper", "it takes 'feeler gauge'"),
        (items, "between_limits", lambda *_: (math.radians(89), math.radians(91)), "item B1: least 89.0°"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(room, name, lie)
            assert said in problems()
