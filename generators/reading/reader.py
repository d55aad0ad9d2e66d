"""A spec and its shop file into one ``JobFile``, or one ``SpecError`` with every fault."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from types import MappingProxyType
from typing import Any

import generators
from generators.errors import Fault, SpecError
from generators.model.spec.fields import spec_fields
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import Job
from generators.model.spec.shop import Shop
from generators.reading.forms.mirror import mirrored_job
from generators.reading.forms.used import Used, composed
from generators.reading.forms.variants import AS_WRITTEN, Form, in_form, variant_names, with_values
from generators.reading.keys.clamp_rows import expand_rows
from generators.reading.keys.hands import part_key_path, with_opposites
from generators.reading.keys.pedals import with_hoses
from generators.reading.references import check_job, check_shop
from generators.reading.shelf.file import ShelfFile, read_shelf
from generators.reading.shelf.kept import kept_text
from generators.reading.shelf.taken import Taken, asked_for, filled, things_named, without_shelf
from generators.reading.sizes.values import arithmetic_of
from generators.reading.toml import words
from generators.reading.toml.source import TomlSource, parse_bytes, read_bytes
from generators.reading.toml.tables import TableReader, read_table
from generators.units import UnitSystem

__all__ = ["JobFile", "read_job", "read_table"]

_DEFAULTS = {f.key: f.default for f in spec_fields(JobHead)}
DEFAULT_SHOP, DEFAULT_SHELF = _DEFAULTS["shop"], _DEFAULTS["shelf"]
REVISION_DIGITS = 7
NOT_REVISED = ("paper_printer", "labels", "rates", "sheet", "nest")
"""Tables of the shop file that make no other part: printers of paper, labels, prices, what is on the rack."""
HOW_WRITTEN = ("use", "sizes", "shelf", "variant")
"""How a spec is written; what comes of them is in its other tables."""
NOT_MADE = ("spread",)
"""How vehicles differ from it changes no part and no sheet."""
VALUES = "--vary"
"""What faults of values put over a spec are told of."""
NO_VALUES: Mapping[str, Any] = MappingProxyType({})
_SHOP_KEY = ("job", "shop")


@dataclass(frozen=True, kw_only=True)
class JobFile:
    """A job as read, with what is needed to point at its lines later.

    ``revision`` is seven hexadecimal digits that change with the content of the spec in its form, of the shop
    file or of this program's version, and not with comments or spacing, nor with what a size is called.
    ``content`` is a digest of the same without the program's version.
    ``form`` is the variant that was read, ``variants`` the names of all, ``used`` the files its tables come
    from besides the spec. ``taken`` is what this form takes of the shelf, ``lent`` what goes along of it: all
    that any form takes.
    """

    job: Job
    shop: Shop
    spec_path: FilePath
    spec_bytes: bytes
    shop_path: FilePath | None
    shop_bytes: bytes
    revision: str
    content: str
    source: TomlSource = field(repr=False, compare=False)
    shop_source: TomlSource | None = field(repr=False, compare=False)
    form: Form = AS_WRITTEN
    variants: tuple[str, ...] = ()
    used: tuple[Used, ...] = ()
    shelf: ShelfFile | None = field(default=None, repr=False, compare=False)
    taken: tuple[Taken, ...] = ()
    lent: frozenset[str] = frozenset()

    def lending(self, names: Collection[str]) -> JobFile:
        """The file with these things of the shelf, too, among what goes along with the job."""
        if self.shelf is None:
            return self
        lent = self.lent | {name for name in names if name in self.shelf.things}
        others = (one for one in self.used if one.name != self.shelf.name)
        kept = Used(self.shelf.name, kept_text(self.shelf, lent))
        return replace(self, used=(*others, kept), lent=lent)

    @property
    def units(self) -> UnitSystem:
        """What people measure in: as the job says, else the shop."""
        return self.job.job.units or self.shop.units

    def fault_at(self, path: str, found: str, expected: str, hint: str = "") -> Fault:
        """A fault at a path of the spec, like ``panel[0].hole[2].at.u``, or its nearest ancestor."""
        return self.source.fault(path, found, expected, hint)

    def shop_fault_at(self, path: str, found: str, expected: str, hint: str = "") -> Fault:
        """A fault at a path of the shop file; without one, at the spec's ``job.shop``."""
        if self.shop_source is None:
            return self.source.fault(_SHOP_KEY, found, expected, hint)
        return self.shop_source.fault(path, found, expected, hint)

    def part_path(self, name: str, parameter: str = "") -> str:
        """The path of a part, or of one of its parameters, or of a key of its own (``.mirror``).

        Raises ``KeyError`` for no such part.
        """
        return part_key_path(self.job.part, name, parameter)

    def panel_path(self, name: str) -> str:
        """The path of a panel. Raises ``KeyError`` for no such panel."""
        for index, panel in enumerate(self.job.panel):
            if panel.name == name:
                return f"panel[{index}]"
        raise KeyError(name)


def read_job(
    spec_path: FilePath,
    kinds: Mapping[str, type],
    data: bytes | None = None,
    variant: str = "",
    values: Mapping[str, Any] = NO_VALUES,
) -> JobFile:
    """The job of a spec file, of the files it uses and of the shop file it names, in one of its forms.

    ``kinds`` gives the dataclass of the parameters of each kind by name; ``data`` stands in for the content
    of the spec file, and ``values`` by key path are put over it. Raises ``SpecError`` with every fault of the
    files, whatever they contain, and ``LookupFault`` for a variant the spec does not have.
    """
    written = parse_bytes(str(spec_path), read_bytes(spec_path) if data is None else data)
    whole, used = composed(written, spec_path.parent, spec_path.name)
    source, form = in_form(whole, variant)
    if values:
        source = with_values(source, values, VALUES)
    reader = TableReader(source, kinds)
    shelf, taken, lent_faults = _from_shelf(reader, spec_path, kinds)
    source = reader.source
    reader.work_out = arithmetic_of(reader)
    job = reader.read(source.table, Job)
    check_job(reader)
    shop_reader = None
    shop_path = _beside(reader, spec_path, "shop", DEFAULT_SHOP)
    shop_faults: tuple[Fault, ...] = ()
    shop: Shop | None = Shop()
    if shop_path is not None:
        try:
            shop_reader = TableReader(parse_bytes(str(shop_path), read_bytes(shop_path), may_be_empty=True))
        except SpecError as error:
            shop_faults = error.faults
        else:
            shop = shop_reader.read(shop_reader.source.table, Shop)
            check_shop(shop_reader)
            shop_faults = shop_reader.faults
    # what is wrong with a thing of the shelf is told once, though the spec is read with it
    faults = tuple(dict.fromkeys((*lent_faults, *reader.faults, *shop_faults)))
    if faults or job is None or shop is None:
        raise SpecError(faults)
    shop_source = shop_reader.source if shop_reader else None
    content = _content(source, shop_source, form, shelf, taken)
    job = with_opposites(expand_rows(with_hoses(job)))
    return JobFile(
        job=mirrored_job(job, form.as_bought) if form.mirrored else job,
        shop=shop,
        spec_path=spec_path,
        spec_bytes=source.data_bytes,
        shop_path=shop_path,
        shop_bytes=shop_source.data_bytes if shop_source else b"",
        revision=content_revision(content),
        content=hashlib.sha256(_canonical(content)).hexdigest(),
        source=source,
        shop_source=shop_source,
        form=form,
        variants=tuple(variant_names(written.table)),
        used=used,
        shelf=shelf,
        taken=taken,
    ).lending({*things_named(whole.table), *(one.thing for one in taken)})


def _from_shelf(
    reader: TableReader, spec_path: FilePath, kinds: Mapping[str, type]
) -> tuple[ShelfFile | None, tuple[Taken, ...], tuple[Fault, ...]]:
    """The shelf of a spec that takes something of it, put into the reader's source; with its own faults.

    Raises ``SpecError`` for a shelf that is no TOML.
    """
    path = _beside(reader, spec_path, "shelf", DEFAULT_SHELF)
    if not asked_for(reader.source.table):
        return None, (), ()
    if path is None:
        given = reader.raw(("job",), dict).get("shelf", DEFAULT_SHELF)
        # what is no text the reader refuses
        told = bool(reader.refused) or not isinstance(given, str)
        without_shelf(reader, str(given), told=told)
        return None, (), ()
    shelf, faults = read_shelf(path)
    return shelf, filled(reader, shelf, kinds), faults


def shop_faults(name: str, data: bytes) -> tuple[Fault, ...]:
    """What is wrong with the text of a shop file, before it is put in the place of the old one."""
    try:
        reader = TableReader(parse_bytes(name, data, may_be_empty=True))
    except SpecError as error:
        return error.faults
    reader.read(reader.source.table, Shop)
    check_shop(reader)
    return tuple(reader.faults)


def _beside(reader: TableReader, spec_path: FilePath, key: str, default: str) -> FilePath | None:
    """A file beside the spec that ``[job]`` names; ``None`` without one, or after reporting a bad name."""
    here = ("job", key)
    given = reader.raw(("job",), dict).get(key, default)
    if not isinstance(given, str) or here in reader.refused:
        return None
    wanted = "the plain name of a file beside the spec"
    # A colon names a drive or a hidden stream on one common system.
    if given.strip() in {"", ".", ".."} or any(mark in given for mark in "/\\:"):
        reader.refuse(here, words.quoted(given), wanted)
        return None
    path = spec_path.parent / given
    if not os.path.lexists(path):
        if given != default:
            reader.refuse(here, f"{words.quoted(given)}, which is not there", wanted)
        return None
    # realpath, unlike Path.resolve, does not raise on a link that leads to itself.
    if os.path.dirname(os.path.realpath(path)) != os.path.realpath(spec_path.parent):
        reader.refuse(here, f"{words.quoted(given)}, a link to another folder", wanted)
        return None
    return path


def _content(
    spec: TomlSource,
    shop: TomlSource | None,
    form: Form,
    shelf: ShelfFile | None,
    taken: tuple[Taken, ...],
) -> dict[str, Any]:
    """All that a revision stands for."""
    content: dict[str, Any] = {
        "spec": {k: v for k, v in spec.table.items() if k not in (*HOW_WRITTEN, *NOT_MADE)},
        "shop": {k: v for k, v in shop.table.items() if k not in NOT_REVISED} if shop else {},
    }
    if shelf is not None:
        content["shelf"] = {one.thing: dict(shelf.things[one.thing].table) for one in taken}
    if form.name:
        content["form"] = {"name": form.name, "mirrored": form.mirrored, "as_bought": list(form.as_bought)}
    return content


def _canonical(content: Mapping[str, Any]) -> bytes:
    return json.dumps(content, sort_keys=True, separators=(",", ":"), allow_nan=False).encode()


def content_revision(content: Mapping[str, Any]) -> str:
    """Seven digits that change with parsed content and with this program's version."""
    whole = {**content, "version": generators.__version__}
    return hashlib.sha256(_canonical(whole)).hexdigest()[:REVISION_DIGITS]
