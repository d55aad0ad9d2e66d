"""The answer of a spread: everything that is told of it, as plain data from one place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from generators.errors import SpecError
from generators.issue.work import Progress
from generators.jobs.spread.cures import COSTS, NO_MIDDLES, Cure, Tried, chance_of, lifted, solved
from generators.jobs.spread.field import Field, corrected, told
from generators.jobs.spread.run import all_installs
from generators.measure.chance.interval import wilson
from generators.measure.chance.kit import Kit, shifted
from generators.measure.chance.run import Tally
from generators.measure.chance.shares import SAMPLES, Share, shares
from generators.model.spec.forms.spread import Spread
from generators.reading import JobFile
from generators.solve.job import Prepared
from generators.solve.spread.build import kit_of

INSTALLS, SEED = 10_000, 1
METHOD = "95 % interval by E. B. Wilson (1927)"
Put = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked: how many installs, from which seed, which steps are moved, whether changes are tried."""

    installs: int = INSTALLS
    seed: int = SEED
    put: Put = ()
    samples: int = SAMPLES
    cures: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A kit with its counts, shares and changes. ``usual`` are the counts in the order of the sheet itself,
    where steps were moved; ``spread`` is what was drawn from, ``field`` what vehicles told."""

    prepared: Prepared
    spread: Spread
    asked: Asked
    kit: Kit
    tally: Tally
    shares: tuple[Share, ...]
    taken: tuple[Tried, ...] = ()
    tried: tuple[Tried, ...] = ()
    usual: Tally | None = None
    field: Field | None = None

    @property
    def file(self) -> JobFile:
        """The job's file."""
        return self.prepared.file

    @property
    def chance(self) -> float:
        """The share of installs where all went together first time."""
        return self.tally.chance


def spread_of(file: JobFile) -> Spread:
    """The spec's ``[spread]``. Raises ``SpecError`` without one, or with nothing that varies."""
    spread = file.job.spread
    if spread is None or not spread.input:
        wanted = (
            "[spread] with [[spread.input]] rows: how far vehicles differ and people err, our guess or not"
        )
        begin = (
            'to begin with: [[spread.input]] of = "existing" off = "1.5 mm", and as much for obstacle and '
            "component; `pedalplate new NAME` writes a whole invented [spread] to copy"
        )
        raise SpecError([file.fault_at("job" if spread is None else "spread", "no spread", wanted, begin)])
    return spread


def answered(
    prepared: Prepared,
    spread: Spread,
    asked: Asked,
    *,
    on: str = "",
    cores: int = 1,
    field: Field | None = None,
    progress: Progress,
) -> Answer:
    """All of it.

    Raises ``SpecError`` where the job puts nothing on a vehicle, ``LookupFault`` for a step to move that is
    none, and as ``all_installs`` does.
    """
    middles = field.middles if field is not None else NO_MIDDLES
    spread = field.spread if field is not None else spread
    kit = shifted(kit_of(prepared, spread, asked.put), middles)
    if not kit.tasks:
        wanted = "a job with a part on a panel, or a hose"
        raise SpecError([prepared.file.fault_at("spread", "nothing that is put on a vehicle", wanted)])
    done = all_installs(kit, asked.installs, asked.seed, on=on, cores=cores, progress=progress)
    usual = None
    if asked.put:
        usual = all_installs(
            shifted(kit_of(prepared, spread), middles),
            asked.installs,
            asked.seed,
            on=on,
            cores=cores,
            progress=progress,
        )
    found = shares(kit, asked.seed, asked.samples)
    taken: tuple[Tried, ...] = ()
    tried: tuple[Tried, ...] = ()
    if asked.cures and not asked.put and done.together < spread.wanted * done.tries:
        correct = corrected(field) if field is not None else None
        taken, tried = lifted(prepared, spread, kit, asked.seed, progress, middles, correct)
    return Answer(
        prepared=prepared,
        spread=spread,
        asked=asked,
        kit=kit,
        tally=done,
        shares=found,
        taken=taken,
        tried=tried,
        usual=usual,
        field=field,
    )


def _share(hits: int, tries: int) -> dict[str, Any]:
    low, high = wilson(hits, tries)
    return {"count": hits, "share": round(hits / tries, 6), "low": round(low, 6), "high": round(high, 6)}


def _tried(each: Tried) -> dict[str, Any]:
    return {
        "change": each.cure.words,
        "cost": COSTS[each.cure.cost],
        "values": dict(each.cure.values),
        "measures": each.cure.measures,
        "corrects": each.cure.corrects,
        "installs": each.tally.tries,
        "together": _share(each.tally.together, each.tally.tries),
        "brings": list(each.brings),
        "after": each.after,
    }


def plain(answer: Answer) -> dict[str, Any]:
    """The answer as JSON has it."""
    kit, done = answer.kit, answer.tally
    names = [*(f"bolts of {part.title}" for part in kit.bolted), *(g.name for g in kit.gauges)]
    steps = [*(part.task for part in kit.bolted), *(g.task for g in kit.gauges)]
    return {
        "installs": done.tries,
        "seed": answer.asked.seed,
        "moved": [list(pair) for pair in answer.asked.put],
        "wanted": answer.spread.wanted,
        "together": _share(done.together, done.tries),
        "interval": METHOD,
        "scrapped_hoses_per_100": round(100 * done.scrapped / done.tries, 3),
        "in_the_sheets_order": None
        if answer.usual is None
        else {
            "together": _share(answer.usual.together, answer.usual.tries),
            "scrapped_hoses_per_100": round(100 * answer.usual.scrapped / answer.usual.tries, 3),
        },
        "steps": [
            {
                "step": key,
                "title": title,
                "fails_first": _share(first, done.tries),
                "fails": _share(ever, done.tries),
            }
            for (key, title), first, ever in zip(kit.tasks, done.first, done.ever, strict=True)
        ],
        "asked": [
            {"what": name, "step": step, "fails": _share(count, done.tries)}
            for name, step, count in zip(names, steps, done.thing_failed, strict=True)
        ],
        "learned": None if answer.field is None else told(answer.field),
        "inputs": [_input(answer, k) for k in range(len(kit.groups))],
        "changes": [_tried(each) for each in answer.taken],
        "tried": [_tried(each) for each in answer.tried],
    }


def _input(answer: Answer, number: int) -> dict[str, Any]:
    group = answer.kit.groups[number]
    found = next((s for s in answer.shares if s.group == group.name), None)
    keys = ("first", "first_within", "total", "total_within")

    def rounded(values: Sequence[float]) -> dict[str, float]:
        return {key: round(value, 4) + 0.0 for key, value in zip(keys, values, strict=True)}

    return {
        "input": group.words,
        "of": group.of,
        "source": group.source,
        "of_going": None if found is None else rounded(found.of_going),
        "of_room": None if found is None else rounded(found.of_room),
    }


def again(answer: Answer, changes: Sequence[Cure]) -> Tally:
    """The counts with these changes made together."""
    middles = answer.field.middles if answer.field is not None else NO_MIDDLES
    _, kit = solved(answer.prepared, answer.spread, changes, middles)
    return chance_of(kit, answer.asked.seed)
