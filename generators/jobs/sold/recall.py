"""Which kits carry a hole, a part, a hose or something bought that is otherwise now."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from generators.errors import LookupFault, SpecError
from generators.jobs.compare.compare import compare
from generators.jobs.compare.words import hole_does, hole_where, thing_words
from generators.jobs.issued.mark import letter_of, under
from generators.jobs.issued.standing import standing
from generators.jobs.sold.enter import base_name
from generators.model.plan import PanelLayout
from generators.model.sold.letters import IssueMark
from generators.model.sold.recall import Changed, Recall, RecalledKit
from generators.register.kits import SoldKit, content, kits
from generators.register.store import reading
from generators.solve.comparing.holes import Place
from generators.solve.comparing.numbers import not_kept, number_changes, numbers_of
from generators.solve.job import Prepared, prepare

GONE = "is no form of the job any more"


def recall(path: Path, now: Prepared, *, why: str, do: str, only: str = "") -> Recall:
    """Kits of the register whose numbers are not those of the job as it is ``now``, each in its own form.

    ``only`` names one thing (``bulkhead/line_out``, ``clutch_hanger``, ``slave_hose``). What decides are the
    numbers as they were when the kit was made. Raises as ``register.reading``, ``LookupFault`` for a thing no
    kit has.
    """
    with reading(path) as register:
        sold = kits(register, job=base_name(now))
        kept = {number: content(register, number) for number in {kit.content for kit in sold}}
    forms = _forms(now, {kit.variant for kit in sold})
    known = sorted({name for _, numbers, _ in kept.values() for kind in numbers.values() for name in kind})
    if only and only not in known:
        raise LookupFault("hole, part, hose or bought thing", only, known)
    found: dict[int, tuple[Changed, ...]] = {}
    for kit in sold:
        if kit.content not in found:
            changed = _changed(*kept[kit.content], kit, forms[kit.variant])
            found[kit.content] = tuple(_joined([(n, one) for n, one in changed if not only or n == only]))
    file = now.file
    return Recall(
        job=base_name(now),
        title=file.job.job.title,
        revision=file.revision,
        now=_now_words(now),
        head=now.shown,
        contact=file.job.job.contact,
        why=why,
        do=do,
        kits=tuple(
            _recalled(kit, found[kit.content], forms[kit.variant]) for kit in sold if found[kit.content]
        ),
        looked_at=len(sold),
        uncompared=tuple((kit.serial, kinds) for kit in sold if (kinds := not_kept(kept[kit.content][1]))),
    )


def _now_words(form: Prepared | None) -> str:
    """``issue B, revision 7cdb7ba``: what the sheets of that form say now; each has its own check value."""
    if form is None:
        return "not made any more"
    letter, revision = letter_of(form), form.file.revision
    return f"issue {letter}, revision {revision}" if letter else f"revision {revision}"


def _recalled(kit: SoldKit, changed: tuple[Changed, ...], form: Prepared | None) -> RecalledKit:
    own = IssueMark(letter=kit.letter, date=kit.issued).marked(kit.revision) if kit.letter else kit.revision
    return RecalledKit(
        serial=kit.serial,
        order=kit.order,
        variant=kit.variant,
        letter=kit.letter,
        issued=kit.issued,
        revision=kit.revision,
        now=_now_words(form),
        head=own if form is None else form.shown,
        changed=changed,
    )


def _forms(now: Prepared, variants: set[str]) -> dict[str, Prepared | None]:
    """The job as it is now in every form that was sold; None for one it no longer has."""
    known = {"", *now.file.variants}
    return {
        name: now
        if name == now.file.form.name
        else _lettered(prepare(now.file.spec_path, variant=name))
        if name in known
        else None
        for name in variants
    }


def _lettered(form: Prepared) -> Prepared:
    """A form under its letter, where it is what that stands for."""
    found = standing(form)
    return form if found is None or found.differs else under(form, found.mark)


def _changed(
    spec: str, numbers: Mapping[str, Any], files: Mapping[str, bytes], kit: SoldKit, now: Prepared | None
) -> Iterator[tuple[str, Changed]]:
    """What differs, by the name of the thing; in the words of ``compare`` where the kit still reads."""
    if now is None:
        yield "", Changed(kind="variant", name=kit.variant, words=GONE)
        return
    words = _told(spec, files, kit, now)
    for kind, name, said in number_changes(numbers, numbers_of(now)):
        title, told = words.get((kind, name), (name.replace("_", " "), said))
        yield name, Changed(kind=kind, name=title, words=told)


def _joined(changed: Sequence[tuple[str, Changed]]) -> Iterator[Changed]:
    """Bolts of one thing that changed alike as one line: ``toe board/rod blank: bolt 1, bolt 2``."""
    alike: dict[tuple[str, str], list[str]] = {}
    for name, one in changed:
        if one.kind == "bolt":
            alike.setdefault((name.rpartition(".")[0], one.words), []).append(name)
    for name, one in changed:
        owner = name.rpartition(".")[0]
        names = sorted(alike.get((owner, one.words), ())) if one.kind == "bolt" and owner else [name]
        if len(names) == 1:
            yield one
        elif name == names[0]:
            which = ", ".join(each.rpartition(".")[2] for each in names)
            yield replace(one, name=f"{owner}: {which}".replace("_", " "))


def _told(
    spec: str, files: Mapping[str, bytes], kit: SoldKit, now: Prepared
) -> Mapping[tuple[str, str], tuple[str, str]]:
    """Title and words of all ``compare`` tells, by kind and name; nothing where the kit no longer reads."""
    with tempfile.TemporaryDirectory(prefix="pedalplate_") as scratch:
        for path, data in files.items():
            place = Path(scratch) / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        try:
            before = prepare(Path(scratch) / spec, variant=kit.variant)
        except (SpecError, LookupFault):
            return {}
    said = compare(before, now)
    units = now.file.units
    layouts = {layout.panel: layout for layout in (*before.layouts, *now.layouts)}
    out: dict[tuple[str, str], tuple[str, str]] = {}
    for hole in said.holes:
        layout = layouts[hole.panel]
        others = {other.name for other in said.holes if other.panel == hole.panel}
        at, point = _counted_from(layout, hole.now or hole.was or (0.0, 0.0), others)
        was, is_now, far = hole_where(hole.seen_from(at), units)
        where = (
            f", {far}: from {was} to {is_now}, counted from {point}, {layout.seen('cab')}"
            if hole.moved
            else ""
        )
        title = f"{hole.number} of the {layout.title.lower()}, {hole.purpose}"
        out["hole", f"{hole.panel}/{hole.name}"] = (title, hole_does(hole, units) + where)
    for kind, things in (("part", said.parts), ("hose", said.hoses)):
        for thing in things:
            if thing.verdict != "same":
                out[kind, thing.name] = (thing.title, thing_words(thing))
    return out


def _counted_from(layout: PanelLayout, near: Place, changed: Collection[str]) -> tuple[Place, str]:
    """What somebody at the vehicle can measure from: the nearest hole the panel had, else its origin.

    One that was itself ``changed`` since says nothing.
    """
    there = [hole for hole in layout.holes if hole.status == "datum" and hole.name not in changed]
    if not there:
        return (0.0, 0.0), "the panel's origin"
    hole = min(there, key=lambda h: math.dist((h.u_mm, h.v_mm), near))
    return (hole.u_mm, hole.v_mm), f"the middle of hole {hole.number} ({hole.purpose})"
