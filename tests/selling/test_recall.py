"""Which kits carry something that changed since, and the letter for each."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from calling import call
from issue.finished import silent
from issue.small import TEXT
from pypdfium2 import PdfDocument

from generators.errors import LookupFault
from generators.jobs.sold.enter import serial_for
from generators.jobs.sold.files import job_of, write_recall
from generators.jobs.sold.recall import recall
from generators.jobs.verify import verify
from generators.model.sold.code import KitCode
from generators.model.sold.recall import Recall, recall_data, recall_of
from generators.register.kits import by_serial
from generators.register.store import reading, register_path
from generators.sheets.kit.letters import letter_text
from generators.solve.job import prepare

WHY, DO = "the wire was measured wrong", "do not drill hole 1"
VARIANT = """
[[variant]]
name = "other"
  [variant.set]
  "panel[left].hole[wire].at.v" = "120 mm"
"""


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "small.toml"
    path.write_text(TEXT + VARIANT, encoding="utf-8")
    for order, form in (("order 1", ""), ("order 2", "other")):
        serial_for(prepare(path, variant=form), tmp_path, order=order, day="2026-11-29")
    return path


def changed(spec: Path, was: str, now: str) -> None:
    text = spec.read_text(encoding="utf-8")
    assert was in text
    spec.write_text(text.replace(was, now, 1), encoding="utf-8")


def recalled(spec: Path, only: str = "") -> Recall:
    return recall(register_path(spec.parent), prepare(spec), why=WHY, do=DO, only=only)


def test_nothing_is_recalled_where_nothing_changed(spec: Path) -> None:
    changed(spec, 'title = "Two panels, invented"', 'title = "Two panels, all invented"')
    assert (recalled(spec).kits, recalled(spec).looked_at) == ((), 2)


def test_each_kit_is_held_against_its_own_form(spec: Path) -> None:
    # the place up is set by the variant: a change of the job's own does not touch order 2
    changed(spec, 'v = "100 mm" }', 'v = "103 mm" }')
    (kit,) = recalled(spec).kits
    assert (kit.serial, kit.order, kit.variant) == ("small-0001", "order 1", "")
    (one,) = kit.changed
    assert one.line.startswith("hole 1 of the left panel, wire: moved; where it was drilled")
    # the panel has no hole of its own to measure from
    assert (
        "3 mm: from 100 mm right, 100 mm up to 100 mm right, 103 mm up, counted from the panel's" in one.line
    )
    changed(spec, 'thickness = "2 mm"', 'thickness = "3 mm"')
    both = recalled(spec)
    assert [[c.kind for c in k.changed] for k in both.kits] == [["hole", "part"], ["part"]]
    assert [k.order for k in recalled(spec, "left/wire").kits] == ["order 1"]
    with pytest.raises(LookupFault, match="left/wires"):
        recalled(spec, "left/wires")


def test_a_moved_hole_is_counted_from_the_nearest_old_hole(spec: Path) -> None:
    old = """  [[panel.existing]]
  name = "cable"
  at = ["{}", "70 mm"]
  diameter = "20 mm"
  what = "cable grommet"
"""
    for name, right in (("near", "60 mm"), ("far", "380 mm")):
        changed(
            spec,
            "  [[panel.hole]]\n",
            old.format(right).replace('"cable"', f'"{name}"') + "  [[panel.hole]]\n",
        )
    serial_for(prepare(spec), spec.parent, order="order 3", day="2026-11-30")
    changed(spec, 'v = "100 mm" }', 'v = "103 mm" }')
    said = next(k for k in recalled(spec, "left/wire").kits if k.order == "order 3")
    # 100 - 60 right, 100 - 70 and 103 - 70 up
    assert "3 mm: from 40 mm right, 30 mm up to 40 mm right, 33 mm up, counted from the middle of hole" in (
        said.changed[0].line
    )
    assert "(cable grommet), as seen by the driver" in said.changed[0].line


MASTER = """
[[component]]
name = "master"
kind = "master"
on = { at = ["0 mm", "0 mm", "100 mm"], facing = "engine" }
diameter = "36 mm"
length = "140 mm"
  [[component.port]]
  name = "outlet"
  at = ["126 mm", "20 mm", "-6 mm"]
  facing = "down"
  dash = 4
"""


def test_a_changed_cylinder_and_a_longer_bolt_are_recalled(spec: Path) -> None:
    spec.write_text(spec.read_text(encoding="utf-8").replace(VARIANT, MASTER + VARIANT), encoding="utf-8")
    serial_for(prepare(spec), spec.parent, order="order 3", day="2026-11-30")
    changed(spec, '"-6 mm"', '"-9 mm"')
    (kit,) = (k for k in recalled(spec, "master").kits if k.order == "order 3")
    assert kit.changed[0].line == (
        "cylinder master: ports, in mm, was outlet at 126 out, 20 right, -6 up, -4, is outlet at 126 out, 20 right, "
        "-9 up, -4"
    )
    # a plate 8 mm thicker: stock lengths go by 5 mm at most here, so the bolt of before is too short
    changed(spec, 'thickness = "2 mm"', 'thickness = "10 mm"')
    (kit,) = (k for k in recalled(spec).kits if k.order == "order 3")
    assert {one.kind for one in kit.changed} == {"cylinder", "part", "bolt"}
    # bolts of one thing that changed alike are one line
    bolts = [one.line for one in kit.changed if one.kind == "bolt"]
    assert bolts == [
        "bolt right/plate: bolt 1, bolt 2, bolt 3, bolt 4: size was 1 bolt M4x0.7 x 16 mm 8.8, is 1 bolt "
        "M4x0.7 x 25 mm 8.8"
    ]


def test_what_was_not_kept_with_an_older_kit_is_said_and_not_compared(spec: Path) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(register_path(spec.parent))) as register:
        for row, text in register.execute("SELECT id, numbers FROM content").fetchall():
            older = {k: v for k, v in json.loads(text).items() if k in ("hole", "part", "hose")}
            register.execute("UPDATE content SET numbers = ? WHERE id = ?", (json.dumps(older), row))
        register.commit()
    said = recalled(spec)
    assert said.kits == ()
    (words,) = said.uncompared_words
    assert "cylinder, fitting, bolt of small-0001, small-0002" in words
    folder = write_recall(said, spec.parent / "out", paper="A4", progress=silent).folder
    assert [r for r in verify(folder, progress=silent) if not r.good] == []
    # a list without it is found wanting
    silenced = write_recall(replace(said, uncompared=()), spec.parent / "other", paper="A4", progress=silent)
    wanted = next(a for a in job_of(said, "A4").artefacts if a.entry.path == "recall.pdf")
    assert wanted.read is not None
    assert "does not say" in wanted.read(silenced.folder / "recall.pdf").problems[0]


def test_a_letter_names_the_revision_of_its_own_form(spec: Path) -> None:
    changed(spec, 'diameter = "10 mm"', 'diameter = "12 mm"')
    forms = [prepare(spec).file.revision, prepare(spec, variant="other").file.revision]
    said = recalled(spec)
    assert [k.now for k in said.kits] == [f"revision {revision}" for revision in forms]
    assert f"Now: {said.kits[1].now}." in letter_text(said, said.kits[1])


def test_what_was_printed_then_decides_not_what_is_computed_now(spec: Path) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(register_path(spec.parent))) as register:
        # an older version of the program had put the hole a hundredth aside
        register.execute(
            "UPDATE content SET numbers = replace(numbers, '\"right\": 100.0', '\"right\": 99.99')"
        )
        register.commit()
    said = recalled(spec)
    assert [k.order for k in said.kits] == ["order 1", "order 2"]
    assert said.kits[0].changed[0].line == "hole left/wire: right was 99.99 mm, is 100.0 mm"


def test_a_form_the_job_no_longer_has_is_said(spec: Path) -> None:
    changed(spec, VARIANT, "")
    (kit,) = recalled(spec).kits
    assert kit.changed[0].line == "variant other: is no form of the job any more"


def test_the_letters_are_made_read_back_and_proven(spec: Path) -> None:
    changed(spec, 'diameter = "10 mm"', 'diameter = "12 mm"')
    said = recalled(spec)
    assert recall_of(json.loads(json.dumps(recall_data(said)))) == said
    folder = write_recall(said, spec.parent / "out", paper="letter", progress=silent).folder
    text = (folder / "letters" / "small-0001.txt").read_text(encoding="utf-8")
    assert text.startswith("To whoever has kit small-0001, order 1\n")
    assert WHY in text
    assert DO in text
    assert "10 mm to 12 mm" in text
    assert "small-0002" not in text
    # each letter's head has the revision of the form it is about, as that form's sheets have it now
    forms = [prepare(spec).file.revision, prepare(spec, variant="other").file.revision]
    assert forms[0] != forms[1]
    for serial, own, not_own in (("0001", *forms), ("0002", *reversed(forms))):
        page = PdfDocument(folder / "letters" / f"small-{serial}.pdf")[0].get_textpage().get_text_range()
        assert f"revision {own}" in page.splitlines()[0] + page.splitlines()[1]
        assert not_own not in page
    assert [r for r in verify(folder, progress=silent) if not r.good] == []
    # a reader that expects another change finds the letter wanting
    other = replace(
        said, kits=tuple(replace(k, changed=(replace(k.changed[0], words="gone"),)) for k in said.kits)
    )
    letter = next(a for a in job_of(other, "letter").artefacts if a.entry.path == "letters/small-0001.pdf")
    assert letter.read is not None
    assert "does not say" in letter.read(folder / letter.entry.path).problems[0]


def test_the_register_answers_on_the_screen(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def sold(*arguments: str) -> int:
        capsys.readouterr()
        return call("sold", *arguments)

    shop = ("--shop", str(spec.parent))
    assert sold("back", "small-0002", "--why", "bent in the post", "--date", "2026-12-01", *shop) == 0
    assert sold("returned", "--json", *shop) == 0
    (kit,) = json.loads(capsys.readouterr().out)["kits"]
    assert (kit["serial"], kit["entries"][0]["words"]) == ("small-0002", "bent in the post")
    assert sold("to", "order 1", *shop) == 0
    assert "small-0001  order 1  2026-11-29  small, revision" in capsys.readouterr().out
    assert sold("to", " order  1", *shop) == 0
    assert sold("to", "order 3", *shop) == 2
    assert sold("note", "small-0007", "hello", *shop) == 2
    assert sold("note", "small-0001", " ", *shop) == 2
    assert sold("note", "small-0001", "hello", "--date", "1.12.", *shop) == 2
    assert sold("list", "--shop", str(spec.parent / "out")) in (2, 4)
    with reading(register_path(spec.parent)) as register:
        kit_one = by_serial(register, "small-0001")
    code = KitCode(serial="small-0001", letter="", revision=kit_one.revision)
    assert sold("scan", code.text, *shop) == 0
    assert "order 1" in capsys.readouterr().out
    assert sold("scan", code.text.replace("0001", "0002"), *shop) == 4
    assert sold("scan", replace(code, letter="B").text, *shop) == 4
    assert "says other content than small-0001 was sold with" in capsys.readouterr().err
    assert sold("recall", str(spec), "--why", WHY, "--do", DO) == 0
    assert "0 of 2 kits sold of small" in capsys.readouterr().out
    assert sold("backup", str(spec.parent / "copy.sqlite"), *shop) == 0
    assert "2 kits, sound" in capsys.readouterr().out
