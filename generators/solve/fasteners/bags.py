"""The bag each thing is packed in: as the spec says, else one named after what is fitted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from generators.layout.mounting import PlacedPart
from generators.model.spec.job import Job, PartSpec
from generators.model.spec.lines import Clamp, Component

CLAMPS, HOSES = "Clamps", "Hoses and lines"


def part_bag(spec: PartSpec[object], title: str) -> str:
    """The bag of a part: by its title."""
    return spec.bag or title


def component_bag(component: Component) -> str:
    """The bag of a component: by its title."""
    return component.bag or component.title or component.name.replace("_", " ").capitalize()


def clamp_bag(clamp: Clamp) -> str:
    """The bag of a clamp: all of them in one."""
    return clamp.bag or CLAMPS


def panel_bag(title: str) -> str:
    """The bag of what goes into a panel's own holes."""
    return f"{title}, single holes"


def job_bags(job: Job, parts: Sequence[PlacedPart]) -> Mapping[str, str]:
    """The bag of everything fitted, by ``part:NAME``, ``component:NAME``, ``clamp:NAME``, ``hose:NAME``,
    ``panel:NAME``."""
    return {
        **{f"part:{p.spec.name}": part_bag(p.spec, p.plan.title) for p in parts},
        **{f"component:{c.name}": component_bag(c) for c in job.component},
        **{f"clamp:{c.name}": clamp_bag(c) for c in job.clamp},
        **{f"hose:{h.name}": h.bag or HOSES for h in job.hose},
        **{f"panel:{p.name}": panel_bag(p.title) for p in job.panel},
    }
