"""The command as a person or a script meets it: exit codes, streams, JSON, no traceback."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from calling import call

from generators.drawing.dxf.template import write_template_dxf


def test_check_says_what_the_rules_say(capsys: pytest.CaptureFixture[str], demo_spec: Path) -> None:
    assert call("check", str(demo_spec)) == 0
    out = capsys.readouterr().out
    assert "findings: 0 fail" in out


def test_check_needs_no_kernel(demo_spec: Path) -> None:
    code = (
        "import sys; sys.argv=['pedalplate','check',sys.argv[1]]; from generators.cli.app import run; run();"
        "heavy={'cadquery','OCP','vtkmodules','ezdxf','reportlab','trimesh','scipy.optimize','scipy.linalg'} & set(sys.modules);"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(demo_spec)], capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("arguments", [["--version"], ["explain"], ["kinds"], ["--help"]])
def test_light_commands_need_no_kernel(arguments: list[str]) -> None:
    code = (
        f"import sys; sys.argv=['pedalplate', *{arguments!r}]; from generators.cli.app import run; run();"
        "sys.exit(7 if {'cadquery','OCP','pint'} & set(sys.modules) else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_check_json(capsys: pytest.CaptureFixture[str], demo_spec: Path) -> None:
    assert call("check", str(demo_spec), "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["ok"] is True
    assert answer["job"] == "wrenfield_van"
    words = {"code", "severity", "where", "found", "wanted", "unit", "source", "advice", "waived"}
    for found in answer["findings"]:
        assert set(found) == words | {"value", "limit"}
        assert all(isinstance(found[key], str) for key in words)
        assert all(type(found[key]) in (float, type(None)) for key in ("value", "limit"))
    tool = next(f for f in answer["findings"] if f["code"] == "hole-tool" and f["limit"] is not None)
    assert (tool["limit"], tool["unit"]) == (13.0, "mm")


def test_dry_run_writes_nothing(capsys: pytest.CaptureFixture[str], demo_spec: Path, tmp_path: Path) -> None:
    assert call("make", str(demo_spec), "--out", str(tmp_path), "--dry-run") == 0
    assert "clutch_hanger.step" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []


BLOCKING = ('web_below = "48 mm"', 'web_below = "37 mm"')


def spoiled(demo_spec: Path, folder: Path, old: str, new: str) -> Path:
    """The demo with one thing changed, its shop file beside it."""
    text = demo_spec.read_text(encoding="utf-8")
    assert old in text
    folder.mkdir(exist_ok=True)
    (folder / "shop.toml").write_bytes((demo_spec.parent / "shop.toml").read_bytes())
    path = folder / "wrenfield_van.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_a_failed_rule_holds_back_the_files(
    capsys: pytest.CaptureFixture[str], demo_spec: Path, tmp_path: Path
) -> None:
    # the lower mounting bolts come within 7 mm of the web's free edge: under 1.2 d0 of a 9 mm hole
    spec = spoiled(demo_spec, tmp_path / "spec", *BLOCKING)
    out = tmp_path / "out"
    assert call("make", str(spec), "--out", str(out)) == 1
    streams = capsys.readouterr()
    assert "hole-edge-distance" in streams.out
    assert "--accept" in streams.err
    assert not out.exists()


def test_a_waived_rule_marks_every_sheet_and_the_manifest(
    capsys: pytest.CaptureFixture[str], demo_spec: Path, tmp_path: Path
) -> None:
    import pypdfium2

    spec = spoiled(demo_spec, tmp_path / "spec", *BLOCKING)
    out = tmp_path / "out"
    # lower bolts also have a shorter lever: the firewall no longer holds them
    codes = ("bolt-pull-through", "hole-edge-distance")
    options = [word for code in codes for word in ("--accept", code)]
    options += ["--because", "trial part, never fitted"]
    assert call("make", str(spec), "--out", str(out), *options) == 0
    folder = out / "wrenfield_van"
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["waivers"] == dict.fromkeys(codes, "trial part, never fitted")
    sheets = list(folder.rglob("*.pdf"))
    assert len(sheets) == 25
    for path in sheets:
        document = pypdfium2.PdfDocument(path)
        for page in document:
            assert "WAIVED: see list" in page.get_textpage().get_text_range(), path
        told = "".join(page.get_textpage().get_text_range() for page in document)
        if path.name.endswith("_profile.pdf"):
            assert "on the drawing" in " ".join(told.split())  # its list is there
            continue
        assert "hole-edge-distance" in told, path
        assert "trial part, never fitted" in " ".join(told.split()), path
        document.close()
    # whole: tests/issue, waived folders made again
    assert call("verify", str(folder), "--quick") == 0
    assert capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments",
    [
        ["make"],
        ["make", "SPEC", "--paper", "A7"],
        ["make", "SPEC", "--paper", "roll:600"],
        ["make", "SPEC", "--paper", "roll:5 mm"],
        ["make", "SPEC", "--only", "nothing"],
        ["make", "SPEC", "--accept", "hole-edge-distance"],
        ["make", "SPEC", "--accept", "hole-edge-distance", "--because", "x" * 301],
        ["make", "SPEC", "--accept", "no-such-rule", "--because", "whatever it is"],
        ["explain", "no-such-rule"],
        ["kinds", "no_such_kind"],
        ["new", "Bad Name"],
        ["nonsense"],
    ],
)
def test_wrong_usage_exits_2(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    demo_spec: Path,
    tmp_path: Path,
    arguments: list[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    arguments = [str(demo_spec) if a == "SPEC" else a for a in arguments]
    assert call(*arguments) == 2
    streams = capsys.readouterr()
    assert streams.err
    assert "Traceback" not in streams.err
    assert list(tmp_path.iterdir()) == []


def test_verify_of_no_folder_exits_4(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert call("verify", str(tmp_path)) == 4
    assert "manifest.json" in capsys.readouterr().err


def test_an_unwritable_out_exits_4(
    capsys: pytest.CaptureFixture[str], demo_spec: Path, tmp_path: Path
) -> None:
    (tmp_path / "out").write_text("a file where the folder should go", encoding="utf-8")
    assert call("make", str(demo_spec), "--out", str(tmp_path / "out")) == 4
    assert "export" in capsys.readouterr().err


def lying_template(path: Path, **more: Any) -> None:
    """The plotter's template with one final circle too large."""
    write_template_dxf(path=path, **more)
    path.write_text(
        path.read_text(encoding="utf-8").replace("\n2.25\n", "\n2.35\n"), encoding="utf-8", newline="\n"
    )


def test_a_read_back_that_fails_swaps_nothing_in(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], demo_spec: Path, tmp_path: Path
) -> None:
    from generators.jobs.make import panel_files

    monkeypatch.setattr(panel_files, "_write_dxf", lying_template)
    # one panel is enough, and quick
    options = ("--only", "toe_board", "--out", str(tmp_path))
    assert call("make", str(demo_spec), *options) == 4
    assert "panels/toe_board/template.dxf" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_new_writes_a_spec_that_checks_and_refuses_to_overwrite(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert call("new", "my_van") == 0
    assert call("check", "specs/my_van.toml") == 0
    assert "findings: 0 fail, 0 warn" in capsys.readouterr().out
    assert call("new", "my_van") == 2
    assert (tmp_path / "specs/my_van_shop.toml").exists()


def test_every_rule_can_be_explained(capsys: pytest.CaptureFixture[str]) -> None:
    from generators.checks.register import RULES

    for rule in RULES:
        assert call("explain", rule.code) == 0
        text = capsys.readouterr().out
        assert rule.source in text
        assert rule.mend in text


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("families", "no such command 'families': it is now `kinds`"),
        ("mesure", "no such command 'mesure': did you mean `measure`?"),
        ("MAKE", "no such command 'MAKE': did you mean `make`?"),
        ("xyzzy", "no such command 'xyzzy': there are asdrilled, board, calibrate, check, "),
    ],
)
def test_a_command_that_is_none_is_answered_with_the_one_meant(
    capsys: pytest.CaptureFixture[str], typed: str, answer: str
) -> None:
    assert call(typed) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert answer in said.err


SPECS = Path(__file__).parents[2] / "specs"
VAN, READ, RESCUED = (
    str(SPECS / name)
    for name in ("wrenfield_van.toml", "wrenfield_readings.toml", "wrenfield_hanger_readings.toml")
)


@pytest.mark.parametrize(
    "arguments",
    [("check", VAN, "--no-mends"), ("size", VAN), ("measure", READ), ("asdrilled", VAN, RESCUED)],
    ids=lambda arguments: arguments[0],
)
def test_the_last_words_on_the_screen_are_the_cautions_once(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    call(*arguments)
    out = capsys.readouterr().out
    assert out.count("licensed mechanic") == 1
    last = " ".join(out.rstrip().splitlines()[-2:])
    for words in ("licensed mechanic", "local codes", "look behind the panel", "battery", "eye protection"):
        assert words in last


def test_json_holds_no_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    call("check", VAN, "--json")
    assert "licensed mechanic" not in capsys.readouterr().out


def test_a_new_spec_begins_with_the_cautions(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert call("new", "my_van", "--dir", str(tmp_path)) == 0
    text = (tmp_path / "my_van.toml").read_text(encoding="utf-8")
    head = text[: text.index("[job]")]
    assert "licensed mechanic" in head
    assert "look behind the panel" in head


@pytest.mark.parametrize(
    ("arguments", "meant"),
    [
        (["explain", "hole-egde-distance"], "did you mean hole-edge-distance?"),
        (["kinds", "pedal_hangr"], "did you mean pedal_hanger?"),
        (["new", "x", "--like", "floor_hingd"], "Did you mean 'floor_hinged'?"),
        (["draft", "specs/ferrow_bus.toml", "--what", "panls"], "Did you mean 'panels'?"),
        (["check", "specs/ferrow_bus.toml", "--variant", "left_hnd_drive"], "did you mean left_hand_drive?"),
        (["explain", "zzzzzz"], "known: "),
    ],
)
def test_a_misspelt_word_is_answered_with_the_one_that_was_meant(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    demo_spec: Path,
    arguments: list[str],
    meant: str,
) -> None:
    monkeypatch.chdir(demo_spec.parents[1])
    assert call(*arguments) == 2
    said = capsys.readouterr().err
    assert meant in said
    assert len(said) < 1500
