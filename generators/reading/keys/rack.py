"""What the keys of sheets, nests and rates say of each other."""

from __future__ import annotations

from collections.abc import Iterable

from generators.errors import LookupFault
from generators.model.spec.shop import Cutting
from generators.model.spec.tools.rates import BoughtRate, CutRate, HoseRate, Nesting, RackSheet
from generators.reading.keys.cutting import LAYER_KEYS, LAYER_NAME
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader
from generators.standards import material

OWN_LAYERS = ("sheet_layer", "remnant_layer")
PRICED = ("cutter_hour", "brake_hour", "bench_hour")
SAME_MM = 0.02


def check_rack(reader: TableReader) -> None:
    """Report sheets with no room between their margins, stocks that are none, layers shared, bare prices."""
    nest = reader.built.get(("nest",))
    margin = nest.margin_mm if isinstance(nest, Nesting) else 0.0
    sheets = list(reader.items(("sheet",), RackSheet))
    for path, sheet in sheets:
        _material(reader, path, sheet.material)
        for key, side in (("length", sheet.length_mm), ("width", sheet.width_mm)):
            if side <= 2 * margin:
                wanted = f"more than both margins of [nest], {words.millimetres(2 * margin)}"
                reader.refuse((*path, key), words.millimetres(side), wanted)
    cuts = list(reader.items(("rates", "cut"), CutRate))
    for path, cut in cuts:
        _material(reader, path, cut.material)
    _once(reader, cuts)
    _rates_once(reader)
    _layers(reader)
    if not reader.raw(("rates",), dict).get("currency"):
        _without_currency(reader, sheets)


def _material(reader: TableReader, path: Path, name: str) -> None:
    try:
        material(name)
    except LookupFault as fault:
        reader.refuse((*path, "material"), words.quoted(name), f"one of {', '.join(fault.known)}")


def _once(reader: TableReader, cuts: Iterable[tuple[Path, CutRate]]) -> None:
    seen: list[CutRate] = []
    for path, cut in cuts:
        if any(
            o.material == cut.material and abs(o.thickness_mm - cut.thickness_mm) <= SAME_MM for o in seen
        ):
            sheet = f"{cut.material} of {words.millimetres(cut.thickness_mm)}"
            reader.refuse(path, f"{sheet} again", "each sheet once")
        seen.append(cut)


def _rates_once(reader: TableReader) -> None:
    """Report a second price of the same hose or thing."""
    hoses: set[tuple[int, str, str]] = set()
    for path, hose in reader.items(("rates", "hose"), HoseRate):
        if (hose.dash, hose.kind, hose.service) in hoses:
            what = f"-{hose.dash} {hose.kind} for {hose.service} again"
            reader.refuse(path, what, "each size once for each service")
        hoses.add((hose.dash, hose.kind, hose.service))
    things: set[str] = set()
    for path, thing in reader.items(("rates", "bought"), BoughtRate):
        if thing.item in things:
            reader.refuse((*path, "item"), f"{words.quoted(thing.item)} again", "each thing once")
        things.add(thing.item)


def _layers(reader: TableReader) -> None:
    """Sheet and remnant are not cut: they share a layer with nothing."""
    raw, cutting = reader.raw(("nest",), dict), reader.raw(("cutting",), dict)
    plain, usual = Nesting(), Cutting()
    taken = {str(cutting.get(key, getattr(usual, key))).upper(): f"cutting.{key}" for key in LAYER_KEYS}
    for key in OWN_LAYERS:
        name = raw.get(key, getattr(plain, key))
        if not isinstance(name, str):
            continue
        if not LAYER_NAME.fullmatch(name):
            reader.refuse(("nest", key), words.quoted(name), "letters, digits, _, $ and -, 31 at most")
        elif name.upper() in ("0", "DEFPOINTS"):
            reader.refuse(("nest", key), f"{words.quoted(name)}, which every DXF has", "another name")
        elif name.upper() in taken:
            reader.refuse(
                ("nest", key),
                f"{words.quoted(name)}, the name of {taken[name.upper()]} as well",
                "its own name",
            )
        else:
            taken[name.upper()] = f"nest.{key}"


def _without_currency(reader: TableReader, sheets: Iterable[tuple[Path, RackSheet]]) -> None:
    raw = reader.raw(("rates",), dict)
    priced: list[Path] = [("rates", key) for key in PRICED if key in raw]
    priced += [(*path, "per_kg") for path, sheet in sheets if sheet.per_kg is not None]
    priced += [(*path, "per_m") for path, _ in reader.items(("rates", "hose"), HoseRate)]
    priced += [(*path, "each") for path, _ in reader.items(("rates", "bought"), BoughtRate)]
    for path in priced[:1]:
        reader.refuse(path, "a price without a currency", 'currency in [rates], like "EUR"')
