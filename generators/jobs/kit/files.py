"""The files of a kit: the customer's pack, labels, and what the shop cuts, bends, orders and pays."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from generators.drawing.pack.laid import scale_lengths
from generators.figures import format_length
from generators.issue.artefact import Artefact
from generators.issue.manifest import Entry
from generators.issue.stamp import PLACEHOLDER
from generators.jobs import nest
from generators.jobs.blanks import blank
from generators.jobs.kit.content import Content
from generators.jobs.make.line_sheets import with_steps
from generators.jobs.make.pack_files import pack_files, packs_of
from generators.jobs.make.paper import sheet_paper
from generators.jobs.make.part_files import part_files
from generators.jobs.make.phone_file import phone_page
from generators.jobs.texts import text_file
from generators.model.plan import PartPlan
from generators.model.sold.packing import OWN_LIST
from generators.routing.flaring import making
from generators.sheetmetal.cut_file import flat_tail
from generators.sheets.hose_words import hose_item
from generators.sheets.kit.cut_and_bend import ShopList, write_cut_and_bend
from generators.sheets.kit.hose_order import order_csv, write_hose_order
from generators.sheets.kit.labels import write_labels
from generators.sheets.kit.packing_sheet import CODE_OPENS, PackingHead, write_packing_list
from generators.sheets.kit.price import BOUGHT, write_price
from generators.solve.fasteners.bags import part_bag
from generators.solve.hoses.ends import hose_seats
from generators.solve.hoses.made_up import bought_as_it_is
from generators.verify.pdf.kit.lists import HoseWanted, read_cut_and_bend, read_hose_order
from generators.verify.pdf.kit.packing import KitWanted, read_labels, read_packing_list
from generators.verify.pdf.kit.price import HosePriced, PriceWanted, read_price
from generators.verify.pdf.nest import NestWanted
from generators.verify.pdf.waivers import read_with_waivers
from generators.verify.readback import ReadBack

CUSTOMER, SHOP = "customer", "shop"
PART_SHEETS = frozenset({"part_drawing", "inspection_sheet", "setup_sheet", "setup_page", "profile_sheet"})
"""What the shop bends and measures a part by, the same as ``make`` writes."""


def moved(artefact: Artefact, folder: str) -> Artefact:
    """The same file in a folder of the kit."""
    return replace(artefact, entry=replace(artefact.entry, path=f"{folder}/{artefact.entry.path}"))


def artefacts(content: Content, paper: str) -> list[Artefact]:
    """Every file of a kit. Raises ``SpecError`` for a bag that holds nothing, a blank that finds no sheet."""
    prepared = with_steps(content.for_customer)
    packs = packs_of(prepared, content.items, paper)
    laid = packs[0].laid if packs else ()
    out = [moved(a, CUSTOMER) for a in pack_files(prepared, packs)]
    if prepared.layouts or prepared.pedals:
        tests = scale_lengths([pack.choice for pack in packs], prepared.file.units)
        out.append(moved(phone_page(prepared, laid, tests), CUSTOMER))
    reading = sheet_paper(paper)
    out.append(_packing_list(content, reading))
    out += _labels(content, reading)
    out += _hose_orders(content, reading)
    out += _shop_files(content, paper)
    return out


def _sheet(
    content: Content,
    paper: str,
    *,
    rel: str,
    kind: str,
    write: Callable[..., None],
    read: Callable[..., ReadBack],
    made_of: Mapping[str, Any],
    wanted: Mapping[str, Any],
) -> Artefact:
    """A sheet of the kit: ``made_of`` and ``wanted`` are what its writer and its reader take besides."""
    prepared = content.prepared
    title, waived = prepared.file.job.job.title, prepared.waived
    return Artefact(
        entry=Entry(path=rel, kind=kind),
        body=partial(
            write,
            subject=title,
            revision=prepared.marked(PLACEHOLDER),
            paper=paper,
            waived=waived,
            **made_of,
        ),
        read=partial(
            read_with_waivers,
            reader=read,
            rel=rel,
            title=title,
            revision=prepared.shown,
            waived=waived,
            **wanted,
        ),
    )


def wanted_kit(content: Content) -> KitWanted:
    """What the kit must hold, from the bill itself."""
    bags: dict[str, list[tuple[int, str]]] = {}
    loose: list[tuple[int, str]] = []
    sizes: dict[str, list[str]] = {}
    written: dict[str, list[str]] = {}
    parts: dict[str, list[PartPlan]] = {}
    prepared, kit = content.prepared, content.prepared.file.job.kit
    for part in prepared.parts:
        parts.setdefault(part_bag(part.spec, part.plan.title), []).append(part.plan)
    known = {**content.made_up_words, **content.cut_words, **content.later_words}
    for item in content.items:
        bags.setdefault(item.bag, []).append((item.quantity, item.item))
        # a hose says how it comes
        if item.kind == "hose":
            sizes.setdefault(item.bag, []).extend(known[use] for use in item.uses if use in known)
        elif item.size:
            sizes.setdefault(item.bag, []).append(item.size)
        if (
            item.kind in ("cylinder", "fitting")
            and "shelf: " not in item.size
            and "by the shop" not in item.item
        ):
            written.setdefault(item.bag, []).append("part number:")
        if item.item.startswith("pivot shaft") and item.size.endswith("makes them: ask"):
            written.setdefault(item.bag, []).append("pieces and sizes:")
    for bag, things in content.caps.items():
        bags[bag] += [(thing.quantity, thing.item) for thing in things]
    loose.append((1, OWN_LIST))
    for extra in kit.extra:
        (bags.setdefault(extra.bag, []) if extra.bag else loose).append((extra.quantity, extra.item))
    return KitWanted(
        bags=bags,
        loose=loose,
        boxes=[content.packing.box_head(box) for box in content.packing.boxes],
        serial=content.asked.serial,
        letter=content.letter,
        order=content.asked.order,
        sizes=sizes,
        written=written,
        notes={row.bag: row.note for row in kit.bag},
        parts=parts,
        said=(content.packing.bolts_words, CODE_OPENS),
    )


def _packing_list(content: Content, paper: str) -> Artefact:
    job = content.prepared.file.job.job
    head = PackingHead(
        title=job.title,
        code=content.code,
        facts=content.facts(),
        contact=job.contact,
        page=bool(content.prepared.layouts or content.prepared.pedals),
    )
    return _sheet(
        content,
        paper,
        rel=f"{CUSTOMER}/packing_list.pdf",
        kind="packing_list",
        write=write_packing_list,
        read=read_packing_list,
        made_of={"packing": content.packing, "head": head},
        wanted={"wanted": wanted_kit(content)},
    )


def _labels(content: Content, paper: str) -> Iterator[Artefact]:
    title, revision = content.prepared.file.job.job.title, content.prepared.shown
    form = content.label_format("bags", paper)
    bags = content.labels_of_bags(form, content.prepared.marked(PLACEHOLDER))
    wanted = wanted_kit(content)
    must: list[tuple[str, ...]] = [
        (f"of {len(wanted.bags)}: {bag_title}", f"{count} × {item}")
        for bag_title, things in wanted.bags.items()
        for count, item in things
    ]
    must += [(title, size) for title, said in wanted.sizes.items() for size in said]
    must += [(title, note[1:]) for title, note in wanted.notes.items() if note]
    must += [(box,) for box in wanted.boxes if len(wanted.boxes) > 1]
    ends = content.label_format("hoses", paper)
    hoses = content.labels_of_hoses(ends, content.prepared.marked(PLACEHOLDER))
    both = [(label.head, *label.lines) for label in hoses]
    for use, labels, sheet, said in (("bags", bags, form, must), ("hoses", hoses, ends, both)):
        if not labels:
            continue
        rel = f"labels_{use}.pdf"
        yield Artefact(
            entry=Entry(path=rel, kind=f"labels_{use}", units="mm"),
            body=partial(
                write_labels,
                labels=labels,
                form=sheet,
                title=f"{title}: labels",
                subject=f"labels {PLACEHOLDER}",
            ),
            read=partial(
                read_labels, rel=rel, form=sheet, revision=revision, labels=said, serial=content.asked.serial
            ),
        )


def _hose_orders(content: Content, paper: str) -> Iterator[Artefact]:
    order, prepared = content.hose_order(), content.prepared
    if not order.hoses:
        return
    answers = {h.spec.name: h for h in prepared.lines.hoses}
    wanted = []
    rated = {line.hose: line for pedal in prepared.file.job.pedal for line in pedal.line if line.hose}
    for hose, title in zip(order.hoses, order.titles, strict=True):
        answer = answers[hose.spec.name]
        start, end = hose_seats(hose.spec, prepared.lines.ports)
        line = rated.get(hose.spec.name)
        if answer.path is not None and answer.length is not None:
            wanted.append(
                HoseWanted(
                    title=title,
                    name=hose.spec.name,
                    length_mm=answer.length.made_up_mm,
                    spare_mm=answer.length.spare_mm,
                    path=answer.path,
                    ways=(start.direction, end.direction),
                    ends=(hose.spec.from_end, hose.spec.to_end),
                    bore_mm=0.0 if line is None else line.bore_mm,
                    rating_mpa=None if line is None else line.rating_mpa,
                )
            )
    yield _sheet(
        content,
        paper,
        rel=f"{SHOP}/hose_order.pdf",
        kind="hose_order",
        write=write_hose_order,
        read=read_hose_order,
        made_of={"order": order, "facts": content.lot()},
        wanted={"hoses": wanted, "sets": order.sets, "inch": order.units == "inch"},
    )
    yield text_file(f"{SHOP}/hose_order.csv", "hose_order_csv", order_csv(order))


def _shop_files(content: Content, paper: str) -> Iterator[Artefact]:
    prepared, sets, reading = content.prepared, content.asked.sets, sheet_paper(paper)
    cut = [p for p in prepared.parts if not p.plan.printed]
    tail = flat_tail(prepared.file.shop.cutting)
    files = {p.spec.name: f"{p.spec.name}_{p.plan.quantity * sets}_pieces{tail}" for p in cut}
    yield from (blank(prepared, part, f"{SHOP}/{files[part.spec.name]}") for part in cut)
    for part in cut:
        sheets = (a for a in part_files(prepared, part, paper) if a.entry.kind in PART_SHEETS)
        yield from (moved(artefact, SHOP) for artefact in sheets)
    overview = None
    if content.nest is not None:
        for artefact in nest.job_of(prepared, sets, paper).artefacts:
            yield moved(artefact, f"{SHOP}/nest")
        overview = nest.nest_wanted(content.nest, prepared.file.shop)
    listed = _listed(content, files)
    yield _sheet(
        content,
        reading,
        rel=f"{SHOP}/cut_and_bend.pdf",
        kind="cut_and_bend",
        write=write_cut_and_bend,
        read=read_cut_and_bend,
        made_of={"listed": listed, "facts": content.lot()},
        wanted={
            "plans": listed.plans,
            "least_mm": content.least_mm,
            "sets": sets,
            "files": files,
            "pieces": _pieces(content),
        },
    )
    yield _price(content, reading, overview)


def _pieces(content: Content) -> dict[str, str]:
    """How long each hose or tube is cut, by its title: of a tube its own length and what is trimmed off."""
    return {
        h.title: format_length(
            h.length.cut_mm + (making(h.path, h.spec.dash).spare_mm if h.spec.kind == "rigid" else 0.0),
            content.lines.units,
        )
        for h in content.cut_here
        if h.length is not None
    }


def _listed(content: Content, files: dict[str, str]) -> ShopList:
    return ShopList(
        plans=tuple(p.plan for p in content.prepared.parts if not p.plan.printed),
        least_mm=content.least_mm,
        files=files,
        hoses=content.cut_here,
        sets=content.asked.sets,
        units=content.prepared.file.units,
    )


def _price(content: Content, paper: str, overview: NestWanted | None) -> Artefact:
    file = content.prepared.file
    bought: dict[str, int] = {}
    for kind, item, count in (
        *((i.kind, i.item, i.quantity) for i in content.items),
        *(("fitting", e.item, e.quantity) for e in file.job.kit.extra),
    ):
        if kind in BOUGHT:
            bought[item] = bought.get(item, 0) + count
    wanted = PriceWanted(
        nest=overview,
        rates=file.shop.rates,
        hoses=tuple(
            HosePriced(
                title=h.title,
                dash=h.spec.dash,
                kind=h.spec.kind,
                pushed=h.spec.kind == "hose"
                and h.spec.service == "feed"
                and not (h.spec.from_end or h.spec.to_end),
                bought=hose_item(h, content.lines.units) if bought_as_it_is(h.spec) else "",
                cut_mm=None if h.length is None or h.measure_why else h.length.cut_mm,
            )
            for h in content.lines.hoses
        ),
        bought=bought,
        bench_s=file.job.kit.bench_s,
        printed=tuple(p.plan.title for p in content.prepared.parts if p.plan.printed),
        sets=content.asked.sets,
    )
    return _sheet(
        content,
        paper,
        rel=f"{SHOP}/price.pdf",
        kind="kit_price",
        write=write_price,
        read=read_price,
        made_of={"price": content.price(), "facts": content.lot()},
        wanted={"wanted": wanted},
    )
