"""Sweeps: which rows, what is told of them, and that neither a stop nor a lost worker loses any."""

from __future__ import annotations

import csv
import gc
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from generators.cli.app import run
from generators.errors import ExportError, LookupFault, ReadBackError
from generators.jobs.sweep.best import Want, front, share, want
from generators.jobs.sweep.one import Bundle, bundle_of, solved
from generators.jobs.sweep.run import all_rows, known_rows, workers
from generators.jobs.sweep.vary import rows_of, varied
from generators.jobs.sweep.worker import HELD, SELDOM
from generators.jobs.verify import verify
from generators.solve.job import prepare
from generators.verify.sweep import read_sweep

OPENING = "part[cover].parameters.opening"
BOLTS = "part[cover].parameters.bolts"
MASS = "part[cover].mass"


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


@pytest.fixture
def bundle(plate: Path) -> Bundle:
    return bundle_of(prepare(plate).file)


# ------------------------------------------------------------------------------------ which rows
def test_a_grid_has_every_pair_once() -> None:
    keys = [
        varied("a = 60 mm to 80 mm, 5 values"),
        varied("b = 3/4 in, 7/8 in"),
        varied("c = 2 to 3, 2 values"),
    ]
    rows = rows_of(keys, 0, 0)
    assert len(set(rows)) == len(rows) == 5 * 2 * 2
    assert [row[0] for row in rows[::4]] == ["60 mm", "65 mm", "70 mm", "75 mm", "80 mm"]
    assert {row[1] for row in rows} == {"3/4 in", "7/8 in"}
    assert {row[2] for row in rows} == {2.0, 3.0}


def test_a_latin_hypercube_has_one_value_in_each_share_of_each_key() -> None:
    """As McKay, Beckman and Conover (1979) define it: each of n equal shares of a range is drawn from once."""
    keys = [varied("a = 0 mm to 10 mm"), varied("b = 100 N to 200 N")]
    rows = rows_of(keys, 20, 3)
    for column, low, high in ((0, 0.0, 10.0), (1, 100.0, 200.0)):
        values = [float(str(row[column]).split()[0]) for row in rows]
        assert sorted(int((v - low) / (high - low) * 20) for v in values) == list(range(20))
    assert rows == rows_of(keys, 20, 3)
    assert rows != rows_of(keys, 20, 4)


@pytest.mark.parametrize(
    "text",
    ["a", "a =", "= 3 mm", "a = 3 mm to 4 N, 2 values", "a = 3 mm to 4 furlong, 2 values", "a = 1 mm to , 2"],
)
def test_what_cannot_be_varied_is_said(text: str) -> None:
    with pytest.raises(LookupFault):
        rows_of([varied(text)], 0, 0)


def test_a_range_on_a_grid_says_how_many() -> None:
    with pytest.raises(LookupFault, match="number of values"):
        rows_of([varied("a = 3 mm to 4 mm")], 0, 0)


# ------------------------------------------------------------------------------------ what rows say
def row(failed: bool = False, fault: str = "", **measures: float) -> dict[str, object]:
    return {
        "values": {},
        "measures": {k: [v, "mm"] for k, v in measures.items()},
        "failed": ["rule"] if failed else [],
        "fault": fault,
    }


def test_the_front_by_hand() -> None:
    rows = [
        row(a=1, b=5),
        row(a=2, b=2),
        row(a=3, b=3),
        row(a=5, b=1),
        row(a=0, b=0, failed=True),
        row(fault="x"),
    ]
    # (3, 3) is beaten by (2, 2); the best of all fails a rule
    assert front(rows, [Want("least", "a"), Want("least", "b")]) == [0, 1, 3]
    assert front(rows, [Want("most", "a"), Want("least", "b")]) == [3]
    assert front(rows, []) == []
    assert want("least hose[feed].length") == Want("least", "hose[feed].length")
    with pytest.raises(LookupFault):
        want("less a")


def test_the_share_of_a_key_as_the_sum_of_two_has_it() -> None:
    """y = a + b on a whole grid: each has half the variance. y = a: all of it. y = a b about 0: none alone."""
    a, b = (axis.ravel().astype(float) for axis in np.meshgrid(np.arange(5), np.arange(5)))
    assert share(a, a + b) == pytest.approx(0.5)
    assert share(a, a) == pytest.approx(1.0)
    assert share(b, a) == pytest.approx(0.0)
    assert share(a, (a - 2) * (b - 2)) == pytest.approx(0.0)
    # y = 3 a + b: nine parts of ten, the variances being as the squares
    assert share(a, 3 * a + b) == pytest.approx(0.9)
    assert share(a, np.full(25, 7.0)) == 0.0


# ------------------------------------------------------------------------------------ solving them
def test_a_row_is_the_job_with_those_values(bundle: Bundle) -> None:
    plain, wide = solved(bundle, {}), solved(bundle, {OPENING: "60 mm"})
    # a ring of 2 mm steel: 7.85 g/cm³ times the area of an 80 or a 100 mm disc less four 4.5 mm holes
    for found, across in ((plain, 80.0), (wide, 100.0)):
        area = np.pi / 4 * (across**2 - 4 * 4.5**2)
        assert found["measures"][MASS][0] == pytest.approx(area * 2 * 7.85e-6, rel=0.01)
    assert plain["fault"] == ""
    assert plain["key"] != wide["key"]


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({OPENING: "60 N"}, "expected a length"),
        ({"part[cvr].title": "x"}, "leads nowhere"),
        ({OPENING: "2000 mm"}, "opening"),
        ({"use": "x"}, "leads nowhere"),
    ],
)
def test_a_bad_row_is_a_row_with_its_fault(bundle: Bundle, values: dict[str, object], says: str) -> None:
    found = solved(bundle, values)
    assert says in found["fault"]
    assert (found["measures"], found["failed"]) == ({}, [])


def test_another_program_solves_nothing(bundle: Bundle) -> None:
    other = Bundle(spec=bundle.spec, files=bundle.files, variant="", code="{}")
    assert "other versions" in solved(other, {})["fault"]


def test_rows_are_solved_once_and_a_stop_loses_none(bundle: Bundle, tmp_path: Path) -> None:
    rows = [{OPENING: f"{size} mm"} for size in (40, 42, 44, 40)]
    cache, seen = tmp_path / "rows.jsonl", []

    class Stop(Exception):
        pass

    def stops(what: str, done: int, total: int) -> None:
        seen.append((done, total))
        if done == 2:
            raise Stop

    with pytest.raises(Stop):
        all_rows(bundle, rows, cache, progress=stops)
    assert seen == [(1, 3), (2, 3)]
    assert len(known_rows(cache)) == 2
    # the run was killed while it wrote
    with cache.open("ab") as file:
        file.write(b'{"key": "half a li')
    seen.clear()
    found = all_rows(bundle, rows, cache, progress=lambda w, d, t: seen.append((d, t)))
    assert seen == [(3, 3)]
    assert [r["values"][OPENING] for r in found] == ["40 mm", "42 mm", "44 mm", "40 mm"]
    assert len(known_rows(cache)) == 3
    assert all_rows(bundle, rows, cache, progress=quiet) == found


@pytest.mark.parametrize("fault", ["its worker was lost 3 times: x", "OSError: no space", "MemoryError: "])
def test_what_may_be_gone_the_next_time_is_solved_again(
    bundle: Bundle, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: str
) -> None:
    cache = tmp_path / "rows.jsonl"
    rows: list[dict[str, Any]] = [{OPENING: "40 mm"}, {BOLTS: 99}]
    if "lost" in fault:

        def lost(
            _bundle: Bundle, todo: dict[str, dict[str, object]], _on: str
        ) -> Iterator[dict[str, object]]:
            for key, values in todo.items():
                yield {"key": key, "values": dict(values), "measures": {}, "failed": [], "fault": fault}

        with monkeypatch.context() as patch:
            patch.setattr("generators.jobs.sweep.run._solved", lost)
            assert [r["fault"] for r in all_rows(bundle, rows, cache, progress=quiet)] == [fault, fault]
    else:
        kind = {"OSError": OSError, "MemoryError": MemoryError}[fault.partition(":")[0]]

        def full(*_: object, **__: object) -> None:
            raise kind(fault)

        monkeypatch.setenv("PEDALPLATE_CORES", "1")
        with monkeypatch.context() as patch:
            patch.setattr("generators.jobs.sweep.one.prepare", full)
            assert all(fault in r["fault"] for r in all_rows(bundle, rows, cache, progress=quiet))
    assert known_rows(cache) == {}
    monkeypatch.setenv("PEDALPLATE_CORES", "1")
    fine, bad = all_rows(bundle, rows, cache, progress=quiet)
    assert fine["fault"] == ""
    # a fault of the spec is kept
    assert "99" in bad["fault"]
    assert len(known_rows(cache)) == 2


def test_no_scheduler_is_said(bundle: Bundle, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("generators.jobs.sweep.run.CONNECT_S", 1)
    with pytest.raises(ExportError, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"):
        all_rows(bundle, [{}], tmp_path / "rows.jsonl", on="tcp://127.0.0.1:9", progress=quiet)


# ------------------------------------------------------------------------------------ on Dask
def test_a_worker_that_is_killed_half_way_loses_nothing(
    bundle: Bundle, tmp_path: Path, cluster: tuple[str, list[subprocess.Popen[bytes]]]
) -> None:
    address, workers = cluster
    rows = [{OPENING: f"{40 + k} mm"} for k in range(10)] + [{OPENING: "60 N"}]

    def kills(what: str, done: int, total: int) -> None:
        if done == 3:
            workers[0].kill()

    found = all_rows(bundle, rows, tmp_path / "rows.jsonl", on=address, progress=kills)
    assert workers[0].wait() != 0
    assert workers[1].poll() is None
    assert found == [solved(bundle, values) for values in rows]
    assert [bool(r["fault"]) for r in found] == [False] * 10 + [True]


def test_a_worker_of_this_machine_is_set_up_before_its_first_row(
    bundle: Bundle, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is loaded is passed over by the collector, arrays stay with the process, and rows come out the same."""
    distributed = pytest.importorskip("distributed")
    monkeypatch.setenv("PEDALPLATE_CORES", "1")
    with workers(distributed, "", 1) as client:
        (loaded,) = client.run(gc.get_freeze_count).values()
        (waits,) = client.run(gc.get_threshold).values()
        (held,) = client.run(os.getenv, "MALLOC_MMAP_THRESHOLD_").values()
        row = client.submit(solved, bundle, {OPENING: "47 mm"}).result()
    assert loaded > 10_000  # of itself nothing is passed over
    assert held == HELD
    assert waits == SELDOM
    assert row == solved(bundle, {OPENING: "47 mm"})


# ------------------------------------------------------------------------------------ the folder
def test_a_sweep_is_a_folder_that_is_proven(
    plate: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = plate.parent / "out"
    arguments = [
        "sweep",
        str(plate),
        "--vary",
        f"{OPENING} = 40 mm to 48 mm, 3 values",
        "--vary",
        f"{BOLTS} = 4, 6, 99",
        "--want",
        f"least {MASS}",
        "--want",
        f"most {MASS}",
        "--out",
        str(out),
        "--json",
    ]
    monkeypatch.setattr(sys, "argv", ["pedalplate", *arguments])
    assert run() == 0
    told = json.loads(capsys.readouterr().out)
    assert [bool(r["fault"]) for r in told["rows"]] == [False, False, True] * 3
    # each row is on the front: the lighter it is the better, and the heavier
    assert told["best"] == [1, 2, 4, 5, 7, 8]
    folder = Path(told["folder"])
    table = list(csv.DictReader((folder / "results.csv").read_text(encoding="utf-8").splitlines()))
    assert [r[OPENING] for r in table] == ["40 mm"] * 3 + ["44 mm"] * 3 + ["48 mm"] * 3
    assert [r["best"] for r in table] == ["yes", "yes", ""] * 3
    assert [r.problems for r in verify(folder, progress=quiet) if r.problems] == []
    rows = [{**r, "key": ""} for r in told["rows"]]
    text = (folder / "results.csv").read_text(encoding="utf-8")
    other = plate.parent / "other.csv"
    other.write_text(text.replace(f"{rows[0]['measures'][MASS][0]:.6g}", "9.9", 1), encoding="utf-8")
    best = [k - 1 for k in told["best"]]
    assert read_sweep(folder / "results.csv", rel="results.csv", rows=rows, best=best).problems == ()
    assert f"row 1 has '9.9' for {MASS}" in read_sweep(other, rel="", rows=rows, best=best).problems[0]
    other.write_text(text.replace(",yes,", ",,", 1), encoding="utf-8")
    assert read_sweep(other, rel="", rows=rows, best=best).problems == (
        "row 1 has '' under best, expected 'yes'",
    )
    # rows that the spec does not give
    kept = folder / "rows.json"
    kept.write_text(kept.read_text(encoding="utf-8").replace("40 mm", "41 mm"), encoding="utf-8")
    with pytest.raises(ReadBackError, match="was changed: it is the rows"):
        verify(folder, progress=quiet)


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("sizes.gpa", ('no size "gpa"', "gap")),
        ("part[cver].title", ('no part "cver"', "cover")),
        ("part[cover].parameters.opning", ('the unknown key "opning"', "opening")),
    ],
)
def test_a_key_that_leads_nowhere_is_told_before_the_work(
    plate: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    key: str,
    says: tuple[str],
) -> None:
    plate.write_text('[sizes]\ngap = "3 mm"\n' + plate.read_text(encoding="utf-8"), encoding="utf-8")
    out = plate.parent / "none"
    arguments = ["sweep", str(plate), "--vary", f"{key} = 4 mm, 6 mm", "--out", str(out)]
    monkeypatch.setattr(sys, "argv", ["pedalplate", *arguments])
    assert run() == 3
    told = capsys.readouterr().err
    assert all(words in told for words in says), told
    assert not out.exists()


def test_a_wish_for_what_nobody_measures_is_told_before_the_work(
    plate: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = plate.parent / "none"
    arguments = [
        "sweep",
        str(plate),
        "--vary",
        f"{BOLTS} = 4, 6",
        "--want",
        "least part[cover].mas",
        "--out",
        str(out),
    ]
    monkeypatch.setattr(sys, "argv", ["pedalplate", *arguments])
    assert run() == 2
    assert MASS in capsys.readouterr().err
    assert not out.exists()
