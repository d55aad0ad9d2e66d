"""What the sheets say of hoses, fittings and clamps: one wording for sheets and tables."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from generators.checks.space.lids import Lid
from generators.errors import LookupFault
from generators.figures import fixed, format_length, format_short, nearest_64th
from generators.layout.spots import Place
from generators.model.hose_path import HosePath, Obstacle3, Panel3, Point3
from generators.model.hose_results import CutWindow, HoseLength, HoseSag, RiseProfile
from generators.model.install import InstallOrder
from generators.model.spec.lines import Clamp, Component, Hose
from generators.model.spec.titles import within
from generators.model.words import Comes
from generators.routing.bench_cut import BenchCut, bench_cut, cut_words
from generators.routing.flaring import Making, making
from generators.standards import union37
from generators.units import INCH_MM, UnitSystem

FLATS = {4: "1 1/2 to 1 3/4", 6: "1 to 1 1/2", 8: "1 1/4 to 1 3/4"}
FLATS_SOURCE = "TM 9-2320-364-20-4, table 2-67"
"""Turn of a 37 degree hose swivel from finger tight, in flats (R1)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseLine:
    """One hose as the sheets show it; ``path`` and ``length`` are None where no path was found.

    ``window`` is how long it may be cut, None of what nobody cuts for this job.
    """

    spec: Hose
    path: HosePath | None
    length: HoseLength | None
    outside_mm: float
    radius_mm: float
    measure_why: str = ""
    sag: HoseSag | None = None
    comes: Comes | None = None
    window: CutWindow | None = None

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

    ``ports`` are the seats, ``ways`` the directions out of them, by ``component.port``. ``lids`` tell
    the room over each reservoir that has a body, by its name, where steps are made.
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
    lids: Mapping[str, Lid] = field(default_factory=dict)
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


def cut_at_bench(hose: HoseLine, units: UnitSystem) -> BenchCut:
    """How long whoever fits it cuts a piece, with the least and the most; of a tube before it is trimmed."""
    exact = piece_mm(hose)
    return bench_cut(exact, hose.window or CutWindow(least_mm=exact, most_mm=exact), units)


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
    cut = cut_at_bench(hose, units)
    if hose.spec.kind == "rigid":
        return _tube_words(hose, hose.length, cut, units, over=over)
    fitting = (hose.length.made_up_mm - hose.length.cut_mm) / 2
    # whoever adds the printed figures up finds the printed sum
    end = _as_printed(fitting, units)
    whole, short = format_short(cut.cut_mm + 2 * end, units, 2), format_short(fitting, units)
    lead = "the hose comes cut to" if hose.comes == "cut" else "cut the hose"
    if hose.spec.made_up_mm is not None:
        lead = "bought made up, the hose itself"
    if hose.spec.pushed_on:
        return (
            f"{lead} {cut_words(cut, units)}: pushed on until {short} of pipe, from where it leaves its "
            f"body, stay bare at each end, that makes {whole} from body to body"
        )
    return (
        f"{lead} {cut_words(cut, units)}: with {short} of fitting at each end that makes {whole} from seat "
        "to seat"
    )


def _tube_words(hose: HoseLine, length: HoseLength, cut: BenchCut, units: UnitSystem, *, over: bool) -> str:
    """A tube: what is left in the end, what that is made of and, where it is trimmed, what is cut first."""
    spare, both = trimmed_mm(hose), length.cut_mm - length.made_up_mm
    end = replace(cut, cut_mm=cut.cut_mm - spare)
    said = cut_words(cut, units)
    if spare:
        said = f"{format_short(end.cut_mm, units, 1 if end.step_mm else 2)} in the end, trimmed in place"
    flares = f", and {format_short(both, units, 2)} for its two flares together" if both > SAME_MM else ""
    whole = format_short(end.cut_mm - _as_printed(both, units), units, 2)
    more = f"; cut it {cut_words(cut, units)} long" if spare and over else ""
    if hose.comes == "cut" and more:
        more = f"; it comes {format_short(spare, units)} longer, for trimming"
    return f"tube {said}: {whole} from seat to seat{flares}{more}"


def _as_printed(mm: float, units: UnitSystem) -> float:
    """A length in mm as its figure is printed: to 0.01 mm, or to a thousandth of an inch."""
    return float(fixed(mm, 2)) if units == "metric" else float(fixed(mm / INCH_MM, 3)) * INCH_MM


SAME_MM = 0.005
"""Half the last figure printed."""


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
