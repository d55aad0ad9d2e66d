"""Every finished paper says the same of every hole: when it is made, through what, after which step."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from itertools import count
from pathlib import Path

import pytest
from jobs.hole_papers import (
    LAYER,
    Install,
    Label,
    Row,
    csv_rows,
    dxf_layers,
    dxf_says,
    install_says,
    labels,
    phrase,
    sign_wanted,
    table_says,
)
from jobs.paper_jobs import drawn_job, released

from generators.issue.work import Order, carry_out
from generators.jobs.make.run import artefacts
from generators.solve.job import Prepared, prepare
from generators.solve.reach import with_reach
from generators.verify.pdf.content import read_pdf

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = ("wrenfield_van", "tarn_special", "dray_tractor", "ferrow_bus")
KINDS = ("template_pdf", "patches_pdf", "template_dxf", "install_sheet", "holes_csv")
PAPERS = ("template_cab.pdf", "template_engine.pdf", "patches_cab.pdf", "patches_engine.pdf", "template.dxf")
FEW, MANY = 3, 200


def written(prepared: Prepared, paper: str, folder: Path) -> None:
    """The papers of a job, as they are issued."""
    for k, sheet in enumerate(artefacts(prepared, paper)):
        if sheet.entry.kind in KINDS:
            done = carry_out(sheet, Order(index=k, folder=folder, revision="0000000", found=folder))
            assert (folder / done.path).is_file()


def disagreements(folder: Path) -> list[str]:
    """Where papers of a folder say another thing of a hole than ``holes.csv``."""
    rows = csv_rows(folder / "holes.csv")
    bad = list(_of_install(rows, folder / "install_sheet.pdf"))
    for path in sorted(folder.glob("panels/*/*")):
        here = {n: r for n, r in rows.items() if r.panel in path.parent.name.split("+")}
        name = path.relative_to(folder).as_posix()
        said = dxf_says(path, list(here)) if path.suffix == ".dxf" else {}
        if path.suffix == ".dxf":
            bad += [
                f"{name}: hole {n} lies on {dxf_layers(path, row)}"
                for n, row in here.items()
                if row.said.when in ("now", "last")
                and not {LAYER[row.said.how], "WELD"} & dxf_layers(path, row)
            ]
        else:
            pages = read_pdf(path).pages
            said = table_says(pages) if path.name.startswith("template") else {}
            led = [
                (label, here[label.number])
                for page in pages
                for label in labels(page)
                if label.number in here
            ]
            bad += [f"{name}: {problem}" for label, row in led if (problem := _of_label(label, row))]
            wanted = [n for n, row in here.items() if row.said.when in ("now", "last")]
            assert 2 * len({label.number for label, _ in led} & set(wanted)) >= len(wanted), name
        if said or path.name.startswith("template"):
            assert set(said) == set(here), name
        bad += [f"{name}: hole {n}: {s} but {here[n].said}" for n, s in said.items() if s != here[n].said]
    return bad


def _of_label(label: Label, row: Row) -> str:
    """Where a label or its ring disagrees with the table; nothing where not."""
    said = row.said
    if label.sign != sign_wanted(said):
        return f"the sign of hole {row.number} is {label.sign}, not {sign_wanted(said)}"
    told = f"after step {said.step}" in label.text
    if said.when == "last" and label.text != label.number and not told:
        return f"the label of hole {row.number} does not say its step: {label.text}"
    if said.when not in ("last", "open") and "after step" in label.text:
        return f"the label of hole {row.number} names a step: {label.text}"
    words = {"part": "through the", "guide": "through the", "hose": "where its hose puts it"}.get(
        said.how, ""
    )
    return (
        f"the label of hole {row.number} says no way: {label.text}"
        if label.lines > 1 and words not in label.text
        else ""
    )


def _of_install(rows: dict[str, Row], path: Path) -> Iterator[str]:
    """Where the steps disagree with the table."""
    sheet = install_says(path)
    for number, row in rows.items():
        said = row.said
        late = said.when == "last" or (said.when == "open" and said.step > 0)
        drilled = said.how == "paper" and bool(row.tool)  # a stud is welded on its mark
        waits = phrase(f"{sheet.told[number]}, {said.face} side") if number in sheet.told else None
        at = {"part": sheet.through, "hose": {**sheet.through, **sheet.sized}}.get(said.how, {}).get(number)
        now = number in sheet.sized and sheet.sized[number][0] not in _later(sheet, said.step)
        for there, wanted, what in (
            (number in sheet.punched, said.how == "paper" or bool(said.pilot), "punched"),
            (number in sheet.pilots, bool(said.pilot), "left a pilot"),
            (number in sheet.guided, said.how == "guide", "drilled through a guide"),
            (number in sheet.told, late, "told to wait"),
            (now, drilled or (said.when == "open" and not late), "opened with its panel"),
            (at is not None, said.when == "last", "drilled later"),
            (number in sheet.closed, said.when == "close" and not row.through, "closed by itself"),
        ):
            if there != wanted:
                yield f"install sheet: hole {number} is {'' if there else 'not '}{what}: {said}"
        if waits is not None and (waits.when, waits.how, waits.step) != (said.when, said.how, said.step):
            yield f"install sheet: hole {number}: {sheet.told[number]!r}, {said}"
        if late and not sheet.steps.get(said.step, "").startswith(("Bolt ", "Hold ")):
            yield f"install sheet: hole {number} waits for {sheet.steps.get(said.step)!r}"
        if at is not None and at[0] <= said.step:
            yield f"install sheet: hole {number} is drilled at step {at[0]}, {said}"
        if number in sheet.through and at is not None and sheet.through[number][1] != said.face:
            yield f"install sheet: hole {number} is drilled from the {sheet.through[number][1]} side, {said}"


def _later(sheet: Install, step: int) -> set[int]:
    """Steps after the one a hole waits for; none for a hole that waits for nothing."""
    return {number for number in sheet.steps if number > step} if step else set()


@pytest.fixture(scope="module")
def demo_papers(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The papers of a demo, written once."""

    @cache
    def made(demo: str) -> Path:
        folder = tmp_path_factory.mktemp(demo)
        written(with_reach(prepare(SPECS / f"{demo}.toml")), "A4", folder)
        return folder

    return made


@pytest.mark.parametrize("demo", DEMOS)
def test_papers_of_a_demo_say_one_thing(demo: str, demo_papers: Callable[[str], Path]) -> None:
    assert disagreements(demo_papers(demo)) == []


def test_a_hole_told_otherwise_is_seen_in_every_paper(
    demo_papers: Callable[[str], Path], tmp_path: Path
) -> None:
    """One hole that is drilled through its part, put down as one to punch now: nothing else agrees."""
    folder = tmp_path / "copy"
    shutil.copytree(demo_papers("ferrow_bus"), folder)
    table = folder / "holes.csv"
    lines = list(csv.reader(table.read_text(encoding="utf-8").splitlines()))
    head = lines[0]
    line = next(x for x in lines if x[head.index("how")] == "part" and not x[head.index("pilot_from")])
    for key, word in (
        ("when", "now"),
        ("how", "paper"),
        ("after_step", ""),
        ("face", "cab"),
        ("through", ""),
    ):
        line[head.index(key)] = word
    with table.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows(lines)
    bad = disagreements(folder)
    panel, number = line[0], line[1]
    papers = {"install sheet", *(f"panels/{panel}/{name}" for name in PAPERS)}
    assert papers <= {text.partition(":")[0] for text in bad}
    assert all(f"hole {number}" in text for text in bad)


def test_papers_say_where_a_made_up_hose_decides(hose_van: Path, tmp_path: Path) -> None:
    written(with_reach(prepare(hose_van)), "A4", tmp_path)
    assert {row.said.how for row in csv_rows(tmp_path / "holes.csv").values()} >= {
        "paper",
        "part",
        "hose",
        "there",
    }
    assert disagreements(tmp_path) == []


def random_jobs(first: int, many: int, folder: Path) -> list[str]:
    bad: list[str] = []
    done = 0
    for seed in count(first):
        drawn = drawn_job(seed)
        place = folder / str(seed)
        place.mkdir()
        prepared = released(drawn, place)
        if prepared is None:
            continue
        written(prepared, drawn.paper, place)
        bad += [f"seed {seed}: {text}" for text in disagreements(place)]
        done += 1
        if done == many:
            return bad
    return bad


def test_papers_of_some_random_jobs_say_one_thing(tmp_path: Path) -> None:
    assert random_jobs(7_000, FEW, tmp_path) == []


@pytest.mark.nightly
def test_papers_of_many_random_jobs_say_one_thing(tmp_path: Path) -> None:
    assert random_jobs(2_000_000, MANY, tmp_path) == []
