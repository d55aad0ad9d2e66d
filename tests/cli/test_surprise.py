"""What nobody foresaw: one line, a file to send, exit 4; and runs that are told to stop."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from issue.small import small_spec

from generators.cli import stopping, surprise
from generators.cli.app import run

ROOT = Path(__file__).parents[2]
SECRET = "a_customers_own_name"


class Panic(BaseException):
    """As some compiled libraries raise it: no Exception at all."""


def _deep(n: int = 0) -> int:
    return _deep(n + 1)


def _raising(error: BaseException | None) -> object:
    def prepare(*_: object, **__: object) -> None:
        local_text = SECRET
        if error is None:
            _deep()
        raise error if error is not None else ValueError(local_text)

    return prepare


ERRORS = [
    ValueError(SECRET),
    KeyError(SECRET),
    LookupError(f"two\nlines \x1b[31m {SECRET}"),
    UnicodeEncodeError("utf-8", SECRET, 0, 1, "no"),
    RuntimeError(),
    MemoryError(),
    None,  # too deep a recursion, for real
    EOFError(SECRET),
    BrokenPipeError(32, "Broken pipe"),
    OSError(5, "Input/output error"),
    SystemExit(0),
    Panic(SECRET),
    TypeError("takes 2 arguments"),
]


def fail(monkeypatch: pytest.MonkeyPatch, folder: Path, error: BaseException | None, *options: str) -> int:
    from generators.solve import job

    monkeypatch.chdir(folder)
    monkeypatch.setattr(job, "prepare", _raising(error))
    monkeypatch.setattr(sys, "argv", ["pedalplate", "check", "van.toml", *options])
    return run()


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: type(e).__name__)
def test_one_line_and_a_file_to_send(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    error: BaseException | None,
) -> None:
    assert fail(monkeypatch, tmp_path, error) == 4
    streams = capsys.readouterr()
    assert streams.out == ""
    assert len(streams.err.splitlines()) == 1
    assert streams.err.startswith("something this program did not expect: ")
    path = tmp_path / "pedalplate_fault.txt"
    assert streams.err.rstrip().endswith(f"a file to send is at {path}")
    text = path.read_text(encoding="utf-8")
    name = "RecursionError" if error is None else type(error).__name__
    assert name in text
    assert "command: pedalplate check van.toml" in text
    assert "generators/cli/commands/check.py:" in text
    assert f"python {sys.version_info.major}.{sys.version_info.minor}" in text
    assert SECRET not in text
    assert str(ROOT) not in text
    assert len(text) < 10_000
    assert all(c.isprintable() or c == "\n" for c in text)


def test_as_one_json_object(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert fail(monkeypatch, tmp_path, KeyError("x"), "--json") == 4
    streams = capsys.readouterr()
    answer = json.loads(streams.out)
    assert streams.err == ""
    assert answer["ok"] is False
    assert answer["error"]["kind"] == "unexpected"
    assert answer["error"]["message"] == "KeyError: 'x'"
    assert Path(answer["error"]["report"]).is_file()


def test_the_same_fault_is_one_file_and_nothing_is_written_over(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    first = tmp_path / "pedalplate_fault.txt"
    first.write_text("not ours")
    (tmp_path / "pedalplate_fault_2.txt").symlink_to(tmp_path / "elsewhere")
    for _ in range(2):
        assert fail(monkeypatch, tmp_path, KeyError("x")) == 4
    assert first.read_text() == "not ours"
    assert not (tmp_path / "elsewhere").exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "pedalplate_fault.txt",
        "pedalplate_fault_2.txt",
        "pedalplate_fault_3.txt",
    ]
    assert fail(monkeypatch, tmp_path, TypeError("y")) == 4
    assert (tmp_path / "pedalplate_fault_4.txt").is_file()


def test_a_folder_that_takes_no_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    here, temporary = tmp_path / "here", tmp_path / "temporary"
    here.mkdir()
    temporary.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(temporary))
    honest = Path.open

    def refusing(self: Path, mode: str = "r", **more: object) -> object:
        if "x" in mode and self.parent == here:
            raise PermissionError(13, "Permission denied", str(self))
        return honest(self, mode, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", refusing)
    assert fail(monkeypatch, here, KeyError("x")) == 4
    assert str(temporary / "pedalplate_fault.txt") in capsys.readouterr().err
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
    assert fail(monkeypatch, here, KeyError("x")) == 4
    assert "no file to send could be written" in capsys.readouterr().err


def test_a_report_that_cannot_be_made_does_not_hide_the_fault(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def starved(error: BaseException) -> str:
        raise MemoryError

    monkeypatch.setattr(surprise, "report", starved)
    assert fail(monkeypatch, tmp_path, KeyError("x")) == 4
    assert "KeyError: 'x'; no file to send" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("error", "code"), [(KeyboardInterrupt(), 130), (stopping.Stopped(signal.SIGTERM), 143)]
)
def test_a_stop_is_no_surprise(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    error: BaseException,
    code: int,
) -> None:
    # 128 and the signal's number: POSIX shell, 2.8.2 "Exit Status for Commands", as shells do it
    assert fail(monkeypatch, tmp_path, error) == code
    assert "no folder was left half written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
    assert fail(monkeypatch, tmp_path, error, "--json") == code
    assert json.loads(capsys.readouterr().out)["error"]["kind"] == "stopped"


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX systems")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_told_to_stop_while_it_writes(tmp_path: Path, name: str) -> None:
    """The run is stopped once its new folder is there; the old one stays, byte for byte."""
    old = tmp_path / "out" / "small" / "manifest.json"
    old.parent.mkdir(parents=True)
    content = {"format": 1, "files": [], "findings": [], "waivers": {}}
    old.write_text(json.dumps(content))
    before = old.read_bytes()
    command = [sys.executable, "-m", "generators.cli", "make", str(small_spec(tmp_path)), "--out", "out"]
    run = subprocess.Popen(
        command,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # a shell's background job has SIGINT ignored, one under nohup SIGHUP, and their children keep that
        preexec_fn=lambda: signal.signal(getattr(signal, name), signal.SIG_DFL),  # noqa: PLW1509
    )
    while run.poll() is None and not list((tmp_path / "out").glob(".*new*")):
        time.sleep(0.02)
    assert run.poll() is None
    number = getattr(signal, name)
    for _ in range(3):  # an impatient user must not cut the cleaning up short
        run.send_signal(number)
    out, err = run.communicate()
    assert run.returncode == 128 + number
    assert out == ""
    assert err.split("\n")[-2:] == [f"stopped ({name}); no folder was left half written.", ""]
    assert "Traceback" not in err
    assert old.read_bytes() == before
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["small"]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "small.toml"]


def test_a_stop_that_something_swallowed_is_still_a_stop(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A compiled module that was being loaded says ImportError; a destructor says nothing at all."""
    from generators.cli.output import bar
    from generators.errors import ExportError

    monkeypatch.setattr(stopping, "_received", [int(signal.SIGTERM)])
    for error in (ImportError("initialization failed"), ExportError("half a file"), SystemExit(1)):
        assert fail(monkeypatch, tmp_path, error) == 143
        assert capsys.readouterr().err == "stopped (SIGTERM); no folder was left half written.\n"
    with pytest.raises(stopping.Stopped), bar() as step:
        step("write", 0, 1)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX systems")
def test_the_second_signal_is_passed_over_and_the_one_who_insists_is_let_go() -> None:
    code = (
        "import signal, sys, time; from generators.cli import stopping as s; s.listen()\n"
        "n = 0\n"
        "for _ in range(s.PATIENCE + 1):\n"
        "    try:\n"
        "        signal.raise_signal(signal.SIGTERM)\n"
        "    except s.Stopped:\n"
        "        n += 1\n"
        "    print(n, flush=True)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT)
    assert done.returncode == -signal.SIGTERM
    assert done.stdout.split() == ["1"] * (stopping.PATIENCE - 1)
