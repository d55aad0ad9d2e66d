"""What a cylinder or reservoir is told by: bore and stroke, what it holds, its ports."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from generators.figures import fixed, format_length
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.spec.brakes import BrakeCircuit
from generators.model.spec.hydraulics import Master, Pedal, Slave
from generators.model.spec.lines import Component
from generators.sheets.hose_words import LinesSheet
from generators.units import UnitSystem

CC_MM3 = 1_000.0


def cylinder_words(component: Component, lines: LinesSheet, pedals: Sequence[PedalSheet]) -> str:
    """``bore 22.22 mm, stroke 35.56 mm; ports inlet, outlet -4``.

    Bore, stroke and volume stand there where the spec says them of one pedal alone, and of a balance bar's
    masters where it says which of them this is: by a line of its circuit, or by the hole it sits in. Else
    only what both have.
    """
    said = "; ".join(dict.fromkeys(_sizes(component, lines, pedals)))
    return f"{said}; {_ports(component, lines)}" if said else _ports(component, lines)


def circuit_words(component: Component, lines: LinesSheet, pedals: Sequence[PedalSheet]) -> str:
    """Which brake circuit a master works and how it is told from the other one, in sentences, a blank after.

    Empty for anything but one of two masters of one pedal.
    """
    if component.kind != "master":
        return ""
    for sheet in pedals:
        brake = sheet.spec.brake
        which = _circuits(component, lines, sheet.spec)
        if brake is None or brake.rear is None or len(which) != 1:
            continue
        mine, other = (brake.front, brake.rear) if "front" in which else (brake.rear, brake.front)
        name, rest = ("front", "rear") if "front" in which else ("rear", "front")
        words = f"It works the {name} brakes: {_bore(mine.bore_mm, lines.units)}"
        if mine.bore_mm == other.bore_mm:
            return f"{words}, as the one for the {rest} brakes has. "
        return (
            f"{words}, while the one for the {rest} brakes has {format_length(other.bore_mm, lines.units)}. "
            "Read the bore on the cylinder, or measure it, before it goes in: changed over, the wrong axle "
            "locks first. "
        )
    return ""


def worked_by(slave: Component, lines: LinesSheet, pedals: Sequence[PedalSheet]) -> PedalSheet | None:
    """The clutch pedal whose line ends at the slave, or the only one there is."""
    clutches = [p for p in pedals if p.clutch is not None and p.spec.slave is not None]
    ends = {h.spec.name: (h.spec.from_, h.spec.to) for h in lines.hoses}
    for pedal in clutches:
        touched = [end for line in pedal.spec.line for end in ends.get(line.hose, ())]
        if any(end.partition(".")[0] == slave.name for end in touched):
            return pedal
    return clutches[0] if len(clutches) == 1 else None


def _sizes(component: Component, lines: LinesSheet, pedals: Sequence[PedalSheet]) -> Iterator[str]:
    """What the pedals that work it say of it."""
    if component.kind == "slave":
        worked = worked_by(component, lines, pedals)
        if worked is not None and worked.spec.slave is not None:
            yield _slave(worked.spec.slave, lines.units)
    elif component.kind == "master":
        mine = _masters(component.name, component.on.part, lines, pedals, _hole(component))
        if len({(one.bore_mm, one.stroke_mm) for one in mine}) == 1:
            yield f"{_bore(mine[0].bore_mm, lines.units)}, {_stroke(mine[0].stroke_mm, lines.units)}"
    elif component.kind == "reservoir":
        fed = [c for c in lines.components if c.kind == "master" and _joined(component.name, c.name, lines)]
        held = {m.reservoir_mm3 for c in fed for m in _masters(c.name, c.on.part, lines, pedals, _hole(c))}
        volumes = {volume for volume in held if volume is not None}
        if len(volumes) == 1 and len(held) == 1:
            yield f"holds {fixed(volumes.pop() / CC_MM3, 0)} cc or more"


def _on_lines(name: str, ends: Mapping[str, tuple[str, str]], pedal: Pedal) -> set[str]:
    """Circuits of a pedal that have a line on a component; without a name that of a pedal with one."""
    return {
        line.circuit
        for line in pedal.line
        if any(end.partition(".")[0] == name for end in ends.get(line.hose, ()))
    }


def _by_hole(hole: str, pedal: Pedal) -> set[str]:
    """The circuit of a hanger's master by its hole; none where that does not say it."""
    circuit = pedal.brake.circuit_of(hole) if pedal.brake is not None else None
    return {circuit} if circuit is not None else set()


def _circuits(component: Component, lines: LinesSheet, pedal: Pedal) -> set[str]:
    """The circuits of a pedal a master works, as far as the spec says it."""
    ends = {h.spec.name: (h.spec.from_, h.spec.to) for h in lines.hoses}
    found = _on_lines(component.name, ends, pedal)
    if found or not component.on.part or component.on.part != pedal.hanger:
        return found
    return _by_hole(_hole(component), pedal)


def _hole(component: Component) -> str:
    return component.on.holes[0] if component.on.holes else ""


def _masters(
    name: str, part: str, lines: LinesSheet, pedals: Sequence[PedalSheet], hole: str = ""
) -> list[Master | BrakeCircuit]:
    """The masters of the spec that a component may be: of the pedals in its part, or on whose lines it is."""
    ends = {h.spec.name: (h.spec.from_, h.spec.to) for h in lines.hoses}

    def circuits(pedal: Pedal) -> set[str]:
        return _on_lines(name, ends, pedal)

    specs = [pedal.spec for pedal in pedals]
    found = [p for p in specs if circuits(p)] or [p for p in specs if part and p.hanger == part]
    if len(found) > 1:
        clutch = _works_slave(name, lines)
        found = [p for p in found if (p.master is not None) == clutch]
    out: list[Master | BrakeCircuit] = []
    for pedal in found:
        if pedal.master is not None:
            out.append(pedal.master)
        if pedal.brake is not None:
            named = (("front", pedal.brake.front), ("rear", pedal.brake.rear))
            which = circuits(pedal) or _by_hole(hole, pedal)
            mine = [one for circuit, one in named if circuit in which] or [one for _, one in named]
            out += [one for one in mine if one is not None]
    return out


def _works_slave(name: str, lines: LinesSheet) -> bool:
    """True where the lines from a master end at a slave; what is beyond a reservoir is another's."""
    kinds = {c.name: c.kind for c in lines.components}
    seen, todo = {name}, [name]
    while todo:
        at = todo.pop()
        for hose in lines.hoses:
            ends = [end.partition(".")[0] for end in (hose.spec.from_, hose.spec.to)]
            if at in ends and (at == name or kinds.get(at) not in ("master", "reservoir")):
                new = [end for end in ends if end not in seen]
                seen.update(new)
                todo += new
    return any(kinds.get(one) == "slave" for one in seen)


def _joined(one: str, other: str, lines: LinesSheet) -> bool:
    pairs = ({end.partition(".")[0] for end in (h.spec.from_, h.spec.to)} for h in lines.hoses)
    return {one, other} in pairs


def _bore(mm: float, units: UnitSystem) -> str:
    return f"bore {format_length(mm, units)}"


def _stroke(mm: float, units: UnitSystem) -> str:
    return f"stroke {format_length(mm, units)}"


def _slave(slave: Slave, units: UnitSystem) -> str:
    inner = f", round {format_length(slave.inner_mm, units)}" if slave.inner_mm is not None else ""
    return f"{_bore(slave.bore_mm, units)}{inner}, {_stroke(slave.stroke_mm, units)}"


def _ports(component: Component, lines: LinesSheet) -> str:
    """Its ports with their sizes: one without a thread of its own says what is pushed onto it."""
    pushed = {end: h.spec.dash for h in lines.hoses if h.spec.pushed_on for end in (h.spec.from_, h.spec.to)}
    said = []
    for port in component.port:
        on = pushed.get(f"{component.name}.{port.name}")
        own = f" -{port.dash}" if port.dash else ""
        said.append(f"{port.name}{own or (f' for -{on} hose pushed on' if on else '')}")
    return f"ports {', '.join(said)}"
