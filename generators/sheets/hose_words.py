"""What the sheets say of hoses, fittings and clamps: one wording for sheets and tables."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from generators.errors import LookupFault
from generators.figures import fixed, format_length, format_short, nearest_64th
from generators.layout.spots import Place
from generators.model.hose_path import HosePath, Obstacle3, Panel3, Point3
from generators.model.hose_results import HoseLength, HoseSag, RiseProfile
from generators.model.install import InstallOrder
from generators.model.spec.lines import Clamp, Component, Hose
from generators.model.spec.titles import within
from generators.model.words import Comes
from generators.routing.flaring import Making, making
from generators.standards import union37
from generators.units import INCH_MM, UnitSystem

FLATS = {4: "1 1/2 to 1 3/4", 6: "1 to 1 1/2", 8: "1 1/4 to 1 3/4"}
FLATS_SOURCE = "TM 9-2320-364-20-4, table 2-67"
"""Turn of a 37 degree hose swivel from finger tight, in flats (R1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseLine:
    """One hose as the sheets show it; ``path`` and ``length`` are None where no path was found."""

    spec: Hose
    path: HosePath | None
    length: HoseLength | None
    outside_mm: float
    radius_mm: float
    measure_why: str = ""
    sag: HoseSag | None = None
    comes: Comes | None = None

    @property
    def title(self) -> str:
        """In words, with a capital."""
        return self.spec.title or self.spec.name.replace("_", " ").capitalize()

    @property
    def made_up(self) -> bool:
        """True when it comes with its ends on: nothing is cut."""
        return self.spec.made_up_mm is not None or self.comes == "made_up"

    @property
    def released(self) -> bool:
        """True when a length may be cut or bought before the hose is offered up."""
        return self.length is not None and not self.measure_why


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionLine:
    """A component whose place its made-up hose decides, with the holes drilled only then."""

    component: str
    hose: str
    part: str
    panel: str
    holes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesSheet:
    """All lines of a job as the sheets show them; ``places`` by component and clamp name.

    ``ports`` are the seats, ``ways`` the directions out of them, by ``component.port``.
    """

    order: InstallOrder
    loop: str = ""
    hoses: tuple[HoseLine, ...] = ()
    components: tuple[Component, ...] = ()
    clamps: tuple[Clamp, ...] = ()
    places: Mapping[str, Place] = field(default_factory=dict)
    decided: tuple[DecisionLine, ...] = ()
    profiles: tuple[tuple[tuple[str, ...], RiseProfile, float | None], ...] = ()
    panels: tuple[Panel3, ...] = ()
    obstacles: tuple[Obstacle3, ...] = ()
    ports: Mapping[str, Point3] = field(default_factory=dict)
    ways: Mapping[str, Point3] = field(default_factory=dict)
    part_titles: Mapping[str, str] = field(default_factory=dict)
    units: UnitSystem = "metric"

    def part_title(self, name: str) -> str:
        """A part in words, within a sentence."""
        return within(self.part_titles.get(name) or name.replace("_", " "))

    def component(self, name: str) -> Component:
        """The component of that name; raises ``StopIteration`` for none."""
        return next(c for c in self.components if c.name == name)

    def hose(self, name: str) -> HoseLine:
        """The hose of that name; raises ``StopIteration`` for none."""
        return next(h for h in self.hoses if h.spec.name == name)


def title_of(component: Component) -> str:
    """A component in words, with a capital."""
    return component.title or component.name.replace("_", " ").capitalize()


def end_words(lines: LinesSheet, text: str) -> str:
    """``component.port`` in words, within a sentence: ``clutch master cylinder (inlet)``."""
    name, _, port = text.partition(".")
    component = lines.component(name)
    side = f"{port} side" if component.kind == "bulkhead" else port.replace("_", " ")
    return f"{within(title_of(component))} ({side})"


def kind_words(hose: HoseLine, units: UnitSystem = "metric") -> str:
    """Size and kind: ``-4 hose, 9 mm outside``."""
    outside = format_short(hose.outside_mm, units, 3)
    spec = hose.spec
    if spec.kind == "rigid":
        return f"-{spec.dash} {spec.metal} tube, {outside} outside"
    return f"-{spec.dash} hose, {outside} outside"


def about(value_mm: float, units: UnitSystem) -> str:
    """A length to a millimetre or a sixteenth of an inch: ``12 mm``, ``1/2 in``."""
    if units == "metric":
        return f"{fixed(value_mm, 0)} mm"
    return f"{nearest_64th(float(fixed(value_mm / INCH_MM * 16, 0)) / 16)} in"


def tube_making(hose: HoseLine) -> Making:
    """The order of work of a tube; one that comes made up has both its flares before it is bent."""
    made = making(hose.path, hose.spec.dash)
    return replace(made, early=(True, True)) if hose.made_up else made


def trimmed_mm(hose: HoseLine) -> float:
    """What is trimmed off a tube once it is bent, mm; 0 of a hose."""
    return tube_making(hose).spare_mm if hose.spec.kind == "rigid" else 0.0


def piece_mm(hose: HoseLine) -> float:
    """How long a piece of hose or tube is cut, mm: of a tube with what is trimmed off it later; 0 unknown."""
    if hose.length is None:
        return 0.0
    return hose.length.cut_mm + trimmed_mm(hose)


def length_words(hose: HoseLine, units: UnitSystem = "metric", *, over: bool = True) -> str:
    """The released length of a hose: what to cut and what that makes; a measured one names no number.

    ``over`` adds what a tube is cut longer for trimming. What comes cut in a kit is not cut again.
    """
    if hose.length is None:
        return "no path found"
    if hose.measure_why:
        return "measure"
    made = format_length(hose.length.made_up_mm, units)
    if hose.spec.made_up_mm is not None and not hose.spec.pushed_on:
        return f"{made} from seat to seat, bought made up"
    if hose.comes == "made_up":
        return f"{made} from seat to seat, comes made up"
    cut = format_length(hose.length.cut_mm, units)
    own = (hose.length.cut_mm - hose.length.made_up_mm) / 2
    if hose.spec.kind == "rigid":
        flares = f", and {format_short(own, units)} for each of its two flares" if own > SAME_MM else ""
        if flares and (both := _not_twice(hose.length.cut_mm, hose.length.made_up_mm, units)):
            flares = f", and {both} for its two flares together"
        spare = trimmed_mm(hose)
        longer = "it comes" if hose.comes == "cut" else "cut it"
        more = f"; {longer} {format_short(spare, units)} longer, for trimming" if spare and over else ""
        made = _first(hose.length.made_up_mm, units)
        return f"tube {cut} in the end: {made} from seat to seat{flares}{more}"
    whole, short = _first(hose.length.made_up_mm, units), format_short(-own, units)
    both = _not_twice(hose.length.made_up_mm, hose.length.cut_mm, units)
    lead = "the hose comes cut to" if hose.comes == "cut" else "cut the hose"
    if hose.spec.made_up_mm is not None:
        lead = "bought made up, the hose itself"
    if hose.spec.pushed_on:
        return (
            f"{lead} {cut}: pushed on until {short} of pipe, from where it leaves its body, stay bare "
            f"at each end, that makes {'about ' if both else ''}{whole} from body to body"
        )
    fitting = f"{both} of fitting at its two ends together" if both else f"{short} of fitting at each end"
    return f"{lead} {cut}: with {fitting} that makes {whole} from seat to seat"


def _not_twice(long_mm: float, short_mm: float, units: UnitSystem) -> str:
    """What two like ends take of a length together, where twice the figure of one does not add up.

    The difference of both lengths as they are printed; empty where the figure of one end does it.
    """
    one, places = (1.0, 2) if units == "metric" else (INCH_MM, 3)
    each = float(fixed((long_mm - short_mm) / 2 / one, places))
    both = fixed(float(fixed(long_mm / one, places)) - float(fixed(short_mm / one, places)), places)
    unit = "mm" if units == "metric" else "in"
    return "" if fixed(2 * each, places) == both else f"{both} {unit}"


SAME_MM = 0.005
"""Half the last figure printed."""


def _first(mm: float, units: UnitSystem) -> str:
    """A length in the unit that comes first, as it stands first elsewhere."""
    return f"{fixed(mm, 2)} mm" if units == "metric" else format_short(mm, units)


def spanner_words(hose: HoseLine) -> str:
    """The spanner for the nuts at its ends: ``flare-nut spanner 9/16 in``; empty for clips."""
    spec = hose.spec
    if spec.pushed_on:
        return ""
    try:
        return f"flare-nut spanner {union37(spec.dash).nut_af_text}"
    except LookupFault:
        return ""


def hose_item(hose: HoseLine, units: UnitSystem = "metric") -> str:
    """What the bill calls it: ``-4 hose, 11 mm outside, made up``."""
    return kind_words(hose, units) + (", made up" if hose.spec.made_up_mm is not None else "")


def end_pieces(hose: HoseLine, units: UnitSystem = "metric") -> tuple[tuple[str, str, int], ...]:
    """What the ends of a hose or line take that is not made up, with its size and how many."""
    spec = hose.spec
    outside = f"for {format_short(hose.outside_mm, units, 3)} outside"
    clip = (("hose clip", outside, 2),) if spec.pushed_on else ()
    if spec.made_up_mm is not None or clip:
        return clip
    if spec.kind == "rigid":
        return (f"-{spec.dash} tube nut", outside, 2), (f"-{spec.dash} tube sleeve, 37 degree", outside, 2)
    turns = [round(math.degrees(end.angle_rad)) if end else 0 for end in (spec.from_end, spec.to_end)]
    return tuple(
        (f"-{spec.dash} hose end, 37 degree swivel" + (f", {turn} degree elbow" if turn else ""), outside, n)
        for turn, n in sorted(Counter(turns).items())
    )
