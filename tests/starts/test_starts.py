"""What `new` writes: whole jobs with marks, a list to measure by, and the demos as the wheel carries them."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pytest
from calling import call

from generators.errors import ReadBackError, SpecError
from generators.jobs.spread.answer import spread_of
from generators.jobs.starts.files import demo_files, start_files
from generators.jobs.starts.measuring import measuring_list, write_list
from generators.jobs.starts.names import DEMOS, STARTS
from generators.model.findings import Severity
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.reading.marks import marks_of
from generators.reading.toml.source import parse_bytes
from generators.solve.job import prepare

ROOT = Path(__file__).parents[2]
ALL = {kind.name: kind.parameters for kind in KINDS}
LIKE_DEMOS = {
    "hanging_clutch": "wrenfield_van",
    "carried_clutch": "ferrow_bus",
    "clutch_and_brake": "tarn_special",
}
GUIDED = "line_guide"
"""A printed tool of the special that its start leaves out: it wants a larger printer than most have."""


def written(folder: Path, texts: dict[str, str]) -> Path:
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / next(iter(texts))


def read(path: Path) -> JobFile:
    return read_job(path, ALL)


@pytest.mark.parametrize("like", STARTS)
def test_a_start_says_that_it_is_invented_and_warns(like: str, tmp_path: Path) -> None:
    text = start_files("mine", like)["mine.toml"]  # type: ignore[arg-type]
    assert "INVENTED" in text[:900]
    for words in ("licensed mechanic", "local codes", "look behind the panel", "battery", "eye protection"):
        assert words in text[: text.index("[job]")]
    assert "@" not in text.replace("@NAME@", "")
    file = read(written(tmp_path, start_files("mine", like)))  # type: ignore[arg-type]
    assert file.job.job.name == "mine"
    for demo in ("Wrenfield", "Ferrow", "Tarn"):
        assert demo not in text


@pytest.mark.parametrize(("like", "demo"), LIKE_DEMOS.items())
def test_a_start_is_a_job_that_is_checked_under_its_own_name(like: str, demo: str, tmp_path: Path) -> None:
    mine = read(written(tmp_path, start_files("mine", like))).job  # type: ignore[arg-type]
    ours = read(ROOT / "specs" / f"{demo}.toml").job
    assert mine.part == tuple(part for part in ours.part if part.name != GUIDED)
    for table in ("panel", "fold", "component", "clamp", "clamp_row", "hose", "obstacle", "pedal", "limits"):
        assert getattr(mine, table) == getattr(ours, table), table


@pytest.mark.parametrize("like", ["floor_hinged", "bracket_only"])
def test_a_start_fails_no_rule(like: str, tmp_path: Path) -> None:
    job = prepare(written(tmp_path, start_files("mine", like)))  # type: ignore[arg-type]
    assert [f.code for f in job.findings if f.severity is Severity.FAIL] == []
    assert job.file.shop_path is not None


@pytest.mark.nightly
@pytest.mark.parametrize("like", LIKE_DEMOS)
def test_no_start_fails_a_rule_with_its_own_shop(like: str, tmp_path: Path) -> None:
    job = prepare(written(tmp_path, start_files("mine", like)))  # type: ignore[arg-type]
    assert [f.code for f in job.findings if f.severity is Severity.FAIL] == []


def test_every_mark_is_a_line_with_its_key(tmp_path: Path) -> None:
    for like in STARTS:
        text = start_files("mine", like)["mine.toml"]
        marks = marks_of(parse_bytes("mine.toml", text.encode()), ALL)
        rows = text.split("\n")
        marked = [
            k for k, row in enumerate(rows, 1) if "# measure:" in row and not row.lstrip().startswith("#")
        ]
        assert [mark.line for mark in marks] == marked
        for mark in marks:
            key = mark.key.rpartition(".")[2]
            assert re.match(rf"\s*{key} = ", rows[mark.line - 1]), mark
            assert mark.tool in rows[mark.line - 1]
            assert mark.thing


def test_a_mark_tells_whose_number_it_is_and_how_many_there_are() -> None:
    text = (
        '[job]\nname = "a"\ntitle = "A"\n[[panel]]\nname = "wall"\ntitle = "Wall"\n'
        'outline = [ # measure: tape, corners\n  ["0 mm", "0 mm"],\n  ["9 mm", "0 mm"],\n  ["9 mm", "9 mm"],\n]\n'
        '  [[panel.existing]]\n  name = "old"\n  what = "old hole"\n'
        '  at = ["1 mm", "2 mm"]  # measure: rule\n'
        "  [panel.carried] # measure: nothing, a header is no value\n"
    )
    outline, at = marks_of(parse_bytes("a.toml", text.encode()), ALL)
    assert (outline.key, outline.across, outline.down, outline.line) == ("panel[wall].outline", 2, 3, 7)
    assert (outline.tool, outline.how, outline.thing) == ("tape", "corners", "Wall")
    assert (at.key, at.across, at.down, at.thing) == ("panel[wall].existing[old].at", 2, 1, "Wall, old hole")
    assert (at.tool, at.how, at.what) == ("rule", "", "Centre, from the panel's origin")


def test_of_two_bores_the_list_says_whose_each_is() -> None:
    text = (
        '[[pedal]]\nname = "clutch"\n[pedal.master]\nbore = "1 in" # measure: caliper, across\n'
        '[pedal.slave]\nbore = "1 in" # measure: caliper, across\n'
        '[[part]]\nname = "hanger"\n[part.parameters]\nwidth = "9 mm" # measure: rule, across\n'
    )
    things = [mark.thing for mark in marks_of(parse_bytes("a.toml", text.encode()), ALL)]
    assert things == ["clutch, master", "clutch, slave", "hanger"]


@pytest.mark.parametrize("like", STARTS)
def test_a_start_has_no_comment_above_a_line_across(like: str) -> None:
    """The line begins a chapter: what is said of its first table stands below it, with that table."""
    text = start_files("mine", like)["mine.toml"]  # type: ignore[arg-type]
    rows = text.split("\n")
    lines = [k for k, row in enumerate(rows) if row.startswith("# -----")]
    assert [rows[k - 1] for k in lines] == [""] * len(lines)


def test_new_writes_the_list_and_it_says_what_goes_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call("new", "mine", "--like", "floor_hinged", "--dir", str(tmp_path)) == 0
    said = capsys.readouterr().out.split()
    assert str(tmp_path / "mine_measure.pdf") in said
    spec = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    with pdfplumber.open(tmp_path / "mine_measure.pdf") as pdf:
        pages = [page.extract_text() for page in pdf.pages]
    told = "\n".join(pages)
    for words in (
        "Measuring list, mine.toml",
        f"revision {read(tmp_path / 'mine.toml').revision}",
        "local codes",
    ):
        assert all(words in page for page in pages)
    lines = [int(n) for n in re.findall(r"line (\d+):", told)]
    wanted = [
        k for k, row in enumerate(spec.split("\n"), 1) if re.search(r"^\s*[a-z_]+ = .*# measure: ", row)
    ]
    assert lines == wanted
    assert len(re.findall(r"(?m)^\d+\. ", told)) == len(wanted)


def test_a_list_that_lost_a_line_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = start_files("mine", "bracket_only")["mine.toml"].encode()
    whole = measuring_list("mine.toml", data)
    from generators.jobs.starts import measuring

    real = measuring.write_measuring_list

    def short(path: Path, *, measuring: object, revision: str, paper: str) -> None:
        real(path, measuring=replace(whole, rows=whole.rows[:-1]), revision=revision, paper=paper)

    monkeypatch.setattr(measuring, "write_measuring_list", short)
    with pytest.raises(ReadBackError, match=f"line {whole.rows[-1].line}:"):
        write_list(tmp_path / "list.pdf", whole, revision="1234567", paper="A4")


@pytest.mark.parametrize("demo", DEMOS)
def test_a_demo_is_read_as_the_one_that_is_shipped(demo: str, tmp_path: Path) -> None:
    file = read(written(tmp_path, demo_files(demo)))
    assert file.revision == read(ROOT / "specs" / f"{DEMOS[demo]}.toml").revision
    # what each of its files asks an editor to complete it by comes along
    for path in tmp_path.glob("*.toml"):
        for schema in re.findall(r"^#:schema [.]/(.*)$", path.read_text(encoding="utf-8"), re.MULTILINE):
            assert (tmp_path / schema).read_bytes() == (ROOT / "specs" / schema).read_bytes()


def test_one_demo_takes_what_it_is_made_of_from_the_shelf_that_comes_along(tmp_path: Path) -> None:
    """Its master in component, pedal and hanger, its reservoir and the bracket: no size of them in the spec."""
    spec = written(tmp_path, demo_files("tractor"))
    file = read(spec)
    assert {(one.thing, one.at) for one in file.taken} == {
        ("master_24", "component[master]"),
        ("master_24", "pedal[clutch].master"),
        ("master_24", "part[clutch_hanger]"),
        ("reservoir_70", "component[reservoir]"),
        ("reservoir_70", "part[clutch_reservoir]"),
    }
    text = spec.read_text(encoding="utf-8")
    assert "24 mm" not in text.partition("[pedal.master]")[2].partition("[[pedal.line]]")[0]
    (tmp_path / "shelf.toml").unlink()
    with pytest.raises(SpecError, match=r"shelf\.toml"):
        read(spec)


def test_a_demo_is_not_put_beside_another_file_of_its_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here = ("--dir", str(tmp_path))
    assert call("new", "--demo", "van", *here) == 0
    assert (tmp_path / "wrenfield_hanger_readings.toml").is_file()
    assert call("new", "--demo", "bus", *here) == 0  # its shop is the same
    (tmp_path / "shop.toml").write_text('name = "mine"\n', encoding="utf-8")
    assert call("new", "--demo", "tractor", *here) == 2
    assert "shop.toml is already there" in capsys.readouterr().err
    assert not (tmp_path / "dray_tractor.toml").exists()


@pytest.mark.parametrize(
    "words", [(), ("mine", "--demo", "van"), ("--demo", "van", "--like", "floor_hinged")]
)
def test_new_wants_a_name_or_a_demo(words: tuple[str, ...]) -> None:
    assert call("new", *words) == 2


def test_a_built_wheel_carries_demos_and_starts(tmp_path: Path) -> None:
    """The step of the build that fills the wheel, without a network; a wheel is these files in an archive."""
    tree = tmp_path / "tree"
    for name in ("setup.py", "pyproject.toml", "README.md"):
        tree.mkdir(exist_ok=True)
        shutil.copyfile(ROOT / name, tree / name)
    shutil.copytree(ROOT / "specs", tree / "specs")
    some = ("cli", "jobs/starts")
    (tree / "generators").mkdir()
    shutil.copyfile(ROOT / "generators/__init__.py", tree / "generators/__init__.py")
    (tree / "generators/jobs").mkdir()
    shutil.copyfile(ROOT / "generators/jobs/__init__.py", tree / "generators/jobs/__init__.py")
    for room in some:
        shutil.copytree(ROOT / "generators" / room, tree / "generators" / room)
    built = tmp_path / "built"
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "setup.py", "-q", "build_py", "--build-lib", str(built)],
        cwd=tree,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": ""},
    )
    assert done.returncode == 0, done.stderr
    there = {path.relative_to(built).as_posix() for path in built.rglob("*") if path.is_file()}
    for like in (*STARTS, "shop", "spread"):
        assert f"generators/cli/starts/{like}.toml" in there
    for path in (ROOT / "specs").glob("*.toml"):
        name = f"generators/cli/demos/{path.name}"
        assert name in there
        assert (built / name).read_bytes() == path.read_bytes()


@pytest.mark.parametrize("like", STARTS)
def test_a_start_says_how_vehicles_differ_and_that_it_is_invented(like: str, tmp_path: Path) -> None:
    # so that spread, form and fits have something to go by on the day the job is begun
    text = start_files("mine", like)["mine.toml"]  # type: ignore[arg-type]
    table = text[text.index("# How the next vehicle") :]
    assert "INVENTED" in table
    spread = spread_of(read(written(tmp_path, start_files("mine", like))))  # type: ignore[arg-type]
    assert {"existing", "component", "drill"} <= {row.of for row in spread.input}


def test_a_job_without_spread_is_told_what_to_type(tmp_path: Path) -> None:
    texts = start_files("mine", "bracket_only")
    texts["mine.toml"] = texts["mine.toml"].partition("[spread]")[0]
    with pytest.raises(SpecError, match="no spread") as caught:
        spread_of(read(written(tmp_path, texts)))
    (fault,) = caught.value.faults
    row = '[[spread.input]] of = "existing" off = "1.5 mm"'
    assert row in fault.hint
    typed = texts["mine.toml"] + "\n" + row.replace("] of", "]\nof").replace(" off", "\noff") + "\n"
    assert spread_of(read(written(tmp_path, {**texts, "mine.toml": typed}))).input


def test_a_bracket_alone_has_nothing_to_be_measured_for_a_form(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(tmp_path, start_files("mine", "bracket_only"))
    assert call("form", file, "--out", tmp_path / "out") == 3
    assert "nothing to measure" in capsys.readouterr().err
