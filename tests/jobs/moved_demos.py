"""The demos with a few lengths and angles changed at random: whole vehicles, as their owner would try them."""

from __future__ import annotations

import random
import re

from jobs.paper_jobs import LARGE_TYPE, PAPERS, SPECS, Drawn

DEMOS = ("dray_tractor", "ferrow_bus", "tarn_special", "wrenfield_van")
FIGURE = re.compile(r'"(-?\d+(?:\.\d+)?) (mm|deg|in)"')


def moved_demo(seed: int) -> Drawn:
    """The job of a seed, always the same for the same demos."""
    rng = random.Random(seed)
    text = (SPECS / f"{DEMOS[seed % len(DEMOS)]}.toml").read_text(encoding="utf-8")
    for _ in range(rng.choice((1, 2, 3, 5))):
        figure = rng.choice(list(FIGURE.finditer(text)))
        was = float(figure[1])
        now = rng.choice(
            (
                was * rng.uniform(0.7, 1.3),
                was + rng.uniform(-15, 15),
                was + rng.uniform(-15, 15),
                was + rng.choice((-1, 1)),
                round(was) + 0.37,
                -was,
            )
        )
        text = f'{text[: figure.start()]}"{now:.2f} {figure[2]}"{text[figure.end() :]}'
    if rng.random() < 0.3 and "\nunits =" not in text.partition("[[")[0]:
        text = text.replace("[job]\n", '[job]\nunits = "inch"\n', 1)
    return Drawn(
        text=text,
        paper=rng.choice(PAPERS),
        type_scale=rng.choice((1.0, 1.0, LARGE_TYPE)),
        reason="trial, never fitted",
    )
