"""How a change is written: numbers in the user's unit, values in place, names as the spec has them."""

from __future__ import annotations

import tomllib

import pytest
from typed import Printed, typed

from generators.errors import LookupFault
from generators.model.changes import BaseUnit, Change, Insert, NewTable, Proposal, Rounding, Shift
from generators.reading.toml.edits import Setting, edited
from generators.reading.toml.named import named_path, spec_path
from generators.reading.toml.source import TomlSource, parse_bytes
from generators.solve.mends.numbers import written
from generators.solve.mends.shifts import changes_of
from generators.solve.mends.writing import draft

SPEC = """# measured on Sunday
[job]
name = "toy"   # invented
[[panel]]
name = "firewall"
outline = [["0 mm", "0 mm"], ["1 in", "0 mm"]]
  [[panel.hole]]
  name = "clamp"
  at = { u = "1 1/4 in", v = "20 mm" }  # from the corner
  [[panel.pattern]]
  name = "flange"
  label = "pump"
  at = { u = "10 mm", v = "0 mm" }
[[part]]
name = "left"
opposite = { name = "right", mount = { at = { u = "3 mm", v = "4 mm" } } }
  [part.parameters]
  width = "96 mm"
[[clamp_row]]
name = "row"
dash = 5
panel = "firewall"
start = ["0 mm", "5 mm"]
end = ["100 mm", "5 mm"]
[[hose]]
name = "feed"
clamps = ["row", "last"]
"""


def source(text: str = SPEC) -> TomlSource:
    return parse_bytes("toy.toml", text.encode())


def changed(*settings: tuple[str, str], text: str = SPEC) -> str:
    there = source(text)
    return edited(there, [Setting(path=spec_path(there.table, path), text=value) for path, value in settings])


@pytest.mark.parametrize(
    ("value", "unit", "was", "rounding", "wanted"),
    [
        # 1 in = 25.4 mm exactly (international inch, 1959); the rest is arithmetic by hand
        (-134.0, "mm", "-120 mm", "down", "-134 mm"),
        (92.85, "mm", "85.25 mm", "up", "92.85 mm"),
        (92.851, "mm", "85.25 mm", "up", "92.86 mm"),
        (100.04, "mm", "96 mm", "up", "100.1 mm"),
        (100.06, "mm", "96 mm", "down", "100 mm"),
        (19.05, "mm", "20 mm", "exact", "19.05 mm"),
        (19.05, "mm", "20 mm", "near", "19 mm"),
        (17.4625, "mm", "3/4 in", "exact", "11/16 in"),
        (-92.85, "mm", "-2 3/4 in", "down", "-3 11/16 in"),  # 3.6555 in, next sixteenth 3.6875 in
        (449.5, "mm", "16 in", "up", "17 3/4 in"),  # 17.697 in
        (460.6, "mm", "20 in", "down", "18 1/8 in"),  # 18.134 in
        (38.1, "mm", "1.4 in", "near", "1.5 in"),
        (30.0, "mm", "3 cm", "near", "3 cm"),
        (30.06, "mm", "3 cm", "up", "3.01 cm"),
        (12.0, "cc", "5 cc", "up", "12 cc"),
        (16.387064, "cc", "0.5 in3", "up", "1 in3"),  # 1 in3 = 2.54^3 cc
        (10.0, "mm", "", "near", "10 mm"),
        (12.04, "deg", "9 deg", "up", "12.1 deg"),
    ],
)
def test_a_number_stays_in_its_unit(
    value: float, unit: BaseUnit, was: str, rounding: Rounding, wanted: str
) -> None:
    assert written(value, unit, was, rounding) == wanted


def test_only_the_value_changes() -> None:
    new = changed(
        ("panel[firewall].hole[clamp].at.u", '"1 1/2 in"'), ("panel[firewall].outline[1][0]", '"9 mm"')
    )
    assert new == SPEC.replace("1 1/4 in", "1 1/2 in").replace('["1 in"', '["9 mm"')


@pytest.mark.parametrize(
    ("path", "wanted"),
    [
        ("panel[firewall].hole[clamp].at.from", 'v = "20 mm", from = 1 }  # from the corner'),
        ("part[left].parameters.height", "  [part.parameters]\n  height = 1\n  width"),
        ("part[right].parameters.height", "  [part.parameters]\n  height = 1\n  width"),
        ("panel[firewall].mount.at.u", '[[panel]]\nmount.at.u = 1\nname = "firewall"'),
        ("hose[feed].made_up", '[[hose]]\nmade_up = 1\nname = "feed"'),
    ],
)
def test_a_new_key_goes_into_its_table(path: str, wanted: str) -> None:
    new = changed((path, "1"))
    assert wanted in new
    assert new.replace("height = 1\n  ", "").count("\n") - SPEC.count("\n") in (0, 1)
    tomllib.loads(new)


def test_windows_line_ends_are_kept() -> None:
    new = changed(
        ("hose[feed].made_up", "1"),
        ("part[left].parameters.width", '"9 mm"'),
        text=SPEC.replace("\n", "\r\n"),
    )
    assert tomllib.loads(new.replace("\r\n", "\n"))["hose"][0]["made_up"] == 1
    assert new.count("\r\n") == SPEC.count("\n")


def test_a_last_line_without_an_end_takes_a_key() -> None:
    text = SPEC.rstrip("\n") + "\n[job.more]"
    assert changed(("job.more.made", "1"), text=text).endswith("[job.more]\nmade = 1")


@pytest.mark.parametrize(
    ("path", "wanted"),
    [
        ("part[right].mount.at.u", "part[left].opposite.mount.at.u"),
        ("part[right].parameters.width", "part[left].parameters.width"),
        ("clamp[row_2].dash", "clamp_row[row].dash"),
        ("panel[firewall].pattern[pump].at.u", "panel[firewall].pattern[pump].at.u"),
        ("clamp_row[row].start[1]", "clamp_row[row].start[1]"),
    ],
)
def test_a_path_is_printed_as_the_spec_has_it(path: str, wanted: str) -> None:
    """Both hands of a part, and the clamps of a row, are one table of the spec."""
    table = source().table
    assert named_path(table, spec_path(table, path)) == wanted


@pytest.mark.parametrize("path", ["part[none].mount", "clamp[row].dash", "clamp_row[row].start[2]"])
def test_a_name_that_is_not_there_is_none(path: str) -> None:
    with pytest.raises(LookupFault):
        spec_path(source().table, path)


@pytest.mark.parametrize(
    ("thing", "paths"),
    [
        ("part:left", ["part[left].mount.at.u"]),
        ("hole:firewall/clamp", ["panel[firewall].hole[clamp].at.u"]),
        ("hole:firewall/left.mount_1", ["part[left].mount.at.u"]),
        ("hole:firewall/pump_3", ["panel[firewall].pattern[pump].at.u"]),
        ("hole:firewall/row_2", ["clamp_row[row].start[0]", "clamp_row[row].end[0]"]),
    ],
)
def test_what_moves_a_hole_is_found(thing: str, paths: list[str]) -> None:
    found = changes_of(Shift(thing=thing, u=5.0), None, source().table)  # type: ignore[arg-type]
    assert [(change.path, change.by) for change in found] == [(path, 5.0) for path in paths]


def test_a_clamp_more_is_a_table_and_its_name() -> None:
    """Put before the second clamp of a row it would divide the row, which is one name in the spec."""
    table = NewTable(kind="clamp", keys=(("name", '"held"'), ("dash", "5")))
    for before, wanted in (
        ("", ["row", "last", "held"]),
        ("last", ["row", "held", "last"]),
        ("row_1", ["held", "row", "last"]),
    ):
        step = Insert(path="hose[feed].clamps", name="held", before=before)
        one = draft(Proposal(words="hold it", steps=(table, step)), source(), None)  # type: ignore[arg-type]
        assert one is not None
        new = tomllib.loads(one.text)
        assert new["hose"][0]["clamps"] == wanted
        assert new["clamp"] == [{"name": "held", "dash": 5}]


def test_lines_of_a_change_hold_while_it_is_typed_as_printed() -> None:
    """Two keys that are new, one in braces, one value replaced below each: asked for from the top."""
    steps = (
        Change(path="panel[firewall].thickness", to=1.5),
        Change(path="panel[firewall].hole[clamp].at.from", word="flange"),
        Change(path="panel[firewall].hole[clamp].at.u", by=10.0),
        Change(path="part[left].parameters.height", to=40.0),
        Change(path="part[left].parameters.width", to=100.0),
        Change(path="hose[feed].made_up", to=300.0),
    )
    one = draft(Proposal(words="", steps=steps), source(), None)  # type: ignore[arg-type]
    assert one is not None
    # line numbers counted by hand in SPEC
    assert [edit.words for edit in one.edits] == [
        'made_up = "300 mm"  # new, under line 25, hose[feed]',
        'part[left].parameters.width = "100 mm"  # line 18, was "96 mm"',
        'height = "40 mm"  # new, under line 17, part[left].parameters',
        'panel[firewall].hole[clamp].at.u = "1 11/16 in"  # line 9, was "1 1/4 in"',
        'from = "flange"  # new, in the braces of line 9, panel[firewall].hole[clamp].at',
        'thickness = "1.5 mm"  # new, under line 4, panel[firewall]',
    ]
    values = tuple(edit.words for edit in one.edits)
    change = Printed(severity="fail", code="", words="", values=values, tables=())
    assert tomllib.loads(typed(SPEC, change)) == tomllib.loads(one.text)


def test_how_far_is_said_in_the_users_unit() -> None:
    change = Change(path="panel[firewall].hole[clamp].at.u", by=11.0)
    one = draft(Proposal(words="move it {by}", steps=(change,)), source(), None)  # type: ignore[arg-type]
    assert one is not None
    # 1 1/4 in and 11 mm is 1.683 in; to the next sixteenth, 1 11/16 in, it is 7/16 in
    assert (one.words, one.edits[0].words) == (
        "move it 7/16 in",
        'panel[firewall].hole[clamp].at.u = "1 11/16 in"  # line 9, was "1 1/4 in"',
    )


def test_a_change_that_changes_nothing_is_none() -> None:
    change = Change(path="panel[firewall].hole[clamp].at.v", to=20.0)
    assert draft(Proposal(words="", steps=(change,)), source(), None) is None  # type: ignore[arg-type]
    nowhere = Change(path="panel[toe_board].hole[clamp].at.v", to=21.0)
    assert draft(Proposal(words="", steps=(nowhere,)), source(), None) is None  # type: ignore[arg-type]
