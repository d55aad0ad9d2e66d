"""When and how each hole of a panel is made, decided once for all sheets.

A hole goes through the paper unless something else finds its place better: a guide, a made-up hose that is in
hand, or the part itself. A hand drill wanders where it starts (``[position]`` of the shop file). Where that
is more than the clearance of a bolt leaves, a part of several bolts is located by two holes and bolted on
with them, and its other holes are drilled through it. Where the clearance of the two does not take up their
own wander, only one of them is drilled by paper to its size: the other gets its pilot, which is brought to
the middle of the part's hole by turning the part about the first bolt, and opened through the part. So no
pair is too bad.
Slots and clearance that take up all of it leave everything to the paper. A part of one bolt goes where its
hole is. What is left is told by the rule ``mating``: a part that must be drilled from behind, and one that
comes upon two holes made for others.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import shapely

from generators.checks.joint.mating import Opened, allowed, guide_of, of_panel, of_parts, too_far
from generators.checks.measure import area_of
from generators.geometry.locating import best_pair, displaced_mm
from generators.layout.mounting import PlacedPart
from generators.model.hole_work import SAME_MM, HoleWork
from generators.model.install import InstallOrder
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.job import Panel
from generators.model.spec.shop import Positions
from generators.model.spec.titles import within
from generators.model.words import Face
from generators.solve.hoses.order import Decision
from generators.standards import PILOT_MM, transfer_drill

CLOSE_MM = 1.0
"""An opening no further from a hole's own size can show where the hole goes."""

POINT_RATIO = 0.5 / math.tan(math.radians(59.0))
"""Length of a twist drill's point over its diameter: a point of 118 deg (DIN 338), closed form."""

SCRIBE_FROM_MM = 6.0
"""A circle smaller than this is not scribed through a part: the scriber's point has no room. Ours."""

MARK_PILOT_FROM_MM, MARK_PILOT_MM = 4.0, 2.0
"""Pilots of small locating holes that would have none: from that size on the one every larger hole has,
under it no larger drill than this. It is to be seen from the other face within the part's hole. Common
practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Member:
    """A bolt of a part: its hole in the panel as opened, the part's own opening, the room it has, mm."""

    hole: PanelHole
    panel: Opened
    part: Opened

    @property
    def room_mm(self) -> float:
        return allowed(self.panel, self.part, self.hole.shank_mm)

    @property
    def loose(self) -> bool:
        """True where a hand drill may spoil the joint with the part in its place by plan."""
        zones = self.panel.zone_mm + self.part.zone_mm + self.panel.hand_mm + self.part.hand_mm
        return too_far(self.panel, self.part, self.hole.shank_mm, zones)

    @property
    def unsure(self) -> bool:
        """True where a hole that is there, as well as it was measured, may not suit the part by plan."""
        zones = self.panel.unsure_mm + self.panel.zone_mm + self.part.zone_mm
        return bool(self.panel.unsure_mm) and too_far(self.panel, self.part, self.hole.shank_mm, zones)


class _Sheet:
    """One panel while its holes are decided on: what is known of each hole so far."""

    def __init__(
        self, panel: Panel, layout: PanelLayout, parts: Sequence[PlacedPart], shop: Positions
    ) -> None:
        self.panel, self.layout, self.shop = panel, layout, shop
        mine = [p for p in parts if p.spec.mount is not None and p.spec.mount.panel == panel.name]
        self.parts = {p.spec.name: p for p in mine if not p.plan.tool}
        self.tools = [p for p in mine if p.plan.tool]
        self.work: dict[str, HoleWork] = {h.number: h.work for h in layout.holes}
        self.face: dict[str, Face] = {}
        self.pilot: dict[str, float] = {}
        self.off: dict[str, float] = {}
        """How far each hole may be off its plan, mm."""
        for hole in layout.holes:
            self._begin(hole)

    def _begin(self, hole: PanelHole) -> None:
        """By paper or by the guide that leads the drill, as far as nothing else is known."""
        work = self.work[hole.number]
        if work.when != "never":
            work = replace(work, task=f"drill:{self.panel.name}")
        over = self._cover(hole) if work.when == "close" else None
        if over is not None:
            title = within(over.plan.title)
            work = replace(work, part=over.spec.name, part_title=title, task=f"part:{over.spec.name}")
        guide = guide_of(self.panel, self.tools, hole)
        if guide is not None and guide.spec.mount is not None and work.when == "now":
            work = replace(
                work, how="guide", part=guide.spec.name, part_title=within(guide.plan.title or "drill guide")
            )
            self.face[hole.number] = guide.spec.mount.face
        opened = of_panel(hole, self.shop, guided=guide is not None)
        self.work[hole.number] = replace(work, off_mm=(opened.hand_mm + opened.zone_mm) / 2)
        self.off[hole.number] = (opened.hand_mm + opened.zone_mm + opened.unsure_mm) / 2

    def _cover(self, hole: PanelHole) -> PlacedPart | None:
        """The part that lies over the whole of a hole to be closed."""
        disc = shapely.Point(hole.u_mm, hole.v_mm).buffer(hole.final_dia_mm / 2)
        for footprint in self.layout.footprints:
            if footprint.part in self.parts and area_of(footprint.contour).contains(disc):
                return self.parts[footprint.part]
        return None

    def hosed(self, decision: Decision) -> None:
        """Holes that are made only where a made-up hose puts them."""
        part = self.parts.get(decision.part)
        title = within(part.plan.title) if part is not None else ""
        for number in decision.holes:
            work = replace(
                self.work[number],
                task=f"decided:{decision.component}",
                part=decision.part,
                part_title=title,
            )
            # a hole that is there already is opened or used then, and stays where it is
            made = work.when == "now"
            self.work[number] = replace(work, when="last", how="hose") if made else work
            if made and part is not None and part.mount is not None:
                self._lead(number, part)
                self.face[number] = part.mount.drill_from or part.mount.face

    def _lead(self, number: str, part: PlacedPart) -> None:
        """How a part held where its hose puts it leads the drill of one of its holes."""
        hole = next(h for h in self.layout.holes if h.number == number)
        for own in of_parts(self.panel, [part], hole, self.shop):
            self.work[number] = self._marked(self.work[number], own, hole.final_dia_mm, part)
            return

    def _final(self, number: str) -> float:
        return next(h.final_dia_mm for h in self.layout.holes if h.number == number)

    def _marked(
        self, work: HoleWork, own: Opened, final_mm: float, part: PlacedPart, *, piloted: bool = False
    ) -> HoleWork:
        """The work of a hole with what marks it through the part's own opening.

        A drill whose point is longer than the part is thick is not led when its tip marks the panel, unless
        a pilot leads it: then the opening's circle is scribed.
        """
        spot = transfer_drill(own.diameter_mm, self.layout.units)
        only_marks = (
            not piloted and 0 < own.diameter_mm < final_mm - SAME_MM and own.diameter_mm >= SCRIBE_FROM_MM
        )
        if spot is not None and only_marks and POINT_RATIO * spot.diameter_mm > part.plan.thickness_mm:
            spot = None
        return replace(
            work,
            spot=spot.words if spot is not None else "",
            spot_mm=spot.diameter_mm if spot is not None else 0.0,
            guide_mm=own.diameter_mm,
            opened_mm=final_mm,
        )

    def members(self, part: PlacedPart) -> Iterator[_Member]:
        """The bolts a part shares with its panel, in the order of their numbers."""
        for hole in self.layout.holes:
            if hole.status not in ("drill", "weld", "reuse") or not hole.shank_mm:
                continue
            guided = self.work[hole.number].how == "guide"
            for own in of_parts(self.panel, [part], hole, self.shop):
                yield _Member(hole=hole, panel=of_panel(hole, self.shop, guided=guided), part=own)

    def bores(self, part: PlacedPart) -> Iterator[tuple[str, Opened]]:
        """Holes no bolt goes through that the part has as wide: marked through it like the rest."""
        for hole in self.layout.holes:
            if self.work[hole.number].how != "paper" or hole.status != "drill" or hole.shank_mm:
                continue
            for own in of_parts(self.panel, [part], hole, self.shop):
                if abs(own.diameter_mm - hole.final_dia_mm) <= CLOSE_MM:
                    yield hole.number, own

    def locate(self, part: PlacedPart) -> None:
        """Two holes to bolt the part on with, the rest through it, where a hand drill is not true enough."""
        mount = part.mount
        members = list({m.hole.number: m for m in self.members(part)}.values())
        fresh = [m for m in members if self._fresh(m.hole)]
        loose = [m for m in fresh if m.loose]
        unsure = [m for m in members if m.unsure]
        if mount is None or not (loose or unsure) or len(members) < 2:
            return
        if mount.drill_from not in ("", mount.face):
            # nobody can drill through it from behind it
            self._spoiled(loose)
            for member in unsure:
                taken = 2 * self.off[member.hole.number] + member.part.zone_mm
                self._short([member], taken, member.panel.unsure_mm, member.room_mm)
            return
        made = [m for m in members if m not in fresh]
        found = self._pair(members, made)
        if found is None:
            return
        pair, sure = found
        for k, member in enumerate(pair):
            self._locates(member, part, through=not sure and k == 1)
        rest = [m for m in fresh if m not in pair]
        if not sure and pair[1] in made:
            self._spoiled([m for m in pair if m.loose])
            measured = pair[0].panel.unsure_mm + pair[1].panel.unsure_mm
            self._short(pair, self._taken(*pair), measured, self._room(*pair))
        ends = (_at(pair[0]), _at(pair[1]))
        off = (self.off[pair[0].hole.number], self.off[pair[1].hole.number])
        lies = displaced_mm([_at(m) for m in members], ends, off)
        for member, away in zip(members, lies, strict=True):
            number = member.hole.number
            if member in rest and not self._clears(member, away):
                self._through(number, part, member.part)
                self.off[number] = away
            elif member in made and member not in pair and not self._clears(member, away):
                # with the part where it is by plan, if the others let it be there
                held = pair if any(m.unsure for m in pair) else ()
                lies_off = away if held else 0.0
                measured = 2 * lies_off + member.panel.unsure_mm
                taken = self._taken_there(member, lies_off)
                self._short([member, *held], taken, measured, member.room_mm)
        for number, own in self.bores(part):
            self._through(number, part, own)

    def _fresh(self, hole: PanelHole) -> bool:
        """True for a hole that is drilled by paper and locates nothing yet."""
        work = self.work[hole.number]
        return hole.status == "drill" and work.how == "paper" and not work.locates

    def _pair(
        self, members: Sequence[_Member], made: Sequence[_Member]
    ) -> tuple[tuple[_Member, _Member], bool] | None:
        """The two the part is bolted on with, and whether both go by paper with one bolt each.

        Two holes that meet one opening of the part are one place of it; None for a part with no second.

        Holes made before the part comes are used first: they are there whether they suit or not. Of those
        still to be drilled a pair whose wander the clearances take up goes before a better spread one that
        wants its second hole drilled through the part.
        """
        known = [k for k, m in enumerate(members) if m in made]
        at = [_at(m) for m in members]
        every = [p for p in combinations(range(len(members)), 2) if at[p[0]] != at[p[1]]]
        if not every:
            return None
        least = min(len(known), 2)
        pairs = [p for p in every if sum(k in known for k in p) >= least] or every
        sure = [p for p in pairs if self._passes(members[p[0]], members[p[1]])]
        i, j = best_pair(sure or pairs, at, [self.off[m.hole.number] for m in members])
        # the one that is there, or comes first, holds while the other is drilled
        if j in known and i not in known:
            i, j = j, i
        return (members[i], members[j]), bool(sure)

    def _passes(self, a: _Member, b: _Member) -> bool:
        """True when bolts pass both holes of a pair however they are off.

        The part shifts and turns to suit, so only the distance of the two counts: each end gives half of
        what its bolt's clearance leaves, and takes half of its holes' zones (as in ASME Y14.5 appendix B).
        """
        if self.work[a.hole.number].how == self.work[b.hole.number].how == "part":
            taken = a.part.zone_mm + b.part.zone_mm
            if self.work[a.hole.number].part == self.work[b.hole.number].part:
                # both were drilled through one part: as true as it was cut
                return 2 * taken <= a.room_mm + b.room_mm
        return self._taken(a, b) <= self._room(a, b)

    @staticmethod
    def _room(a: _Member, b: _Member) -> float:
        """What clearances and slots of a pair leave their distance, mm on the diameter.

        A slot leaves its travel by the cosine of its angle to the line from one to the other: what the bolt
        goes across, the part takes up by turning.
        """
        room = a.room_mm + b.room_mm
        line = math.atan2(_at(b)[1] - _at(a)[1], _at(b)[0] - _at(a)[0])
        return room + sum(
            own.travel_mm * abs(math.cos(own.along_rad - line)) for m in (a, b) for own in (m.panel, m.part)
        )

    def _taken(self, a: _Member, b: _Member) -> float:
        """What places and tolerances of a pair ask of its clearances, mm on the diameter."""
        return sum(2 * self.off[m.hole.number] + m.part.zone_mm for m in (a, b))

    def _clears(self, member: _Member, away_mm: float) -> bool:
        """True when a hole by paper still takes its bolt with the part as far off as it may lie."""
        taken = self._taken_there(member, away_mm)
        return not too_far(member.panel, member.part, member.hole.shank_mm, taken)

    @staticmethod
    def _taken_there(member: _Member, away_mm: float) -> float:
        """What a hole's clearance must take up with the part ``away_mm`` off there, mm on the diameter."""
        own = member.panel
        return 2 * away_mm + own.hand_mm + own.zone_mm + own.unsure_mm + member.part.zone_mm

    def _short(self, members: Sequence[_Member], taken_mm: float, measured_mm: float, room_mm: float) -> None:
        """Holes of these that lie where they were measured, and whose part that may not suit."""
        for member in members:
            number = member.hole.number
            if member.panel.unsure_mm and self.work[number].short_mm is None:
                self.work[number] = replace(self.work[number], short_mm=(taken_mm, measured_mm, room_mm))

    def _locates(self, member: _Member, part: PlacedPart, *, through: bool) -> None:
        number = member.hole.number
        if through and self._fresh(member.hole):
            self._through(number, part, member.part, piloted=True)
            pilot = member.hole.pilot_dia_mm or self._mark_pilot(member.hole.final_dia_mm)
            off = min(self.work[number].off_mm, self.shop.drill_wander_ratio * pilot)
            self.work[number] = replace(self.work[number], pilot_from=member.hole.drill_face, off_mm=off)
            self.pilot[number] = pilot
        work = self.work[number]
        self.work[number] = replace(work, locates=(*work.locates, part.spec.name))

    def _mark_pilot(self, final_mm: float) -> float:
        units = self.layout.units
        most = PILOT_MM[units] if final_mm >= MARK_PILOT_FROM_MM else MARK_PILOT_MM
        drill = transfer_drill(most, units)
        return drill.diameter_mm if drill is not None else most

    def _through(self, number: str, part: PlacedPart, own: Opened, *, piloted: bool = False) -> None:
        self.work[number] = replace(
            self._marked(self.work[number], own, self._final(number), part, piloted=piloted),
            when="last",
            how="part",
            part=part.spec.name,
            part_title=within(part.plan.title),
            task=f"part:{part.spec.name}",
        )
        if part.mount is not None:
            self.face[number] = part.mount.face

    def _spoiled(self, members: Sequence[_Member]) -> None:
        for member in members:
            work = self.work[member.hole.number]
            wander = (member.panel.hand_mm + member.part.hand_mm) / 2
            self.work[member.hole.number] = replace(work, spoiled_mm=max(work.spoiled_mm, wander))

    def layed(self) -> PanelLayout:
        """The layout with its holes decided on."""
        holes = tuple(
            replace(
                h,
                decided=self.work[h.number],
                drill_face=self.face.get(h.number, h.drill_face),
                pilot_dia_mm=self.pilot.get(h.number, h.pilot_dia_mm),
            )
            for h in self.layout.holes
        )
        return replace(self.layout, holes=holes)


def _at(member: _Member) -> tuple[float, float]:
    return member.part.at


def with_work(
    layouts: Sequence[PanelLayout],
    panels: Sequence[Panel],
    parts: Sequence[PlacedPart],
    decided: Sequence[Decision],
    order: InstallOrder,
    shop: Positions,
) -> tuple[PanelLayout, ...]:
    """The layouts with one status and one way for each hole. Raises nothing.

    Parts are taken in the order of work, so what an earlier one has drilled is there for a later one.
    """
    out = []
    for panel, layout in zip(panels, layouts, strict=True):
        sheet = _Sheet(panel, layout, parts, shop)
        late = {d.part for d in decided if d.part}
        for decision in decided:
            if decision.panel == panel.name:
                sheet.hosed(decision)
        for name in _in_order(sheet.parts, order):
            if name not in late:
                sheet.locate(sheet.parts[name])
        out.append(sheet.layed())
    return tuple(out)


def _in_order(parts: Mapping[str, PlacedPart], order: InstallOrder) -> list[str]:
    """Names of parts as they are fitted; those that hang in a loop of the order last."""
    last = len(order.tasks)
    placed = {name: order.place(f"part:{name}") for name in parts}
    return sorted(parts, key=lambda name: (last if placed[name] is None else placed[name], name))
