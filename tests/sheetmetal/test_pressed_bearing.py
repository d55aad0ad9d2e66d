"""Ball bearings pressed into pivot bores: fit, seat, loads by hand, and what every paper says of them."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from parts.plans_in_space import plan_of
from strength.hanger_specs import HANGER

from generators.checks.part.finishing.bearings import BearingLoad, check_bearing_loads
from generators.checks.part.pivots import check_pivots
from generators.drawing.inspection.items import inspected
from generators.drawing.inspection.sheet import write_inspection_sheet
from generators.drawing.part.drawing import write_part_drawing
from generators.drawing.part.tables.callouts import deviations
from generators.errors import GeometryFault, SpecError
from generators.model.findings import Severity
from generators.model.install import InstallOrder
from generators.model.plan import Hole, PartPlan
from generators.model.words import LoadCase
from generators.parts.building.pivots.pressed import with_pivots
from generators.parts.pedal_hanger import PedalHanger
from generators.sheetmetal.in_line import pivot_note, proud_mm
from generators.sheets.bill import bill
from generators.sheets.bolting.words import tightness_words
from generators.sheets.hose_words import LinesSheet
from generators.solids.files.step import write_step
from generators.solve.brackets.bearings import bearing_loads
from generators.solve.comparing.things import _finished_why
from generators.solve.fasteners.pivots import over_cheeks
from generators.solve.job import Prepared, prepare
from generators.verify.pdf.drawing import read_part_drawing
from generators.verify.pdf.inspection import read_inspection_sheet
from generators.verify.step.solid import read_step

BOSS = {"pivot_build": "welded_boss"}
CLIP = {**BOSS, "pivot_bearing_kept": "circlip"}


def made(**keys: object) -> PartPlan:
    """A hanger 90 mm wide inside, its cheeks 30 mm round the pivots, with 17 x 35 x 10 bearings."""
    sizes = {"inside_width_mm": 90.0, "pivot_bore_mm": 35.0, "pivot_boss_mm": 30.0}
    given = {"pivot_bearing": "6003", **sizes, **keys}
    plan = plan_of("pedal_hanger", **{key: given[key] for key in sizes})  # type: ignore[arg-type]
    plan = with_pivots(plan, PedalHanger(**given))  # type: ignore[arg-type]
    return replace(plan, notes=(*plan.notes, pivot_note(plan)))


def pivots(plan: PartPlan) -> list[Hole]:
    return [h for f in plan.flanges for h in f.holes if h.name.startswith("pivot")]


def severities(plan: PartPlan, code: str) -> set[Severity]:
    return {f.severity for f in check_pivots(plan) if f.code == code}


# ------------------------------------------------------------------------------------------ fit
@pytest.mark.parametrize(
    ("keys", "said", "fit"),
    [
        # outside 34.989 to 35.000 (ISO 492); P7 34.958 to 34.983, J7 34.989 to 35.014, N7 34.967 to 34.992
        ({}, "P7 -0.042/-0.017", (0.006, 0.042)),
        ({"pivot_bearing_class": "N7"}, "N7 -0.033/-0.008", (-0.003, 0.033)),
        ({"pivot_bearing_kept": "shoulder"}, "J7 -0.011/+0.014", (-0.025, 0.011)),
        (CLIP, "J7 -0.011/+0.014", (-0.025, 0.011)),
        ({"pivot_bearing_kept": "shoulder", "pivot_bearing_class": "H7"}, "H7 0/+0.025", (-0.036, 0.0)),
    ],
)
def test_the_fit_by_hand(keys: dict[str, object], said: str, fit: tuple[float, float]) -> None:
    plan = made(**keys)
    assert plan.bush is not None
    assert {deviations(h) for h in pivots(plan)} == {said}
    assert plan.bush.interference_mm(35.0) == pytest.approx(fit, abs=1e-9)
    assert f"{fit[0]:+.3f} to {fit[1]:+.3f} mm of interference" in plan.notes[-1]
    assert "Shaft Ø 17 h6 (0/-0.011 mm)" in plan.notes[-1]


@pytest.mark.parametrize(
    ("keys", "holds"),
    [
        ({}, True),
        ({"pivot_bearing_class": "N7"}, False),  # 34.989 in 34.992
        ({"pivot_bearing_class": "J7"}, False),
        ({"pivot_bearing_class": "J7", "pivot_bearing_kept": "shoulder"}, True),
        (CLIP, True),
    ],
)
def test_what_the_press_alone_does_not_hold(keys: dict[str, object], holds: bool) -> None:
    assert severities(made(**keys), "press-fit") == (set() if holds else {Severity.FAIL})


@pytest.mark.parametrize(("least", "holds"), [(34.9829, False), (34.983, True)])
def test_a_ring_no_larger_than_the_largest_bore_fails(least: float, holds: bool) -> None:
    plan = made()
    assert plan.bush is not None
    found = severities(replace(plan, bush=replace(plan.bush, least_mm=least)), "press-fit")
    assert found == (set() if holds else {Severity.FAIL})


def test_a_tight_bore_wants_more_play_inside() -> None:
    assert "group C3" in made().notes[-1]
    assert "C3" not in made(pivot_bearing_class="M7", pivot_bearing_kept="shoulder").notes[-1]


# ------------------------------------------------------------------------------------------ seat
@pytest.mark.parametrize(
    ("boss", "severity"),
    # 10 wide with edges of 0.3: 9.4 is straight; half is 5; the sheet has 3
    [(6.39, Severity.WARN), (6.4, None), (2.0, Severity.WARN)],
)
def test_a_bearing_has_its_seat(boss: float, severity: Severity | None) -> None:
    plan = made(**BOSS, welded_boss_height_mm=boss)
    assert severities(plan, "bearing-seat") == ({severity} if severity else set())


@pytest.mark.parametrize(("thick", "severity"), [(4.99, Severity.FAIL), (5.0, Severity.WARN)])
def test_a_cheek_alone_holds_half_of_it_or_fails(thick: float, severity: Severity) -> None:
    plan = replace(made(), thickness_mm=thick)
    assert severities(plan, "bearing-seat") == {severity}
    (found, _) = [f for f in check_pivots(plan) if f.code == "bearing-seat"]
    assert f'welded_boss_height = "{10 - thick:.2f} mm"' in found.advice


@pytest.mark.parametrize(("boss", "severity"), [(10.99, Severity.WARN), (11.0, None), (6.59, Severity.FAIL)])
def test_a_groove_and_its_rim_hold_nothing(boss: float, severity: Severity | None) -> None:
    """35 takes a groove of 1.6 and a rim of 3: 3 + 11 - 4.6 = 9.4; 3 + 6.6 - 4.6 = 5."""
    plan = made(**CLIP, welded_boss_height_mm=boss)
    assert severities(plan, "bearing-seat") == ({severity} if severity else set())


def test_a_boss_is_as_high_as_the_bearing_wants() -> None:
    """10 - 3 = 7; with groove and rim 10 + 4.6 - 3 = 11.6. A wall of 2 mm stays outside the groove of 37."""
    for keys, high in ((BOSS, 7.0), (CLIP, 11.6)):
        rings = {h.finish.ring.height_mm for h in pivots(made(**keys)) if h.finish and h.finish.ring}
        assert sorted(rings) == pytest.approx([high])
    made(**CLIP, welded_boss_outside_mm=41.0)
    with pytest.raises(GeometryFault, match="round a groove of 37 mm"):
        made(**CLIP, welded_boss_outside_mm=40.9)


def test_what_stands_out_takes_its_room() -> None:
    """10 wide in 3 mm sheets: 7 out of each, 96 + 14 over all, 90 between; in a boss of 7 nothing."""
    plan = made()
    assert [proud_mm(plan, h) for h in pivots(plan)] == pytest.approx([7.0, 7.0])
    assert over_cheeks(plan) == pytest.approx((35.0, 110.0, 90.0))
    assert over_cheeks(made(**BOSS)) == pytest.approx((35.0, 110.0, 90.0))
    assert not any(proud_mm(made(**BOSS), h) for h in pivots(made(**BOSS)))
    assert over_cheeks(made(pivot_bearing="", pivot_build="reamed")) == pytest.approx((35.0, 96.0, 90.0))


# ------------------------------------------------------------------------------------------ loads
def on(across: float, along: float = 0.0, *, pedal: str = "clutch", kind: LoadCase = "limit") -> BearingLoad:
    return BearingLoad(hole="pivot_left", pedal=pedal, kind=kind, across_n=across, along_n=along)


@pytest.mark.parametrize(
    ("loads", "rating", "severity"),
    [
        ([on(2000.0)], 3000.0, None),
        ([on(2000.0)], 2999.0, Severity.WARN),
        ([on(2000.0)], 2000.0, Severity.WARN),
        ([on(2000.0)], 1999.0, Severity.FAIL),
        # 0.6 x 1000 + 0.5 x 2000 = 1600, over the 1000 across; 0.6 x 1000 + 0.5 x 800 is as much
        ([on(1000.0, 2000.0)], 2400.0, None),
        ([on(1000.0, 2000.0)], 2399.0, Severity.WARN),
        ([on(1000.0, 2000.0)], 1599.0, Severity.FAIL),
        ([on(1000.0, 800.0)], 1500.0, None),
        # two pedals on one shaft, each at its worst
        ([on(1000.0), on(1200.0), on(800.0, pedal="brake")], 3000.0, None),
        ([on(1000.0), on(1200.0), on(800.0, pedal="brake")], 2999.0, Severity.WARN),
        # structure only: nothing breaks
        ([on(1000.0), on(3000.0, kind="structure")], 3000.0, None),
        ([on(1000.0), on(3000.0, kind="structure")], 2999.0, Severity.WARN),
        ([on(1000.0), on(3000.0, kind="structure")], 1499.0, Severity.WARN),
        ([], 10.0, None),
    ],
)
def test_the_static_rating(loads: list[BearingLoad], rating: float, severity: Severity | None) -> None:
    found = list(check_bearing_loads(made(pivot_bearing_static_load_n=rating), loads))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_without_a_rating_a_note_names_it() -> None:
    (found,) = check_bearing_loads(made(), [on(2000.0)])
    assert (found.severity, found.wanted) == (Severity.NOTE, "a C0 of 3000 N or more")
    assert "pivot_bearing_static_load" in found.advice
    (found,) = check_bearing_loads(made(), [])
    assert found.severity == Severity.NOTE
    assert not list(check_bearing_loads(made(pivot_bearing="", pivot_build="reamed"), [on(2000.0)]))


@pytest.mark.parametrize(
    "loads",
    # 1.5 x 822.9 = 1234.35, and 1999.4 of a structure: to the nearest whole N neither would be enough
    [[on(822.9)], [on(1000.0), on(1999.4, kind="structure")], [on(2000.0)]],
)
def test_the_rating_that_is_named_is_enough(loads: list[BearingLoad]) -> None:
    (note,) = check_bearing_loads(made(), loads)
    (warned,) = check_bearing_loads(made(pivot_bearing_static_load_n=1000.0), loads)
    (named,) = {re.search(r"a C0 of (\d+) N or more", text)[1] for text in (note.wanted, warned.advice)}  # type: ignore[index]
    assert not list(check_bearing_loads(made(pivot_bearing_static_load_n=float(named)), loads))
    assert list(check_bearing_loads(made(pivot_bearing_static_load_n=float(named) - 1), loads))


SPEC = HANGER.replace(
    'tab_length = "0 mm"',
    'tab_length = "0 mm"\npivot_bore = "35 mm"\npivot_boss = "30 mm"\npivot_bearing = "6003"\n'
    'pivot_build = "welded_boss"\nMORE',
)


def job(folder: Path, more: str = "") -> Prepared:
    path = folder / "toy.toml"
    path.write_text(SPEC.replace("MORE", more), encoding="utf-8")
    return prepare(path)


def test_what_a_pedal_puts_on_each_bearing(tmp_path: Path) -> None:
    """From the side F at a pad R = hypot(60, 330) from the pivot: F R over the 94 mm from the middle of a bearing of 10
    to the other's, flush inside cheeks 84 apart, and F along. A pedal in the middle halves what the foot and the rod put on the shaft."""
    (bracket,) = job(tmp_path).loaded
    loads = list(bearing_loads(bracket))
    case = {c.kind: c for c in bracket.cases}
    radius = math.hypot(60.0, 330.0)
    for load in (x for x in loads if x.kind == "side"):
        force = case["side"].force_n
        assert load.across_n == pytest.approx(force * radius / 94.0, rel=1e-6)
        assert load.along_n == pytest.approx(force)
    limit, pose = case["limit"], case["limit"].pose
    assert pose is not None
    rod = np.array(pose.seat) - np.array(pose.pin)
    total = limit.force_n * np.array(pose.press) - limit.rod_n * rod / np.linalg.norm(rod)
    for load in (x for x in loads if x.kind == "limit"):
        assert load.across_n == pytest.approx(float(np.linalg.norm(total)) / 2, rel=1e-6)
        assert load.along_n == pytest.approx(0.0, abs=1e-6)


def test_the_job_asks_for_a_rating_and_holds_it_against_the_loads(tmp_path: Path) -> None:
    ready = job(tmp_path)
    (found,) = [f for f in ready.findings if f.code == "bearing-load"]
    most = max(load.static_n for load in bearing_loads(ready.loaded[0]) if load.kind != "structure")
    assert found.wanted == f"a C0 of {math.ceil(1.5 * most - 1e-6)} N or more"
    for rating, severities in ((1.51 * most, []), (1.49 * most, ["warn"]), (0.99 * most, ["fail"])):
        again = job(tmp_path, f'pivot_bearing_static_load = "{rating:.3f} N"')
        assert [f.severity for f in again.findings if f.code == "bearing-load"] == severities
    (shaft,) = [f for f in ready.fasteners if f.form == "shaft"]
    # without a shaft's size it is the bearing's, not the bore's
    assert shaft.diameter_mm == 17.0
    assert "inner rings" in tightness_words(shaft)


# ------------------------------------------------------------------------------------------ papers
@pytest.mark.parametrize("keys", [BOSS, CLIP, {**BOSS, "pivot_bearing_kept": "shoulder"}])
def test_drawing_and_inspection_sheet_say_it(tmp_path: Path, keys: dict[str, object]) -> None:
    plan, path = made(**keys), tmp_path / "d.pdf"
    write_part_drawing(plan, path, job_title="Toy", revision="abc1234")
    assert read_part_drawing(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    others = [
        made(**other) for other in (BOSS, CLIP, {**BOSS, "pivot_bearing_kept": "shoulder"}) if other != keys
    ]
    others += [made(**keys, pivot_bearing_class="M7"), made(**{**keys, "pivot_bearing": "6202"})]
    others += [made(pivot_bearing="", **{**BOSS, "welded_boss_outside_mm": 45.0})]
    for other in others:
        said = read_part_drawing(path, other, job_title="Toy", revision="abc1234", rel="x").problems
        assert any("no note says" in p for p in said)
    write_inspection_sheet(plan, path, job_title="Toy", revision="abc1234")
    assert read_inspection_sheet(path, plan, job_title="Toy", revision="abc1234", rel="x").problems == ()
    assert read_inspection_sheet(path, others[-1], job_title="Toy", revision="abc1234", rel="x").problems
    assert read_inspection_sheet(path, others[-2], job_title="Toy", revision="abc1234", rel="x").problems


def test_inspection_rows_by_hand() -> None:
    items = {i.key: i for i in inspected(made(**CLIP))}
    assert (items["F8"].nominal, items["F8"].least, items["F8"].most) == pytest.approx((35.0, 34.989, 35.014))
    assert (items["Q8"].nominal, items["Q8"].least, items["Q8"].most) == pytest.approx((37.0, 37.0, 37.25))
    assert (items["J8"].unit, items["J8"].nominal, items["J8"].bent) == ("go", 17.0, True)
    assert not {"Q8"} & {i.key for i in inspected(made(**BOSS))}


def test_the_solid_has_the_bore_and_the_blank_the_pilot(tmp_path: Path) -> None:
    """14.6 deep at 1.66 deg: 35 - 1.077 - 14.6 x 0.02903 = 33.5, less cos: 33.48, so 33.0."""
    plan = made(**CLIP)
    assert {h.finish.cut_mm for h in pivots(plan) if h.finish} == {33.0}
    path = tmp_path / "b.step"
    write_step(plan=plan, path=path, revision="abc1234", job="Toy")
    assert read_step(path, plan, rel="x").problems == ()


def test_the_bill_has_bearings_and_circlips() -> None:
    plan = replace(made(**CLIP, pivot_bearing_static_load_n=3200.0), quantity=2)
    lines = {
        i.item: (i.quantity, i.size)
        for i in bill([plan], [], LinesSheet(order=InstallOrder(tasks=(), needs=())))
    }
    name = "deep-groove ball bearing 6003 (ISO 15), sealed or shielded on both sides"
    assert lines[name] == (4, "17 x 35 x 10 mm, C0 3.2 kN or more")
    assert lines["circlip for a bore of 35 mm (DIN 472)"] == (4, "1.5 mm thick")
    tight = {i.item for i in bill([made()], [], LinesSheet(order=InstallOrder(tasks=(), needs=())))}
    assert f"{name}, clearance group C3" in tight


def test_two_states_tell_a_bearing_from_a_bush() -> None:
    was, now = made(**BOSS), made(**{**BOSS, "pivot_bearing": "6202"})
    bare = made(pivot_bearing="", pivot_build="reamed")
    assert list(_finished_why(was, now)) == ["another ball bearing in its pivots"]
    assert list(_finished_why(bare, now)) == ["a ball bearing in its pivots"]
    assert list(_finished_why(now, bare)) == ["no bush or bearing in its pivots"]


@pytest.mark.parametrize(
    ("keys", "at", "said"),
    [
        ({"pivot_bearing": "6403"}, "pivot_bearing", "6003"),
        ({"pivot_bearing": "6004"}, "pivot_bore", "which goes into 42 mm"),
        ({"pivot_build": "plain"}, "pivot_build", "plain bores for a ball bearing"),
        (
            {"pivot_bearing": "6001", "pivot_bore_mm": 28.0, "pivot_bush_mm": 25.0},
            "pivot_bearing",
            "and a bush in one bore",
        ),
        ({"pivot_spacer_mm": 24.0}, "pivot_spacer", "between ball bearings"),
        ({"pivot_bearing": "", "pivot_bearing_class": "P7"}, "pivot_bearing_class", "there is none"),
        ({"pivot_bearing": "", "pivot_bearing_kept": "circlip"}, "pivot_bearing_kept", "there is none"),
        (
            {"pivot_bearing": "", "pivot_bearing_static_load_n": 10.0},
            "pivot_bearing_static_load",
            "there is none",
        ),
    ],
)
def test_what_does_not_go_together(keys: dict[str, object], at: str, said: str) -> None:
    with pytest.raises(GeometryFault, match=said) as caught:
        made(**keys)
    assert caught.value.parameter == at


def test_a_spec_is_told_where_it_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "toy.toml"
    path.write_text(SPEC.replace("6003", "6403").replace("MORE", ""), encoding="utf-8")
    with pytest.raises(SpecError, match="pivot_bearing"):
        prepare(path)
