"""Time of the rules on bodies: ``python tests/bench/bench_scene.py``.

First, for each demo, what a check takes with them against without. Then jobs of more and more parts on one
large panel, each with its bolts: bodies, pairs measured, and time for each body against the row before.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from generators.solve.bodies.ground import job_ground
from generators.solve.bodies.scene import Scene, job_bodies, standing_findings
from generators.solve.bodies.standing import standing
from generators.solve.job import Prepared, prepare
from generators.space.distance import Space
from generators.space.plates import _slabs as whole_sheets

SPECS = Path(__file__).parents[2] / "specs"
PARTS = (1, 4, 16, 60)
ROUNDS = 3


def best_of(work: Callable[[], object]) -> float:
    """The least of a few times, s."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        whole_sheets.cache_clear()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def in_space(job: Prepared) -> None:
    """All of a check that is about bodies, from forms to findings."""
    lines = replace(job.lines, standing=standing(job.file.job, job.lines.sheets))
    bodies = job_bodies(job.file.job, job.parts, job.layouts, lines, job.fasteners)
    scene = Scene(bodies=bodies, movers=job.scene.movers)
    ground = job_ground(job.file.job, job.parts, job.layouts)
    list(standing_findings(scene, ground, job.file.job.limits))


def brackets(count: int, folder: Path) -> Path:
    """A panel with so many reservoir brackets in rows."""
    text = (
        '[job]\nname = "bench"\ntitle = "Bench, invented"\n\n[[panel]]\nname = "wall"\ntitle = "Wall"\n'
        'material = "steel"\nthickness = "2 mm"\norigin = ["0 mm", "0 mm", "0 mm"]\n'
        'outline = [["0 mm", "0 mm"], ["2000 mm", "0 mm"], ["2000 mm", "2000 mm"], ["0 mm", "2000 mm"]]\n'
    )
    for k in range(count):
        text += (
            f'\n[[part]]\nname = "shelf_{k}"\nkind = "reservoir_bracket"\nmaterial = "1008 steel"\n'
            f'thickness = "3 mm"\n[part.mount]\npanel = "wall"\nface = "cab"\n'
            f'at = {{ u = "{120 + k % 8 * 240} mm", v = "{150 + k // 8 * 220} mm" }}\n'
        )
    spec = folder / "bench.toml"
    spec.write_text(text, encoding="utf-8")
    (folder / "shop.toml").write_bytes((SPECS / "shop.toml").read_bytes())
    return spec


def main() -> None:
    """Print both tables."""
    print(f"{'demo':>16} {'bodies':>7} {'with / without':>15}")
    for name in ("wrenfield_van", "tarn_special", "dray_tractor"):
        spec = SPECS / f"{name}.toml"
        job = prepare(spec)
        whole, bodies = best_of(partial(prepare, spec)), best_of(partial(in_space, job))
        print(f"{name:>16} {len(job.scene.bodies):>7} {whole / (whole - bodies):>15.2f}")
    print(f"\n{'parts':>6} {'bodies':>7} {'near pairs':>11} {'s':>8} {'ms/body':>8} {'ratio':>6}")
    before = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for count in PARTS:
            job = prepare(brackets(count, Path(folder)))
            taken = best_of(partial(in_space, job))
            pairs = sum(1 for _ in Space(job.scene.bodies).pairs(0.0))
            each = taken / len(job.scene.bodies) * 1e3
            ratio = each / before if before else 1.0
            print(
                f"{count:>6} {len(job.scene.bodies):>7} {pairs:>11} {taken:>8.3f} {each:>8.2f} {ratio:>6.2f}"
            )
            before = each


if __name__ == "__main__":
    main()
