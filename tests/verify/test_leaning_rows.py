"""Lengths at bends that are not square, holes in faces that lean, and how two cheeks stand on a web."""

from __future__ import annotations

import itertools
import math
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from drawing.part_cases import JOB, REVISION, make, tree

from generators.drawing.inspection import items as made_items
from generators.drawing.inspection import oblique, sheet
from generators.drawing.inspection.item import Item
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.model.plan import PartPlan
from generators.verify.pdf.content import read_pdf
from generators.verify.pdf.inspecting.leaning import height_problems
from generators.verify.pdf.inspection import read_inspection_sheet

DEGREE = math.radians(1)


def bracket(riser: float = 52.0, face: float = 116.0, tilt: float = 12.0) -> PartPlan:
    """Base 64, riser UP 90 deg, face DOWN 78 deg, 3 mm."""
    return make(
        "throttle_pedal_bracket",
        r=5.0,
        base_height_mm=64.0,
        offset_mm=riser,
        face_length_mm=face,
        tilt_rad=math.radians(tilt),
    )


def by_key(plan: PartPlan) -> dict[str, Item]:
    return {item.key: item for item in inspected(plan)}


def figures(item: Item) -> tuple[float, float, float]:
    assert item.least is not None
    assert item.most is not None
    return item.nominal, item.least, item.most


def problems(path: Path, plan: PartPlan) -> str:
    write_inspection_sheet(plan, path, job_title=JOB, revision=REVISION)
    return " ".join(read_inspection_sheet(path, plan, job_title=JOB, revision=REVISION, rel="x").problems)


def test_every_leg_of_a_bracket_with_a_tilted_face_has_a_row() -> None:
    """The riser's upper and the base's lower side: 52 sin A + 3 cos A, A 89 to 91 deg, 51.5 to 52.5 long. The face over
    the riser's upper side: 116 sin 78 + 3 cos 78 = 113.465 + 0.624; 116.5 at 79 deg 114.360 + 0.572; 115.5 at 77 deg
    112.540 + 0.675."""
    rows = by_key(bracket())
    assert rows["L1"].what == "base, from the lower side of riser to its far end"
    assert rows["L2"].what == (
        "riser, over the outer face of base to where edges laid on the upper sides of riser and face cross"
    )
    assert rows["L3"].what == (
        "face, over the upper side of riser laid on parallels to the highest edge of its far end"
    )
    assert figures(rows["L2"]) == pytest.approx((52.0, 51.44, 52.544), abs=0.001)
    assert figures(rows["L3"]) == pytest.approx((114.089, 113.215, 114.932), abs=0.002)


def test_holes_in_a_leaning_face_have_heights_within_what_bends_and_lengths_stack_up_to() -> None:
    """A hole d from the corner along the face: 52 + d sin 12. Each degree turns it by its way from that corner, 0.5 of
    the riser counts whole, that of the face by sin 12."""
    rows, plan = by_key(bracket()), bracket()
    face = plan.flange("face")
    back = 8.0 * math.tan(math.radians(39))
    for number, hole in enumerate(face.holes, 1):
        d = hole.v_mm + back
        nominal, least, most = figures(rows[f"H{number}"])
        assert nominal == pytest.approx(52.0 + d * math.sin(math.radians(12)))
        level = d * math.cos(math.radians(12))
        by = DEGREE * (level - 3.0) + DEGREE * level + 0.5 + 0.5 * math.sin(math.radians(12))
        assert (nominal - least, most - nominal) == pytest.approx((by, by), abs=0.08)
        assert rows[f"H{number}"].using == "height gauge, both rims"


def test_a_part_at_the_ends_of_the_drawings_limits_reads_within_the_sheets() -> None:
    drawn = by_key(bracket())
    seen: dict[str, list[float]] = {}
    for riser, face, tilt in itertools.product((-0.5, 0.5), (-0.5, 0.5), (-1.0, 0.0, 1.0)):
        rows = by_key(bracket(52.0 + riser, 116.0 + face, 12.0 + tilt))
        for key in ("L2", "L3"):
            seen.setdefault(key, []).append(rows[key].nominal)
    for key, found in seen.items():
        _, least, most = figures(drawn[key])
        assert least - 1e-6 <= min(found)
        assert max(found) <= most + 1e-6
    assert (min(seen["L3"]), max(seen["L3"])) == pytest.approx(figures(drawn["L3"])[1:])


@pytest.mark.parametrize("angles", [(90, 78), (70, 78), (90, 89.5), (90, 110), (45, 45), (120, 30)])
def test_what_the_sheet_says_is_measured_anew_at_any_angle(
    tmp_path: Path, angles: tuple[float, float]
) -> None:
    plan = bracket()
    bends = tuple(replace(b, angle_rad=math.radians(a)) for b, a in zip(plan.bends, angles, strict=True))
    plan = replace(plan, bends=bends)
    assert problems(tmp_path / "i.pdf", plan) == ""
    held = replace(plan, bends=tuple(replace(b, past_rad=0.005) for b in bends))
    assert problems(tmp_path / "i.pdf", held) == ""


def test_a_wrong_row_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, plan = tmp_path / "i.pdf", bracket()
    made = tuple(inspected(plan))
    lies: tuple[tuple[str, Callable[[Item], Item], str], ...] = (
        ("L2", lambda i: replace(i, nominal=i.nominal + 0.1), "item L2: nominal"),
        ("L2", lambda i: replace(i, most=i.nominal + 0.5), "item L2: most"),
        ("L2", lambda i: replace(i, using="caliper"), "item L2: measured with 'caliper'"),
        ("L3", lambda i: replace(i, least=i.nominal - 0.5), "item L3: least"),
        ("L3", lambda i: replace(i, what=i.what.replace("riser", "base")), "item L3"),
        ("H1", lambda i: replace(i, least=i.nominal - 0.5), "item H1: least"),
        (
            "H1",
            lambda i: replace(i, what=i.what.replace(" on the outer side", "")),
            "the outer side is measured",
        ),
        ("H3", lambda i: replace(i, using="height gauge, pin in hole"), "item H3: measured with"),
    )
    for key, change, said in lies:
        wrong = tuple(change(i) if i.key == key else i for i in made)
        with monkeypatch.context() as patch:
            patch.setattr(sheet, "inspected", lambda *_, wrong=wrong: wrong)
            assert said in problems(path, plan), said
    for key, said in (
        ("L2", "no item 'riser, over"),
        ("L3", "no item 'face, over"),
        ("H2", "height of opening 2"),
    ):
        left = tuple(i for i in made if i.key != key)
        with monkeypatch.context() as patch:
            patch.setattr(sheet, "inspected", lambda *_, left=left: left)
            assert said in problems(path, plan), said
    monkeypatch.setattr(oblique, "past_limit", lambda *_: 0.0)
    assert "item L3: most" in problems(path, plan)


def test_cheeks_off_to_one_side_of_the_web_are_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """96 over the cheeks, a 32 bore in the middle: 48 - 16, within 0.5 and 0.2; its rim 0.05 nearer at its largest. With
    the web's holes 1.5 to one side of both bend lines every outside length and height is as drawn."""
    plan = make("pedal_hanger")
    rows = by_key(plan)
    for key, cheek in (("L6", "right cheek"), ("L7", "left cheek")):
        assert rows[key].what == f"web, from the outer face of {cheek} to the near rim of hole 1"
        assert figures(rows[key]) == pytest.approx((32.0, 31.25, 32.7))
    web = plan.flange("web")
    moved = replace(web, holes=tuple(replace(h, u_mm=h.u_mm + 1.5) for h in web.holes))
    off = by_key(replace(plan, flanges=tuple(moved if f is web else f for f in plan.flanges)))
    out = {
        key
        for key, item in rows.items()
        if item.bent
        and item.unit == "length"
        and key[0] in "LHBX"
        and not figures(item)[1] <= off[key].nominal <= figures(item)[2]
    }
    assert out == {"L6", "L7"}
    assert problems(tmp_path / "i.pdf", plan) == ""
    monkeypatch.setattr(made_items, "central", lambda *_: iter(()))
    assert "no item 'web, from the outer face of left cheek to the near rim of hole 1'" in problems(
        tmp_path / "i.pdf", plan
    )


@pytest.mark.parametrize(
    ("kind", "web"),
    [
        ("pedal_hanger", "web"),
        ("twin_pedal_hanger", "web"),
        ("carried_hanger", "web"),
        ("pedal_box", "web"),
        ("slave_bracket", "upright"),
    ],
)
def test_every_kind_with_two_flanges_on_one_web(kind: str, web: str) -> None:
    rows = [i for i in inspected(make(kind)) if "to the near rim" in i.what]
    assert len(rows) == 2
    assert all(i.what.startswith(f"{web}, ") for i in rows)
    assert all(i.most is not None and i.least is not None and i.most - i.least < 1.6 for i in rows)


def test_the_drawing_gives_heights_in_a_leaning_face_the_limits_of_the_inspection_sheet(
    tmp_path: Path,
) -> None:
    """Read from both finished sheets: a bent length of 0.5 alone would send every such part back."""
    plan = bracket()
    drawn, measured = tmp_path / "drawing.pdf", tmp_path / "inspection.pdf"
    write_part_drawing(plan, drawn, job_title=JOB, revision=REVISION)
    write_inspection_sheet(plan, measured, job_title=JOB, revision=REVISION)
    text = " ".join(" ".join(page.text for page in read_pdf(drawn).pages).split())
    (line,) = re.findall(r"H (of [^A-Z]+), by angles and lengths\.", text)
    said: dict[str, tuple[str, str]] = {}
    for numbers, low, high in re.findall(r"of ([0-9a-z ,]+): ([\d.]+) to ([\d.]+)", line):
        said |= dict.fromkeys(re.findall(r"\d+", numbers), (low, high))
    rows: dict[str, tuple[str, str]] = {}
    for page in read_pdf(measured).pages:
        for key in (w for w in page.words if re.fullmatch(r"H\d+", w.text.strip())):
            level = sorted(
                (w.box[0], w.text.strip())
                for w in page.words
                if w.box[1] < key.box[3] and key.box[1] < w.box[3] and re.fullmatch(r"[\d.]+", w.text.strip())
            )
            if len(level) >= 3:
                rows[key.text.strip()[1:]] = level[1][1], level[2][1]
    assert said
    assert said == rows
    assert float(said["1"][1]) - float(said["1"][0]) > 4 * plan.bent_mm


@pytest.mark.parametrize(
    ("said", "other", "problem"),
    [
        (r"H of 1 and 2: ", "H of 1: ", "does not say that H of 2 may be"),
        (r"\.\d(\d), by angles", r".0\1, by angles", "the drawing has H of 3"),
        (r"H of 1 and 2: ", "H of 1, 2 and 9: ", "H of 9, which the part has not"),
        (
            r"H of 1 and 2: ",
            "H of 1, 2 and 4: ",
            "H of 4 by angles and lengths, the part by its length alone",
        ),
        (r"H of .*?lengths\.", "", "does not say that H of 1 may be"),
    ],
)
def test_a_drawing_with_other_heights_shows(said: str, other: str, problem: str, tmp_path: Path) -> None:
    plan, path = bracket(), tmp_path / "drawing.pdf"
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert list(height_problems(text, plan)) == []
    wrong = re.sub(said, other, text)
    assert wrong != text
    assert problem in " ".join(height_problems(wrong, plan))


def test_square_bends_alone_have_no_such_line(tmp_path: Path) -> None:
    plan, path = bracket(tilt=0.0), tmp_path / "drawing.pdf"
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert "by angles and lengths" not in text
    assert list(height_problems(text, plan)) == []


def test_heights_under_the_root_read_back(tmp_path: Path) -> None:
    plan, path = tree("down", "up"), tmp_path / "drawing.pdf"
    write_part_drawing(plan, path, job_title=JOB, revision=REVISION)
    text = " ".join(" ".join(page.text for page in read_pdf(path).pages).split())
    assert re.search(r"H of \d+: -\d+\.\d\d to -\d+\.\d\d", text)
    assert list(height_problems(text, plan)) == []
