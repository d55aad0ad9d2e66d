"""The install sheets of all demos, made once for every test of this folder."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from finished_words import Sheet
from made_once import once, solved
from sheet_pages import page_texts

from generators.jobs.make.job_files import job_files

DEMOS = ("wrenfield_van", "dray_tractor", "ferrow_bus", "tarn_special")
STEP = re.compile(r"\u274f ([0-9]{1,3})\. ")


@pytest.fixture(scope="session", params=DEMOS)
def sheet(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Sheet:
    def said(folder: Path) -> str:
        path = folder / "install_sheet.pdf"
        next(t for t in job_files(job, "A4") if t.entry.path == "install_sheet.pdf").body(path=path)
        return " ".join(page_texts(path))

    job = solved(request.param)
    # every file of this folder asks for each of them
    text = once(tmp_path_factory, f"install_words_{request.param}", said)
    return Sheet(job, text, tuple(STEP.split(text)[2::2]))
