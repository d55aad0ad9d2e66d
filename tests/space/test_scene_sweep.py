"""Jobs drawn at random: what the rules on bodies call clear is clear to the solid modeller, and the reverse."""

from __future__ import annotations

import random
import shutil
from itertools import count
from pathlib import Path

import pytest
from demo_solids import distance, holds, of_body, shared_volume, solids
from jobs.paper_jobs import SHOP, drawn_job

from generators.errors import GeometryFault, SpecError
from generators.solve.job import Prepared, prepare
from generators.space.distance import Space

BLOCKS = 20
"""The nightly run in parts that can be run, and run again, one by one: ``-k "[7]"``."""
IN_BLOCK = 10
FEW = 3
SURE_MM = 0.1
"""Both bodies are drawn to 0.05 mm: what lies between is either."""


FOLD = '\n[[fold]]\npanels = ["firewall", "toe_board"]\ninside_radius = "6 mm"\n'


def strewn(rng: random.Random) -> str:
    """Bars and boxes about the panels, which stand at x 0, y 0 to 1000 and z 200 to 1300."""
    text = ""
    for k in range(24):
        x, y, z = rng.uniform(-120, 120), rng.uniform(50, 700), rng.uniform(450, 1100)
        way = [rng.uniform(-90, 90) for _ in range(3)]
        place = (
            f'start = ["{x} mm", "{y} mm", "{z} mm"]\n'
            f'end = ["{x + way[0]} mm", "{y + way[1]} mm", "{z + way[2]} mm"]\ndiameter = "{rng.uniform(6, 60)} mm"\n'
            if k % 3
            else f'corner = ["{x} mm", "{y} mm", "{z} mm"]\nsize = ["{rng.uniform(5, 90)} mm", '
            f'"{rng.uniform(5, 90)} mm", "{rng.uniform(5, 90)} mm"]\n'
        )
        text += f'\n[[obstacle]]\nname = "strewn_{k}"\nwhat = "something strewn"\n{place}'
    return text


def prepared(seed: int, folder: Path) -> Prepared | None:
    shutil.copyfile(SHOP, folder / "shop.toml")
    spec = folder / "toy.toml"
    # flat panels to the sharp line, as the modeller has them
    text = drawn_job(seed).text.replace(FOLD, "")
    assert "[[fold]]" not in text
    spec.write_text(text + strewn(random.Random(seed)), encoding="utf-8")
    try:
        return prepare(spec)
    except SpecError:
        return None


def disagreements(job: Prepared) -> tuple[int, int, list[str]]:
    """Pairs clear and pairs in each other, and where the modeller sees it otherwise."""
    exact = solids(job)
    space = Space(job.scene.bodies)
    clear = met = 0
    wrong = []
    for first, second in space.pairs(0.0):
        one, two = space.bodies[first], space.bodies[second]
        if "room" in (one.what, two.what):
            continue
        gap = space.gap(first, second, 50.0)
        if gap is None or abs(gap.gap_mm) <= SURE_MM:
            continue
        a, b = (exact.get(body.name) or of_body(body) for body in (one, two))
        if gap.gap_mm > 0:
            clear += 1
            right = abs(distance(a, b) - gap.gap_mm) <= SURE_MM
        else:
            met += 1
            # the middle of what they share is in both; else what they share is cut out, which takes long
            right = (holds(a, gap.at) and holds(b, gap.at)) or shared_volume(a, b) > 0
        if not right:
            wrong.append(f"{one.name} and {two.name}: {gap.gap_mm:.3f} mm")
    return clear, met, wrong


def sweep(folder: Path, first: int, jobs: int) -> tuple[int, int, list[str]]:
    clear = met = done = 0
    wrong: list[str] = []
    for seed in count(first):
        job = prepared(seed, folder)
        if job is None:
            continue
        try:
            good, bad, said = disagreements(job)
        except GeometryFault:
            continue  # openings that cut a panel in two: the modeller makes no solid of it
        clear, met, done = clear + good, met + bad, done + 1
        wrong += [f"seed {seed}: {line}" for line in said]
        if done == jobs:
            break
    return clear, met, wrong


def test_a_few_jobs_agree_with_the_modeller(tmp_path: Path) -> None:
    clear, met, wrong = sweep(tmp_path, 0, FEW)
    assert wrong == []
    assert clear > 10
    assert met > 10


@pytest.mark.nightly
@pytest.mark.parametrize("block", range(BLOCKS))
def test_many_jobs_agree_with_the_modeller(
    block: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clear, met, wrong = sweep(tmp_path, 1_000_000 + 1000 * block, IN_BLOCK)
    with capsys.disabled():
        print(f"\nblock {block}: {IN_BLOCK} jobs, {clear} pairs clear, {met} in each other", flush=True)
    assert wrong == []
