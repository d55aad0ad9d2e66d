"""The steps of the whole job in their order, as plain data: print, check, drill, fit, set, prove.

The order follows one idea: what fixes a position comes before what depends on it. It is sorted by a graph
of what waits for what; a hose length is released only when both its ends are fixed by then.
Nothing here draws. The numbers of the steps are asked of the guide (``model.install.first_steps``,
``drilled_at``, ``waits_for``) before any sheet is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from types import MappingProxyType

from generators.figures import format_short
from generators.geometry.frames import Matrix
from generators.geometry.sight import Standing, first_face
from generators.hydraulics.linkage import pad_at_rest
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.layout.bodies import rod_body
from generators.layout.spots import body_ends
from generators.model.findings import Finding, Waived
from generators.model.install import Guide, Laid, Phase, ScaleLengths, Step, Task, first_steps
from generators.model.joints.fasteners import CLAMPED_ON, FastenerSet, fasteners_for
from generators.model.plan import PanelLayout, PartPlan
from generators.model.sold.packing import NOT_PACKED, Packing
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.sheets.bill import Item
from generators.sheets.bolting.in_place import brace_ends, brace_picture, far_end, with_place
from generators.sheets.bolting.last_things import THROTTLE, last_steps
from generators.sheets.bolting.on_vehicle import Seats, force_words
from generators.sheets.bolting.own_things import absent_from_bags, bought_stop_words, hung_words, own_list
from generators.sheets.bolting.steps import bag_list, with_bolts
from generators.sheets.hose_words import LinesSheet, title_of
from generators.sheets.install.drill import drill_phase
from generators.sheets.install.ends import before_words, first_phase, last_phase
from generators.sheets.install.existing import LONG_DRILL, check_phase, measurable, own_flanges
from generators.sheets.install.fit import clamp_step, component_steps, decided_steps, part_steps, seat_holes
from generators.sheets.install.found import By, known_holes, told_from
from generators.sheets.install.guide_steps import closer_by, lent_by
from generators.sheets.install.hoses import cut_list, hose_steps
from generators.sheets.install.paper import paper_phase
from generators.sheets.install.pedal_steps import cautions, pedal_steps
from generators.sheets.install.tools import plug_steps, single_steps, tool_list
from generators.sheets.pedal.on_shaft import across_words
from generators.strength.joint.strut import BraceLoad
from generators.units import UnitSystem

Mounted = tuple[PartPlan, str, Face]
"""A plan, the panel it is on and the face it lies on."""

LOCKED = "Every bolt with a locking nut, every screw locked. "
HANG = (
    "Its return spring with the anchorage, and the stop it comes back against, are in no bag: fit yours now. "
    "The pedal moves freely and returns by itself to that stop.",
    (
        "Now measure the hoses.",
        "Only when both ends of a hose are bolted down, its fittings on, engine and steering in place. "
        "Measure along the path it will take, with slack for movement; no hose length is given here "
        "before that.",
    ),
    (
        "Check by hand.",
        "Nothing touches a hose or the pedal through the full pedal travel and full steering lock. No sharp "
        "panel edge within reach of a hose.",
    ),
)
BRACE = (
    "This job has the hole and the bolt, not the thing: have it made. It goes from that hole to sound metal "
    "of the body that this panel does not carry, straight and stiff (tube or folded sheet, no flat strip), "
    "so that the panel does not take the pedal's leverage alone."
)
"""Common practice, no source."""

NOWHERE: Mapping[str, Matrix] = MappingProxyType({})

HEADINGS = {
    "part": "Fit the parts",
    "pedal": "Pedal",
    "component": "Cylinders and fittings",
    "clamp": "Clamps",
    "decided": "What the made-up hose decides",
    "hose": "Hoses and lines, one after the other",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What the steps are made from."""

    layouts: Mapping[str, PanelLayout]
    parts: Mapping[str, Mounted]
    guides: tuple[Mounted, ...]
    pedals: Mapping[str, PedalSheet]
    findings: tuple[Finding, ...]
    lines: LinesSheet
    fasteners: tuple[FastenerSet, ...] = ()
    braces_carry: tuple[BraceLoad, ...] = ()
    laid: tuple[Laid, ...] = ()
    seats: Seats = field(default_factory=Seats)
    poses: Mapping[str, Matrix] = field(default_factory=dict)
    packing: Packing = NOT_PACKED

    def phases(self) -> Iterator[Phase]:
        """Every task in its order; where the kind of work changes, another phase."""
        bled, told = False, ""
        done: list[Task] = []
        for kind, group in groupby(self.lines.order.tasks, key=lambda task: task.kind):
            tasks = list(group)
            if kind == "bleed" and not bled:
                bled = True
                yield self.by_hand()
            if kind == "drill":
                for task in tasks:
                    yield self.drilled(task, told, self.fitted_by(done, task.name))
                    layout = self.layouts[task.name]
                    marked = any(hole.work.punched for hole in layout.holes)
                    told = told or (within(layout.title) if marked and measurable(layout) else "")
            elif kind == "bleed":
                yield from (self.bled(task) for task in tasks)
            elif kind == "clamp":
                yield Phase(title=HEADINGS[kind], steps=tuple(self.clamps(tasks)))
            else:
                steps = tuple(
                    _of(task, step)
                    for k, task in enumerate(tasks)
                    for step in self.stood(task, (*done, *tasks[:k]))
                )
                yield Phase(title=HEADINGS[kind], steps=steps)
            done += tasks
        if not bled:
            yield self.by_hand()

    def fitted_by(self, done: Sequence[Task], panel: str) -> tuple[Standing, ...]:
        """What stands off a panel once those tasks are done: flanges of parts, bodies of cylinders on it."""
        out: list[Standing] = []
        sheet = next((p for p in self.lines.panels if p.name == panel), None)
        on = {name for name, (_plan, where, _face) in self.parts.items() if where == panel}
        for task in done:
            if task.kind == "part" and task.name in on:
                out += own_flanges(self.layouts[panel], task.name)
            elif task.kind in ("component", "decided"):
                component, place = self.lines.component(task.name), self.lines.places[task.name]
                ends = body_ends(component, place.frame)
                here = place.panel == panel or place.part in on
                if here and sheet is not None and ends is not None and component.diameter_mm is not None:
                    body = rod_body(component.name, ends, component.diameter_mm / 2, sheet)
                    out.append((within(title_of(component)), body))
        return tuple(out)

    def drilled(self, task: Task, told: str, fitted: Sequence[Standing]) -> Phase:
        guides = [(plan, face) for plan, panel, face in self.guides if panel == task.name]
        tasks = self.lines.order.tasks
        after = [self.layouts[x.name] for x in tasks[tasks.index(task) + 1 :] if x.kind == "drill"]
        later = {(x.panel, first_face(h)) for x in after for h in x.holes if h.work.punched}
        phase = drill_phase(self.layouts[task.name], guides, self.laid, told, fitted, later)
        return replace(phase, steps=tuple(_of(task, step) for step in phase.steps))

    def stood(self, task: Task, done: Sequence[Task]) -> Iterator[Step]:
        """Steps of one thing, with what shows it in its place."""
        for step in self.fitted(task, done):
            yield with_place(step, task, self.lines, self.parts, self.pedals)

    def fitted(self, task: Task, done: Sequence[Task]) -> Iterator[Step]:
        """Steps of one part, pedal, component or hose, once those before it are ``done``."""
        lines = self.lines
        if task.kind == "part":
            plan, panel, face = self.parts[task.name]
            later = {
                number: within(title_of(component))
                for component in lines.components
                for on, number in seat_holes(component, lines, self.fasteners)
                if on == panel
            }
            there = self.fitted_by(done, panel)
            sealant, on = self.packing.holding("sealant"), self.layouts[panel]
            yield from part_steps(plan, on, face, later, self.fasteners, there, sealant)
        elif task.kind == "pedal":
            # a cylinder that is a component of the job has a step of its own
            own = any(component.kind == "master" for component in lines.components)
            what = task.title if own else f"master cylinder, the {task.title}"
            pedal = self.pedals.get(task.name)
            how = f"{self.held_by(task)}{hung_words(pedal, self.fasteners)}{HANG[0]}{self.at_rest(pedal)}"
            how += f"{bought_stop_words(pedal)}{across_words(pedal, tuple(self.pedals.values()))}"
            yield Step(do=f"Fit the {what} and its pivot.", how=how)
        elif task.kind == "component":
            component = lines.component(task.name)
            yield from component_steps(component, lines, self.layouts, self.fasteners, self.seats)
        elif task.kind == "decided":
            decision = next(x for x in lines.decided if x.component == task.name)
            by = By(fitted=self.fitted_by(done, decision.panel), done=tuple(done), laid=self.laid)
            yield from decided_steps(decision, lines, self.layouts, self.fasteners, by)
        else:
            yield from hose_steps(lines.hose(task.name), lines, self.fasteners)

    def held_by(self, task: Task) -> str:
        """How what holds a pedal is kept from coming loose: a shaft alone has neither nut nor screw."""
        mine = fasteners_for(self.fasteners, task.key)
        if not mine or any(made.form != "shaft" or made.tighten.why in CLAMPED_ON for made in mine):
            return LOCKED
        return "See that what holds the ends of the shaft sits as it should, at both ends. "

    def at_rest(self, pedal: PedalSheet | None) -> str:
        """Where the pad is when the pedal is against its rest stop: the stop is put where that holds."""
        answer = None if pedal is None else pedal.clutch or pedal.brake
        if pedal is None or answer is None:
            return ""
        pad = pad_at_rest(answer.linkage, pedal.spec.pad_side_mm)
        where = told_from(pad, known_holes(pad, self.lines, self.layouts), pedal.units)
        if not where:
            return ""
        return f" Put that stop where it holds the arm with the middle of the pad's face {where}."

    def clamps(self, tasks: Sequence[Task]) -> Iterator[Step]:
        """Clamps that come one after the other on one sheet make one step."""
        by_name = {clamp.name: clamp for clamp in self.lines.clamps}
        where = self.lines.places
        for _place, group in groupby(tasks, key=lambda t: (where[t.name].panel, where[t.name].part)):
            named = list(group)
            step = clamp_step([by_name[t.name] for t in named], self.lines, self.layouts)
            yield replace(step, tasks=tuple(t.key for t in named))

    def by_hand(self) -> Phase:
        sheets = self.layouts.values()
        single = single_steps(sheets, self.lines, self.fasteners, self.seats.units)
        last = last_steps(tuple(sheets), self.lines, self.fasteners, [x[0] for x in self.parts.values()])
        steps = [*single, *last, *plug_steps(sheets, self.lines), *self.braces()]
        if not self.pedals:
            alone = "Fit the master cylinder, the pedal and its pivot."
            steps.append(Step(do=alone, how=f"{LOCKED}{HANG[0]}"))
        if not self.lines.hoses:
            steps.append(Step(do=HANG[1][0], how=HANG[1][1]))
        steps.append(Step(do=HANG[2][0], how=HANG[2][1]))
        return Phase(title="Before fluid goes in", steps=tuple(steps))

    def braces(self) -> Iterator[Step]:
        """The braces stiffness and strength are worked out with, before anybody presses the pedal."""
        contact = next((layout.contact for layout in self.layouts.values()), "")
        groups: dict[tuple[str, str], list[FastenerSet]] = {}
        for made in self.fasteners:
            if made.held is not None and made.held.absent and made.held.counted:
                what = "brace" if made.held.known == "open" else within(made.held.words)
                groups.setdefault((made.part, what), []).append(made)
        for (part, what), sets in groups.items():
            title = self.lines.part_title(part)
            holes = dict.fromkeys(made.opening.replace("_", " ") for made in sets)
            both = " and ".join(holes)
            each = f", {len(holes)} of them, one at each hole" if len(holes) > 1 else ""
            plan, panel = self.placed(part)
            drawn = brace_picture(plan, panel, what, sets, self.braces_carry)
            yield Step(
                pictures=(drawn,) if panel else (),  # a part without a panel stands nowhere in the job
                tables=(brace_ends(plan, self.poses.get(part), sets, drawn.arc_mm, self.seats.units),),
                do=f"Before the pedal is loaded, fit the {what}{each}: hole {both} of the {title}.",
                how=f"{BRACE} {self.carried(part, sets)}{far_end(sets, contact)} "
                f"Its bolt is in the bag {sets[0].bag}; how tight, with the locking nut, the table says. "
                "Without it no bleeding and no driving.",
            )

    def placed(self, part: str) -> tuple[PartPlan, str]:
        """A part's plan and the panel it is on; no panel for one without ``[part.mount]``."""
        if part in self.parts:
            plan, panel, _face = self.parts[part]
            return plan, panel
        return next(plan for plan in self.seats.loose if plan.name == part), ""

    def carried(self, part: str, sets: Sequence[FastenerSet]) -> str:
        """What a brace is made for, in words: the most of any case at its holes."""
        holes = {made.opening for made in sets}
        loads = [b for b in self.braces_carry if b.part == part and b.hole in holes]
        worst = max((b for b in loads if not b.structure), key=lambda b: b.sure_n, default=None)
        if worst is None:
            return ""
        each = " each" if len(holes) > 1 else ""
        size = force_words(worst.sure_n, self.seats.units)
        words = f"Make it to carry {size}{each}, pulled and pushed: {worst.case}"
        rare = max((b for b in loads if b.structure), key=lambda b: b.sure_n, default=None)
        if rare is not None and rare.sure_n > worst.sure_n:
            words += f"; not to break under {force_words(rare.sure_n, self.seats.units)}, {rare.case}"
        if worst.tube is not None:
            units = self.seats.units
            tube = " × ".join(format_short(mm, units) for mm in (worst.tube.outside_mm, worst.tube.wall_mm))
            words += f". Counted on: a tube {tube}, {format_short(worst.length_mm, units)} from bolt to bolt"
        return f"{words}. "

    def bled(self, task: Task) -> Phase:
        pedal = self.pedals[task.name]
        return Phase(
            title=f"Set and bleed the {'clutch' if pedal.clutch is not None else 'brakes'}",
            cautions=cautions(pedal, self.findings),
            steps=tuple(_of(task, step) for step in pedal_steps(pedal)),
        )


def _of(task: Task, step: Step) -> Step:
    return replace(step, tasks=(task.key,))


def _numbered(phases: Sequence[Phase]) -> tuple[Phase, ...]:
    """The same with the steps counted through from 1."""
    out, number = [], 0
    for phase in phases:
        steps = tuple(replace(step, number=number + k) for k, step in enumerate(phase.steps, 1))
        number += len(steps)
        out.append(replace(phase, steps=steps))
    return tuple(out)


def build_guide(
    *,
    title: str,
    revision: str,
    layouts: Sequence[PanelLayout],
    mounted: Sequence[Mounted],
    lines: LinesSheet,
    guides: Sequence[Mounted] = (),
    pedals: Sequence[PedalSheet] = (),
    findings: Sequence[Finding] = (),
    waived: Sequence[Waived] = (),
    fasteners: Sequence[FastenerSet] = (),
    braces: Sequence[BraceLoad] = (),
    unsettled: Sequence[str] = (),
    items: Sequence[Item] = (),
    units: UnitSystem = "metric",
    contact: str = "",
    take_out: str = "",
    laid: Sequence[Laid] = (),
    tests: Sequence[ScaleLengths] = (),
    loose: Sequence[PartPlan] = (),
    poses: Mapping[str, Matrix] = NOWHERE,
    packing: Packing = NOT_PACKED,
) -> Guide:
    """The install sheet of a job; ``mounted`` are the parts on panels, ``guides`` lead the drill.

    Waived ``findings`` of a pedal are repeated above its steps. What hangs in a loop of the order has no
    step: ``Guide.loop`` says so. ``fasteners`` go to the steps that use them, ``braces`` say what braces have
    to carry, ``unsettled`` are titles of parts not shown to hold. ``items`` of the bill go to the bags.
    ``contact`` is who answers questions, ``take_out`` the old parts in words. ``loose`` are parts that go on
    the vehicle and on no panel, ``poses`` the frames of parts in the vehicle, ``packing`` the bags of a kit.
    ``laid`` are the sheets chosen to mark from, ``tests`` the lengths of page one on each paper: the words
    follow them, the number of steps does not.
    """
    seats = Seats(pedals=pedals, loose=loose, fasteners=fasteners, units=units)
    job = _Job(
        layouts={layout.panel: layout for layout in layouts},
        parts={entry[0].name: entry for entry in mounted},
        guides=tuple(guides),
        pedals={pedal.spec.name: pedal for pedal in pedals},
        findings=tuple(findings),
        lines=lines,
        fasteners=tuple(fasteners),
        braces_carry=tuple(braces),
        laid=tuple(laid),
        seats=seats,
        poses=poses,
        packing=packing,
    )
    paper = [paper_phase(revision, laid, packing, tests)] if layouts else []
    stop = f"NO ORDER OF WORK IS POSSIBLE: {lines.loop}. None of these has a step." if lines.loop else ""
    guide = Guide(
        title=title,
        revision=revision,
        before=before_words(contact, unsettled),
        phases=with_bolts(
            _numbered(
                [
                    first_phase(layouts, take_out),
                    *paper,
                    *check_phase(layouts, closer_by(guides, job.layouts)),
                    *job.phases(),
                    last_phase(
                        layouts,
                        pedals,
                        lent_by(guides, job.layouts),
                        throttle=any(m[0].kind == THROTTLE for m in mounted),
                    ),
                ]
            ),
            fasteners,
            units,
        ),
        loop=stop,
        waived=tuple(waived),
    )
    cuts = cut_list(lines, first_steps(guide))
    tools = tool_list(
        layouts,
        lines,
        fasteners,
        units,
        [plan for plan, _panel, _face in guides],
        tight=any(LONG_DRILL in step.how for phase in guide.phases for step in phase.steps),
        packing=packing,
    )
    plans = [*(plan for plan, _panel, _face in mounted), *loose]
    own = own_list(pedals, lines, layouts, fasteners, seats, packing, plans)
    bags = bag_list(items, packing, lines, absent_from_bags(pedals, lines, fasteners, seats))
    return replace(guide, lists=(*bags, *own, *cuts, *tools))
