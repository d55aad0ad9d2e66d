"""The folder of a spread: what it says agrees, it is proven, tampering is found; changes are tried; Dask."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from calling import call
from issue.small import TEXT
from spec_pieces import COVER

from generators.errors import ExportError, ReadBackError
from generators.jobs.spread.answer import Answer, Asked, answered, plain
from generators.jobs.spread.cures import lifted, measured
from generators.jobs.spread.files import percent, write_spread_folder
from generators.jobs.spread.run import all_installs, counted, sizes
from generators.jobs.verify import verify
from generators.measure.chance.kit import Kit
from generators.measure.chance.run import added
from generators.model.spec.forms.spread import Spread
from generators.solve.job import Prepared
from generators.verify.spread import read_steps

BUS = Path(__file__).parents[2] / "specs" / "ferrow_bus.toml"
PLATE = f'{COVER}  opening = "40 mm"\n'
ROW = '\n[spread]\n[[spread.input]]\nof = "cut"\noff = "0.2 mm"\n'


def quiet(what: str, done: int, total: int) -> None:
    """No progress."""


@pytest.fixture(scope="module")
def answer(bus: Prepared, bus_spread: Spread) -> Answer:
    pytest.importorskip("SALib")
    asked = Asked(installs=1500, seed=3, samples=32, cures=False)
    return answered(bus, bus_spread, asked, progress=quiet)


@pytest.fixture(scope="module")
def folder(answer: Answer, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_spread_folder(answer, tmp_path_factory.mktemp("spread"), paper="A4", progress=quiet).folder


def test_the_folder_is_proven_and_one_count_more_is_found(folder: Path, tmp_path: Path) -> None:
    assert all(not reading.problems for reading in verify(folder, progress=quiet))
    bad = Path(shutil.copytree(folder, tmp_path / "bad"))
    found = json.loads((bad / "spread.json").read_text(encoding="utf-8"))
    found["together"]["count"] += 1
    (bad / "spread.json").write_text(json.dumps(found), encoding="utf-8")
    try:
        said = [p for r in verify(bad, progress=quiet) for p in r.problems]
    except Exception as error:  # told one way or the other
        said = [str(error)]
    assert said


def test_the_table_says_what_the_answer_says(folder: Path, answer: Answer) -> None:
    found = plain(answer)
    with (folder / "spread.csv").open(encoding="utf-8") as file:
        rows = {row["what"]: row for row in csv.DictReader(file)}
    assert int(rows["anything"]["fails"]) == 1500 - found["together"]["count"]
    assert sum(s["fails_first"]["count"] for s in found["steps"]) == int(rows["anything"]["fails"])
    assert int(rows["hose to the slave reaches"]["fails"]) == next(
        s["fails"]["count"] for s in found["steps"] if s["step"] == "hose:slave_hose"
    )
    path = folder / "spread.csv"
    text = path.read_text(encoding="utf-8")
    assert not read_steps(path, rel="spread.csv", found=found).problems
    for old, new in ((rows["anything"]["low"], "0.100000"), (f",{rows['anything']['fails']},", ",7,")):
        other = folder.parent / "other.csv"
        other.write_text(text.replace(old, new, 1), encoding="utf-8")
        assert read_steps(other, rel="spread.csv", found=found).problems


def test_a_share_is_never_rounded_to_all_or_none() -> None:
    assert [percent(s) for s in (0.0, 0.0001, 0.5, 0.99996, 1.0)] == [
        "0.0 %",
        "<0.1 %",
        "50.0 %",
        "99.9+ %",
        "100.0 %",
    ]


def test_drilling_all_by_paper_first_costs_what_two_bolts_more_cost(
    bus: Prepared, bus_spread: Spread
) -> None:
    """Another order is another chance with the same vehicles: it can only fail more where bolts are added."""
    asked = Asked(
        installs=1000, samples=16, cures=False, put=(("through:clutch_reservoir", "part:clutch_reservoir"),)
    )
    found = answered(bus, bus_spread, asked, progress=quiet)
    assert found.usual is not None
    assert found.tally.together < found.usual.together
    step = [key for key, _ in found.kit.tasks].index("part:clutch_reservoir")
    assert found.tally.ever[step] > 0


def test_changes_are_tried_by_solving_again(
    bus: Prepared, bus_spread: Spread, bus_kit: Kit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rigid line fails most: made on the vehicle it fails no more, and the key that says so is printed."""
    monkeypatch.setattr("generators.jobs.spread.cures.MOST_TRIED", 2)
    monkeypatch.setattr("generators.jobs.spread.cures.TRIED_INSTALLS", 1000)
    taken, tried = lifted(bus, bus_spread, bus_kit, 1, quiet)
    assert taken[0].cure.values == {"hose[cab_line].measure": True}
    assert taken[-1].chance >= bus_spread.wanted
    assert [t.chance for t in taken] == sorted(t.chance for t in taken)
    assert {t.cure.cost for t in tried} >= {1, 2}


def test_measured_first_leaves_the_tape_and_no_more(bus_spread: Spread) -> None:
    rows = {(r.of, r.things): r.off_mm for r in measured(bus_spread).input}
    assert rows["existing", ()] == rows["obstacle", ()] == 0.5
    # what was nearer than a tape tells stays as it was
    assert rows["existing", ("bolt_1", "bolt_2", "bolt_3", "bolt_4")] == 0.25


# ------------------------------------------------------------------------------------ who counts
def test_blocks_counted_in_any_order_make_the_same_whole(bus_kit: Kit) -> None:
    blocks = list(enumerate(sizes(2500)))
    assert [size for _, size in blocks] == [1000, 1000, 500]
    whole = all_installs(bus_kit, 2500, 9, progress=quiet)
    assert added([counted(bus_kit, 9, number, size) for number, size in reversed(blocks)]) == whole
    assert all_installs(bus_kit, 2500, 10, progress=quiet) != whole


def test_two_workers_of_which_one_is_killed_count_the_same(bus_kit: Kit, cluster: Any) -> None:
    address, workers = cluster

    def kills(what: str, done: int, total: int) -> None:
        if done == 3:
            workers[0].kill()

    found = all_installs(bus_kit, 12_000, 4, on=address, progress=kills)
    assert workers[0].wait() != 0
    assert found == all_installs(bus_kit, 12_000, 4, progress=quiet)


def test_no_scheduler_is_said(bus_kit: Kit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("generators.jobs.sweep.run.CONNECT_S", 1)
    with pytest.raises(ExportError, match="no scheduler answers"):
        all_installs(bus_kit, 1000, 1, on="tcp://127.0.0.1:9", progress=quiet)


# ------------------------------------------------------------------------------------ the spec
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no spread"),
        ("\n[spread]\n", "no spread"),
        (ROW, "nothing that is put on a vehicle"),
        (ROW.replace('off = "0.2 mm"', 'turn = "1 deg"'), "cut without `off`"),
        (ROW.replace('"cut"', '"bend_angle"'), "bend_angle without `turn`"),
        (ROW.replace('"cut"', '"print_scale"'), "print_scale without `share`"),
        (ROW + 'things = ["covr"]\n', 'the unknown name "covr"'),
        (ROW + ROW.replace("\n[spread]\n", ""), "all of cut again"),
        (ROW + 'things = ["cover", "cover"]\n', '"cover" again'),
        (ROW.replace('"0.2 mm"', '"300 mm"'), "300 mm"),
        (ROW.replace('"cut"', '"weather"'), '"weather"'),
    ],
)
def test_a_spread_that_says_nothing_or_contradicts_itself(
    text: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = tmp_path / "plate.toml"
    spec.write_text(PLATE + text, encoding="utf-8")
    assert call("spread", str(spec), "--out", str(tmp_path / "out")) == 3
    said = capsys.readouterr().err
    assert says in said
    assert "plate.toml:" in said
    assert not (tmp_path / "out").exists()


def test_the_demo_says_that_its_figures_are_invented() -> None:
    text = BUS.read_text(encoding="utf-8")
    assert "Every figure is INVENTED." in text
    assert 'note = "Invented figures' in text


def test_how_vehicles_differ_makes_no_other_revision(bus: Prepared, tmp_path: Path) -> None:
    """Sheets and parts come from the spec's sizes; a guess at how the next vehicle differs changes none."""
    from generators.solve.job import prepare

    changed: Mapping[str, Any] = {"spread.wanted": 0.9}
    assert prepare(BUS, values=changed).file.revision == bus.file.revision
    assert prepare(BUS, values={"hose[cab_line].measure": True}).file.revision != bus.file.revision


def test_a_spread_of_an_issued_spec_says_its_letter(tmp_path: Path) -> None:
    pytest.importorskip("SALib")
    spec, out = tmp_path / "small.toml", tmp_path / "out"
    spec.write_text(TEXT + ROW, encoding="utf-8")
    assert call("issue", str(spec), "--date", "2026-11-29", "--why", "first issue") == 0
    assert call("spread", str(spec), "--installs", "200", "--no-changes", "--out", str(out)) in (0, 1)
    (folder,) = out.iterdir()
    said = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert (said["letter"], said["issued"]) == ("A", "2026-11-29")
    # the words of the page are in the file as they are
    assert b"revision A 2026-11-29" in (folder / "spread.pdf").read_bytes()
    assert all(not reading.problems for reading in verify(folder, progress=quiet))
    # the list of issues goes along, and is proven with the rest
    (kept,) = (path for path in (folder / "spec").iterdir() if b"first issue" in path.read_bytes())
    kept.write_bytes(kept.read_bytes().replace(b"2026-11-29", b"2026-11-28"))
    with pytest.raises(ReadBackError, match="is the list of issues"):
        verify(folder, progress=quiet)
