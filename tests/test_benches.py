"""The benchmarks are run on demand only: what they import and make is there all the same."""

from __future__ import annotations

import runpy
import subprocess
import sys
from pathlib import Path

from generators.solve.job import prepare

BENCHES = Path(__file__).parent / "bench"


def test_every_benchmark_starts() -> None:
    """As a script would be, in one process of their own: they lengthen the path."""
    code = "import runpy, sys; [runpy.run_path(name, run_name='started') for name in sys.argv[1:]]"
    names = sorted(str(path) for path in BENCHES.glob("bench_*.py"))
    assert len(names) > 10
    done = subprocess.run(
        [sys.executable, "-c", code, *names], capture_output=True, text=True, timeout=300, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_jobs_whose_growth_is_measured_can_be_made(tmp_path: Path) -> None:
    spec_text = runpy.run_path(str(BENCHES / "bench_make.py"), run_name="started")["spec_text"]
    for parts, panels, holes in ((3, 1, 1), (0, 3, 6), (0, 1, 50)):
        spec = tmp_path / "bench.toml"
        spec.write_text(spec_text(parts, panels, holes), encoding="utf-8")
        job = prepare(spec)
        assert (len(job.parts), len(job.layouts)) == (parts, panels)
        assert [f.code for f in job.findings if f.blocks] == []
