"""Hoses and components as zones see them, and what the rules say of them."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from generators.checks.space.ground import Ground
from generators.checks.space.zones import Thing, ThingKind, Zone, check_zones
from generators.layout.spots import ports_of
from generators.model.findings import Finding
from generators.model.spec.job import Job
from generators.model.spec.lines import Component
from generators.routing.paths.curves import point3, sampled
from generators.solve.bodies.components import component_name, words_of
from generators.solve.bodies.hoses import hose_name
from generators.solve.hoses.aside import in_its_own_air
from generators.solve.hoses.lines import HoseAnswer, LinesAnswer
from generators.space.body import Body
from generators.space.pieces import Rod

_STEP_MM = 1.0
"""On a bend of 20 mm a chord this long is 0.0001 mm shorter than its arc."""

_CAP_MM = 1.0
_SEAT_MM = 0.5
_STEEP = 0.7071
"""Sine of 45 degrees: a body that leans more has no upper end."""

_JOINTS: tuple[str, ...] = ("bulkhead", "tee", "line_end")


def zone_findings(
    zones: Sequence[Zone], job: Job, lines: LinesAnswer, bodies: Sequence[Body], ground: Ground
) -> Iterator[Finding]:
    """What the rules say of hoses and components in the zones of a job; ``bodies`` is all that stands."""
    if not zones:
        return
    known = {body.name: body for body in bodies}
    things = [_hose(answer, known, job) for answer in lines.hoses if answer.path is not None]
    things += [_component(component, known, lines) for component in job.component]
    yield from check_zones(zones, things, ground)


def _hose(answer: HoseAnswer, known: dict[str, Body], job: Job) -> Thing:
    """A routed hose: with its ends all of it, of a rigid line the ends are its joints."""
    spec, path = answer.spec, answer.path
    if path is None:
        raise ValueError("a hose without a path is nowhere")
    own = hose_name(spec.name)
    names = (own, f"{own}.from", f"{own}.to")
    stations, points, _ways = sampled(path, _STEP_MM)
    return Thing(
        kind=spec.kind,
        title=words_of(spec.name, spec.title),
        path=f"hose[{spec.name}]",
        bodies=tuple(known[name] for name in names if name in known),
        parts=tuple(known[name] for name in names[1:] if name in known),
        guarded=spec.guarded,
        hot=tuple((gap.body, gap.gap_mm) for gap in in_its_own_air(job, spec, answer.clearances)),
        bare=spec.kind == "rigid" and spec.metal == "steel" and not spec.finish.strip(),
        stations=stations,
        points=points,
    )


def _component(component: Component, known: dict[str, Body], lines: LinesAnswer) -> Thing:
    """A component by its body; one without a body by the seats of its ports."""
    own, title = component_name(component.name), words_of(component.name, component.title)
    kind: ThingKind = "reservoir" if component.kind == "reservoir" else "cylinder"
    if component.kind in _JOINTS:
        kind = "fitting"
    bodies = tuple(known[name] for name in (own, f"{own}.leg") if name in known)
    caps = _caps(bodies)
    if not bodies:
        bodies = tuple(
            Body(
                name=f"{own}.{port.name}",
                title=title,
                what="fitting",
                owner=component.name,
                forms=(Rod(start=port.position, end=port.position, radius_mm=_SEAT_MM, round_ends=True),),
            )
            for port in ports_of(component, lines.sheets)
        )
        caps = bodies
    return Thing(
        kind=kind,
        title=title,
        owner=f"{kind} {component.name}",
        path=f"component[{component.name}]",
        bodies=bodies,
        parts=caps,
        guarded=component.guarded,
    )


def _caps(bodies: Sequence[Body]) -> tuple[Body, ...]:
    """The upper end of a reservoir's body, as thin as a sheet; all of it where it lies."""
    rods = [piece for body in bodies for piece in body.pieces if isinstance(piece, Rod)]
    if not rods or abs(float(rods[0].pose[2, 2])) < _STEEP:
        return tuple(bodies)
    ends = itertools.chain.from_iterable(((r.start, r.end, r), (r.end, r.start, r)) for r in rods)
    top, foot, rod = max(ends, key=lambda end: end[0][2])
    down = np.subtract(foot, top)
    under = np.array(top) + down * min(_CAP_MM / float(np.linalg.norm(down)), 1.0)
    cap = Rod(start=point3(under), end=top, radius_mm=rod.radius_mm)
    first = bodies[0]
    return (
        Body(
            name=f"{first.name}.cap",
            title=first.title,
            what=first.what,
            owner=first.owner,
            forms=(cap,),
        ),
    )
