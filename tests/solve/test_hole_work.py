"""When and how each hole is made: small joints whose clearances and wander are added up by hand.

ISO 273 medium: M8 in 9 mm, M6 in 6.6 mm, M5 in 5.5 mm. A drill of 3 mm starts 0.75 mm off at most, so with the
part's own 0.4 mm a hole by paper wants 1.5 + 0.4 = 1.9 mm; M8 has 1 + 1 mm, M6 0.6 + 0.6 mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from checks.joint_jobs import EACH_WAY, FOUR_TENTHS, MIDDLE, bolt, firewall, job_of, on, plate, slot

from generators.checks.joint.mating import check_joints
from generators.layout.mounting import PlacedPart
from generators.layout.panels import panel_layout
from generators.layout.stacking import stacked
from generators.model.findings import Finding, Severity
from generators.model.hole_work import HoleWork, when_words
from generators.model.install import Guide, InstallOrder, Phase, Step, Task
from generators.model.plan import PanelHole
from generators.model.spec.job import ExistingHole, HoleSpec, Position
from generators.model.spec.shop import Positions
from generators.model.words import Face
from generators.solve import waits
from generators.solve.hoses.order import Decision
from generators.solve.job import prepare
from generators.solve.waits import numbered
from generators.solve.work import with_work

CORNERS = ((-50.0, -30.0), (50.0, -30.0), (-50.0, 30.0), (50.0, 30.0))


def worked(
    *parts: PlacedPart, decided: Sequence[Decision] = (), shop: Positions = FOUR_TENTHS, **things: object
) -> tuple[dict[str, PanelHole], list[Finding]]:
    """Holes by name with their works, and the findings on the joints; parts come in the order given."""
    sheet = firewall(**things)
    placed = stacked(job_of(sheet), parts)
    tasks = tuple(Task(kind="part", name=p.spec.name, title="t") for p in placed)
    layouts = with_work(
        [panel_layout(sheet, placed, ())],
        [sheet],
        placed,
        decided,
        InstallOrder(tasks=tasks, needs=()),
        shop,
    )
    found = list(check_joints([sheet], placed, layouts, shop))
    return {h.name: h for h in layouts[0].holes}, found


def four(thread: str, name: str = "p", half: float = 60.0) -> PlacedPart:
    return on(
        plate(*(bolt(f"m_{k}", u, v, thread) for k, (u, v) in enumerate(CORNERS)), name=name, half=half)
    )


def ways(holes: dict[str, PanelHole]) -> dict[str, str]:
    return {name: f"{h.work.when} {h.work.how}" for name, h in holes.items()}


def test_clearance_that_takes_up_the_wander_leaves_all_to_the_paper() -> None:
    holes, found = worked(four("M8"))
    assert set(ways(holes).values()) == {"now paper"}
    assert not any(h.work.locates for h in holes.values())
    assert found == []


def test_just_outside_two_corners_locate_and_the_rest_goes_through_the_part() -> None:
    """0.4 + 2 x ratio x 3 mm against 2 mm: fits at 0.266, and just does not at 0.268."""
    assert set(
        ways(
            worked(four("M8"), shop=Positions(cut_each_way_mm=EACH_WAY, drill_wander_ratio=0.266))[0]
        ).values()
    ) == {"now paper"}
    holes, found = worked(four("M8"), shop=Positions(cut_each_way_mm=EACH_WAY, drill_wander_ratio=0.268))
    located = {name for name, h in holes.items() if h.work.locates == ("p",)}
    assert located in ({"p.m_0", "p.m_3"}, {"p.m_1", "p.m_2"})
    rest = [h for name, h in holes.items() if name not in located]
    assert {(h.work.when, h.work.how, h.work.part, h.work.task) for h in rest} == {
        ("last", "part", "p", "part:p")
    }
    assert not any(h.work.punched for h in rest)
    assert found == []


def test_one_loose_bolt_is_enough_and_the_pair_is_of_those_that_pass_by_paper() -> None:
    """Two M8 beside two M6: the M8 take 1.9 of 2 mm each, so both locate by paper."""
    threads = ("M8", "M6", "M6", "M8")
    part = on(
        plate(*(bolt(f"m_{k}", u, v, t) for k, ((u, v), t) in enumerate(zip(CORNERS, threads, strict=True))))
    )
    holes, found = worked(part)
    assert ways(holes) == {
        "p.m_0": "now paper",
        "p.m_1": "last part",
        "p.m_2": "last part",
        "p.m_3": "now paper",
    }
    assert [h.work.locates for h in holes.values()].count(("p",)) == 2
    assert found == []


def test_a_pair_may_share_what_its_bolts_leave() -> None:
    """M6 and M10 (11 mm, 2 mm): 1.9 + 1.9 of 1.2 + 2 mm do not pass; with M10 for both they do."""
    mixed = on(plate(bolt("m_0", -50.0, 0.0, "M6"), bolt("m_1", 50.0, 0.0, "M10")))
    assert sorted(ways(worked(mixed)[0]).values()) == ["last part", "now paper"]
    # a coarse M10 (12 mm, ISO 273) leaves 4 mm: 3.8 of 5.2 mm
    coarse = on(plate(bolt("m_0", -50.0, 0.0, "M6"), bolt("m_1", 50.0, 0.0, "M10", fit="coarse")))
    assert set(ways(worked(coarse)[0]).values()) == {"now paper"}


def test_a_pair_that_wanders_too_far_is_punched_and_its_second_drilled_through_the_part() -> None:
    holes, found = worked(four("M6"))
    located = [h for h in holes.values() if h.work.locates]
    assert sorted((h.work.when, h.work.how) for h in located) == [("last", "part"), ("now", "paper")]
    assert all(h.work.punched for h in located)
    assert math.dist(*((h.u_mm, h.v_mm) for h in located)) == pytest.approx(math.hypot(100, 60))
    assert found == []


def test_a_part_of_one_bolt_goes_where_its_hole_is() -> None:
    holes, found = worked(on(plate(bolt("m_0", thread="M5"))))
    assert ways(holes) == {"p.m_0": "now paper"}
    assert found == []


def test_a_part_on_the_engine_side_is_drilled_through_from_there() -> None:
    part = four("M6")
    assert part.spec.mount is not None
    behind = replace(part, spec=replace(part.spec, mount=replace(part.spec.mount, face="engine")))
    holes, _ = worked(behind)
    assert {h.drill_face for h in holes.values() if h.work.how == "part"} == {"engine"}
    assert {h.drill_face for h in holes.values() if h.work.how == "paper"} == {"cab"}


def test_a_drill_that_must_start_behind_the_part_leaves_the_note() -> None:
    part = four("M6")
    assert part.spec.mount is not None
    cases: tuple[tuple[Face, list[str]], ...] = (("cab", []), ("engine", ["mating"]))
    for face, noted in cases:
        mount = replace(part.spec.mount, drill_from=face)
        holes, found = worked(replace(part, spec=replace(part.spec, mount=mount)))
        assert [f.code for f in found] == noted
        assert all(
            (h.work.how == "paper" and h.work.spoiled_mm == 0.75) == bool(noted) for h in holes.values()
        )


def test_a_bore_as_wide_in_the_part_is_marked_through_it() -> None:
    holes, _ = worked(
        on(
            plate(
                bolt("m_0", -50.0, thread="M6"),
                bolt("m_1", 50.0, thread="M6"),
                replace(bolt("m_2", mates=False), diameter_mm=30.0),
            )
        ),
        hole=(
            HoleSpec(
                name="nose",
                at=Position(u_mm=MIDDLE[0], v_mm=MIDDLE[1]),
                kind="plain",
                diameter_mm=30.0,
                purpose="a nose",
            ),
        ),
    )
    assert ways(holes)["nose"] == "last part"


def test_holes_that_are_there_locate_first() -> None:
    """Two existing holes of the part's bolts: it is bolted on with those, the others drilled through it."""
    old = tuple(
        ExistingHole(
            name=f"old_{k}", at=(MIDDLE[0] + u, MIDDLE[1] + v), diameter_mm=6.6, action="reuse", what="old"
        )
        for k, (u, v) in enumerate(CORNERS[:2])
    )
    holes, found = worked(four("M6"), existing=old)
    assert {name for name, h in holes.items() if h.work.locates} == {"old_0", "old_1"}
    assert {h.work.when for h in holes.values()} == {"never", "last"}
    assert {h.work.how for h in holes.values() if h.status == "drill"} == {"part"}
    assert found == []


def test_the_second_part_takes_the_holes_of_the_first() -> None:
    """A plate under another with the same four M6: both are as true as they were cut (0.8 of 1.2 mm)."""
    below = four("M6", name="a", half=80.0)
    holes, found = worked(below, four("M6", name="b"))
    assert {h.work.part for h in holes.values() if h.work.how == "part"} == {"a"}
    assert found == []


def test_slots_that_take_up_the_wander_leave_it_to_the_paper() -> None:
    """A slot gives along and not across: M8 in 8.4 mm leaves 0.4 + 0.4 mm across, of 1.9 wanted.

    Across the line of two bolts the part turns about the other one; along it only the slot gives.
    """
    wide = replace(slot(6.0, 0.0, 9.0), u_mm=50.0)
    assert set(ways(worked(on(plate(bolt("m_0", -50.0), wide)))[0]).values()) == {"now paper"}
    tight = replace(slot(6.0, 0.0, 8.4), u_mm=50.0)
    assert set(ways(worked(on(plate(bolt("m_0", -50.0), tight)))[0]).values()) == {"now paper"}
    # 1.9 + 1.9 of 2 + 0.8 mm along the line
    square = replace(tight, angle_rad=math.pi / 2)
    assert "last part" in ways(worked(on(plate(bolt("m_0", -50.0), square)))[0]).values()


def test_where_a_hose_decides_no_paper_does() -> None:
    holes, found = worked(
        four("M6"),
        decided=(
            Decision(component="tank", hose="feed", part="p", panel="firewall", holes=("1", "2", "3", "4")),
        ),
    )
    assert {(h.work.when, h.work.how, h.work.part, h.work.task) for h in holes.values()} == {
        ("last", "hose", "p", "decided:tank")
    }
    assert not any(h.work.punched for h in holes.values())
    assert found == []


def test_a_plate_over_a_hole_closes_it() -> None:
    old = ExistingHole(name="old", at=MIDDLE, diameter_mm=30.0, action="blank", what="old")
    holes, _ = worked(on(plate(bolt("m_0", -50.0))), existing=(old,))
    assert (holes["old"].work.when, holes["old"].work.part, holes["old"].work.task) == (
        "close",
        "p",
        "part:p",
    )
    aside = replace(old, at=(MIDDLE[0] + 50.0, MIDDLE[1]))  # 5 mm of it beside the plate
    holes, _ = worked(on(plate(bolt("m_0", -50.0))), existing=(aside,))
    assert (holes["old"].work.when, holes["old"].work.part) == ("close", "")


def test_steps_are_numbered_where_something_waits() -> None:
    sheet = firewall()
    part = four("M6")
    layouts = with_work(
        [panel_layout(sheet, [part], ())], [sheet], [part], (), InstallOrder(tasks=(), needs=()), FOUR_TENTHS
    )
    waiting = tuple(("firewall", h.number) for h in layouts[0].holes if h.work.task == "part:p")
    steps = [
        Step(number=4, tasks=("drill:firewall",), do="Open.", how=""),
        Step(number=23, tasks=("part:p",), do="Bolt.", how=""),
        Step(number=24, tasks=("part:p",), do="Drill.", how="", holes=waiting, drills=waiting),
    ]
    phases = (Phase(title="All", steps=tuple(steps)),)
    done = numbered(layouts, Guide(title="t", revision="r", before=(), phases=phases))
    assert {(h.work.when, h.work.step) for h in done[0].holes} == {("now", 0), ("last", 23)}
    assert {when_words(h.work, 6.6) for h in done[0].holes} == {"now", "last, after step 23"}


def test_the_steps_are_looked_through_once_for_all_holes(monkeypatch: pytest.MonkeyPatch) -> None:
    sheet, asked = firewall(), Counter[str]()
    layout = panel_layout(sheet, [four("M6")], ())
    layouts = with_work([layout], [sheet], [four("M6")], (), InstallOrder(tasks=(), needs=()), FOUR_TENTHS)
    assert sum(h.work.task == "part:p" for h in layouts[0].holes) > 1

    def counted(name: str) -> Callable[[Guide], dict[str, int]]:
        def none(_guide: Guide) -> dict[str, int]:
            asked[name] += 1
            return {}

        return none

    for name in ("waits_for", "first_steps"):
        monkeypatch.setattr(waits, name, counted(name))
    numbered(layouts, Guide(title="t", revision="r", before=(), phases=()))
    assert asked == {"waits_for": 1, "first_steps": 1}


def test_the_words() -> None:
    opened = HoleWork(when="open", how="there")
    assert when_words(opened, 12.0, 8.0) == "open up: Ø8 mm there → Ø12 mm"
    assert when_words(opened, 12.0, 12.0) == "open up"
    assert when_words(HoleWork(when="close", how="there"), 38.1, 38.1) == "close it"
    assert HoleWork(how="guide", part="g", part_title="drill guide").way == "through the drill guide"


def test_two_holes_over_one_opening_of_a_part_are_one_place_of_it() -> None:
    """A corner of p a millimetre from one of q, both drilled through q: as true to each other as can be, and no pair
    to lay p by. A wrong design, which rules say, and never a traceback."""
    holes, found = worked(four("M6", "q"), shifted(four("M6", "p"), 101.0, 60.0))
    assert {f.severity for f in found} & {Severity.WARN, Severity.FAIL}
    places = {(h.u_mm, h.v_mm) for h in holes.values() if "p" in h.work.locates}
    assert len(places) == 2
    assert math.dist(*places) > 50.0


def shifted(part: PlacedPart, right_mm: float, up_mm: float) -> PlacedPart:
    mount = part.spec.mount
    assert mount is not None
    at = replace(mount.at, u_mm=mount.at.u_mm + right_mm, v_mm=mount.at.v_mm + up_mm)
    return replace(part, spec=replace(part.spec, mount=replace(mount, at=at)))


def test_a_part_whose_bolts_meet_in_one_place_has_nothing_to_locate_it_by() -> None:
    """Two holes of the panel a millimetre apart over the one bolt of a part."""
    holes, _ = worked(four("M6", "q"), on(plate(bolt("m_0", -49.0, -30.0, "M6"), name="p")))
    assert not any("p" in h.work.locates for h in holes.values())


VAN = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


@pytest.mark.parametrize(("thick", "led"), [("2 mm", False), ("3.4 mm", False), ("3.5 mm", True)])
def test_a_drill_longer_in_its_point_than_the_part_is_thick_does_not_mark_it(thick: str, led: bool) -> None:
    """By hand: the point of 118 deg (DIN 338) of an 11.5 mm drill is 5.75 / tan 59 deg = 3.455 mm long."""
    text = VAN.read_text(encoding="utf-8")
    plate = 'kind = "fitting_plate"\nmaterial = "1008 steel"\nthickness = "2 mm"'
    assert plate in text
    layouts = prepare(VAN, text=text.replace(plate, plate.replace("2 mm", thick))).layouts
    work = next(h.work for h in layouts[0].holes if h.number == "11")
    assert (work.spot, work.scribed) == (("twist drill 11.5 mm", False) if led else ("", True))
    assert work.bared(12.0)
    # 8.7 mm through the 4 mm of the hanger: 2.61 mm of point
    mine = [h.work for h in layouts[0].holes if h.work.how == "part" and h.work.part == "clutch_hanger"]
    assert not any(w.scribed for w in mine if w.spot)
    assert any(w.spot for w in mine)
