"""What a load case says of parts and pedals: both must be there and belong together."""

from __future__ import annotations

from collections.abc import Mapping

from generators.errors import LookupFault
from generators.model.spec.hydraulics import Pedal
from generators.model.spec.load import Load
from generators.reading.toml import words
from generators.reading.toml.tables import TableReader
from generators.standards import pedal_load


def check_loads(reader: TableReader, parts: list[str], pedals: list[str]) -> None:
    """Report load cases of parts or pedals that are not there, or of a pedal that hangs elsewhere."""
    built: Mapping[str, Pedal] = {pedal.name: pedal for _, pedal in reader.items(("pedal",), Pedal)}
    for path, load in reader.items(("load",), Load):
        for key, name, known, what in (
            ("part", load.part, parts, "part"),
            ("pedal", load.pedal, pedals, "pedal"),
        ):
            if name and name not in known:
                hint = words.suggestion(name, known)
                wanted = f"a {what} of this job: {words.listed(known)}"
                reader.refuse((*path, key), f"the unknown name {words.quoted(name)}", wanted, hint)
        pedal = built.get(load.pedal)
        if pedal is None or load.part not in parts:
            continue
        if pedal.hanger != load.part:
            hangs = f"hangs in {words.quoted(pedal.hanger)}" if pedal.hanger else "has no hanger"
            found = f"{words.quoted(load.pedal)}, which {hangs}"
            reader.refuse((*path, "pedal"), found, f"a pedal that hangs in {words.quoted(load.part)}")
        elif load.force_n is None:
            try:
                pedal_load(load.case, pedal.kind)
            except LookupFault as fault:
                found = f"a {load.case} case of a {pedal.kind} pedal without a force"
                reader.refuse((*path, "case"), found, f"a force, or one of {words.listed(fault.known)}")
