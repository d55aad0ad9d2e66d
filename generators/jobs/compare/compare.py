"""Two states of a job side by side, as plain data."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from generators.errors import ReadBackError
from generators.issue.manifest import NAME, finding_json, read_manifest
from generators.jobs.make.run import KIND as MAKE
from generators.jobs.make.run import prepared_of
from generators.model.findings import Finding
from generators.model.plan import PanelLayout
from generators.sheets.pedal.pages import brake_rows, circuit_rows, clutch_rows
from generators.solve.comparing.holes import HoleChange, hole_changes, in_a_mirror, same_holes
from generators.solve.comparing.things import ThingChange, hose_changes, part_changes
from generators.solve.job import Prepared, prepare
from generators.solve.mends.judge import brought, worsened
from generators.solve.pedals import PedalAnswer


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberChange:
    """A number of a pedal's hydraulics that reads otherwise now; empty where one of the two has none."""

    pedal: str
    what: str
    was: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What differs from ``before`` to ``after``.

    With ``other_hand`` one of them is the mirror image of the other's hand: holes of ``after`` are told as a
    mirror shows them, in the frame of ``before``. ``panels`` are those of both for a picture.
    """

    before: Prepared
    after: Prepared
    other_hand: bool
    holes: tuple[HoleChange, ...]
    parts: tuple[ThingChange, ...]
    hoses: tuple[ThingChange, ...]
    numbers: tuple[NumberChange, ...]
    won: tuple[Finding, ...]
    lost: tuple[Finding, ...]
    kept_holes: dict[str, int]

    @property
    def same(self) -> bool:
        """True where nothing that is made or bought differs, nor what the rules say."""
        things = any(t.verdict != "same" for t in (*self.parts, *self.hoses))
        return not (things or self.holes or self.numbers or self.won or self.lost)

    @property
    def panels(self) -> tuple[tuple[PanelLayout | None, PanelLayout | None], ...]:
        """Panels with a hole that differs: before and after, in one frame."""
        mine = {x.panel: x for x in self.before.layouts}
        theirs = {x.panel: x for x in after_layouts(self.before, self.after)}
        names = dict.fromkeys(change.panel for change in self.holes)
        return tuple((mine.get(name), theirs.get(name)) for name in names)

    def usable(self) -> tuple[str, ...]:
        """What may still be used, in words."""
        return tuple(_usable(self))


def after_layouts(before: Prepared, after: Prepared) -> tuple[PanelLayout, ...]:
    """The panels after in the frame of those before."""
    other = before.file.form.mirrored != after.file.form.mirrored
    return in_a_mirror(after.layouts) if other else tuple(after.layouts)


def compare(before: Prepared, after: Prepared) -> Compared:
    """What differs. Raises nothing."""
    other = before.file.form.mirrored != after.file.form.mirrored
    layouts = after_layouts(before, after)
    return Compared(
        before=before,
        after=after,
        other_hand=other,
        holes=hole_changes(before.layouts, layouts),
        parts=part_changes(before.parts, after.parts, other=other),
        hoses=hose_changes(before.lines.hoses, after.lines.hoses),
        numbers=tuple(_numbers(before, after)),
        won=(*brought(before.findings, after.findings), *worsened(before.findings, after.findings)),
        lost=tuple(brought(after.findings, before.findings)),
        # what was drilled in one hand of a vehicle is not in the other
        kept_holes={} if other else same_holes(before.layouts, layouts),
    )


def state_of(path: Path, variant: str = "") -> Prepared:
    """A job from a spec, in a form of it, or from a finished folder.

    Raises ``SpecError``, ``LookupFault``, and ``ReadBackError`` for a folder that is none or was changed, or
    that has a form of its own beside ``variant``.
    """
    if not os.path.isdir(path):  # unlike the method it takes any path
        return prepare(path, variant=variant)
    manifest = read_manifest(path)
    if manifest.kind != MAKE:
        raise ReadBackError(NAME, f"is of {manifest.kind!r}; a folder of make, or a spec, is compared")
    if variant:
        raise ReadBackError(NAME, f"{path} was made in one form; --variant is for specs")
    return prepared_of(path, manifest)


def rows_of(pedal: PedalAnswer) -> dict[str, str]:
    """The numbers of a pedal as its sheets print them."""
    sheet = pedal.sheet()
    if pedal.clutch is not None:
        return {what: metric for what, metric, _ in clutch_rows(sheet, pedal.clutch)}
    if pedal.brake is None:
        return {}
    rows = {what: metric for what, metric, _ in brake_rows(pedal.brake)}
    names = [c.name for c in pedal.brake.circuits]
    for row in circuit_rows(pedal.brake.circuits):
        rows |= {f"{row[0]}, {name}": cell for name, cell in zip(names, row[1:], strict=False)}
    return rows


def _numbers(before: Prepared, after: Prepared) -> Iterator[NumberChange]:
    mine = {p.spec.name: rows_of(p) for p in before.pedals}
    theirs = {p.spec.name: rows_of(p) for p in after.pedals}
    for name in dict.fromkeys([*mine, *theirs]):
        was, now = mine.get(name, {}), theirs.get(name, {})
        for what in dict.fromkeys([*was, *now]):
            if was.get(what) != now.get(what):
                yield NumberChange(pedal=name, what=what, was=was.get(what, ""), now=now.get(what, ""))


def _usable(said: Compared) -> Iterator[str]:
    for thing in (*said.parts, *said.hoses):
        if thing.verdict == "same":
            yield f"{thing.kind} {thing.title}"
    titles = {x.panel: x.title for x in said.before.layouts}
    for panel, count in said.kept_holes.items():
        if count:
            yield f"{count} drilled hole{'s' if count > 1 else ''} of the {titles[panel].lower()}"


def data(said: Compared) -> dict[str, Any]:
    """All of it for ``json.dumps``, numbers rounded to a thousandth of a mm."""

    def hole(change: HoleChange) -> dict[str, Any]:
        plain = asdict(change) | {"kind": change.kind, "far_mm": change.far_mm, "overlaps": change.overlaps}
        return {
            key: [round(x, 3) for x in value]
            if isinstance(value, tuple)
            else round(value, 3)
            if isinstance(value, float)
            else value
            for key, value in plain.items()
        }

    return {
        "same": said.same,
        "before": _state(said.before),
        "after": _state(said.after),
        "other_hand": said.other_hand,
        "holes": [hole(change) for change in said.holes],
        "parts": [asdict(thing) for thing in said.parts],
        "hoses": [asdict(thing) for thing in said.hoses],
        "numbers": [asdict(number) for number in said.numbers],
        "findings_won": [finding_json(f) for f in said.won],
        "findings_lost": [finding_json(f) for f in said.lost],
        "usable": list(said.usable()),
    }


def _state(prepared: Prepared) -> dict[str, str]:
    file = prepared.file
    return {"job": file.job.job.name, "variant": file.form.name, "revision": file.revision}
