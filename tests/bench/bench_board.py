"""From a save to the picture: one hole of the van moved in an editor, seen in Chromium.

``python tests/bench/bench_board.py [COUNT]`` prints the time from the write of the file to the new picture on the page,
beside that of ``prepare`` in the same process between the same changes, as a ratio, median and worst, and where each
went: until the board begins to read the file, until it has drawn, until the page shows it; and how memory grows over the
changes. It asserts nothing.
"""

from __future__ import annotations

import gc
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1] / "board"))
sys.path.insert(0, str(Path(__file__).parents[1] / "phone"))

from boards import running
from browsers import launched

from generators.solve.job import prepare

ROOT = Path(__file__).parents[2]
HOLE = 'u = "74 mm", v = "-64 mm"'


def resident_mib() -> float:
    """Memory of this process, MiB (Linux; 0 elsewhere)."""
    status = Path("/proc/self/status")
    if not status.exists():
        return 0.0
    line = next(row for row in status.read_text(encoding="utf-8").splitlines() if row.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def watched(board: Any) -> list[tuple[float, float]]:
    """When each first look of a board began and ended, as they come."""
    looks: list[tuple[float, float]] = []
    real = board.desk.first

    def first() -> None:
        begin = time.perf_counter()
        real()
        looks.append((begin, time.perf_counter()))

    board.desk.first = first
    return looks


def main() -> None:
    """Move the hole to and fro."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shutil.copytree(ROOT / "specs", Path(folder) / "specs")
        spec = Path(folder) / "specs" / "wrenfield_van.toml"
        text = spec.read_text(encoding="utf-8")
        assert text.count(HOLE) == 1
        browser = launched(playwright)
        saved, solved, sizes, stages = [], [], [], []
        with running(spec) as (address, board):
            looks = watched(board)
            page = browser.new_page(viewport={"width": 1400, "height": 900})
            page.goto(address)
            page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
            for k in range(count):
                was = page.get_attribute("body", "data-digest")
                new = text.replace(HOLE, f'u = "{81 + k % 7} mm", v = "-64 mm"')
                begin = time.perf_counter()
                spec.write_text(new, encoding="utf-8")
                page.wait_for_selector(f'body:not([data-digest="{was}"])', timeout=60_000)
                end = time.perf_counter()
                saved.append(end - begin)
                page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
                read, drawn = next(look for look in looks if look[0] >= begin)
                stages.append((read - begin, drawn - read, end - drawn))
                page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
                begin = time.perf_counter()
                prepare(spec)
                solved.append(time.perf_counter() - begin)
                gc.collect()
                sizes.append(resident_mib())
            page.close()
        browser.close()
    picture, whole = statistics.median(saved), statistics.median(solved)
    half = len(sizes) // 2
    ratios = [one / whole for one in saved]
    worst = ratios.index(max(ratios))
    print(f"save to picture, median of {count}: {1000 * picture:.0f} ms; worst {1000 * max(saved):.0f} ms")
    print(f"prepare, same process: {1000 * whole:.0f} ms, {1000 * max(solved):.0f} ms at worst")
    print(f"picture / prepare = {picture / whole:.2f}, at worst {ratios[worst]:.2f} (change {worst + 1})")
    for words, one in (("median", None), ("worst", worst)):
        parts = (
            stages[one]
            if one is not None
            else [statistics.median(each) for each in zip(*stages, strict=True)]
        )
        said = " + ".join(f"{part / whole:.2f}" for part in parts)
        print(f"  {words}: {said} of prepare, until it is read, drawn, shown")
    print("  each:", " ".join(f"{ratio:.2f}" for ratio in ratios))
    print(f"memory at the end over that after half of the changes: {sizes[-1] / max(sizes[half], 1e-9):.3f}")


if __name__ == "__main__":
    main()
