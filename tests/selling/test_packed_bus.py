"""The bus packed by its papers alone: each thing counted once, told apart, and asked for nowhere else."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from made_once import solved

from generators.jobs.kit.content import Asked, Content
from generators.jobs.make.asked import put_in
from generators.jobs.make.line_sheets import job_guide
from generators.jobs.make.pack_files import box_words, first_words
from generators.model.install import Guide
from generators.model.plan import PartPlan
from generators.model.sold.packing import Thing
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.selling.kit import KitExtra
from generators.model.words import Hand
from generators.sheets.bolting.cylinders import cylinder_words
from generators.sheets.install.drill import SEALANT, is_soft
from generators.sheets.kit.labels import bag_labels, plain_format
from generators.solve.job import Prepared, prepare
from generators.verify.pdf.kit.made import part_problems
from generators.verify.pdf.loose_ends import loose_problems


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return solved("ferrow_bus")


def packed_with(prepared: Prepared, **kit: Any) -> Content:
    """The kit, with other words of ``[kit]`` than the spec has."""
    job = prepared.file.job
    file = replace(prepared.file, job=replace(job, kit=replace(job.kit, **kit)))
    return Content(prepared=replace(prepared, file=file), asked=Asked(serial="FB-0001"))


@pytest.fixture(scope="module")
def content(prepared: Prepared) -> Content:
    return packed_with(prepared)


def sheet_of(content: Content) -> tuple[Guide, Mapping[str, str]]:
    """The install sheet of the kit, and each of its lists as one text."""
    guide = job_guide(content.for_customer, "0000000")
    lists = {
        one.title: " | ".join(" ".join(row) for row in one.table.rows)
        for one in guide.lists
        if one.table is not None
    }
    return guide, lists


OWN, TOOLS, BAGS = "Not in the box: have these yourself", "At hand before you begin", "Parts by bag"


def things(content: Content, bag: str) -> dict[str, Thing]:
    (found,) = (one for one in content.packing.bags if one.title == bag)
    return {thing.item: thing for thing in found.things}


def test_what_goes_along_is_not_asked_for_as_well(content: Content, prepared: Prepared) -> None:
    guide, lists = sheet_of(content)
    assert SEALANT not in lists[OWN]
    assert "paint for bare edges is in bag 4 of 9" in lists[TOOLS]
    assert any("that of bag 4 of 9" in step.how for step in guide.steps)
    # nothing goes along: all of it has to be brought
    none = packed_with(prepared, extra=())
    guide, lists = sheet_of(none)
    assert SEALANT in lists[OWN]
    assert "paint for bare edges is in" not in lists[TOOLS]
    assert not any("that of bag" in step.how for step in guide.steps)


def test_what_comes_printed_is_measured_and_not_printed(content: Content, prepared: Prepared) -> None:
    guide, _ = sheet_of(content)
    paper = next(phase for phase in guide.phases if phase.title == "Paper").steps
    assert "it comes printed, in box 1 of 2, loose" in paper[0].do
    assert not any("panels/" in step.how for step in paper)
    words = first_words(content.packing)
    assert "comes printed, in box 1 of 2, loose" in words
    assert "IN THE 2 BOXES" in words
    bare, _ = sheet_of(packed_with(prepared, extra=()))
    assert any(step.do.startswith("Print page 1") for step in bare.steps)


def test_what_one_has_oneself_is_told_to_its_size(content: Content) -> None:
    """16 mm shaft in cheeks 104 mm apart: the spec's own. Circlips of a shaft want pliers (common practice)."""
    _, lists = sheet_of(content)
    assert "from the vehicle, or made for it: a hub" in lists[OWN]
    assert "the shaft of 16 mm" in lists[OWN]
    assert "together fill the 104 mm between the cheeks" in lists[OWN]
    assert "what secures the pin" in lists[OWN]
    assert "outside circlips on a shaft of 16 mm" in lists[TOOLS]
    assert "the caps and plugs that come on ports and ends" in lists[TOOLS]


def test_sealant_of_another_kind_is_told(prepared: Prepared) -> None:
    """The steps ask for polyurethane or butyl that stays soft: common practice, no source."""
    assert is_soft("Butyl strip")
    assert not is_soft("silicone")
    hard = packed_with(prepared, extra=(KitExtra(item="silicone", serves="sealant"),))
    assert ["serves as sealant" in note for note in hard.notes] == [True]


def test_bags_have_the_same_number_on_every_paper(content: Content) -> None:
    _, lists = sheet_of(content)
    heads = [content.packing.head(bag) for bag in content.packing.bags]
    assert heads[0] == "Bag 1 of 9: Blanking plate for the old rod's hole"
    assert len(heads) == 9
    assert all(head in lists[BAGS] for head in heads)
    labels = bag_labels(content.packing, plain_format("A4", (90.0, 46.0)), "FB-0001")
    assert list(dict.fromkeys(label.head for label in labels if label.head.startswith("Bag"))) == heads
    # two boxes of the spec, each with a label that says what is in it
    boxes = {label.head: label.lines for label in labels if label.head.startswith("Box")}
    assert boxes["Box 2 of 2: cylinders, hoses and lines"] == ("bags 5 to 9",)
    assert all(re.search(r"Box [12] of 2", f"{label.head} {label.foot}") for label in labels)


def test_a_cylinder_is_told_by_its_bore_and_stroke(content: Content) -> None:
    """7/8 in, 22.225 mm, and 1.4 in; 1 1/8 in, 28.575 mm, and 1 1/4 in: the spec's own inches, by hand."""
    master = things(content, "Clutch master cylinder")["Clutch master cylinder"]
    assert "bore 22.23 mm (0.875 in, 7/8), stroke 35.56 mm (1.400 in" in master.size
    assert "ports inlet for -4 hose pushed on, outlet -4" in master.size
    slave = things(content, "Clutch slave cylinder")["Clutch slave cylinder"]
    assert "bore 28.58 mm (1.125 in, 1 1/8), stroke 31.75 mm (1.250 in, 1 1/4)" in slave.size
    assert master.size in master.sized


def test_caps_are_counted_on_every_port_and_end(content: Content) -> None:
    """By hand: master 2 ports, slave 1, reservoir 1, a bulkhead fitting has two, and three lines two ends each;
    the two ends of the tube, which is flared at the vehicle, are closed otherwise before and after."""
    counts = {
        bag.title: sum(t.quantity for t in bag.things if t.kind == "cap") for bag in content.packing.bags
    }
    assert {title: n for title, n in counts.items() if n} == {
        "Clutch master cylinder": 2,
        "Clutch slave cylinder": 1,
        "Clutch reservoir": 1,
        "Fitting in the bulkhead": 2,
        "Hoses and lines": 8,
    }


def test_a_cap_is_one_that_goes_on_its_end(content: Content) -> None:
    """A 37 degree flare fitting has its thread outside and a swivel nut inside (SAE J514): cap and plug."""
    caps = {
        bag.title: {t.item: t.quantity for t in bag.things if t.kind == "cap"} for bag in content.packing.bags
    }
    pipe = "cap to push on, for the pipe of a -4 hose"
    assert caps["Clutch master cylinder"] == {pipe: 1, "-4 cap 7/16-20, screwed on": 1}
    assert caps["Clutch reservoir"] == {pipe: 1}
    assert caps["Fitting in the bulkhead"] == {"-4 cap 7/16-20, screwed on": 2}
    # one hose with swivel nuts, one bare tube of a quarter inch, one cut hose
    assert caps["Hoses and lines"] == {
        "-4 plug 7/16-20, screwed in": 2,
        "cap to push on, for 6.35 mm tube": 2,
        "plug for the bore of -4 hose, 12 mm outside": 2,
    }
    labels = [t for bag in content.packing.bags for t in bag.things if t.kind == "label"]
    assert [t.quantity for t in labels] == [4, 2]


def test_a_part_is_told_by_its_size_and_a_cylinder_by_what_is_written_in(content: Content) -> None:
    """The spec's own outside lengths of the reservoir's bracket: 96 wide, 58 high, a shelf of 92."""
    bracket = things(content, "Clutch reservoir bracket")["Clutch reservoir bracket"]
    assert "96 x 92 x 58 mm outside, 4 holes" in bracket.size
    master = things(content, "Clutch master cylinder")["Clutch master cylinder"]
    assert master.size.endswith("with its own studs, 2 × M8")
    written = {t.item for bag in content.packing.bags for t in bag.things if t.written}
    assert written == {
        "Clutch master cylinder",
        "Clutch reservoir",
        "Clutch slave cylinder",
        "-4 bulkhead fitting, 90 degree, 7/16-20 UNJF-3B nut and two washers",
    }


def test_the_pivot_shaft_is_told_by_length_and_ends(content: Content, prepared: Prepared) -> None:
    """104 mm inside and two cheeks of 4 mm: 112 mm over both."""
    shaft = things(content, "Carried clutch hanger")["pivot shaft with what holds its ends"]
    assert shaft.size.startswith(
        "16 mm, 126 mm long, 112 mm over the cheeks; ends: on each a washer M16 ISO 7089"
    )
    assert not [note for note in content.notes if "pivot shaft" in note]
    silent = tuple(replace(m, ends="") if m.form == "shaft" else m for m in prepared.fasteners)
    bare = packed_with(replace(prepared, fasteners=silent))
    assert ["pivot_shaft_ends" in note for note in bare.notes] == [True]


def test_plain_nuts_are_asked_for_where_a_locking_nut_would_be_undone(content: Content) -> None:
    guide, lists = sheet_of(content)
    # the master's two studs M8 stay loose until the rigid line is on
    assert "in place of its locking nuts: 2 × M8" in lists[TOOLS]
    (master,) = (step for step in guide.steps if step.do.startswith("Fit the clutch master cylinder"))
    (line,) = (step for step in guide.steps if step.do.startswith("Fit the line from the bulkhead"))
    assert "Till then plain nuts hold it" in master.how
    assert "every bolt with a locking nut" not in master.how
    assert "a locking nut in place of each plain one" in line.how
    # read back in the steps themselves
    ends = put_in(content.lines, content.prepared.fasteners)
    assert [(end.fitting, end.plain) for end in ends] == [("clutch master cylinder", True)]
    pages = [f"\u274f {k}. {step.do} {step.how}" for k, step in enumerate(guide.steps, 1)]
    assert list(loose_problems(pages, ends)) == []
    without = [page.replace("plain nuts", "nuts").replace("each plain one", "each") for page in pages]
    assert len(list(loose_problems(without, ends))) == 2
    # both ends of the tube are flared before it is bent: it is tried in wire, and wire has to be there
    assert line.how.index("try a wire") < line.how.index("flare the end")
    assert "stiff wire to bend and try in place first, 158 mm at least" in lists[TOOLS]


def test_ends_on_a_hose_are_not_looked_for_loose(content: Content) -> None:
    ends = things(content, "Hoses and lines")["-4 hose end, 37 degree swivel"]
    assert (ends.on_hose, ends.sized) == (
        True,
        "2 × -4 hose end, 37 degree swivel: on the hose, for 9 mm outside",
    )
    said = dict(box_words(content.items, content.packing))
    assert "-4 hose end, 37 degree swivel (already on the hose) ×2" in said["Ends of hoses and lines"]
    assert "touch-up paint, 20 ml; polyurethane seam sealer" in said["Besides"]


def test_how_the_bolts_come_says_which_torque_is_theirs(content: Content, prepared: Prepared) -> None:
    _, lists = sheet_of(content)
    assert "Bolts, nuts and washers: plated" in content.facts()
    assert "theirs is the second, the lower one" in lists["How tight"]
    open_ = packed_with(prepared, bolts="")
    assert not [fact for fact in open_.facts() if fact.startswith("Bolts")]
    assert ["kit.bolts" in note for note in open_.notes] == [True]
    plain = packed_with(prepared, bolts="plain")
    assert "theirs is the first, dry" in sheet_of(plain)[1]["How tight"]


def test_nothing_is_told_to_be_cut_that_comes_cut(content: Content) -> None:
    guide, _ = sheet_of(content)
    words = " ".join(one.words for one in guide.lists)
    assert "Nothing of it is to be cut" in words
    assert "Cut nothing" not in words
    assert not [fact for fact in content.facts() if "No issue letter" in fact]


def test_a_tube_that_is_measured_is_cut_at_the_vehicle(prepared: Prepared) -> None:
    """The tube, 157.84 mm by the model, with `measure`: a longer piece lies in the bag, and it says so."""
    lines = prepared.lines
    asked = tuple(
        replace(h, measure_why="the spec asks to measure it") if h.spec.kind == "rigid" else h
        for h in lines.hoses
    )
    content = packed_with(replace(prepared, lines=replace(lines, hoses=asked)))
    tube = things(content, "Hoses and lines")["-4 steel tube, 6.35 mm outside"]
    assert tube.size.startswith("measured and cut at the vehicle: a piece longer than 157.84 mm")
    _, lists = sheet_of(content)
    assert "measured and cut at the vehicle: a piece longer than 157.84 mm" in lists[BAGS]


def test_two_masters_of_one_pedal_are_told_apart_by_their_lines_or_holes() -> None:
    """A balance bar works two masters: which is which the circuit of the line says, or the hanger's hole."""
    special = solved("tarn_special")
    content = Content(prepared=special, asked=Asked(serial="T-0001"))
    assert [note for note in content.notes if "bore and stroke" in note] == []
    sheets = [pedal.sheet() for pedal in special.pedals]
    (brake,) = (sheet for sheet in sheets if sheet.spec.brake is not None)
    assert brake.spec.brake is not None
    hoses = {"front": "front_hose", "rear": "rear_hose"}
    lines = tuple(replace(line, hose=hoses[line.circuit]) for line in brake.spec.line)
    other: Hand = "left" if brake.spec.brake.front_side == "right" else "right"
    over = replace(brake.spec, brake=replace(brake.spec.brake, front_side=other))
    # a hanger of that name carries none of the job's masters
    elsewhere = replace(brake.spec, hanger="another")

    def said(spec: Pedal) -> dict[str, str]:
        told = [replace(brake, spec=spec) if s is brake else s for s in sheets]
        masters = (c for c in content.lines.components if c.kind == "master")
        return {c.title: cylinder_words(c, content.lines, told) for c in masters}

    front, rear = "Front brake master cylinder", "Rear brake master cylinder"
    # the spec's own bores, mm; by the hole, by the line against the hole, and by nothing at all
    for spec, first, second in (
        (brake.spec, "17.80", "19.00"),
        (over, "19.00", "17.80"),
        (replace(over, line=lines), "17.80", "19.00"),
        (replace(elsewhere, line=lines), "17.80", "19.00"),
    ):
        names = said(spec)
        assert names[front].startswith(f"bore {first} mm")
        assert names[rear].startswith(f"bore {second} mm")
    names = said(elsewhere)
    assert not any("17.80" in names[title] or "19.00" in names[title] for title in (front, rear))


PLATES = """
[job]
name = "plates"
title = "Plates, invented"
"""


def plate(name: str, title: str, opening_mm: int, bolts: int) -> str:
    """A round plate over a hole, 15 mm wider all round, in the bag of all plates."""
    return f"""
[[part]]
name = "{name}"
title = "{title}"
bag = "Flat things"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"
[part.parameters]
shape = "round"
opening = "{opening_mm} mm"
overlap = "15 mm"
bolts = {bolts}
bolt_thread = "M4"
"""


def plates_packed(folder: Path, text: str) -> tuple[str, list[PartPlan]]:
    """The lines of their bag as a reader has them, without blanks, and the plates."""
    spec = folder / "plates.toml"
    spec.write_text(PLATES + text, encoding="utf-8")
    plates = prepare(spec)
    (bag,) = Content(prepared=plates, asked=Asked(serial="P-0001")).packing.bags
    lines = "".join(f"\u274f\u274f{thing.words} {thing.size} {thing.uses}" for thing in bag.things)
    return "".join(lines.split()), [part.plan for part in plates.parts]


def test_parts_of_one_name_are_told_with_how_many_of_each_size(tmp_path: Path) -> None:
    """30 and 50 mm of hole are 60 and 80 mm of plate: one line of three, and the reader takes no other split."""
    text = plate("a", "Plate", 30, 4) + plate("b", "Plate", 50, 6) + plate("c", "Plate", 50, 6)
    section, plans = plates_packed(tmp_path, text)
    assert "3×Plate" in section
    assert "1of60x60x2mmoutside,4holes" in section
    assert "and2of80x80x2mmoutside,6holes" in section
    assert list(part_problems(section, plans)) == []
    for old, new, said in (
        ("2of80", "1of80", "of which size how many of the 3"),
        ("1of60x60", "1of61x61", "folded one side is 60.00 mm"),
        ("6holes", "5holes", "its blank has 6"),
    ):
        assert any(said in p for p in part_problems(section.replace(old, new), plans))


def test_a_part_whose_name_begins_as_anothers_is_read_by_its_own_line(tmp_path: Path) -> None:
    text = plate("a", "Flat", 30, 4) + plate("b", "Flat 2", 50, 6)
    section, plans = plates_packed(tmp_path, text)
    assert list(part_problems(section, plans)) == []
    swapped = section.replace("60x60", "?").replace("80x80", "60x60").replace("?", "80x80")
    assert len(list(part_problems(swapped, plans))) == 4
