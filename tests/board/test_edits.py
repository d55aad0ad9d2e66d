"""Changes from the page: the key asked for and no other; units, fractions and comments stay."""

from __future__ import annotations

import copy
import difflib
import random
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from generators.board.edits import changed, differing, values_of
from generators.board.history import History, delta
from generators.board.numbers import Refused, added, has_steps, stepped, typed
from generators.model.spec.job import Job
from generators.parts import KINDS
from generators.reading import read_job
from generators.reading.sizes.terms import Amount, worked_out
from generators.reading.sizes.tokens import Piece, Slip
from generators.reading.toml.paths import parse_path
from generators.reading.toml.source import TomlSource, parse_bytes

SPEC = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


@pytest.fixture(scope="module")
def source() -> TomlSource:
    """The demo's text, parsed."""
    return parse_bytes(str(SPEC), SPEC.read_bytes())


@pytest.fixture(scope="module")
def job() -> Job:
    """The demo's job."""
    return read_job(SPEC, {f.name: f.parameters for f in KINDS}).job


@pytest.mark.parametrize(
    ("value", "ups", "size", "wanted"),
    [
        # by hand: a mm goes up by a mm, an inch written as a fraction by 1/16, a decimal one by 0.1
        ("38 mm", 1, "usual", '"39 mm"'),
        ("38 mm", -1, "fine", '"37.9 mm"'),
        ("38.50 mm", 1, "coarse", '"48.5 mm"'),
        ("0 mm", -1, "usual", '"-1 mm"'),
        ("1 1/2 in", 1, "usual", '"1 9/16 in"'),
        ("1-1/2 in", 1, "fine", '"1 17/32 in"'),
        ("15/16 in", 1, "usual", '"1 in"'),
        ("1/16 in", -1, "usual", '"0 in"'),
        ("1/16 in", -2, "usual", '"-1/16 in"'),
        ("-3 1/4 in", 1, "usual", '"-3 3/16 in"'),
        ("3 in", 1, "usual", '"3 1/16 in"'),
        ("0.75 in", 1, "usual", '"0.85 in"'),
        ("12 deg", 1, "coarse", '"17 deg"'),
        ("14 ga", 1, "usual", '"15 ga"'),
        ("1.5 cm", 1, "usual", '"1.6 cm"'),
        (4, 1, "usual", "5"),
        (4, 1, "coarse", "14"),
        (0.35, 1, "fine", "0.36"),
        (1.0, -1, "coarse", "0.0"),
        (True, 1, "usual", "false"),
    ],
)
def test_a_step_keeps_the_unit_and_the_fraction(value: Any, ups: int, size: Any, wanted: str) -> None:
    assert stepped(value, ups, size) == wanted


@pytest.mark.parametrize("value", ["firewall", "M8", "#10", "", "1/0 in", "5 to 6 mm"])
def test_what_is_no_number_has_no_steps(value: str) -> None:
    assert not has_steps(value)


@pytest.mark.parametrize(
    ("value", "text", "wanted"),
    [
        ("38 mm", "40", '"40 mm"'),
        ("38 mm", "40 mm", '"40 mm"'),
        ("38 mm", " 1 1/2 in ", '"1 1/2 in"'),
        ("1 1/2 in", "1 5/8", '"1 5/8 in"'),
        ("1 1/2 in", ".75", '".75 in"'),
        ("-64 mm", "-60.5", '"-60.5 mm"'),
        ("firewall", "bulkhead", '"bulkhead"'),
        ("a note", 'say "so"', '"say \\"so\\""'),
        (4, "6", "6"),
        # whether a key takes decimals is for the reader to say
        (6, "6.5", "6.5"),
        ("120 mm", "floor", '"floor"'),
        (0.35, "0.4", "0.4"),
        (0.35, "1", "1.0"),
        (True, "false", "false"),
    ],
)
def test_what_is_typed_takes_the_unit_that_stands_there(value: Any, text: str, wanted: str) -> None:
    assert typed(value, text) == wanted


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("38 mm", "3 kg"),
        ("38 mm", "wide"),
        ("38 mm", ""),
        ("38 mm", "4\u0007"),
        ("38 mm", "4\n[job]"),
        (4, "4,5"),
        (0.35, "nan"),
        (True, "yes"),
        (["38 mm"], "4"),
        ("x", "y" * 301),
    ],
)
def test_what_cannot_stand_there_is_refused(value: Any, text: str) -> None:
    with pytest.raises(Refused):
        typed(value, text)


def test_a_move_is_in_the_units_of_the_spec(source: TomlSource, job: Job) -> None:
    move = {"do": "move", "thing": "hole:firewall/clamp_foot", "u": 3.0, "v": -1.04}
    done = changed(source, job, move)
    # by hand: clamp_foot is 74 mm right of and 64 mm under heater_pipe; to 0.1 mm
    assert [one.text for one in done.settings] == ['"77 mm"', '"-65 mm"']
    text = source.text.replace('u = "74 mm", v = "-64 mm"', 'u = "3 1/4 in", v = "-2.5 in"', 1)
    inches = parse_bytes("a.toml", text.encode())
    done = changed(inches, job, move)
    # 3 1/4 in + 3 mm = 3.3681 in, to 1/32: 3 12/32; -2.5 in - 1.04 mm = -2.5409 in, to 0.01
    assert [one.text for one in done.settings] == ['"3 3/8 in"', '"-2.54 in"']


@pytest.mark.parametrize(
    ("arithmetic", "by", "wanted"),
    [
        # by hand: what it comes from stays, the millimetres after it are added up
        ("pitch", 1.0, "pitch + 1 mm"),
        ("pitch + 1 mm", 2.5, "pitch + 3.5 mm"),
        ("pitch + 1 mm", -1.0, "pitch"),
        ("pitch - 1 mm", -0.5, "pitch - 1.5 mm"),
        ("pitch - 1 mm", 3.0, "pitch + 2 mm"),
        ("(wide - gap) / 2", 1.0, "(wide - gap) / 2 + 1 mm"),
        ("2 * (gap + 1 mm)", 1.0, "2 * (gap + 1 mm) + 1 mm"),
        ("3 gap", -4.0, "3 gap - 4 mm"),
        # a sign after a sign is no sum's
        ("2 * -5 mm", 1.0, "2 * -5 mm + 1 mm"),
        ("pitch - -5 mm", 1.0, "pitch - -5 mm + 1 mm"),
        ("--5 mm", 1.0, "--5 mm + 1 mm"),
        ("-5 mm", 1.0, "-5 mm + 1 mm"),
        ("pitch + 1/2 in", 1.0, "pitch + 1/2 in + 1 mm"),
        ("pitch - 1-1/2 mm", 1.0, "pitch - 1-1/2 mm + 1 mm"),
        ("10 mm / (2 - 1)", 1.0, "10 mm / (2 - 1) + 1 mm"),
    ],
)
def test_a_length_that_is_worked_out_stays_so(arithmetic: str, by: float, wanted: str) -> None:
    assert added(arithmetic, by) == wanted
    # it is moved by just as much, whatever the sizes are
    was, now = worked_out(arithmetic, sized), worked_out(wanted, sized)
    assert now.value - was.value == Fraction(str(by))


def sized(piece: Piece) -> Amount:
    """Any sizes: lengths that are no round numbers."""
    if piece.name == "lean":
        return Amount(Fraction(1, 7), (0, 1, 0))
    if piece.name not in ("edge", "gap", "pitch", "wide"):
        raise Slip(piece.at, "another name", "a size")
    return Amount(Fraction(sum(map(ord, piece.name)), 7), (1, 0, 0))


@pytest.mark.parametrize(
    ("value", "ups", "wanted"),
    [
        ("3 edge", 1, '"3 edge + 1 mm"'),
        ("10 mm*2", 1, '"10 mm*2 + 1 mm"'),
        ("edge - 117 mm", -1, '"edge - 118 mm"'),
        ("lean / 2", 1, '"lean / 2 + 1 deg"'),
    ],
)
def test_a_step_of_arithmetic_is_a_step_of_what_it_comes_to(value: str, ups: int, wanted: str) -> None:
    assert stepped(value, ups, "usual", sized) == wanted


@pytest.mark.parametrize("value", ["2 bolts", "edge", "edge * gap", "edge + lean"])
def test_what_is_worked_out_to_nothing_one_sets_has_no_steps(value: str) -> None:
    assert not has_steps(value, sized)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("edge - 117 mm", "edge - 110 mm"),
        ("edge - 117 mm", "40 mm"),
        ("edge - 117 mm", "1 1/2 in"),
        ("edge", "40 mm"),
        ("edge", "gap"),
        ("38 mm", "edge"),
        ("38 mm", "edge + 2 gap"),
        ("12 deg", "lean / 2"),
        # a name of a thing, not of a size
        ("firewall", "40"),
    ],
)
def test_arithmetic_can_be_typed(value: str, text: str) -> None:
    assert typed(value, text, sized) == f'"{text}"'


@pytest.mark.parametrize(
    ("value", "text", "words"),
    [
        ("edge - 117 mm", "40", "with its unit"),
        ("3 edge", "1/2", "with its unit"),
        ("edge", "40", "with its unit"),
        ("of_another_file - 117 mm", "40", "with its unit"),
        ("edge - 117 mm", "12 deg", "an angle"),
        ("edge - 117 mm", "edg - 110 mm", "another name"),
        ("38 mm", "edge * gap", "a length times a length"),
        ("38 mm", "lean", "an angle"),
        ("38 mm", "edge +", "nothing"),
    ],
)
def test_no_bare_number_and_no_other_kind_in_place_of_arithmetic(value: str, text: str, words: str) -> None:
    with pytest.raises(Refused, match=words):
        typed(value, text, sized)


def test_sizes_of_the_spec_are_known_to_a_change() -> None:
    source = parse_bytes("a.toml", b'[sizes]\nedge = "25 mm"\n[job]\nu = "3 edge"\nv = "5 mm"\n')
    step = changed(source, None, {"do": "step", "path": "job.u", "by": 1, "size": "usual"})
    assert 'u = "3 edge + 1 mm"' in step.text
    assert 'v = "edge / 2"' in changed(source, None, {"do": "set", "path": "job.v", "text": "edge / 2"}).text
    assert {v["path"]: v["steps"] for v in values_of(source)} == {
        "sizes.edge": True,
        "job.u": True,
        "job.v": True,
    }


def test_a_hole_of_a_part_moves_the_part(source: TomlSource, job: Job) -> None:
    done = changed(source, job, {"do": "move", "thing": "part:clutch_hanger", "u": 1.0, "v": 0.0})
    assert done.words == 'part[0].mount.at.u = "-119 mm", was "-120 mm"'


@pytest.mark.parametrize(
    "wish",
    [
        {"do": "set", "path": "panel[0].nothing", "text": "4"},
        {"do": "set", "path": "../../etc/passwd", "text": "4"},
        {"do": "set", "path": "panel", "text": "4"},
        {"do": "set", "path": "panel[9].name", "text": "a"},
        {"do": "step", "path": "panel[0].thickness", "by": 0, "size": "usual"},
        {"do": "step", "path": "panel[0].thickness", "by": 10**9, "size": "usual"},
        {"do": "step", "path": "panel[0].thickness", "by": 1, "size": "huge"},
        {"do": "move", "thing": "hole:firewall/speedo_hole", "u": 1.0, "v": 0.0},
        {"do": "move", "thing": "hole:roof/x", "u": 1.0, "v": 0.0},
        {"do": "move", "thing": "hole:firewall/clamp_foot", "u": float("nan"), "v": 0.0},
        {"do": "move", "thing": "hole:firewall/clamp_foot", "u": 1e9, "v": 0.0},
        {"do": "move", "thing": "hole:firewall/clamp_foot", "u": 0.0, "v": 0.0},
        {"do": "move", "thing": 4, "u": 1.0, "v": 0.0},
        {"do": "delete"},
        {},
    ],
)
def test_what_is_not_understood_changes_nothing(source: TomlSource, job: Job, wish: dict[str, Any]) -> None:
    with pytest.raises(Refused):
        changed(source, job, wish)


def put(table: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy of a table with one value changed."""
    out = copy.deepcopy(table)
    here: Any = out
    *way, last = parse_path(path)
    for step in way:
        here = here[step]
    here[last] = value
    return out


def random_edits(source: TomlSource, job: Job, count: int, seed: int) -> int:
    """Edits drawn at random, one on the other: each reads back equal but for its key. How many were done."""
    rng = random.Random(seed)
    done = 0
    for _ in range(count):
        value = rng.choice(values_of(source))
        path = value["path"]
        # read again by another parser, not by the program's own reader
        before = tomllib.loads(source.text)
        if value["steps"] and rng.random() < 0.6:
            size, by = rng.choice(["fine", "usual", "coarse"]), rng.choice([-7, -1, 1, 3])
            wish = {"do": "step", "path": path, "by": by, "size": size}
            wanted = tomllib.loads(f"x = {stepped(_at(before, path), by, size)}")["x"]  # type: ignore[arg-type]
        else:
            old = _at(before, path)
            text = rng.choice(
                ["7", "3/8", "-12.5", "true", "word", 'a "b" \\ c', "ünïcode # no comment", "0.25"]
            )
            wish = {"do": "set", "path": path, "text": text}
            try:
                wanted = tomllib.loads(f"x = {typed(old, text)}")["x"]
            except Refused:
                with pytest.raises(Refused):
                    changed(source, job, wish)
                continue
        after = changed(source, job, wish).text
        assert tomllib.loads(after) == put(before, path, wanted)
        lines = [
            line for line in difflib.ndiff(source.text.split("\n"), after.split("\n")) if line[0] in "+-"
        ]
        assert len(lines) in (0, 2), lines
        source = parse_bytes(source.file, after.encode())
        done += 1
    assert [c for c in SPEC.read_text(encoding="utf-8").split("\n") if c.lstrip().startswith("#")] == [
        c for c in source.text.split("\n") if c.lstrip().startswith("#")
    ]
    return done


def _at(table: dict[str, Any], path: str) -> Any:
    here: Any = table
    for step in parse_path(path):
        here = here[step]
    return here


def test_random_edits_change_their_key_alone(source: TomlSource, job: Job) -> None:
    assert random_edits(source, job, 40, seed=1) > 15


@pytest.mark.nightly
def test_many_random_edits_change_their_key_alone(source: TomlSource, job: Job) -> None:
    assert random_edits(source, job, 2000, seed=random.SystemRandom().randrange(10**9)) > 700


def test_differing_finds_every_path() -> None:
    one = {"a": [1, {"b": "x"}], "c": 1, "d": True}
    two = {"a": [1, {"b": "y"}], "c": 1.0, "e": True}
    assert {*differing(one, two)} == {("a", 1, "b"), ("c",), ("d",), ("e",)}
    assert [*differing(one, copy.deepcopy(one))] == []


def test_undo_and_redo_of_any_depth() -> None:
    rng = random.Random(4)
    texts = ["a = 1\n"]
    for k in range(300):
        text = texts[-1]
        at = rng.randrange(len(text))
        texts.append(text[:at] + f"<{k}>" + text[at + rng.randrange(3) :])
    history = History(texts[0])
    for k, text in enumerate(texts[1:]):
        history.record(text, f"step {k}")
    assert history.depth == (300, 0)
    for text in reversed(texts[:-1]):
        found = history.undone()
        assert found is not None
        assert found[0] == text
        history.undo()
        assert history.text == text
    assert history.undone() is None
    for text in texts[1:200]:
        history.redo()
        assert history.text == text
    history.record("other", "another way")
    assert history.redone() is None
    assert history.depth == (200, 0)


def test_only_what_differs_is_kept() -> None:
    long = "x" * 100_000
    change = delta(f"{long}1{long}", f"{long}22{long}", "")
    assert (change.start, change.before, change.after) == (100_000, "1", "22")
    assert delta("aaa", "aa", "").before == "a"
