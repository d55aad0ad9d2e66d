"""All rules on how parts fit: to each other, to their panels, and round their own bends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.checks.joint.countersinks import check_countersinks
from generators.checks.joint.inserts import check_inserts
from generators.checks.joint.mating import check_joints
from generators.checks.joint.measured_places import check_measured_places
from generators.checks.joint.part_room import check_room
from generators.checks.joint.shared_patterns import check_patterns
from generators.checks.joint.wedges import check_wedges
from generators.checks.joint.welds import check_stands, check_welds
from generators.layout.mounting import PlacedPart
from generators.model.findings import Finding
from generators.model.plan import PanelLayout
from generators.model.spec.job import Job
from generators.model.spec.shop import Shop


def check_fits(
    job: Job, parts: Sequence[PlacedPart], layouts: Sequence[PanelLayout], shop: Shop
) -> Iterator[Finding]:
    """Findings on the joints of a whole job. Raises nothing."""
    for part in parts:
        yield from check_room(part.plan, part.mount is not None)
    yield from check_joints(job.panel, parts, layouts, shop.position)
    yield from check_measured_places(job.panel, parts, layouts)
    yield from check_inserts(layouts)
    yield from check_welds(layouts)
    yield from check_stands(job.panel, parts, layouts)
    yield from check_countersinks(layouts)
    yield from check_wedges(job.panel, parts)
    yield from check_patterns(job, parts, layouts, shop.position)
