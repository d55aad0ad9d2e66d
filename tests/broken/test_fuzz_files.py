"""Random bytes for specs, shop files and readings: an answer in words every time, never a surprise."""

from __future__ import annotations

import random
import shutil
import sys
from collections import Counter
from pathlib import Path

import pytest

from generators.cli.app import run

SPECS = Path(__file__).parents[2] / "specs"
SEED = 20260411
FILES = 3000
PLACES = ("spec", "shop", "readings")
# pieces that have meaning somewhere in a file, put where they have none
PIECES = (
    b"[", b"]", b"[[", b"]]", b"{", b"}", b'"', b"'", b'"""', b"=", b".", b",", b"#", b"\n", b"\r\n", b"\t", b"\0",
    b"\xff", b"\xc3", b"\xef\xbb\xbf", "×".encode(), "\U0001f527".encode(), b"\\u0000", b"\\uD800", b"\\", b"-", b"0",
    b"1e999", b"nan", b"inf", b"-inf", b"99999999999999999999", b"0x7fffffffffffffff", b"1979-05-27", b"true",
    b'"1e308 mm"', b'"-1 mm"', b'"0 mm"', b'"1 in"', b'"90 deg"', b"[]", b"{}", b'""', b"[[[[[[[[", b"a.b.c.d.e",
)  # fmt: skip


def _mutant(draw: random.Random, seed: bytes) -> bytes:
    """A file with a few things wrong: bytes, pieces, lines cut, doubled, moved or mixed up, numbers changed."""
    data = bytearray(seed)
    for _ in range(draw.choice((1, 1, 1, 2, 3, 8, 40))):
        at = draw.randrange(len(data) + 1)
        how = draw.randrange(8)
        if how == 0:
            data[at:at] = bytes([draw.randrange(256)])
        elif how == 1:
            data[at : at + 1] = bytes([draw.randrange(256)])
        elif how == 2:
            del data[at : at + draw.choice((1, 2, 7, 60))]
        elif how == 3:
            data[at:at] = draw.choice(PIECES)
        elif how == 4:
            digits = [i for i, c in enumerate(data) if 48 <= c <= 57]
            if digits:
                data[draw.choice(digits)] = draw.randrange(48, 58)
        else:
            lines = bytes(data).split(b"\n")
            a, b = draw.randrange(len(lines)), draw.randrange(len(lines))
            if how == 5:
                lines.insert(a, lines[b])
            elif how == 6:
                lines[a], lines[b] = lines[b], lines[a]
            else:
                key = lines[b].split(b"=")[0]
                lines[a] = key + b"= " + draw.choice(PIECES)
            data = bytearray(b"\n".join(lines))
    return bytes(data)


def _content(draw: random.Random, seed: bytes) -> bytes:
    how = draw.randrange(10)
    if how == 0:
        return draw.randbytes(draw.choice((1, 10, 100, 3000)))
    if how == 1:
        return b"".join(draw.choice(PIECES) for _ in range(draw.choice((3, 30, 300))))
    if how == 2:
        return seed[: draw.randrange(len(seed))]
    return _mutant(draw, seed)


def campaign(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], folder: Path, numbers: range
) -> Counter[tuple[str, int]]:
    """Run the files of these numbers; how many ended with which code, by what was spoiled."""
    seeds = {
        "spec": [
            (SPECS / f"{n}.toml").read_bytes() for n in ("wrenfield_van", "tarn_special", "dray_tractor")
        ],
        "shop": [(SPECS / "shop.toml").read_bytes()],
        "readings": [(SPECS / f"wrenfield_{n}.toml").read_bytes() for n in ("readings", "hanger_readings")],
    }
    paths = {name: folder / f"{name}.toml" for name in PLACES}
    ended: Counter[tuple[str, int]] = Counter()
    monkeypatch.chdir(folder)
    shutil.copy(SPECS / "shelf.toml", folder)
    for number in numbers:
        draw = random.Random(SEED + number)
        place = PLACES[number % len(PLACES)]
        for name in PLACES:
            paths[name].write_bytes(seeds[name][0])
        seed = draw.choice(seeds[place])
        paths[place].write_bytes(_content(draw, seed))
        command = draw.choice(("check", "check", "size")) if place != "readings" else "measure"
        target = paths["readings" if place == "readings" else "spec"]
        monkeypatch.setattr(sys, "argv", ["pedalplate", command, str(target)])
        code = run()
        said = "".join(capsys.readouterr())
        label = f"file {number} ({place}), {command}: exit {code}\n{said[-500:]}"
        assert code in {0, 1, 2, 3}, label
        assert said, label
        assert "Traceback" not in said, label
        assert all(c.isprintable() or c in "\n\t" for c in said), label
        ended[place, code] += 1
    return ended


@pytest.mark.nightly
@pytest.mark.parametrize("part", range(6))
def test_random_files(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, part: int
) -> None:
    size = FILES // 6
    ended = campaign(monkeypatch, capsys, tmp_path, range(part * size, (part + 1) * size))
    print(part, sorted(ended.items()))
    assert sum(ended.values()) == size
    # a campaign in which nothing got past the parser would prove little
    assert sum(n for (_, code), n in ended.items() if code == 3) > size // 4
    assert sum(n for (_, code), n in ended.items() if code != 3) > size // 20


def test_a_few_random_files(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    ended = campaign(monkeypatch, capsys, tmp_path, range(FILES, FILES + 30))
    assert {place for place, _ in ended} == set(PLACES)
