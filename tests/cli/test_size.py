"""``pedalplate size``: one screen, strict JSON, and the exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from calling import call
from hand_pedal import HandClutch, HandLinkage
from made_once import solved
from pedal_specs import CLUTCH, HEAD, VARIANTS, write_spec

from generators.solve.job import prepare


def strict(text: str) -> Any:
    """JSON without the NaN and Infinity that Python would let pass."""

    def refuse(word: str) -> Any:
        raise AssertionError(f"{word} in the JSON")

    return json.loads(text, parse_constant=refuse)


def test_the_demo_in_one_screen(capsys: pytest.CaptureFixture[str], demo_spec: Path) -> None:
    assert call("size", str(demo_spec)) == 0
    told = capsys.readouterr().out
    # The demo's numbers written out once more and worked in ``hand_pedal``: pivot 85 out and 72 up, the seat 8 mm into
    # the cylinder. Only the lengths of its lines come from the job: they follow the hoses.
    (pedal,) = (p.spec for p in solved("wrenfield_van").pedals)
    by_hand = HandClutch(
        link=HandLinkage(across=85.0 + 8.0, above=72.0, pin=(16.0, -70.0), pad=(113.0, -300.0)),
        master=0.875 * 25.4,
        master_stroke=1.4 * 25.4,
        slave=1.125 * 25.4,
        slave_stroke=1.25 * 25.4,
        load=((0.0, 300.0), (2.0, 1400.0), (5.0, 1650.0), (8.0, 1450.0), (11.0, 1350.0)),
        hoses=[(x.length_mm, 25.4 / 8) for x in pedal.line if x.kind == "hose"],
        tubes=[(x.length_mm, 3.2) for x in pedal.line if x.kind == "rigid"],
    )
    for words in (
        f"rod {by_hand.link.rod:.1f} mm",
        f"stop window  {by_hand.earliest:.1f} to ",
        f"{by_hand.fingers:.1f} mm ",
        "the release fingers over-travel",
        "release travel",
    ):
        assert words in told


@pytest.mark.parametrize("variant", VARIANTS)
def test_never_more_than_a_screen_and_exit_1_for_a_failed_rule(
    variant: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    spec = write_spec(tmp_path, VARIANTS[variant])
    job = prepare(spec)
    fails = any(f.blocks for f in job.findings)
    assert call("size", str(spec)) == (1 if fails else 0)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40 * len(job.pedals)
    assert max(len(line) for line in lines) <= 100
    assert all(line == line.rstrip() for line in lines)
    assert call("size", str(spec), "--json") == (1 if fails else 0)
    answer = strict(capsys.readouterr().out)
    assert answer["ok"] is not fails
    assert [p["name"] for p in answer["pedals"]] == [p.spec.name for p in job.pedals]


def test_json_carries_window_curves_budget_and_ranking(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    spec = write_spec(tmp_path, CLUTCH)
    result = prepare(spec).pedals[0].clutch
    assert result is not None
    call("size", str(spec), "--json")
    pedal = strict(capsys.readouterr().out)["pedals"][0]
    assert pedal["rod_length_mm"] == result.rod_length_mm
    assert pedal["stop_to_set_mm"] == result.window.recommended_mm
    assert pedal["result"]["window"]["limits"][0]["pad_mm"] == result.window.limits[0].pad_mm
    assert pedal["result"]["curves"]["effort_n"] == result.curves.effort_n.tolist()
    assert [s["mm"] for s in pedal["result"]["budget"]] == [s.mm for s in result.budget]
    ranking = pedal["ranking"]
    assert len(ranking["reason"]) == len(ranking["travel_mm"]) >= 7 * 7 * 15
    assert ranking["travel_mm"][ranking["own"]] == pytest.approx(result.window.earliest_mm, rel=1e-9)
    assert len(ranking["top"]) == 10


def test_what_is_never_reached_is_null(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    # a slave so long that the linkage never gets to its end
    spec = write_spec(tmp_path, CLUTCH.replace('stroke = "1 1/4 in"', 'stroke = "149 mm"'))
    call("size", str(spec), "--json")
    limits = strict(capsys.readouterr().out)["pedals"][0]["result"]["window"]["limits"]
    assert next(x for x in limits if x["key"] == "slave")["pad_mm"] is None
    assert call("size", str(spec)) == 0
    assert "never" in capsys.readouterr().out


def test_no_pedal_is_wrong_usage(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    spec = write_spec(tmp_path, "")
    assert spec.read_text(encoding="utf-8") == HEAD
    assert call("size", str(spec)) == 2
    streams = capsys.readouterr()
    assert "[[pedal]]" in streams.err
    assert streams.out == ""


def test_a_wrong_spec_exits_3_at_its_line(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    spec = write_spec(tmp_path, CLUTCH.replace('"1.4 in"', '"1 mm"'))
    assert call("size", str(spec)) == 3
    assert "toy.toml:" in capsys.readouterr().err


def test_size_needs_neither_kernel_nor_paper(tmp_path: Path) -> None:
    code = (
        "import sys; sys.argv=['pedalplate','size',sys.argv[1]]; from generators.cli.app import run; run();"
        "heavy={'cadquery','OCP','ezdxf','reportlab','trimesh'} & set(sys.modules);"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    spec = write_spec(tmp_path, CLUTCH)
    done = subprocess.run(
        [sys.executable, "-c", code, str(spec)], capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr


def test_explain_names_the_key_as_a_spec_writes_it(capsys: pytest.CaptureFixture[str]) -> None:
    from generators.checks.register import RULES
    from generators.model.spec.fields import spec_fields
    from generators.model.spec.job import Limits

    keys = {field.key for field in spec_fields(Limits)}
    for rule in RULES:
        assert call("explain", rule.code) == 0
        text = capsys.readouterr().out
        if rule.limit_key:
            assert text.split("[limits] ")[1].split()[0] in keys
    call("explain", "rod-angle")
    assert "[limits] rod_angle\n" in capsys.readouterr().out
