"""The rule on the order of bends: one in which part and tools never meet, or what meets what, and a mend."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence, Set
from dataclasses import replace

from generators.bending.mends import Others, deep_mm, main_refusal, mends
from generators.bending.search import MOST_TRIALS, bend_sequence
from generators.bending.setting import asked, folder_setting, sequence_of, setting_of, stated, stock_of
from generators.bending.steps import FoldStep, Step, Why
from generators.bending.steps import Sequence as Bends
from generators.bending.trial import Setting
from generators.checks.part.die_radius import check_die_radius
from generators.checks.rule import Rule, finding, listed
from generators.errors import LookupFault
from generators.model.changes import Change, Proposal
from generators.model.findings import Finding, Severity
from generators.model.plan import PartPlan
from generators.model.spec.shop import Shop
from generators.model.spec.tools.machines import BentOn

BEND_SEQUENCE = Rule(
    code="bend-sequence",
    title="No order in which the bends can be made",
    meaning=(
        "Every order of the bends is tried on what the part may be bent on (`bent_on`): the shop's press "
        "brake, its folder, or, on either, each alone and then the bends shared out. On the folder: fingers "
        "must hold the rear leg and the leaf the front one all along the bend, what is bent must keep clear "
        "of bed, fingers, beam and leaf through the whole swing, go in under the raised beam and come out "
        "forward or sideways, and the plate's thickness and length must do. On the brake "
        "every order is tried on the shop's own tools, with the part turned and turned over: "
        "through the whole stroke the part, what is bent of it already included, must keep clear of punch, "
        "ram, die and table, and as far on as a bend may be pressed before it springs back: its tolerance, "
        "and 3 degrees where the shop has measured no springback (common practice, no source); the die must "
        "carry the sheet all along the bend; the punch must be made up of "
        "the pieces there are, the press be strong enough and open far enough, punch and die be marked for "
        "as much on a metre as the bend asks, and the part come off the tools. Where the shop has named what "
        "is in the way, its punches, its dies, or the "
        "force, length or opening of its press, none found is a fail; on plain tools or a plain press that "
        "this program makes up (ours, invented) it is a warning; so it is for a folder. A stop that draws "
        "back as the stroke begins is assumed; its fingers keep clear of the punch that touches the sheet. "
        "The part against itself is looked at when finished (folded-clash), not on the way."
    ),
    formula=(
        "legs rise by half the bend about its axis; force 1.42 Rm L t^2 / V; the sheet lies on the die to "
        "V/2 / cos(A/2) from the mould line; on the folder the leg turns about R + t over the bed, and a "
        "sheet counts as t sqrt(Rm / that of the folder's plate)"
    ),
    source=(
        "geometry of bending in a V die (C); factors of the force are published from 1.33 to 1.42, the "
        "larger is taken; tools that are not named are ours"
    ),
    trust="R2",
    mend=("Take the mend named, or state your own tools under [brake], your folder under [folder]."),
)

BEND_GAUGE = Rule(
    code="bend-gauge",
    title="A bend with nothing straight to gauge on",
    meaning=(
        "For this bend neither leg has a straight edge along it that a finger of the back gauge can touch, "
        "nor the face of a flange bent before: the sheet is set to the scribed bend line by eye, which is "
        "true to about half a millimetre at best. On a folder one works to the line anyway: nothing is said."
    ),
    formula="at least 10 mm of straight edge along the bend, in reach of the gauge",
    source="ours",
    trust="CP",
    mend="Give a flange a straight stretch along the bend, or scribe the line sharply and set to it.",
)

FOLDER_MISSING = Rule(
    code="folder-missing",
    title="Folder not in shop.toml",
    meaning=(
        "The part is bent on a folder and shop.toml has none: a plain one this program makes up (ours, "
        "invented) was taken, so the order is a proposal only."
    ),
    formula="-",
    source="shop.toml, folder",
    trust="CP",
    mend="State your folder under [folder] in shop.toml.",
)

FOLDER_FLAT = Rule(
    code="folder-flat",
    title="Flat by a die's test bend, bent on a folder",
    meaning=(
        "The K-factor of the stock was measured over a die. A folder draws the sheet otherwise round its "
        "nose: the legs may come out some tenths of a millimetre off (common practice, no source)."
    ),
    formula="-",
    source="common practice, no source",
    trust="CP",
    mend="Bend a test strip on the folder, and put its radius and K-factor in a shop file of its own.",
)

RULES = (BEND_SEQUENCE, BEND_GAUGE, FOLDER_MISSING, FOLDER_FLAT)

SAID_ELSEWHERE = frozenset({"flange-length", "bend-near-bend"})
"""Rules that say that the die does not carry the sheet."""

NAMED = re.compile(r", bends? (\w+)(?: and (\w+))?")
"""The bends in the place of such a finding."""

ANOTHER_TOOL = "joggle-tool"
"""Two bends in one stroke of an offset die: not what is tried here."""


ON_BEND = re.compile(r" bends? (\w+)(?: and (\w+))?(?:,|$)")
"""The bends of any finding of the die's rules."""

ASK = "`pedalplate check` names changes that were tried"
BY_BRAKE: BentOn = "brake"
BY_FOLDER: BentOn = "folder"
BY_EITHER: BentOn = "either"


def on_folder(plan: PartPlan, shop: Shop) -> frozenset[str]:
    """Bends that are made on the folder: what is said of the die does not hold for them."""
    way = asked(plan, shop)
    if way == BY_BRAKE:
        return frozenset()
    if way == BY_FOLDER:
        return frozenset(b.name for b in plan.bends)
    try:
        sequence, _ = sequence_of(plan, shop, brief=True)
    except LookupFault:
        return frozenset()  # a material without figures is refused where it is named
    return frozenset(step.bend for step in sequence.steps if isinstance(step, FoldStep))


def of_the_die(found: Finding, folded: Set[str]) -> bool:
    """True unless a finding of the die's rules is about a bend made on the folder."""
    said = ON_BEND.findall(found.where)
    return not said or not set(said[-1]) & folded


def check_bending(
    plan: PartPlan, shop: Shop, so_far: Sequence[Finding], *, brief: bool = False
) -> Iterator[Finding]:
    """Findings on the order of bends; ``so_far`` are those of the other rules on bends.

    ``brief``: no mends are tried, which takes longer than all else; only how deep the flange in the way is.
    """
    if any(f.code == ANOTHER_TOOL for f in so_far):
        yield _offset_die(plan)
        return
    try:
        sequence, carried = sequence_of(plan, shop, brief=True)
        of_brake = replace(setting_of(plan, shop), let_off=_let_off(plan, so_far))
    except LookupFault:
        return  # a material without figures is refused where it is named
    if sequence.found and not carried:
        sequence = bend_sequence(plan, of_brake, brief=True)
    if sequence.found:
        yield from _by_eye(plan, sequence)
        yield from check_die_radius(plan, shop, sequence)
        yield from _on_folder(plan, shop, sequence)
        return
    if not sequence.searched:
        yield _not_all_tried(plan)
        return
    yield _none(plan, shop, of_brake, sequence, brief)


def _on_folder(plan: PartPlan, shop: Shop, sequence: Bends) -> Iterator[Finding]:
    """What is to be said of bends that are made on the folder."""
    names = [step.bend for step in sequence.steps if isinstance(step, FoldStep)]
    if not names:
        return
    where = f"part:{plan.name} {'bends' if len(names) > 1 else 'bend'} {listed(names)}"
    if shop.folder is None:
        yield finding(
            FOLDER_MISSING,
            Severity.NOTE,
            where,
            found="a plain folder (ours, invented)",
            wanted="your folder in shop.toml",
            advice="state your folder under [folder] in shop.toml",
        )
    stock = stock_of(plan, shop)
    if stock is not None and stock.k_factor is not None and stock.die_opening_mm is not None:
        yield finding(
            FOLDER_FLAT,
            Severity.NOTE,
            where,
            found=f"K {stock.k_factor:g} of a test bend over V {stock.die_opening_mm:g}",
            wanted="K of a test bend on the folder",
            advice="fold a test strip of this sheet first and measure its legs",
        )


def _let_off(plan: PartPlan, so_far: Sequence[Finding]) -> frozenset[str]:
    """Bends of which another rule says that the die does not carry their legs."""
    said = (NAMED.search(f.where) for f in so_far if f.code in SAID_ELSEWHERE)
    named = {name for match in said if match for name in match.groups()}
    return frozenset(b.name for b in plan.bends if b.name in named)


def _none(plan: PartPlan, shop: Shop, of_brake: Setting, sequence: Bends, brief: bool) -> Finding:
    refusal, way = main_refusal(sequence), asked(plan, shop)
    setting = folder_setting(plan, shop) if refusal.machine == BY_FOLDER else of_brake
    tried = () if brief else mends(plan, setting, sequence, _others(plan, shop, way))
    depth = next((m for m in tried if m.to_mm is not None), None)
    words = "; or ".join(m.words for m in tried)
    after = f" after {listed(refusal.done)}" if refusal.done else ""
    found = f"bend {refusal.bend}{after}: {refusal.words}"
    if way == BY_EITHER:
        folded = main_refusal(bend_sequence(plan, folder_setting(plan, shop), brief=True))
        found += f"; on the folder bend {folded.bend}: {folded.words}"
    changes = (Change(path=f"part[{plan.name}].bent_on", word=m.bent_on) for m in tried if m.bent_on)
    return finding(
        BEND_SEQUENCE,
        Severity.FAIL if stated(shop, refusal.why, refusal.machine) else Severity.WARN,
        f"part:{plan.name} bend {refusal.bend}",
        value=deep_mm(plan, refusal) if brief or depth else None,
        limit=depth.to_mm if depth else None,
        found=found,
        wanted="an order of bends in which nothing meets",
        advice=ASK if brief else _advice(words, refusal.why),
        proposals=tuple(Proposal(words=f"bend {plan.name} on the {c.word}", steps=(c,)) for c in changes),
    )


def _others(plan: PartPlan, shop: Shop, way: BentOn) -> Others:
    """What a part might be bent on instead."""
    if way == BY_EITHER:
        return ()
    if way == BY_FOLDER:
        return ((BY_BRAKE, setting_of(plan, shop), "the brake"),)
    named = f"the folder {shop.folder.name}".rstrip() if shop.folder else "a folder like a plain one (ours)"
    return ((BY_FOLDER, folder_setting(plan, shop), named),)


def _advice(mends: str, why: Why) -> str:
    if not mends:
        return "make the part of two pieces"
    return mends if why in ("force", "length", "opening") else f"{mends} (each tried)"


def _offset_die(plan: PartPlan) -> Finding:
    """A joggle is two bends in one stroke of an offset die, which is not among the tools tried."""
    return finding(
        BEND_SEQUENCE,
        Severity.NOTE,
        f"part:{plan.name} all {len(plan.bends)} bends",
        found="two of them in one stroke of an offset die: their order was not tried",
        wanted="an order of bends in which nothing meets",
        advice="have whoever bends it find the order before the sheet is cut",
    )


def _not_all_tried(plan: PartPlan) -> Finding:
    """Neither an order nor the proof that there is none: whoever bends it has to find one."""
    return finding(
        BEND_SEQUENCE,
        Severity.WARN,
        f"part:{plan.name} all {len(plan.bends)} bends",
        found=f"no order yet when {MOST_TRIALS} ways to make one bend had been tried, and more are left",
        wanted="an order of bends in which nothing meets",
        advice="have whoever bends it find the order first, or make the part of two pieces",
    )


def _by_eye(plan: PartPlan, sequence: Bends) -> Iterator[Finding]:
    for step in sequence.steps:
        # on a folder it is the way of the trade to work to the line
        if step.stop.on == "line" and isinstance(step, Step):
            yield finding(
                BEND_GAUGE,
                Severity.NOTE,
                f"part:{plan.name} bend {step.bend}",
                found="no straight edge along it on either leg",
                wanted="10 mm of straight edge along the bend",
                advice=(
                    f"give one of its flanges a straight stretch along bend {step.bend}, or set it to the "
                    "scribed line"
                ),
            )
