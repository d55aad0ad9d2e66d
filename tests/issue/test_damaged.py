"""Files that no longer read: one of them is bad, in words, and the others are still looked at."""

from __future__ import annotations

import json
import os
import random
import shutil
import sys
import zipfile
from functools import partial
from pathlib import Path

import pytest
from issue.finished import Finished, finished, fit_hash, silent

from generators.cli.app import run
from generators.errors import ReadBackError
from generators.issue.apart import TOOK_DOWN, Apart
from generators.issue.artefact import Artefact
from generators.issue.manifest import NAME, Entry
from generators.jobs.verify import verify
from generators.verify.mesh import three_mf
from generators.verify.readback import ReadBack

AT_ONCE = 10
"""Files damaged in one copy."""

GARBAGE = bytes(range(256)) * 8
STEP_BODY = b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1 = " + GARBAGE + b";\nENDSEC;\nEND-ISO-10303-21;\n"


@pytest.fixture
def whole(rich_whole: Finished) -> Finished:
    return rich_whole


def damaged(random_: random.Random, data: bytes) -> bytes:
    """Cut short, other bytes, other figures, a piece gone, a piece twice, garbage, or nothing."""
    out = bytearray(data)
    a = random_.randrange(len(out))
    b = min(len(out), a + random_.randrange(1, 3000))
    match random_.randrange(7):
        case 0:
            del out[a:]
        case 1:
            for _ in range(random_.randrange(1, 20)):
                out[random_.randrange(len(out))] = random_.randrange(256)
        case 2:
            digits = [k for k, byte in enumerate(out) if 48 <= byte <= 57] or [0]
            for _ in range(random_.randrange(1, 10)):
                out[random_.choice(digits)] = random_.randrange(48, 58)
        case 3:
            del out[a:b]
        case 4:
            at = random_.randrange(len(out))
            out[at:at] = out[a:b]
        case 5:
            out[a:b] = random_.randbytes(b - a)
        case _:
            out.clear()
    return bytes(out)


def unnoticed(whole: Finished, place: Path, times: int, seed: int) -> list[str]:
    """Damaged files that were not called bad, and good ones that were."""
    random_ = random.Random(seed)
    copy = whole.copy(place / "copy")
    made = [a.entry.path for a in whole.again.job.artefacts]
    out: list[str] = []
    for number in range(0, times, AT_ONCE):
        spoiled = set()
        for path in random_.sample(made, AT_ONCE):
            data = damaged(random_, (whole.folder / path).read_bytes())
            (copy / path).write_bytes(data)
            if data != (whole.folder / path).read_bytes():
                spoiled.add(path)
            if random_.random() < 0.5:
                fit_hash(copy, path)
        bad = whole.bad(copy)
        out += [f"{seed} {number}: {path}" for path in spoiled ^ (set(bad) - {NAME})]
        out += [f"{seed} {number}: {path} {words!r}" for path, words in bad.items() if "\n" in words]
        for path in {*spoiled, NAME}:
            shutil.copyfile(whole.folder / path, copy / path)
    return out


def test_a_hundred_damaged_files_are_bad_and_no_reader_raises(whole: Finished, tmp_path: Path) -> None:
    assert unnoticed(whole, tmp_path, 100, seed=5) == []


@pytest.mark.nightly
def test_two_thousand_damaged_files_are_bad_and_no_reader_raises(whole: Finished, tmp_path: Path) -> None:
    assert unnoticed(whole, tmp_path, 2000, seed=6) == []


@pytest.mark.nightly
def test_damaged_files_of_the_van_are_bad(tmp_path: Path) -> None:
    assert unnoticed(finished("make", tmp_path), tmp_path, 300, seed=7) == []


@pytest.mark.parametrize("quick", [False, True])
def test_files_of_garbage_are_bad_each_in_words(
    whole: Finished, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, quick: bool
) -> None:
    monkeypatch.setattr(three_mf, "LARGEST_BYTES", 1 << 20)
    copy = whole.copy(tmp_path / "copy")
    pdf, dxf, step, bomb = (
        "parts/plate/plate_drawing.pdf",
        "parts/plate/plate_flat.dxf",
        "parts/plate/plate.step",
        "parts/plate/plate.3mf",
    )
    (copy / pdf).write_bytes((copy / pdf).read_bytes()[:2000])
    (copy / dxf).write_bytes(b"  0\nSECTION\n" + GARBAGE)
    (copy / step).write_bytes(STEP_BODY)
    (copy / "assembly.step").write_bytes(STEP_BODY)
    with zipfile.ZipFile(copy / bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("3D/3dmodel.model", bytes(2 << 20))
    paths = {pdf, dxf, step, bomb, "assembly.step"}
    for path in paths:
        fit_hash(copy, path)
    bad = {r.path: r.problems for r in verify(copy, progress=silent, quick=quick) if not r.good}
    assert set(bad) == paths | (set() if quick else {NAME})
    assert any("unpacks to more than 1 MiB" in p for p in bad[bomb])
    assert not any("\n" in p for problems in bad.values() for p in problems)


def test_a_block_of_readings_that_is_no_toml_is_bad(tmp_path: Path) -> None:
    # its reader parses TOML, which may raise of anything
    measured = finished("measure", tmp_path)
    copy = measured.copy(tmp_path / "copy")
    (copy / "existing.toml").write_bytes(b'name = "')
    bad = {r.path: r.problems for r in verify(copy, progress=silent) if not r.good}
    assert set(bad) == {"existing.toml"}
    assert any(p.startswith("cannot be read: TOMLDecodeError") for p in bad["existing.toml"])


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("paper", "A9"),
        ("paper", "roll:-610 mm"),
        ("paper", ["A4"]),
        ("printer", "nobody"),
        ("type_scale", 1e308),
        ("type_scale", "large"),
        ("waivers", {"no-such-rule": "because"}),
        ("waivers", {"hole-ligament": ""}),
        ("spec", "../rich.toml"),
        ("kind", "measure"),
        ("kind", ["make"]),
        ("kind", "none"),
    ],
)
def test_a_manifest_that_asks_for_what_cannot_be_is_one_sentence_of_exit_4(
    whole: Finished,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    key: str,
    value: object,
) -> None:
    copy = whole.copy(tmp_path / "copy")
    manifest = json.loads((copy / NAME).read_text(encoding="utf-8"))
    manifest[key] = value
    (copy / NAME).write_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    monkeypatch.setattr(sys, "argv", ["pedalplate", "verify", "--quick", str(copy)])
    code, told = run(), capsys.readouterr()
    if code == 0:  # it asks for something that could be: only making it again tells
        monkeypatch.setattr(sys, "argv", ["pedalplate", "verify", str(copy)])
        code, told = run(), capsys.readouterr()
    assert code == 4
    assert "Traceback" not in told.err
    assert len(told.err.splitlines()) <= 1
    assert told.err or "BAD manifest.json" in told.out


@pytest.mark.parametrize("key", ["type_scale", "revision", "complete", "findings", "made_with", "files"])
def test_a_manifest_of_no_numbers_is_bad_in_words(whole: Finished, tmp_path: Path, key: str) -> None:
    copy = whole.copy(tmp_path / "copy")
    manifest = json.loads((copy / NAME).read_text(encoding="utf-8"))
    manifest[key] = float("nan")
    (copy / NAME).write_text(json.dumps(manifest, indent=2), encoding="utf-8")
    try:
        bad = {r.path for r in verify(copy, progress=silent) if not r.good}
    except ReadBackError as error:
        bad = {error.path}
    assert bad & {NAME, "reuse.json"}


def ends_its_process(path: Path) -> ReadBack:
    os._exit(9 if path.name else 8)


def reads_well(path: Path) -> ReadBack:
    return ReadBack(path=path.name, facts=("read",))


def test_a_reader_that_ends_its_process_makes_one_file_bad_and_the_next_is_read(tmp_path: Path) -> None:
    reader = Apart()

    def read(one: partial[ReadBack]) -> ReadBack:
        entry = Entry(path="solid.step", kind="step")
        return reader.read(Artefact(entry=entry, body=one, read=one, kernel=True), tmp_path / "x.step")

    try:
        assert read(partial(ends_its_process)).problems == (TOOK_DOWN,)
        assert read(partial(reads_well)).facts == ("read",)
    finally:
        reader.end()
