"""From a save to the picture: one hole of the van moved in an editor, seen in Chromium.

``python tests/bench/bench_board.py [COUNT]`` prints the time from the write of the file to the new picture on the page,
beside that of ``prepare`` in the same process between the same changes, as a ratio; and how memory grows over the
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


def main() -> None:
    """Move the hole to and fro."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        shutil.copytree(ROOT / "specs", Path(folder) / "specs")
        spec = Path(folder) / "specs" / "wrenfield_van.toml"
        text = spec.read_text(encoding="utf-8")
        assert text.count(HOLE) == 1
        browser = launched(playwright)
        saved, solved, sizes = [], [], []
        with running(spec) as (address, _board):
            page = browser.new_page(viewport={"width": 1400, "height": 900})
            page.goto(address)
            page.wait_for_selector('body[data-stage="whole"]', timeout=60_000)
            for k in range(count):
                was = page.get_attribute("body", "data-digest")
                new = text.replace(HOLE, f'u = "{81 + k % 7} mm", v = "-64 mm"')
                begin = time.perf_counter()
                spec.write_text(new, encoding="utf-8")
                page.wait_for_selector(f'body:not([data-digest="{was}"])', timeout=60_000)
                saved.append(time.perf_counter() - begin)
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
    print(f"save to picture, median of {count}: {1000 * picture:.0f} ms; worst {1000 * max(saved):.0f} ms")
    print(f"prepare, same process: {1000 * whole:.0f} ms; picture / prepare = {picture / whole:.2f}")
    print(f"memory at the end over that after half of the changes: {sizes[-1] / max(sizes[half], 1e-9):.3f}")


if __name__ == "__main__":
    main()
