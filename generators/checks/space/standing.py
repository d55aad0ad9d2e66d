"""All rules on bodies that stand still."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.space.clash import check_clash, meets
from generators.checks.space.crossing import check_crossing, split
from generators.checks.space.ground import Ground
from generators.model.findings import Finding
from generators.space.distance import Space


def check_standing(space: Space, ground: Ground) -> Iterator[Finding]:
    """Findings on all standing bodies, pushrods at rest among them."""
    through, rest = split(meets(space), ground)
    yield from check_crossing(through, ground)
    # what a rod meets where it moves is for the rules on motion
    yield from check_clash([meet for meet in rest if "rod" not in meet.kinds], ground)
