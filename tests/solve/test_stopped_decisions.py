"""What must never pass: each is stopped by one finding, whose printed change typed into the spec clears it.

The Tarn is an invented car. Its figures by hand: 281.6 mm from pivot to pad and 60.53 mm from pivot to pin give the rod
4.652 times the pad force, 55 % of which goes to the front master of 17.8 mm, 248.8 mm².
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from flawed import SPECS, spoilt
from pedal_specs import HEAD, SINGLE
from test_mends import BLOCKED, called, written
from typed import printed, typed

from generators.model.findings import Severity
from generators.solve.job import prepare

TARN = (SPECS / "tarn_special.toml").read_text(encoding="utf-8")
FRONT_HOSE = 'expansion = "low"\n  circuit = "front"\n  rating = "20 MPa"'
FRONT_PIPE = 'bore = "3.2 mm"\n  circuit = "front"\n  rating = "20 MPa"'
LIGHT = ('[pedal.targets]\n  effort = "450 N"', '[pedal.targets]\n  effort = "200 N"')


def front_mpa(pad_n: float) -> float:
    """Statics of the Tarn's brake: moments about the pivot, the balance bar's share, force over area."""
    rod = pad_n * math.hypot(80.0, 270.0) / math.hypot(8.0, 60.0)
    return 0.55 * rod / (math.pi / 4 * 17.8**2)


def rated(piece: str, mpa: float) -> tuple[str, str]:
    return piece, piece.replace("20 MPa", f"{mpa:g} MPa")


def weak(*swaps: tuple[str, str]) -> str:
    """The Tarn with its front line so changed."""
    return spoilt(TARN, *swaps)


WEAK = {
    # holds what comfort asks for, 4.63 MPa at 450 N, and not the 5.14 MPa that 500 N make
    "front hose between comfort and the most": weak(rated(FRONT_HOSE, 4.8)),
    "front hose": weak(rated(FRONT_HOSE, 4.6)),
    "front pipe": weak(rated(FRONT_PIPE, 4.6)),
    "front hose of a light pedal": weak(rated(FRONT_HOSE, 2.2), LIGHT),
}
ALONE = HEAD + spoilt(SINGLE, ('axles = "one"\n', ""), ('rating = "12 MPa"', 'rating = "20 MPa"'))


def test_the_pressures_by_hand() -> None:
    """By hand and by the program, within the lean of the rod (2 deg at most) and the swing of the bar."""
    job = prepare(SPECS / "tarn_special.toml")
    brake = next(p.brake for p in job.pedals if p.spec.name == "brake")
    assert brake is not None
    front = next(c for c in brake.circuits if c.name == "front")
    assert front_mpa(450.0) == pytest.approx(4.627, abs=5e-4)
    assert front_mpa(500.0) == pytest.approx(5.141, abs=5e-4)
    assert brake.most_n == 500.0
    assert front.pressure_mpa == pytest.approx(front_mpa(450.0), rel=5e-3)
    assert front.most_mpa == pytest.approx(front_mpa(500.0), rel=5e-3)


@pytest.mark.parametrize("name", WEAK)
def test_a_weak_line_is_stopped_once_and_its_change_works(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    stopped(WEAK[name], "line-pressure", tmp_path, monkeypatch, capsys)


def test_one_circuit_is_stopped_once_and_its_change_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    stopped(ALONE, "one-circuit", tmp_path, monkeypatch, capsys)


def stopped(
    text: str, code: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """One fail, of that rule; its change typed leaves none and `check` lets the job through."""
    failed = [f for f in prepare(written(folder, text)).findings if f.severity is Severity.FAIL]
    assert [f.code for f in failed] == [code]
    assert called(monkeypatch, "check", str(folder / "job.toml")) == BLOCKED
    changes = [c for c in printed(capsys.readouterr().out) if c.severity == "fail"]
    assert [c.code for c in changes] == [code]
    written(folder, typed(text, changes[0]))
    assert called(monkeypatch, "check", str(folder / "job.toml")) == 0
