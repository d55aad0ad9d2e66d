"""Runs the solver in a process of its own, and says so plainly when it is not installed."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from importlib.metadata import PackageNotFoundError, version

from generators.errors import SolverFault, SolverMissing
from generators.strength.problem import Answer, Problem, problem_text, read_answer

PACKAGES = ("netgen", "ngsolve")
DISTRIBUTIONS = ("ngsolve", "netgen-mesher")
INSTALL = "pip install 'pedalplate[stiffness]'"
TIMEOUT_S = 600


def require_solver() -> None:
    """Raises ``SolverMissing`` naming what is not installed."""
    absent = [name for name in PACKAGES if not _present(name)]
    if absent:
        raise SolverMissing(
            f"the finite-element solver is not installed ({' and '.join(absent)} missing): {INSTALL}"
        )


def solver_words() -> str:
    """The solver with its version, as results name it; empty words for a version nobody knows."""
    out = []
    for name in DISTRIBUTIONS:
        try:
            out.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            out.append(name)
    return ", ".join(out)


def _present(name: str) -> bool:
    try:
        return importlib.util.find_spec(name) is not None
    except ImportError:
        return False


def run(problem: Problem) -> Answer:
    """The answer to a problem.

    One thread, so that the same problem gives the same answer. Raises ``SolverMissing`` when it is not
    installed or does not load, and ``SolverFault`` when it finds no answer.
    """
    require_solver()
    threads = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "NGS_NUM_THREADS": "1"}
    # between the two processes always UTF-8, whatever the terminal is set to
    environment = {**os.environ, **threads, "PYTHONIOENCODING": "utf-8:backslashreplace"}
    try:
        done = subprocess.run(
            [sys.executable, "-m", "generators.strength.worker"],
            input=problem_text(problem),
            capture_output=True,
            encoding="utf-8",
            errors="replace",
            timeout=TIMEOUT_S,
            env=environment,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise SolverFault(f"part {problem.part}: no answer within {TIMEOUT_S} s") from None
    if done.returncode:
        said = [line for line in done.stderr.splitlines() if line.strip()]
        reason = next((line.removeprefix("fault: ") for line in said if line.startswith("fault: ")), "")
        last = said[-1][:200] if said else f"exit code {done.returncode}"
        if last.startswith(("ImportError:", "ModuleNotFoundError:")):
            raise SolverMissing(f"the finite-element solver does not load ({last}): {INSTALL}")
        raise SolverFault(f"part {problem.part}: {reason or f'the solver stopped: {last}'}")
    return read_answer(done.stdout)
