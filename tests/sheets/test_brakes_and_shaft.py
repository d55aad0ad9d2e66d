"""What could be fitted the wrong way in a pedal box: masters, balance bar, places on the shaft, open ends."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from finished_words import Sheet, starting

from generators.jobs.make.line_sheets import job_guide, lines_sheet
from generators.model.findings import Severity
from generators.model.spec.titles import within
from generators.sheets.bolting.cylinders import circuit_words
from generators.sheets.pedal.on_shaft import bar_arms
from generators.solve.job import Prepared, prepare

TARN = Path(__file__).parents[2] / "specs" / "tarn_special.toml"
NUMBER = r"([0-9.]+) mm"
READ_MM = 0.051
"""A printed tenth."""


def changed(*changes: tuple[str, str]) -> Prepared:
    """The special with words of its spec changed, each there once or more."""
    text = TARN.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return prepare(TARN, text=text)


# ------------------------------------------------------------------------------------------ masters
def test_each_of_two_masters_has_its_bore_on_its_step_and_in_its_bag(sheet: Sheet) -> None:
    for pedal in (p.spec for p in sheet.job.pedals):
        brake = pedal.brake
        if brake is None or brake.rear is None:
            continue
        bags = sheet.text[sheet.text.index("Parts by bag") : sheet.text.index("How tight")]
        for name, mine, other in (("front", brake.front, brake.rear), ("rear", brake.rear, brake.front)):
            (step,) = starting(sheet, f"Fit the {name} brake master cylinder ")
            assert f"It works the {name} brakes: bore {mine.bore_mm:.2f} mm" in step
            assert f"has {other.bore_mm:.2f} mm" in step
            assert f"{name.capitalize()} brake master cylinder (bore {mine.bore_mm:.2f} mm" in bags


@pytest.mark.parametrize(("side", "left"), [("left", "front"), ("right", "rear")])
def test_which_master_it_is_follows_the_hole_it_sits_in(side: str, left: str) -> None:
    job = changed(("  front_share = 0.55\n", f'  front_share = 0.55\n  front_side = "{side}"\n'))
    lines = lines_sheet(job.lines, job.file.job, job.file.units)
    component = lines.component("front_master")  # it sits in the left-hand one
    assert component.on.holes == ("brake_left_bore",)
    words = circuit_words(component, lines, [p.sheet() for p in job.pedals])
    assert words.startswith(f"It works the {left} brakes: bore {'17.80' if left == 'front' else '19.00'} mm")


# ------------------------------------------------------------------------------------- balance bar
def test_the_bar_is_set_by_two_distances_that_balance(sheet: Sheet) -> None:
    for pedal in sheet.job.pedals:
        brake = pedal.spec.brake
        if brake is None or brake.rear is None:
            continue
        (step,) = starting(sheet, "Set the balance bar:")
        found = re.search(
            rf"{NUMBER} from the middle of its bearing to the front rod, {NUMBER} to the rear", step
        )
        assert found
        front, rear = float(found[1]), float(found[2])
        # moments about the bearing
        assert abs(front * brake.front_share - rear * (1 - brake.front_share)) < READ_MM
        hanger = next(p.spec.parameters for p in sheet.job.parts if p.spec.name == pedal.spec.hanger)
        apart = hanger.balance_spacing_mm  # type: ignore[attr-defined]
        assert abs(front + rear - apart) < 2 * READ_MM
        own = sheet.text[sheet.text.index("Not in the box") : sheet.text.index("At hand before")]
        assert f"balance bar with bearing and two clevises, its clevises {apart:g} mm apart" in own
        (hung,) = starting(sheet, f"Fit the {within(pedal.sheet().title)} ")
        assert "the left-hand one is for the front master's rod" in hung


def test_a_bar_s_own_span_comes_before_that_of_the_masters() -> None:
    job = changed(("  front_share = 0.55\n", '  front_share = 0.6\n  bar_span = "70 mm"\n'))
    arms = bar_arms(next(p for p in job.pedals if p.spec.brake is not None).sheet())
    assert arms == pytest.approx((28.0, 42.0))


# ------------------------------------------------------------------------------------------- shaft
def test_places_on_the_shaft_add_up_to_the_room_between_the_cheeks(sheet: Sheet) -> None:
    for pedal in sheet.job.pedals:
        hanger = next((p for p in sheet.job.parts if p.spec.name == pedal.spec.hanger), None)
        shaft = next((m for m in sheet.job.fasteners if m.form == "shaft"), None)
        if hanger is None or shaft is None or shaft.between_mm is None:
            continue
        (step,) = starting(sheet, f"Fit the {within(pedal.sheet().title)} and its pivot")
        found = re.search(
            rf"the middle of its arm {NUMBER} from the inner face at the left-hand cheek, {NUMBER}", step
        )
        assert found
        left, right = float(found[1]), float(found[2])
        assert abs(left + right - shaft.between_mm) < 2 * READ_MM
        aside = getattr(hanger.spec.parameters, f"{pedal.spec.kind}_u_mm", 0.0) + pedal.spec.pin_side_mm
        assert abs(left - right - 2 * aside) < 2 * READ_MM
        row = re.search(r"From the left, on the shaft: (.*?)\. Face one", step)
        if row is None:
            assert pedal.spec.hub_width_mm is None
            continue
        said = [float(mm) for mm in re.findall(NUMBER, row[1])]
        assert abs(sum(said) - shaft.between_mm) < len(said) * READ_MM
        # spacer, hub of the clutch, spacer, hub of the brake, spacer: each hub about its arm
        at, parts = 0.0, re.findall(rf"(a spacer|the hub of the [a-z ]+?),? {NUMBER}", row[1])
        middles = {}
        for what, mm in parts:
            middles[what] = at + float(mm) / 2
            at += float(mm)
        assert abs(middles[f"the hub of the {within(pedal.sheet().title)}"] - left) < 3 * READ_MM


def test_a_cranked_arm_says_so(sheet: Sheet) -> None:
    for pedal in sheet.job.pedals:
        aside = pedal.spec.pad_side_mm
        steps = [
            s for s in starting(sheet, f"Fit the {within(pedal.sheet().title)} ") if "Along the shaft" in s
        ]
        for step in steps:
            assert (f"{abs(aside):.1f} mm to the {'right' if aside > 0 else 'left'} of that" in step) is bool(
                aside
            )


# -------------------------------------------------------------------------- what no task brought in
def test_what_single_holes_hold_is_asked_for(sheet: Sheet) -> None:
    own = sheet.text[sheet.text.index("Not in the box") : sheet.text.index("At hand before")]
    job = sheet.job.file.job
    spots = [*(c.on for c in job.component), *(c.on for c in job.clamp)]
    named = [name for spot in spots for name in spot.holes]
    for layout in sheet.job.layouts:
        for spec in next(p for p in job.panel if p.name == layout.panel).hole:
            if spec.kind in ("bolt", "grommet") and spec.name not in named:
                hole = next(h for h in layout.holes if h.name == spec.name)
                assert f"Hole {hole.number}, {within(layout.title)}" in own


def test_pipes_of_the_vehicle_are_joined_before_fluid_goes_in(sheet: Sheet) -> None:
    job = sheet.job.file.job
    ends = [end.partition(".")[0] for hose in job.hose for end in (hose.from_, hose.to)]
    unions = [c for c in job.component if c.kind == "line_end" and ends.count(c.name) == 1]
    steps = starting(sheet, "Join the vehicle's own pipes to ")
    assert len(steps) == bool(unions)
    for union in unions:
        assert union.joins
        assert union.joins.rstrip(".") in steps[0]
        assert sheet.steps.index(steps[0]) < min(
            k for k, s in enumerate(sheet.steps) if s.startswith(("Fill the reservoir", "Fill and bleed"))
        )


def test_throttle_pedal_is_fitted_wired_and_let_go_before_the_engine_runs(sheet: Sheet) -> None:
    carried = any(p.spec.kind == "throttle_pedal_bracket" for p in sheet.job.parts)
    fitted = starting(sheet, "Fit the throttle pedal module on the throttle pedal bracket.")
    tried = starting(sheet, "Check the throttle pedal before the engine runs.")
    assert len(fitted) == len(tried) == carried
    if carried:
        assert "through hole 22 of the firewall" in fitted[0]
        assert "comes back by itself" in fitted[0]
        assert "within a second of letting go" in tried[0]
        order = [
            k for k, s in enumerate(sheet.steps) if s in (tried[0], *starting(sheet, "Connect the battery"))
        ]
        assert sheet.steps[order[0]].startswith("Connect the battery")


def test_brakes_have_their_lamp_switch_their_covering_and_both_circuits(sheet: Sheet) -> None:
    for pedal in sheet.job.pedals:
        if pedal.brake is None:
            continue
        assert starting(sheet, "Set the brake-light switch.")
        assert "brake-light switch on a bracket" in sheet.text
        (step,) = starting(sheet, "Fail one circuit on purpose")
        assert "The floor covering in its place for this" in step
        if pedal.spec.brake is not None and pedal.spec.brake.rear is not None:
            assert "then the same with the other circuit" in step
    for step in starting(sheet, "Then set the stop at"):
        assert "The floor covering in its place for this" in step
    (lamps,) = starting(sheet, "Connect the battery again")
    assert "brake lamps with the first of the brake pedal's way and dark at rest" in lamps


def test_empty_bores_stay_so_and_far_ends_are_named(sheet: Sheet) -> None:
    if sheet.job.file.job.job.name != "tarn_special":
        return
    (step,) = starting(sheet, "Fit the clutch and brake pedal hanger ")
    assert "Nothing of this job goes into its 2 × 22 mm (balance-bar or cross tube)" in step
    (step,) = starting(sheet, "Mark, drill and put up the clamp on the vehicle")
    assert "It goes on the tab of 3 mm steel on the chassis rail" in step
    (step,) = starting(sheet, "Before the pedal is loaded, fit the strut")
    assert "Its far end goes on the lug of 4 mm steel" in step
    assert "ask the Tarn shop" not in step


# ---------------------------------------------------------------------------- what the sheets ask for
LEFT_OUT = [
    (
        "part:pedal_box pivot",
        '  pivot_shaft_ends = "at each end a washer, then a circlip in a groove 4 mm from the end"\n',
    ),
    (
        "part:pedal_box brace 1",
        '  ends_on = "the lug of 4 mm steel at the foot of the roll hoop behind it, one lug for each strut"\n',
    ),
    ("clamp:clutch_clamp", 'metal = "the tab of 3 mm steel on the chassis rail, right of the footbox"\n'),
]


@pytest.mark.parametrize(("where", "line"), LEFT_OUT)
def test_what_the_spec_leaves_out_is_told_by_check(where: str, line: str) -> None:
    asks = [f for f in changed((line, "")).findings if f.code == "paper-asks"]
    assert [(f.where, f.severity) for f in asks] == [(where, Severity.NOTE)]


def test_a_union_without_words_sends_to_a_licensed_workshop_in_one_place() -> None:
    text = TARN.read_text(encoding="utf-8")
    (line,) = re.findall(r'joins = ".* to the rear brakes.*\n', text)
    job = changed((line, ""))
    assert [f.where for f in job.findings if f.code == "paper-asks"] == ["component:rear_union"]
    (step,) = [
        s for s in job_guide(job, "x", (), ()).steps if s.do.startswith("Join the vehicle's own pipes")
    ]
    assert "The rear brake union: not in this job:" in step.how
    assert "licensed workshop" in step.how
    assert "Front brake union: the car's own steel pipe" in step.how


@pytest.mark.parametrize(
    ("contact", "noted"),
    [
        ("the yard behind the mill", True),
        ("", False),
        ("the yard, telephone 555-0100", False),
        ("the yard, 3 Mill Lane", False),
        ("yard@example.org", False),
    ],
)
def test_a_contact_nobody_can_reach_is_told_by_check(contact: str, noted: bool) -> None:
    """A note that stops nothing; where nobody is named, the sheets have a line to write on."""
    (line,) = re.findall(r"^contact = .*\n", TARN.read_text(encoding="utf-8"), re.MULTILINE)
    asks = [f for f in changed((line, f'contact = "{contact}"\n')).findings if f.code == "paper-asks"]
    assert [(f.where, f.severity) for f in asks] == ([("job:contact", Severity.NOTE)] if noted else [])
    assert all(contact in f.found for f in asks)


def test_finished_demos_leave_nothing_to_ask(sheet: Sheet) -> None:
    assert [f for f in sheet.job.findings if f.code == "paper-asks"] == []
