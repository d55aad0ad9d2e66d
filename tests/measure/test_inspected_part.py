"""A part as its inspection sheet was filled in: its holes found again, and laid on the panel as drilled."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from made_once import solved

from generators.checks.survey.inspected import check_inspected
from generators.drawing.inspection.items import inspected
from generators.errors import SpecError
from generators.jobs.asdrilled.inspection import Inspected, inspect, with_holes_as_read, words
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled
from generators.jobs.blanks import pulled_in
from generators.measure.fitting.part_holes import FarRims, part_holes
from generators.reading.readings import read_readings
from generators.sheetmetal.lying import on_panel
from generators.solve.job import Prepared, prepare

SPEC = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"
PART = "clutch_hanger"
OFF_MM = 0.7
"""How far one hole of the part was cut too far to the right, in the tests below."""


def again(prepared: Prepared) -> tuple[str, ...]:
    """What of the hanger lay over the open V."""
    return pulled_in(prepared, next(p for p in prepared.parts if p.spec.name == PART))


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return solved("wrenfield_van")


def test_holes_are_found_from_distances_over_far_rims() -> None:
    """A 30-40-50 triangle drawn 30.0 wide and cut 30.6: over the far rims 30.6 + 9, and the hypotenuse."""
    drawn = np.array([(0.0, 0.0), (30.0, 0.0), (0.0, 40.0)])
    far = [(0, 1, 30.6), (0, 2, 40.0), (1, 2, math.hypot(30.6, 40.0))]
    found = part_holes(
        drawn,
        [(9.0, 0.05)] * 3,
        [FarRims(one=a, other=b, read_mm=d + 9.0, sigma_mm=0.05) for a, b, d in far],
    )
    assert found is not None
    for a, b, d in far:
        assert math.dist(found.points[a], found.points[b]) == pytest.approx(d, abs=1e-6)
    # laid on the drawn shape: the middle stays
    assert found.points.mean(axis=0) == pytest.approx(drawn.mean(axis=0), abs=1e-6)
    assert found.diameters == pytest.approx([9.0] * 3)


def test_a_distance_is_as_unsure_as_by_hand() -> None:
    """Two holes: the variance of d = far - (a + b) / 2 is 0.05² + (0.05² + 0.05²) / 4 = 0.061237²."""
    found = part_holes(
        np.array([(0.0, 0.0), (50.0, 0.0)]),
        [(9.0, 0.05)] * 2,
        [FarRims(one=0, other=1, read_mm=59.2, sigma_mm=0.05)],
    )
    assert found is not None
    c = found.covariance
    assert c[0, 0] + c[2, 2] - 2 * c[0, 2] == pytest.approx(0.0612372**2, rel=1e-4)


def test_too_few_distances_fix_nothing_and_one_more_shows_a_slip() -> None:
    drawn = np.array([(0.0, 0.0), (100.0, 0.0), (0.0, 100.0), (100.0, 100.0)])
    every = list(itertools.combinations(range(4), 2))

    def read(slip: float, pairs: list[tuple[int, int]]) -> list[FarRims]:
        return [
            FarRims(
                one=a,
                other=b,
                read_mm=math.dist(drawn[a], drawn[b]) + 9.0 + (slip if (a, b) == (0, 1) else 0.0),
                sigma_mm=0.05,
            )
            for a, b in pairs
        ]

    sizes = [(9.0, 0.05)] * 4
    assert part_holes(drawn, sizes, read(0.0, every[:4])) is None
    good, bad = part_holes(drawn, sizes, read(0.0, every)), part_holes(drawn, sizes, read(1.0, every))
    assert good is not None
    assert bad is not None
    assert max(map(abs, good.w)) < 1e-6
    assert max(map(abs, bad.w)) > 3.29


def filled(prepared: Prepared, *, moved: str = "", more: str = "", skip: tuple[str, ...] = ()) -> str:
    """The hanger's sheet as somebody fills it in whose hanger has one hole too far to the right."""
    plan = next(p.plan for p in prepared.parts if p.spec.name == PART)
    at = {
        h.name: (h.u_mm + (OFF_MM if h.name == moved else 0.0), h.v_mm, h.diameter_mm)
        for h in on_panel(plan).holes
    }
    lines = [
        '[measure]\nname = "inspected"\ntitle = "Hanger, inspected"',
        f'panel = "firewall"\npart = "{PART}"\nsheet = "{prepared.file.revision}"\n',
    ]
    for item in inspected(plan, again(prepared)):
        if item.key in skip or not set(item.holes) <= at.keys():
            continue
        if item.key.isdigit():
            lines.append(f'[[inspected]]\nitem = "{item.key}"\nis = "{at[item.holes[0]][2]:.2f} mm"\n')
        elif item.key.startswith("D"):
            (u, v, a), (x, y, b) = (at[n] for n in item.holes)
            far = math.hypot(x - u, y - v) + (a + b) / 2
            lines.append(f'[[inspected]]\nitem = "{item.key}"\nis = "{far:.2f} mm"\n')
    return "\n".join([*lines, more])


def drilled(prepared: Prepared, moved: str = "") -> str:
    """The firewall's holes exactly where the spec wants them, one of them to the right."""
    layout = next(x for x in prepared.layouts if x.panel == "firewall")
    out = []
    for h in layout.holes:
        part, _, name = h.name.partition(".")
        if part == PART:
            u = h.u_mm + (OFF_MM if name == moved else 0.0)
            out.append(
                f'[[hole]]\nname = "{name}"\ndiameter = "{h.final_dia_mm:.2f} mm"\n'
                f'at = ["{u:.3f} mm", "{h.v_mm:.3f} mm"]\n'
            )
    return "\n".join(out)


def weighed(prepared: Prepared, tmp_path: Path, part: str, panel: str) -> AsDrilled:
    path = tmp_path / "r.toml"
    path.write_text(filled(prepared, moved=part, more=drilled(prepared, panel)), encoding="utf-8")
    return as_drilled(SPEC, path)


def test_a_part_goes_on_holes_that_are_off_as_it_is(prepared: Prepared, tmp_path: Path) -> None:
    """Part and panel off by the same: as good as both as drawn; the panel alone leaves less.

    M8 in 9.0 and 9.0: the centres may lie (9 - 8) / 2 + (9 - 8) / 2 = 1 mm apart.
    """
    alike = weighed(prepared, tmp_path, "mount_1", "mount_1")
    assert alike.goes
    assert alike.fit.worst_mm == pytest.approx(min(j.clearance_mm for j in alike.joints), abs=0.03)
    alone = weighed(prepared, tmp_path, "", "mount_1")
    assert alone.fit.worst_mm < alike.fit.worst_mm - 0.1
    revised = next(p.plan for p in alike.prepared.parts if p.spec.name == PART)
    as_cut = {h.name: (h.u_mm, h.v_mm) for h in on_panel(revised).holes}
    drawn = {h.name: (h.u_mm, h.v_mm) for h in on_panel(alike.case.given.parts[0].plan).holes}
    far = math.dist(as_cut["mount_1"], as_cut["mount_2"])
    assert far == pytest.approx(math.dist(drawn["mount_1"], drawn["mount_2"]) - OFF_MM, abs=0.03)


def test_without_all_distances_places_are_as_drawn(prepared: Prepared, tmp_path: Path) -> None:
    path = tmp_path / "r.toml"
    path.write_text(filled(prepared, moved="mount_1", skip=("D2", "D3")), encoding="utf-8")
    seen = inspect(prepared, read_readings(path))
    assert seen.holes is None
    assert "fill in every D" in seen.why
    part = next(p.plan for p in with_holes_as_read(prepared, seen).parts if p.spec.name == PART)
    drawn = next(p.plan for p in prepared.parts if p.spec.name == PART)
    assert [(h.u_mm, h.v_mm) for h in on_panel(part).holes] == [
        (h.u_mm, h.v_mm) for h in on_panel(drawn).holes
    ]


HEAD = '[measure]\nname = "i"\ntitle = "I"\npart = "{part}"\nsheet = "{sheet}"\n'
BAD = {
    "no such item": ('item = "D99"\nis = "9 mm"', "an item of the inspection sheet"),
    "a length for an angle": ('item = "B1"\nis = "90 mm"', "angle for item B1"),
    "an angle for a length": ('item = "L1"\nangle = "90 deg"', "is for item L1"),
    "nothing": ('item = "L1"', "one of is, angle and goes"),
    "two": ('item = "L1"\nis = "90 mm"\nangle = "90 deg"', "one of is, angle and goes"),
    "twice": ('item = "1"\nis = "9 mm"\n[[inspected]]\nitem = "1"\nis = "9 mm"', "each item once"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_reading_that_cannot_be_is_refused_at_its_line(
    prepared: Prepared, tmp_path: Path, name: str
) -> None:
    text, said = BAD[name]
    path = tmp_path / "r.toml"
    head = HEAD.format(part=PART, sheet=prepared.file.revision)
    path.write_text(f"{head}[[inspected]]\n{text}\n", encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        inspect(prepared, read_readings(path))
    (fault,) = caught.value.faults
    assert said in fault.expected
    assert fault.line > 5


@pytest.mark.parametrize(
    ("part", "sheet", "said"),
    [("hanger", "", "a cut part of the spec"), (PART, "0000000", "a sheet of this spec")],
)
def test_another_part_or_sheet_is_refused(
    prepared: Prepared, tmp_path: Path, part: str, sheet: str, said: str
) -> None:
    path = tmp_path / "r.toml"
    head = HEAD.format(part=part, sheet=sheet or prepared.file.revision)
    path.write_text(f'{head}[[inspected]]\nitem = "1"\nis = "9 mm"\n', encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        inspect(prepared, read_readings(path))
    assert said in caught.value.faults[0].expected


def test_distances_that_contradict_each_other_are_refused(prepared: Prepared, tmp_path: Path) -> None:
    """The last D of the web is one more than needed: 1 mm wrong there is ten times a caliper's 0.1 mm."""
    text = filled(prepared)
    plan = next(p.plan for p in prepared.parts if p.spec.name == PART)
    last = [i for i in inspected(plan, again(prepared)) if i.key.startswith("D")][-1]
    at = text.index(f'item = "{last.key}"')
    value = text[at:].split('is = "', 1)[1].split(" mm", 1)[0]
    path = tmp_path / "r.toml"
    path.write_text(text[:at] + text[at:].replace(value, f"{float(value) + 1:.2f}", 1), encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        inspect(prepared, read_readings(path))
    assert "contradict" in caught.value.faults[0].found


@pytest.mark.parametrize(("degrees", "fires"), [(88.9, True), (89.0, False), (91.0, False), (91.1, True)])
def test_an_angle_is_held_to_its_limits(degrees: float, fires: bool) -> None:
    least, most = math.radians(89), math.radians(91)
    found = list(check_inspected("p", "B1", "angle", math.radians(degrees), least, most, angle=True))
    assert bool(found) == fires


@pytest.mark.parametrize("goes", [True, False])
def test_a_shaft_that_does_not_go_is_a_fail(goes: bool) -> None:
    assert bool(list(check_inspected("p", "P1", "shaft", goes=goes))) != goes


def whole(prepared: Prepared, *skip: str, **read: str) -> str:
    """The hanger's sheet filled in whole, every item as drawn, but those in ``read``."""
    plan = next(p.plan for p in prepared.parts if p.spec.name == PART)
    lines = [HEAD.format(part=PART, sheet=prepared.file.revision)]
    for item in inspected(plan, again(prepared)):
        said = {
            "length": f'is = "{item.nominal:.3f} mm"',
            "angle": f'angle = "{math.degrees(item.nominal):.1f} deg"',
            "go": "goes = true",
        }[item.unit]
        if item.key not in skip:
            lines.append(f'[[inspected]]\nitem = "{item.key}"\n{read.get(item.key, said)}\n')
    return "\n".join(lines)


def seen(prepared: Prepared, path: Path, text: str) -> Inspected:
    path.write_text(text, encoding="utf-8")
    return inspect(prepared, read_readings(path))


def test_good_is_a_part_whose_items_were_all_read(prepared: Prepared, tmp_path: Path) -> None:
    path = tmp_path / "r.toml"
    assert seen(prepared, path, whole(prepared)).good
    left = seen(prepared, path, whole(prepared, "D2", "B1"))
    assert not left.good
    (found,) = left.findings
    assert found.code == "inspection-unread"
    assert "D2" in found.advice
    assert "none out of limits" in next(words(left))


@pytest.mark.parametrize(
    ("read", "good"), [("2", False), ("3.79", False), ("3.8", True), ("4.2", True), ("4.21", False)]
)
def test_another_sheet_is_out_of_its_limits(
    prepared: Prepared, tmp_path: Path, read: str, good: bool
) -> None:
    """Over both cheeks a mm of sheet makes 2 (1 - 0.43 pi / 4) = 1.3246 mm: blank, stop and bends have 0.1 and, at
    either end, 0.1 and a degree times 6 / 2 + 4 (1 - 0.43 / 2), 0.2302 as squares add: 0.2698 / 1.3246 = 0.2037. Half way to the next sheets, 3 and 5, would be 0.5.
    """
    plan = next(p.plan for p in prepared.parts if p.spec.name == PART)
    assert plan.thickness_mm == pytest.approx(4.0)
    got = seen(prepared, tmp_path / "r.toml", whole(prepared, T=f'is = "{read} mm"'))
    assert got.good == good
    assert all("item T" in f.where for f in got.findings)


@pytest.mark.parametrize(
    ("read", "good"), [("107.49", False), ("107.5", True), ("108.5", True), ("108.51", False)]
)
def test_cheeks_too_far_apart_or_too_near_are_out_of_limits(
    prepared: Prepared, tmp_path: Path, read: str, good: bool
) -> None:
    """116 over the cheeks of 4 mm sheet: 108 between them, to 0.5 as any bent length."""
    got = seen(prepared, tmp_path / "r.toml", whole(prepared, U1=f'is = "{read} mm"'))
    assert got.good == good
    assert all("item U1" in f.where for f in got.findings)


@pytest.mark.parametrize(
    ("share", "refused"),
    [(0.0, True), (0.49, True), (0.51, False), (1.49, False), (1.51, True), (30.0, True)],
)
def test_a_reading_that_no_part_has_is_a_fault_of_its_line(
    prepared: Prepared, tmp_path: Path, share: float, refused: bool
) -> None:
    """A bore read as nothing, as a thing of its own kind that is merely wrong, and as half a yard."""
    plan = next(p.plan for p in prepared.parts if p.spec.name == PART)
    wide = next(i.nominal for i in inspected(plan) if i.key == "1")
    assert 6.0 < wide < 40.0
    read = f'is = "{share * wide:.3f} mm"'
    text = whole(prepared, **{"1": read})
    if not refused:
        assert not seen(prepared, tmp_path / "r.toml", text).good
        return
    with pytest.raises(SpecError) as caught:
        seen(prepared, tmp_path / "r.toml", text)
    (fault,) = caught.value.faults
    row = next(k for k, part in enumerate(text.split("[[inspected]]")[1:]) if 'item = "1"' in part)
    assert fault.path == f"inspected[{row}].is"
    assert fault.file.endswith("r.toml")
    assert text.splitlines()[fault.line - 1] == read


def test_a_hole_that_cannot_be_in_the_part_is_told_at_the_reading(prepared: Prepared, tmp_path: Path) -> None:
    """What the readings make of the part is written in no spec: a fault of it stands in the readings."""
    good = seen(prepared, tmp_path / "r.toml", whole(prepared))
    k, (item, row) = next((k, r) for k, r in enumerate(good.rows) if r[0].key == "1")
    rows = tuple((i, replace(r, is_mm=-5.0) if i is item else r) for i, r in good.rows)
    with pytest.raises(SpecError) as caught:
        with_holes_as_read(prepared, replace(good, rows=rows))
    assert row.is_mm is not None
    assert caught.value.faults[0].path == f"inspected[{k}].is"
    assert caught.value.faults[0].file.endswith("r.toml")


@pytest.fixture(scope="module")
def bossed(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """The van with a boss welded on at each pivot, and a tube between them."""
    room = tmp_path_factory.mktemp("bossed")
    for beside in SPEC.parent.glob("*.toml"):
        (room / beside.name).write_bytes(beside.read_bytes())
    text = SPEC.read_text(encoding="utf-8")
    bore = '  pivot_bore = "16.2 mm"'
    assert text.count(bore) == 1
    keys = f'{bore}\n  pivot_build = "welded_boss"\n  welded_boss_outside = "26 mm"\n  pivot_spacer = "24 mm"'
    (room / SPEC.name).write_text(text.replace(bore, keys), encoding="utf-8")
    return prepare(room / SPEC.name)


@pytest.mark.parametrize(("earlier", "today"), [("B{boss}", "K{boss}"), ("W1", "U1")])
def test_a_sheet_filled_in_before_a_letter_stood_for_one_thing_is_read(
    bossed: Prepared, tmp_path: Path, earlier: str, today: str
) -> None:
    """A boss had a bend's letter, the width between cheeks a welded edge's: neither could be on one sheet twice."""
    plan = next(p.plan for p in bossed.parts if p.spec.name == PART)
    keys = [i.key for i in inspected(plan, again(bossed))]
    boss = max(int(k[1:]) for k in keys if k.startswith("K"))
    was, now = earlier.format(boss=boss), today.format(boss=boss)
    assert now in keys
    assert was not in keys
    text = whole(bossed)
    assert f'item = "{now}"' in text
    got = seen(bossed, tmp_path / "r.toml", text.replace(f'item = "{now}"', f'item = "{was}"'))
    assert got.good
    both = f'{text}[[inspected]]\nitem = "{was}"\nis = "12 mm"\n'
    with pytest.raises(SpecError) as caught:
        seen(bossed, tmp_path / "r.toml", both)
    (fault,) = caught.value.faults
    assert fault.found == f"item {was}, which is {now} on sheets of today"
    assert both.splitlines()[fault.line - 1] == f'item = "{was}"'
    # an angle of a bend that is there is that bend's
    row = 'item = "B1"\nangle = "80 deg"'
    text = text.replace('item = "B1"\nangle = "90.0 deg"', row)
    assert row in text
    assert any("item B1" in f.where for f in seen(bossed, tmp_path / "r.toml", text).findings)
