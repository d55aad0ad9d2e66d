"""All rules on bodies that stand still."""

from __future__ import annotations

from collections.abc import Iterator

from generators.checks.space.clash import check_clash, meets
from generators.checks.space.crossing import check_crossing, split
from generators.checks.space.ground import Ground
from generators.model.findings import Finding
from generators.space.distance import Space


def check_standing(space: Space, rods: Space, ground: Ground) -> Iterator[Finding]:
    """Findings on all standing bodies; ``rods`` has the sheets again with what only may not cross them."""
    through, rest = split(meets(space), ground)
    yield from check_crossing([*through, *split(meets(rods, kind="rod"), ground)[0]], ground)
    yield from check_clash(rest, ground)
