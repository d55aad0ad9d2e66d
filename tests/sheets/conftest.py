"""The install sheets of all demos, made once for every test of this folder."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from finished_words import Sheet
from sheet_pages import page_texts

from generators.jobs.make.job_files import job_files
from generators.solve.job import prepare

SPECS = Path(__file__).parents[2] / "specs"
DEMOS = ("wrenfield_van", "dray_tractor", "ferrow_bus", "tarn_special")
STEP = re.compile(r"\u274f ([0-9]{1,3})\. ")


@pytest.fixture(scope="session", params=DEMOS)
def sheet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    job = prepare(SPECS / f"{request.param}.toml")
    path = tmp_path_factory.mktemp("words") / "install_sheet.pdf"
    next(t for t in job_files(job, "A4") if t.entry.path == "install_sheet.pdf").body(path=path)
    text = " ".join(page_texts(path))
    return Sheet(job, text, tuple(STEP.split(text)[2::2]))
