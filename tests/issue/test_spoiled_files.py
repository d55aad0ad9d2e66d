"""A file spoiled in any way is a bad file with a sentence, whatever the library that reads it does."""

from __future__ import annotations

import random
from functools import partial
from pathlib import Path

import pytest
from issue.small import small_spec

from generators.issue.apart import apart
from generators.issue.artefact import Artefact, Job
from generators.issue.manifest import Entry
from generators.jobs.make.run import job_of
from generators.solve.job import prepare
from generators.verify.content import first_difference
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.pdf.waivers import waiver_problems
from generators.verify.readback import ReadBack

SEED = 20261128
TIMES = 5


@pytest.fixture(scope="module")
def made(small_made: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Job]:
    return small_made, job_of(prepare(small_spec(tmp_path_factory.mktemp("spec"))), "A4")


def spoiled(draw: random.Random, good: bytes) -> bytes:
    """Some bytes changed, taken out, put in, or the end cut off."""
    data = bytearray(good)
    at, count = draw.randrange(len(data)), draw.choice((1, 4, 50))
    how = draw.randrange(4)
    if how == 0:
        data[at : at + count] = draw.randbytes(count)
    elif how == 1:
        del data[at : at + count]
    elif how == 2:
        data[at:at] = draw.randbytes(count)
    else:
        del data[at:]
    return bytes(data)


def campaign(folder: Path, job: Job, place: Path, draw: random.Random, times: int) -> None:
    with apart() as reader:
        for artefact in job.artefacts:
            good, bad = folder / artefact.entry.path, place / artefact.entry.path
            bad.parent.mkdir(parents=True, exist_ok=True)
            for _ in range(times):
                bad.write_bytes(spoiled(draw, good.read_bytes()))
                assert reader.read(artefact, bad).path == artefact.entry.path
                assert first_difference(bad, good) != ""


def test_spoiled_files_are_read_to_a_sentence(made: tuple[Path, Job], tmp_path: Path) -> None:
    campaign(*made, tmp_path, random.Random(SEED), TIMES)


@pytest.mark.nightly
def test_very_many_spoiled_files(made: tuple[Path, Job], tmp_path: Path) -> None:
    campaign(*made, tmp_path, random.Random(SEED + 1), 400)


@pytest.mark.parametrize("end", ["", "0\n", "0\nSECTION\n  2\n"])
def test_a_dxf_that_ends_at_its_head(made: tuple[Path, Job], tmp_path: Path, end: str) -> None:
    short = tmp_path / "short.dxf"
    short.write_text(end)
    assert (first_difference(short, made[0] / "panels/left/template.dxf") or "").startswith("cannot be read")


def test_a_pdf_with_a_page_that_is_none(made: tuple[Path, Job], tmp_path: Path) -> None:
    bad = tmp_path / "report.pdf"
    data = (made[0] / "report.pdf").read_bytes()
    kids = data.index(b"/Kids [ ") + len(b"/Kids [ ")
    page = data[kids : data.index(b" ", kids)]
    # no object has a number that large, and it is as long as the first page's
    bad.write_bytes(data[:kids] + b"0" * (len(page) - 1) + b"0" + data[kids + len(page) :])
    reading = read_sheet_pdf(bad, title="", revision="", rel="report.pdf")
    assert any("cannot be read" in p for p in reading.problems)
    assert waiver_problems(bad, ()) == []


def reads_nothing(path: Path) -> ReadBack:
    raise ZeroDivisionError(path.name)


def test_a_reader_that_gives_up_names_the_file(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("a")
    one = Artefact(entry=Entry(path="a.txt", kind="text"), body=partial(print), read=partial(reads_nothing))
    with apart() as reader:
        (said,) = reader.read(one, tmp_path / "a.txt").problems
    assert said.startswith("cannot be read: ZeroDivisionError")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [(b"=", b"", "damaged"), (b"END-ISO-10303-21;", b"", "cut short"), (b"(#", b"(#99999", "not there")],
)
def test_a_damaged_assembly_never_reaches_the_kernel(
    made: tuple[Path, Job], tmp_path: Path, old: bytes, new: bytes, said: str
) -> None:
    one = next(a for a in made[1].artefacts if a.entry.path == "assembly.step")
    data = (made[0] / "assembly.step").read_bytes()
    start = data.index(b"DATA;")
    (tmp_path / "assembly.step").write_bytes(data[:start] + data[start:].replace(old, new, 1))
    with apart() as reader:
        problems = reader.read(one, tmp_path / "assembly.step").problems
    assert any(said in p for p in problems)
