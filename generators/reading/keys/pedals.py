"""What a pedal says of the parts: the hanger it names must be there and hang pedals."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from generators.errors import LookupFault
from generators.model.spec.brakes import Brake
from generators.model.spec.fields import spec_fields
from generators.model.spec.hydraulics import Line, Pedal
from generators.model.spec.job import Job, PartSpec
from generators.model.spec.lines import Component, Hose
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import hose_expansion, hose_size, hose_size_rows

HANGER_KEYS = frozenset({"pivot_up", "pivot_out"})
"""Parameters that make a kind a pedal hanger: where the pivot is from the cylinder's axis."""


def is_hanger(parameters: type) -> bool:
    """True for a kind whose parameters place a pivot."""
    return {field.key for field in spec_fields(parameters)} >= HANGER_KEYS


def check_pedals(reader: TableReader, parts: Mapping[str, str]) -> None:
    """Report hangers that are not there, no hangers or for other masters, and hoses no table knows.

    ``parts`` gives the kind of each part by name, ``""`` where it is not known.
    """
    hangers = {name: kind for name, kind in reader.kinds.items() if is_hanger(kind)}
    hoses = {hose.name: hose for _, hose in reader.items(("hose",), Hose)}
    apart = {
        part.name: part.parameters.balance_spacing_mm
        for _, part in reader.items(("part",), PartSpec)
        if hasattr(part.parameters, "balance_spacing_mm")
    }
    for path, pedal in reader.items(("pedal",), Pedal):
        if pedal.hanger:
            _check_hanger(reader, (*path, "hanger"), pedal.hanger, parts, hangers)
        if pedal.hanger in apart:
            _check_masters(reader, path, pedal, apart[pedal.hanger])
        if pedal.hanger and pedal.brake is not None and pedal.brake.tandem:
            _check_tandem(reader, path, pedal, hoses.values())
        used: set[str] = set()
        for line_path, line in reader.items((*path, "line"), Line):
            _check_circuit(reader, line_path, line, pedal.brake)
            _check_side(reader, line_path, line, pedal, hoses)
            if not line.hose:
                _check_swell(reader, line_path, line)
            elif _check_hose(reader, line_path, line, hoses, used):
                _check_swell(reader, line_path, of_hose(line, hoses[line.hose]))


def with_hoses(job: Job) -> Job:
    """The job with kind and inside diameter of every pedal line that names its hose, from that hose.

    Its length is known only when the hose is routed. Needs a job that was checked; raises nothing.
    """
    hoses = {hose.name: hose for hose in job.hose}
    pedals = (
        replace(
            pedal,
            line=tuple(of_hose(line, hoses[line.hose]) if line.hose else line for line in pedal.line),
        )
        for pedal in job.pedal
    )
    return replace(job, pedal=tuple(pedals))


def of_hose(line: Line, hose: Hose) -> Line:
    """The line with what its hose says: the kind, and the table's inside diameter where none is given."""
    bore = line.bore_mm or (hose_size(hose.dash).bore_mm if _of_table(hose) else 0.0)
    # the table's own hose has the table's operating pressure; a shop that knows better says so
    rating = line.rating_mpa or (hose_size(hose.dash).operating_mpa if _of_table(hose) else None)
    return replace(line, kind=hose.kind, bore_mm=bore, rating_mpa=rating)


def _of_table(hose: Hose) -> bool:
    """True for a hose of the table of sizes, whose inside diameter is known."""
    return hose.kind == "hose" and hose.outside_mm is None and hose.dash in {x.dash for x in hose_size_rows()}


def _check_hanger(
    reader: TableReader, path: Path, name: str, parts: Mapping[str, str], hangers: Mapping[str, type]
) -> None:
    if name not in parts:
        hint = words.suggestion(name, parts)
        wanted = f"a part of this job: {words.listed(parts)}"
        reader.refuse(path, f"the unknown name {words.quoted(name)}", wanted, hint)
    elif parts[name] in reader.kinds and parts[name] not in hangers:
        found = f"{words.quoted(name)}, a part of the kind {parts[name]}"
        reader.refuse(path, found, f"a part of a kind that hangs pedals: {words.listed(hangers)}")


def _check_masters(reader: TableReader, path: Path, pedal: Pedal, apart_mm: float) -> None:
    """Report a balance bar on a hanger with one brake master, and one circuit on a hanger with two."""
    if pedal.brake is None:
        return
    hanger, two = words.quoted(pedal.hanger), pedal.brake.rear is not None
    if two and apart_mm == 0:
        reader.refuse(
            (*path, "brake", "rear"),
            f"a second brake master, and the hanger {hanger} has one: its balance_spacing is 0 mm",
            "a hanger with two brake masters for a balance bar, or front alone",
            "give the part a balance_spacing; or take rear and front_share out, with tandem = true for a "
            "tandem master",
        )
    elif not two and apart_mm > 0:
        reader.refuse(
            (*path, "brake"),
            f"one brake master, and the hanger {hanger} has two: its balance_spacing is "
            f"{words.millimetres(apart_mm)}",
            "both masters, front and rear, or a hanger with one",
            'set the part\'s balance_spacing = "0 mm"; or give the second master as rear',
        )


def _check_circuit(reader: TableReader, path: Path, line: Line, brake: Brake | None) -> None:
    """Report a line of a second circuit where the pedal has one: it would count, and as the first one's."""
    if line.circuit == "rear" and (brake is None or not (brake.rear or brake.tandem)):
        second = "; or give the second master as brake.rear, or say tandem = true for a tandem master"
        reader.refuse(
            (*path, "circuit"),
            f"{words.quoted(line.circuit)}, and the pedal has one circuit",
            "a line of that circuit, or a second one",
            f"take circuit out of this line{second if brake is not None else ''}",
        )


def _check_side(reader: TableReader, path: Path, line: Line, pedal: Pedal, hoses: Mapping[str, Hose]) -> None:
    """Report a line that is not of the circuit of the one of two masters its hose comes from."""
    brake, hose = pedal.brake, hoses.get(line.hose)
    if brake is None or brake.rear is None or hose is None:
        return
    ends = {end.partition(".")[0] for end in (hose.from_, hose.to)}
    for _, master in reader.items(("component",), Component):
        on = master.on
        if master.kind != "master" or master.name not in ends or on.part != pedal.hanger or not on.holes:
            continue
        circuit = brake.circuit_of(on.holes[0])
        if circuit is not None and circuit != line.circuit:
            reader.refuse(
                (*path, "circuit"),
                f"{words.quoted(line.circuit)}, and the master {words.quoted(master.name)} of its hose sits "
                f"in {words.quoted(on.holes[0])}, which is the {circuit} one's",
                f"{words.quoted(circuit)}, as front_side has it",
                "set the circuit, or front_side, or the hole the master sits in: changed over, the wrong "
                "axle locks first",
            )


def _check_tandem(reader: TableReader, path: Path, pedal: Pedal, hoses: Iterable[Hose]) -> None:
    """Report a tandem cylinder whose master has one outlet, so one circuit, or lines of one circuit alone.

    An outlet is a port that no feed hose comes to. A master without any says nothing of it, nor one that no
    line is drawn from. A line of the vehicle that is not drawn is of the circuit it says.
    """
    hoses = tuple(hoses)
    fed = {end for hose in hoses if hose.service == "feed" for end in (hose.from_, hose.to)}
    for _, master in reader.items(("component",), Component):
        on, name = master.on, master.name
        if (
            master.kind != "master"
            or on.part != pedal.hanger
            or any(h.startswith("clutch_") for h in on.holes)
        ):
            continue
        outlets = [port.name for port in master.port if f"{name}.{port.name}" not in fed]
        if len(outlets) == 1:
            reader.refuse(
                (*path, "brake", "tandem"),
                f"true, and the master {words.quoted(name)} has one outlet, {words.quoted(outlets[0])}",
                "a master with an outlet for each circuit, or one circuit",
                f"give {name} its second outlet as a [[component.port]], with its line; or take tandem "
                "out and give a second master as rear, or say why one circuit is enough (single_circuit) or "
                "that it brakes one axle (axles)",
            )
            continue
        drawn = {
            port: {hose.name for hose in hoses if f"{name}.{port}" in (hose.from_, hose.to)}
            for port in outlets
        }
        bare = [port for port, names in drawn.items() if not names]
        of_drawn = {x.circuit for x in pedal.line if x.hose and any(x.hose in n for n in drawn.values())}
        other = [x for x in pedal.line if not x.hose and x.circuit not in (of_drawn or {"front"})]
        # a port more may be that of a reservoir put straight on it, which no feed hose comes to
        if len(outlets) - len(bare) == 1 and not other:
            reader.refuse(
                (*path, "brake", "tandem"),
                f"true, and no line comes from {words.listed(bare)} of the master {words.quoted(name)}",
                "a line from each outlet: the rod moves the fluid of both circuits",
                f"draw it as a [[hose]] from {name}.{bare[0]} and name it in a [[pedal.line]]; or give the "
                'vehicle\'s own as a [[pedal.line]] with kind, length, bore and circuit = "rear"',
            )


def _check_hose(
    reader: TableReader, path: Path, line: Line, hoses: Mapping[str, Hose], used: set[str]
) -> bool:
    """Report what a line says of its hose that cannot be; True when there is nothing to report."""
    here, hose = (*path, "hose"), hoses.get(line.hose)
    if hose is None:
        hint = words.suggestion(line.hose, hoses)
        wanted = f"a hose of this job: {words.listed(hoses)}"
        reader.refuse(here, f"the unknown name {words.quoted(line.hose)}", wanted, hint)
        return False
    before = len(reader.faults)
    if line.hose in used:
        reader.refuse(here, f"the hose {words.quoted(line.hose)} again", "each hose once in a pedal")
    used.add(line.hose)
    if hose.service == "feed":
        reader.refuse(here, f"the feed hose {words.quoted(line.hose)}", "a hose under the pedal's pressure")
    if line.kind not in ("", hose.kind):
        reader.refuse(
            (*path, "kind"), words.quoted(line.kind), f"{words.quoted(hose.kind)}, as its hose says"
        )
    if not line.bore_mm and not _of_table(hose):
        reader.refuse(
            here, "a hose of no table or a rigid line, and no bore", "the inside diameter beside it, as bore"
        )
    return len(reader.faults) == before


def _check_swell(reader: TableReader, path: Path, line: Line) -> None:
    if line.kind == "rigid" or line.swell_mm2 is not None or line.expansion == "none":
        return
    try:
        hose_expansion(line.bore_mm, line.expansion)
    except LookupFault as fault:
        wanted = f"a size of the hose table: {words.listed(fault.known)}"
        reader.refuse((*path, "bore"), words.millimetres(line.bore_mm), wanted, "or give its swell")
