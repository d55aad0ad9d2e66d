"""Every command on every kind of terminal: letters it lacks, nobody reading, a full disk, JSON."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Hashable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from terminals import abandoned, answer

from generators.cli import plain
from generators.cli.app import commands, run
from generators.cli.terminal import PatientFile
from generators.jobs.make import run as make_run
from generators.model.findings import Finding
from generators.solve import job
from generators.solve.mends import tries

ROOT = Path(__file__).parents[2]
SPECS = ROOT / "specs"
# one Cyrillic, one Japanese, the plainest, the Western European one of old
NARROW = ("cp1251", "cp932", "ascii", "latin-1")
TITLE = "Trial Ø8 × 3 ± 1°, façade"

plain.register()


@pytest.fixture(scope="module", autouse=True)
def solved_once() -> Iterator[None]:
    """How answers are printed is looked at here: a job is solved, mended and laid out for all of it once."""
    solve, mend, paths = job.prepare, tries.with_mends, make_run.paths
    known: dict[Any, Any] = {}

    def kept(key: Hashable, work: Callable[[], Any]) -> Any:
        if key not in known:
            known[key] = work()
        return known[key]

    def prepare(spec: Path, *more: Any, **named: Any) -> job.Prepared:
        if not spec.is_file():
            return solve(spec, *more, **named)
        return kept((spec, repr((more, named))), lambda: solve(spec, *more, **named))

    def with_mends(form: job.Prepared, wanted: Callable[[Finding], bool]) -> job.Prepared:
        # ``known`` holds every form, so no other has its id
        kept(("form", id(form)), lambda: form)
        key = id(form), tuple(map(wanted, form.findings))
        return kept(key, lambda: mend(form, wanted))

    def laid_out(form: job.Prepared, paper: str, only: Sequence[str] = ()) -> list[str]:
        kept(("form", id(form)), lambda: form)
        return kept((id(form), paper, tuple(only)), lambda: paths(form, paper, only))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(job, "prepare", prepare)
        patch.setattr(tries, "with_mends", with_mends)
        patch.setattr(make_run, "paths", laid_out)
        yield


@pytest.fixture(scope="module")
def odd_spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo under a title and a file name that no narrow encoding holds whole."""
    folder = tmp_path_factory.mktemp("specs")
    (folder / "shop.toml").write_bytes((SPECS / "shop.toml").read_bytes())
    text = (SPECS / "wrenfield_van.toml").read_text(encoding="utf-8")
    title = next(line for line in text.splitlines() if line.startswith('title = "Firewall"'))
    path = folder / "wrenfield Ø×.toml"
    path.write_text(text.replace(title, f'title = "{TITLE}"'), encoding="utf-8")
    return path


def _every(spec: Path, folder: Path) -> dict[str, tuple[list[str], int]]:
    """Arguments and exit code of every command; the solver itself is left out."""
    readings = str(SPECS / "wrenfield_readings.toml")
    drilled = str(SPECS / "wrenfield_hanger_readings.toml")
    lacking = str(folder / "Ø×–.toml")  # what these print of a whole job takes long
    return {
        "make": (["make", str(spec), "--out", str(folder / "Ø×–"), "--dry-run"], 0),
        "check": (["check", str(spec)], 0),
        "size": (["size", str(spec)], 0),
        "stiffness": (["stiffness", str(spec), "--part", "Ø×–"], 2),
        "verify": (["verify", str(folder / "Ø×–")], 4),
        "explain": (["explain", "bend-radius"], 0),
        "kinds": (["kinds", "pedal_hanger"], 0),
        "new": (["new", "my_van", "--dir", str(folder / "Ø×– new")], 0),
        "calibrate": (["calibrate", str(spec), "--test", str(folder / "Ø×–.pdf")], 0),
        "measure": (["measure", readings, "--out", str(folder / "Ø×– out")], 0),
        "asdrilled": (["asdrilled", str(SPECS / "wrenfield_van.toml"), drilled], 1),
        "nest": (["nest", lacking], 3),
        "draft": (["draft", lacking], 3),
        "manual": (["manual", str(spec)], 4),
        "issue": (["issue", lacking, "--date", "2024-05-31", "--why", "first"], 3),
        "board": (["board", lacking, "--no-open"], 3),
        "compare": (["compare", lacking, str(spec)], 3),
        "sweep": (["sweep", lacking, "--vary", "job.units = inch"], 3),
        "spread": (["spread", lacking], 3),
        "sold": (["sold", "list", "--shop", str(folder)], 4),
        "form": (["form", lacking], 3),
        "fits": (["fits", lacking, readings], 3),
        "kit": (["kit", lacking], 3),
    }


def test_the_table_has_every_command(tmp_path: Path) -> None:
    assert set(_every(tmp_path, tmp_path)) == set(commands.commands)


@pytest.mark.parametrize("name", sorted(commands.commands))
def test_any_encoding_prints_and_json_stays_json(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, odd_spec: Path, name: str
) -> None:
    wanted, first = "", ""
    # laying a part on its holes is slow, and its words are those of one encoding as of another
    for number, encoding in enumerate(("utf-8", "ascii") if name == "asdrilled" else ("utf-8", *NARROW)):
        arguments, code = _every(odd_spec, tmp_path / str(number))[name]
        (tmp_path / str(number)).mkdir()
        said = answer(monkeypatch, arguments, out=encoding, err=encoding)
        assert said.code == code, said.err
        text = (said.out + said.err).decode(encoding)  # strict: nothing but this encoding's bytes
        assert text
        assert "Traceback" not in text
        first = first or text
        if "Ø×" in first and encoding == "ascii":
            assert "Ox" in text
        if name in {"new", "calibrate", "measure"}:
            continue  # these wrote something; their JSON is asked for below
        said = answer(monkeypatch, [*arguments, "--json"], out=encoding, err=encoding)
        found = json.dumps(json.loads(said.out.decode(encoding))).replace(f"/{number}/", "/")
        wanted = wanted or found
        assert found == wanted
        assert said.code == code


@pytest.mark.parametrize("encoding", NARROW)
def test_json_with_letters_the_encoding_lacks(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, odd_spec: Path, encoding: str
) -> None:
    # U+2013 is in code page 1251 and not in the others, U+00D7 only in ISO 8859-1 and code page 932, the
    # last letter in none (Unicode's mapping tables for these code pages)
    name = "×–Ø中\U0001f527.toml"
    for arguments in (["check"], ["calibrate", "--test", str(tmp_path / "x.pdf")], ["measure"]):
        said = answer(monkeypatch, [arguments[0], name, *arguments[1:], "--json"], out=encoding)
        assert said.code == 3
        assert json.loads(said.out.decode(encoding))["faults"][0]["file"] == name
    said = answer(monkeypatch, ["check", str(odd_spec) + "\udcff", "--json"])
    assert said.code == 3
    assert json.loads(said.out.decode())["faults"][0]["file"].endswith("\udcff")


def test_what_is_no_number_is_null_in_json(monkeypatch: pytest.MonkeyPatch) -> None:
    from generators.cli.output import print_json

    kept = io.StringIO()
    monkeypatch.setattr(sys, "stdout", kept)
    print_json({"a": [float("nan"), (float("inf"), 1.5)], "é": -0.5})
    # RFC 8259 section 6: "Numeric values that cannot be represented (such as Infinity and NaN) are not permitted"
    assert json.loads(kept.getvalue(), parse_constant=pytest.fail) == {"a": [None, [None, 1.5]], "é": -0.5}


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # what the letters are read as at the bench: common practice, no source
        ("4 × Ø8.5", "4 x dia 8.5"),
        ("Ø 8.5", "dia 8.5"),
        ("Øst", "Ost"),
        ("90° ± 1°", "90 deg +/- 1 deg"),
        ("2–3 — 4 − 1", "2-3 - 4 - 1"),
        ("≤ 5 ≥ 3 → √2 … “a”", '<= 5 >= 3 -> sqrt2 ... "a"'),
        ("θ Δ λ µm", "theta Delta lambda um"),
        ("├─└ │", "+-+ |"),
        # compatibility decompositions, Unicode Standard Annex #15
        ("mm² mm³ ½ é Å ﬁ", "mm2 mm3 1/2 e A fi"),
        # escapes as in the Python language reference, 2.4.1
        ("中 \U0001f527 \x9b \udcff", "\\u4e2d \\U0001f527 \\x9b \\xff"),
    ],
)
def test_plain_letters(text: str, shown: str) -> None:
    assert text.encode("ascii", plain.HANDLER).decode() == shown


@pytest.mark.parametrize("encoding", [*NARROW, "cp437", "utf-16", "cp037", "shift_jis", "iso2022_jp"])
def test_no_letter_stops_any_codec(encoding: str) -> None:
    text = "".join(chr(c) for c in range(0x20, 0x3100)) + "\U0001f527\ud800\udc80\udcff"
    assert text.encode(encoding, plain.HANDLER)


def test_the_programs_own_letters_have_plain_words() -> None:
    """Nothing this program writes by itself ends as an escape, and its help is plain throughout."""
    own = {c for path in (ROOT / "generators").rglob("*.py") for c in path.read_text(encoding="utf-8")}
    odd = sorted(c for c in own if not c.isascii())
    assert "Ø" in odd
    assert [c for c in odd if "\\" in plain.plain_letter(c, 0)] == []
    for name in (None, *commands.commands):
        command = commands if name is None else commands.commands[name]
        # click writes help itself, in UTF-8 where ASCII was asked for
        import click

        assert command.get_help(click.Context(command)).isascii(), name


def test_commands_print_and_take_paths_by_the_guarded_way_only() -> None:
    for path in (ROOT / "generators" / "cli" / "commands").glob("*.py"):
        text = path.read_text(encoding="utf-8")
        for around in ("click.echo", "click.secho", "click.Path", " print(", "sys.stdout", "sys.stderr"):
            assert around not in text, (path.name, around)


@pytest.mark.skipif(sys.platform == "win32", reason="closed pipes are told otherwise there")
@pytest.mark.parametrize("name", sorted(commands.commands))
def test_nobody_reads_and_the_command_ends_as_it_would(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str
) -> None:
    arguments, code = _every(SPECS / "wrenfield_van.toml", tmp_path)[name]
    assert abandoned(monkeypatch, arguments) == code
    assert abandoned(monkeypatch, [name, "--no-such-option"]) == 2


def _started(arguments: list[str], **more: object) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", **more.pop("env", {})}  # type: ignore[arg-type,dict-item]
    command = [sys.executable, "-m", "generators.cli", *arguments]
    return subprocess.Popen(command, env=environment, **more)  # type: ignore[call-overload,no-any-return]


@pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminals there")
@pytest.mark.parametrize("encoding", NARROW)
def test_a_whole_run_in_a_pseudo_terminal(tmp_path: Path, encoding: str) -> None:
    import pty

    master, slave = pty.openpty()
    arguments = ["measure", str(SPECS / "wrenfield_readings.toml"), "--out", str(tmp_path / "Ø×–")]
    streams = {"stdin": slave, "stdout": slave, "stderr": slave}
    run = _started(arguments, env={"PYTHONIOENCODING": encoding, "NO_COLOR": "1"}, cwd=tmp_path, **streams)
    os.close(slave)
    shown = b""
    while True:
        try:
            chunk = os.read(master, 1 << 16)
        except OSError:  # how a terminal says that its other end is closed
            break
        if not chunk:
            break
        shown += chunk
    os.close(master)
    assert run.wait() == 0
    text = shown.decode(encoding)
    assert "\x1b[?25l" in text  # the bar was drawn: DECTCEM hides the cursor (DEC VT220 manual; ECMA-48)
    assert "findings: 0 fail" in text
    assert "Traceback" not in text


@pytest.mark.skipif(sys.platform == "win32", reason="closed pipes are told otherwise there")
def test_head_takes_a_line_and_goes(tmp_path: Path) -> None:
    for stream in ("stdout", "stderr"):
        reader, writer = os.pipe()
        os.close(reader)
        other = "stderr" if stream == "stdout" else "stdout"
        command = ["explain"] if stream == "stdout" else ["check", "missing.toml"]
        run = _started(command, cwd=tmp_path, **{stream: writer, other: subprocess.PIPE})
        os.close(writer)
        said = run.communicate()
        assert said[1 if stream == "stdout" else 0] == b""
        assert run.returncode == (0 if stream == "stdout" else 3)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_results_that_cannot_be_written_are_not_passed_over() -> None:
    with open("/dev/full", "wb") as full:
        done = _started(["explain"], stdout=full, stderr=subprocess.PIPE)
        said = done.communicate()[1].decode()
    assert done.returncode == 4
    # POSIX names the error ENOSPC; its words are the system's own
    assert os.strerror(28).lower() in said
    assert len(said.splitlines()) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="file numbers are not inherited like that there")
def test_closed_streams_do_not_swallow_a_file_of_ours(tmp_path: Path) -> None:
    # with 1 and 2 closed the first file opened would be number 1, and print would write into it
    line = f'exec "{sys.executable}" -m generators.cli calibrate "$0" --test sheet.pdf 0<&- 1>&- 2>&-'
    done = subprocess.run(
        ["sh", "-c", line, str(SPECS / "wrenfield_van.toml")],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    assert b"sheet.pdf" not in (tmp_path / "sheet.pdf").read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="pipes that do not wait are not made like that there")
def test_a_pipe_that_does_not_wait_loses_nothing() -> None:
    import threading

    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    kept: list[bytes] = []
    collect = threading.Thread(target=lambda: kept.extend(iter(lambda: os.read(reader, 4096), b"")))
    wanted = bytes(range(256)) * 4096
    collect.start()
    with io.BufferedWriter(PatientFile(writer)) as out:  # type: ignore[type-var]
        out.write(wanted)
    os.close(writer)
    collect.join()
    os.close(reader)
    assert b"".join(kept) == wanted


def test_run_leaves_streams_that_are_no_files_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["pedalplate", "explain", "bend-radius"])
    assert run() == 0
    assert capsys.readouterr().out.startswith("bend-radius: ")
