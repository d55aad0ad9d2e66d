"""What hangs on the job and lies in no bag: named beside the bags, in the list of own things and in its step."""

from __future__ import annotations

import pytest
from finished_words import Sheet

from generators.jobs.make.asked import asked_of
from generators.verify.steps.own import own_problems
from generators.verify.steps.text import steps_of


def problems(sheet: Sheet, *changes: tuple[str, str]) -> list[str]:
    text = sheet.text
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    asked = asked_of(sheet.job)
    return list(own_problems(steps_of([text]), asked.hubs, asked.seats))


def test_every_hub_and_bracket_is_told_in_all_three_places(sheet: Sheet) -> None:
    asked = asked_of(sheet.job)
    hangers = {p.spec.name for p in sheet.job.parts if "hanger" in p.plan.kind}
    assert len(asked.hubs) == sum(pedal.spec.hanger in hangers for pedal in sheet.job.pedals)
    assert problems(sheet) == []


def test_the_room_of_a_hub_is_that_of_its_cheeks(sheet: Sheet) -> None:
    by_name = {"wrenfield_van": 108.0, "dray_tractor": None, "ferrow_bus": None, "tarn_special": 254.0}
    wanted = by_name[sheet.job.file.job.job.name]
    for hub in asked_of(sheet.job).hubs:
        if wanted is not None:
            assert hub.between_mm == pytest.approx(wanted)
        assert f"{hub.told} but for 0.2 mm to 0.5 mm of play sideways" in sheet.text


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("from the vehicle, or made for it: a hub", "a hub"),
        ("comes from the vehicle, or was made for it", "is there"),
        ("itself, with its hub, bush and spacers", "itself"),
    ],
)
def test_a_place_that_is_silent_is_found(sheet: Sheet, old: str, new: str) -> None:
    if asked_of(sheet.job).hubs:
        assert problems(sheet, (old, new))


def test_another_width_is_found(sheet: Sheet) -> None:
    for hub in asked_of(sheet.job).hubs:
        assert problems(sheet, (hub.told, hub.told.replace("fill the ", "fill the 1")))


def test_a_bracket_nobody_brings_is_found_when_it_is_not_told(sheet: Sheet) -> None:
    for seat in asked_of(sheet.job).seats:
        for old in (
            f"the bracket the {seat.title} goes on",
            "which this job does not bring",
            "a bracket on the vehicle",
        ):
            assert problems(sheet, (old, "it"))
