"""What a kit's sheets say, as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from generators.errors import LookupFault, SpecError
from generators.figures import format_length
from generators.jobs.issued.mark import letter_of
from generators.jobs.make.job_files import least_holes
from generators.jobs.make.line_sheets import job_bill, lines_sheet
from generators.jobs.make.paper import sheet_paper
from generators.jobs.nest import nested
from generators.model.joints.fasteners import fasteners_for
from generators.model.sold.code import KitCode
from generators.model.sold.packing import Packing, Thing
from generators.model.spec.selling.labels import LabelFormat
from generators.model.words import Comes
from generators.nesting.nest import Nest
from generators.reading.toml import words
from generators.sheets.bill import Item
from generators.sheets.bolting.own_things import asks_sealant
from generators.sheets.bolting.words import own_studs
from generators.sheets.hose_words import HoseLine, LinesSheet, end_words, kind_words, piece_mm, title_of
from generators.sheets.install.drill import SEALANT, is_soft
from generators.sheets.kit.caps import caps
from generators.sheets.kit.hose_order import HoseOrder
from generators.sheets.kit.labels import (
    PLAIN_BAG,
    PLAIN_HOSE,
    Label,
    LabelTooSmallError,
    bag_labels,
    plain_format,
    scale_of,
)
from generators.sheets.kit.packing import packed
from generators.sheets.kit.parts_told import part_words
from generators.sheets.kit.price import Price, price_of
from generators.solve.fasteners.bags import job_bags
from generators.solve.hoses.lines import hose_outside
from generators.solve.hoses.made_up import MadeUp, bought_as_it_is, made_up_hoses
from generators.solve.job import Prepared


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a kit is made for: its serial, an order number if any, and how many are cut at a time."""

    serial: str
    order: str = ""
    sets: int = 1


@dataclass(frozen=True, kw_only=True)
class Content:
    """One kit of a job as its sheets show it."""

    prepared: Prepared
    asked: Asked

    @property
    def letter(self) -> str:
        """The issue letter it is sold under; empty for none."""
        return letter_of(self.prepared)

    @property
    def date(self) -> str:
        """The date of that issue."""
        return self.prepared.issued.date if self.prepared.issued is not None else ""

    @property
    def code(self) -> KitCode:
        """What the square code says."""
        return KitCode(serial=self.asked.serial, letter=self.letter, revision=self.prepared.file.revision)

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """The bill of one kit."""
        return job_bill(self.prepared)

    @cached_property
    def lines(self) -> LinesSheet:
        """Hoses as the sheets show them."""
        return lines_sheet(self.prepared.lines, self.prepared.file.job, self.prepared.file.units)

    @cached_property
    def made_up(self) -> tuple[MadeUp, ...]:
        """Hoses that come made up, with their fittings on."""
        outside = {h.spec.name: hose_outside(h.spec) for h in self.prepared.lines.hoses}
        rated = {x.hose: x for pedal in self.prepared.file.job.pedal for x in pedal.line if x.hose}
        return made_up_hoses(self.prepared.lines, outside, rated)

    @property
    def made_up_words(self) -> Mapping[str, str]:
        """What the bill calls them, with their length."""
        titles, units = {h.spec.name: h.title for h in self.lines.hoses}, self.lines.units
        return {
            titles[h.spec.name]: f"made up, {format_length(h.length_mm, units)} from seat to seat"
            for h in self.made_up
        }

    @cached_property
    def cut_here(self) -> tuple[HoseLine, ...]:
        """Hose and tube the shop cuts: what is ordered made up, bought or measured on the vehicle is not."""
        ordered = {h.spec.name for h in self.made_up}
        return tuple(
            h
            for h in self.lines.hoses
            if h.length is not None
            and not h.measure_why
            and h.spec.name not in ordered
            and not bought_as_it_is(h.spec)
        )

    @property
    def comes(self) -> Mapping[str, Comes]:
        """How each hose and tube of the bag is, by name; the install sheet of the kit says the same."""
        out: dict[str, Comes] = {h.spec.name: "made_up" for h in self.made_up}
        out |= {h.spec.name: "cut" for h in self.cut_here}
        return out

    @property
    def cut_words(self) -> Mapping[str, str]:
        """How long each of those is in the bag, by its title."""
        units = self.lines.units
        return {h.title: f"comes cut to {format_length(piece_mm(h), units)}" for h in self.cut_here}

    @property
    def later_words(self) -> Mapping[str, str]:
        """What lies in the bag of hoses and tubes whose length is measured at the vehicle, by title."""
        units = self.lines.units
        known = {**self.made_up_words, **self.cut_words}
        return {
            h.title: "measured and cut at the vehicle: "
            + (
                f"a piece longer than {format_length(piece_mm(h), units)}"
                if h.length
                else "no length is known"
            )
            for h in self.lines.hoses
            if h.title not in known and not bought_as_it_is(h.spec)
        }

    @cached_property
    def caps(self) -> Mapping[str, tuple[Thing, ...]]:
        """Caps on open ports and ends, by bag."""
        bags = job_bags(self.prepared.file.job, self.prepared.parts)
        return caps(self.lines, bags, {h.spec.name for h in self.made_up})

    @cached_property
    def told_by(self) -> Mapping[str, str]:
        """What a part is told apart by, and what a cylinder brings along, by title."""
        out: dict[str, list[str]] = {}
        for title, sizes in self._made_parts.items():
            # of parts that are called the same, how many of each
            said = [f"{many} of {words}" if len(sizes) > 1 else words for words, many in sizes.items()]
            out[title] = [" and ".join(said)]
        for component in self.lines.components:
            studs = own_studs(fasteners_for(self.prepared.fasteners, f"component:{component.name}"))
            if studs:
                out.setdefault(title_of(component), []).append(studs)
        return {title: " or ".join(dict.fromkeys(said)) for title, said in out.items()}

    @property
    def _made_parts(self) -> Mapping[str, Mapping[str, int]]:
        """By title what parts are told apart by, with how many there are of each."""
        out: dict[str, dict[str, int]] = {}
        for part in self.prepared.parts:
            sizes, words = out.setdefault(part.plan.title, {}), part_words(part.plan, self.lines.units)
            sizes[words] = sizes.get(words, 0) + part.plan.quantity
        return out

    @cached_property
    def packing(self) -> Packing:
        """Boxes and bags. Raises ``SpecError`` at a bag of ``[kit]`` that holds nothing."""
        file = self.prepared.file
        try:
            hoses = {**self.cut_words, **self.later_words}
            return packed(self.items, file.job.kit, self.made_up_words, hoses, self.caps, self.told_by)
        except LookupFault as fault:
            index = next(k for k, row in enumerate(file.job.kit.bag) if row.bag == fault.key)
            found = f"the bag {words.quoted(fault.key)}, which holds nothing"
            wanted = f"a bag of the bill: {words.listed(fault.known)}"
            hint = words.suggestion(fault.key, fault.known)
            raise SpecError([file.fault_at(f"kit.bag[{index}].bag", found, wanted, hint)]) from fault

    @cached_property
    def for_customer(self) -> Prepared:
        """The job as the sheets of the kit show it: what comes ready, and which bag holds what."""
        return replace(self.prepared, comes=self.comes, packing=self.packing)

    @property
    def notes(self) -> tuple[str, ...]:
        """What whoever packs has to look at: sealant of another kind, bolts and shafts nobody describes."""
        return (*self._of_sealant(), *self._of_bolts(), *self._of_cylinders())

    def _of_cylinders(self) -> Iterator[str]:
        for item in self.items:
            if item.uses in (("master",), ("slave",)) and not item.size.startswith("bore "):
                yield (
                    f"{item.item}: its bore and stroke are not on the list: no [[pedal.line]] with `hose` "
                    "says which cylinder of the spec it is."
                )

    def _of_bolts(self) -> Iterator[str]:
        if not self.prepared.file.job.kit.bolts and self.prepared.fasteners:
            yield (
                "kit.bolts does not say how the bolts come, so the list cannot, and each torque stands "
                "twice: dry, and plated, waxed or oiled."
            )
        for made in self.prepared.fasteners:
            if made.form == "shaft" and (made.length_mm is None or not made.ends):
                yield (
                    f"part {words.quoted(made.part)}: its pivot shaft lacks pivot_shaft_length or "
                    "pivot_shaft_ends, so the list does not say which one to pack."
                )

    def _of_sealant(self) -> Iterator[str]:
        yield from (
            f"kit.extra[{k}] {words.quoted(extra.item)} serves as sealant, and its words do not say that it "
            f"is the kind the steps ask for: {SEALANT}. Say so in item, or pack that."
            for k, extra in enumerate(self.prepared.file.job.kit.extra)
            if extra.serves == "sealant"
            and asks_sealant(self.prepared.layouts)
            and not is_soft(f"{extra.item} {extra.size} {extra.for_}")
        )

    @cached_property
    def nest(self) -> Nest | None:
        """The blanks of the lot on the shop's sheets; None where the shop names no sheet, or nothing is cut.

        Raises ``SpecError`` where a blank finds none.
        """
        cut = any(not p.plan.printed for p in self.prepared.parts)
        return nested(self.prepared, self.asked.sets) if self.prepared.file.shop.sheet and cut else None

    @property
    def least_mm(self) -> Mapping[str, float]:
        """The smallest hole cut in each part."""
        return least_holes(self.prepared)

    def facts(self) -> tuple[str, ...]:
        """Whose kit it is, in lines."""
        file = self.prepared.file
        form = f" ({file.form.name.replace('_', ' ')})" if file.form.name else ""
        lines = [f"{file.job.job.title}{form}", f"Serial {self.asked.serial}"]
        if self.asked.order:
            lines.append(f"For {self.asked.order}")
        if self.packing.bolts:
            lines.append(self.packing.bolts_words)
        issue = f"Issue {self.letter} of {self.date}, revision" if self.letter else "Revision"
        lines.append(f"{issue} {file.revision}")
        if file.job.job.contact:
            lines.append(f"Questions: {file.job.job.contact}. Name the serial.")
        return tuple(lines)

    def lot(self) -> tuple[str, ...]:
        """For how many kits a sheet of the shop is."""
        sets, file = self.asked.sets, self.prepared.file
        lot = f"For {sets} kits" if sets > 1 else "For one kit"
        form = f" ({file.form.name.replace('_', ' ')})" if file.form.name else ""
        shop = (file.shop.name,) if file.shop.name else ()
        issue = f"Issue {self.letter} of {self.date}." if self.letter else "Not issued under a letter."
        return (*shop, f"{lot}{form}, begun with serial {self.asked.serial}. {issue}")

    def hose_order(self) -> HoseOrder:
        """What is ordered made up, and what is not."""
        hoses = self.made_up
        ordered = {h.spec.name for h in hoses}
        titles = {h.spec.name: h.title for h in self.lines.hoses}
        cut = {h.spec.name for h in self.cut_here}
        left = []
        for hose in self.lines.hoses:
            if hose.spec.name in ordered:
                continue
            if bought_as_it_is(hose.spec):
                why = "bought made up: not cut, and not made to this order"
            elif hose.spec.name in cut and hose.spec.kind == "rigid":
                why = "a rigid line: its tube is on the cut list, flared and bent at the vehicle"
            elif hose.spec.name in cut:
                why = "pushed on and held by clips: on the cut list"
            else:
                why = (
                    f"measured on the vehicle first: {hose.measure_why}"
                    if hose.measure_why
                    else "no length known"
                )
            left.append((hose.title, why))
        return HoseOrder(
            hoses=hoses,
            titles=tuple(titles[h.spec.name] for h in hoses),
            sets=self.asked.sets,
            left=tuple(left),
            units=self.prepared.file.units,
        )

    def price(self) -> Price:
        """What the lot costs the shop."""
        file = self.prepared.file
        return price_of(
            self.nest,
            self.asked.sets,
            file.shop.rates,
            hoses=self.lines.hoses,
            items=self.items,
            units=self.lines.units,
            kit=file.job.kit,
            printed=tuple(p.plan.title for p in self.prepared.parts if p.plan.printed),
        )

    def label_format(self, use: str, paper: str) -> LabelFormat:
        """The shop's sheet of labels for ``bags`` or ``hoses``, or plain paper."""
        labels = self.prepared.file.shop.labels
        if use == "bags":
            return labels.bags or plain_format(paper, PLAIN_BAG)
        return labels.hoses or plain_format(paper, PLAIN_HOSE)

    def labels_of_bags(self, form: LabelFormat, revision: str) -> tuple[Label, ...]:
        """Labels of all bags. Raises ``SpecError`` at labels that are too small."""
        try:
            return bag_labels(self.packing, form, self._foot(revision))
        except LabelTooSmallError as fault:
            raise self._too_small("bags", fault, form) from fault

    def require_labels(self, paper: str) -> None:
        """Raises ``SpecError`` at labels that are too small for what stands on them."""
        reading, shown = sheet_paper(paper), self.prepared.shown
        self.labels_of_bags(self.label_format("bags", reading), shown)
        self.labels_of_hoses(self.label_format("hoses", reading), shown)

    def _too_small(self, use: str, fault: LabelTooSmallError, form: LabelFormat) -> SpecError:
        size = (
            f"labels of {form.width_mm:g} x {form.height_mm:g} mm, too small for {words.quoted(str(fault))}"
        )
        return SpecError([self.prepared.file.shop_fault_at(f"labels.{use}", size, "larger labels")])

    def labels_of_hoses(self, form: LabelFormat, revision: str) -> tuple[Label, ...]:
        """Two labels for each hose or line: this end, and where the other one goes.

        Raises ``SpecError`` at labels that are too small.
        """
        out = []
        for hose in self.lines.hoses:
            ends = [end_words(self.lines, port) for port in (hose.spec.from_, hose.spec.to)]
            for mine, other in (ends, ends[::-1]):
                size = f"{kind_words(hose, self.lines.units)}"
                out.append(
                    Label(
                        head=f"{hose.title}: this end to {mine}",
                        lines=(f"Other end to {other}", size),
                        foot=self._foot(revision),
                    )
                )
        try:
            for label in out:
                scale_of(label, form)
        except LabelTooSmallError as fault:
            raise self._too_small("hoses", fault, form) from fault
        return tuple(out)

    def _foot(self, revision: str) -> str:
        order = f", {self.asked.order}" if self.asked.order else ""
        return f"{self.asked.serial}{order}, revision {revision}"
