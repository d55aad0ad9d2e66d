"""Broken specs through the command: exit 3 with the place (or findings, exit 1), nothing lost."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from generators.cli.app import run

# name, text in the demo, what it becomes, exit code, words on the right stream
SPOILED = [
    ("wrong unit", 'spacing = "45 mm"', 'spacing = "45 deg"', 3, "part[1].parameters.spacing"),
    ("missing key", 'thickness = "1.2 mm"\n', "", 3, "panel[0].thickness"),
    ("bare number", 'height = "64 mm"', "height = 64", 3, "part[1].parameters.height"),
    ("unknown kind", 'kind = "fitting_plate"', 'kind = "fiting_plate"', 3, "fitting_plate"),
    ("unknown key", "bolt_inset =", "bolt_insett =", 3, "bolt_inset"),
    ("hole off the panel", 'v = "-130 mm" }', 'v = "-279 mm" }', 1, "hole-off-panel"),
    ("negative thickness", 'thickness = "4 mm"', 'thickness = "-4 mm"', 3, "part[0].thickness"),
    ("duplicate part names", 'name = "fitting_plate"', 'name = "clutch_hanger"', 3, "clutch_hanger"),
    ("duplicate hole names", 'name = "heater_pipe"', 'name = "column_bore"', 3, "column_bore"),
    ("name climbs out", 'name = "wrenfield_van"', 'name = "../../van"', 3, "job.name"),
    ("part name climbs out", 'name = "clutch_reservoir"', 'name = "../x"', 3, "part[2].name"),
    ("a billion holes", "count = 2", "count = 1000000000", 3, "part[1].parameters.count"),
    ("crossing outline", '["740 mm", "420 mm"],\n', '["740 mm", "-420 mm"],\n', 3, "panel[0].outline"),
    ("nan", '"45 mm"', '"nan mm"', 3, "spacing"),
    ("unknown datum", 'from = "column_bore"', 'from = "colum_bore"', 3, "column_bore"),
    ("unknown panel", 'panel = "firewall"', 'panel = "fire_wall"', 3, "firewall"),
    ("unknown material", 'material = "5052-H32"\nthickness = "2.5 mm"', 'material = "butter"\nthickness = "2.5 mm"', 3, "part[2].material"),
    ("unknown thread", 'mount_thread = "M6"', 'mount_thread = "M7"', 3, "M7"),
    ("no such flare size", "dash = 4\n  spacing", "dash = 7\n  spacing", 3, "dash"),
    ("hole off the part", 'mount_top = "62 mm"', 'mount_top = "120 mm"', 3, "mount_1"),
    ("bends that leave no web", 'inside_width = "96 mm"', 'inside_width = "30 mm"', 3, "part[0]"),
    ("fold that is none", 'tilt = "45 deg"\noutline = [\n  ["0 mm", "-280 mm"]', 'tilt = "45 deg"\noutline = [\n  ["9 mm", "-280 mm"]', 0, ""),
    ("panels apart", 'origin = ["250 mm", "-50 mm", "620 mm"]\ntilt = "45 deg"', 'origin = ["290 mm", "-50 mm", "620 mm"]\ntilt = "45 deg"', 3, "fold[0]"),
    ("into the fuse panel", 'v = "155 mm" }', 'v = "155 mm" }\n  drill_from = "engine"', 0, ""),
    ("nut in the fuse panel", 'at = { from = "heater_pipe", u = "-20 mm", v = "155 mm" }', 'at = { from = "heater_pipe", u = "-190 mm", v = "170 mm" }', 1, "drill-path"),
    ("broken TOML", "[job]", "[job", 3, "wrenfield_van.toml"),
    ("wrong type", 'title = "Firewall"', "title = [1, 2]", 3, "panel[0].title"),
    ("dash with its dash", "dash = 4\n  spacing", 'dash = "-6"\n  spacing', 3, "write 6"),
    ("inch mark", 'spacing = "45 mm"', "spacing = '1\"'", 3, "write ft or in"),
    ("a list for a place", 'at = { from = "column_bore", u = "-120 mm", v = "125 mm" }', 'at = ["5 mm", "5 mm"]', 3, "write { u = "),
    ("letters no sheet can print", 'title = "Firewall"', 'title = "Łódź"', 3, "panel[0].title"),
    ("not a hole kind", 'kind = "bulkhead"', 'kind = "bulkhaed"', 3, "bulkhead"),
    ("zero size", 'size = ["220 mm", "150 mm"]', 'size = ["0 mm", "150 mm"]', 3, "size"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "code", "words"), [c[1:] for c in SPOILED], ids=[c[0] for c in SPOILED]
)
def test_one_clear_answer(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    hose_van: Path,
    old: str,
    new: str,
    code: int,
    words: str,
) -> None:
    text = hose_van.read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "shop.toml").write_bytes((hose_van.parent / "shop.toml").read_bytes())
    spec = tmp_path / "wrenfield_van.toml"
    spec.write_text(text.replace(old, new), encoding="utf-8")
    last_good = tmp_path / "out" / "wrenfield_van"
    last_good.mkdir(parents=True)
    (last_good / "kept").write_text("the last good run", encoding="utf-8")
    arguments = ["make", str(spec), "--out", str(tmp_path / "out")]
    monkeypatch.setattr(sys, "argv", ["pedalplate", *arguments, *(["--dry-run"] if code == 0 else [])])
    assert run() == code
    streams = capsys.readouterr()
    said = streams.out if code == 1 else streams.err
    assert words in said
    assert "Traceback" not in streams.out + streams.err
    assert (last_good / "kept").read_text(encoding="utf-8") == "the last good run"
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["wrenfield_van"]
    if code == 3:
        assert "wrenfield_van.toml:" in said
        assert "expected" in said


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\xff\xfe[job]\n", "UTF-8"),
        (b"x = " + b"[" * 5000 + b"]" * 5000, "nest"),
        (b"#" * (2 << 20), ""),
    ],
)
def test_files_that_are_no_spec(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    content: bytes,
    words: str,
) -> None:
    spec = tmp_path / "bad.toml"
    spec.write_bytes(content)
    for target in (spec, tmp_path / "missing.toml", tmp_path):
        monkeypatch.setattr(sys, "argv", ["pedalplate", "make", str(target), "--out", str(tmp_path / "out")])
        assert run() == 3
        error = capsys.readouterr().err
        assert "expected" in error
        assert "Traceback" not in error
        if target is spec:
            assert words in error
    assert not (tmp_path / "out").exists()


def test_all_faults_at_once_and_as_json(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, hose_van: Path
) -> None:
    text = hose_van.read_text(encoding="utf-8")
    for old, new in (
        ('spacing = "45 mm"', 'spacing = "45"'),
        ('thickness = "1.2 mm"', 'thicknes = "1.2 mm"'),
        ("dash = 4\n  spacing", "dash = true\n  spacing"),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    spec = tmp_path / "van.toml"
    spec.write_text(text, encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["pedalplate", "check", str(spec), "--json"])
    assert run() == 3
    answer = json.loads(capsys.readouterr().out)
    assert answer["ok"] is False
    paths = {f["path"] for f in answer["faults"]}
    assert {
        "part[1].parameters.spacing",
        "panel[0].thicknes",
        "part[1].parameters.dash",
    } <= paths
    assert all(f["line"] > 0 and f["expected"] and f["found"] for f in answer["faults"])
