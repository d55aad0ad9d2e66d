"""Where every blank lies: boxes round the blanks, laid by rectpack, the same answer every time.

A library that nests true shapes (spyrrow) was tried and left: it stops by the clock, so the same parts lie
elsewhere the next time, and it fills strips without end, not sheets. Rectpack has no clock and no chance in
it. Its heuristics are all tried, in a fixed order, with blanks lying and standing, and the answer that uses
the least sheet is taken; then the last sheet is packed again as tightly as it goes, so that one large piece
is left.

Two blanks that taper are laid head to tail where the box round the pair is smaller than two boxes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rectpack import (
    SORT_AREA,
    SORT_LSIDE,
    SORT_SSIDE,
    GuillotineBssfSas,
    MaxRectsBaf,
    MaxRectsBl,
    MaxRectsBssf,
    PackingBin,
    PackingMode,
    SkylineMwf,
    newPacker,
)

from generators.geometry.contours import Placement
from generators.model.spec.tools.rates import Nesting, RackSheet
from generators.nesting.nest import Blank, Box, Laid, LaidSheet, box_area, same_stock, stock_name
from generators.nesting.pairs import Group, groups_of

UNIT = 1000
"""Boxes are packed in whole thousandths of a mm, rounded up: the library is exact with whole numbers."""

HEURISTICS = (MaxRectsBssf, MaxRectsBl, MaxRectsBaf, SkylineMwf, GuillotineBssfSas)
ORDERS = (SORT_AREA, SORT_LSIDE, SORT_SSIDE)
HALVINGS = 12
"""How often the last sheet is halved toward the shortest that still takes its blanks."""


class NoSheetError(Exception):
    """A blank that no sheet of the shop takes; ``part`` and ``size`` of its box in mm."""

    def __init__(self, part: str, words: str) -> None:
        super().__init__(words)
        self.part = part


@dataclass(frozen=True, slots=True)
class _Item:
    """Something to pack: a group of blanks as turned, with its box in whole units."""

    group: Group
    turn_rad: float
    width: int
    height: int


def lay(blanks: Sequence[Blank], racks: Sequence[RackSheet], rules: Nesting) -> tuple[LaidSheet, ...]:
    """Every blank in its count on the sheets of its stock.

    Raises ``NoSheetError`` for a blank that none takes, or when there are not enough.
    """
    out: list[LaidSheet] = []
    left = list(blanks)
    while left:
        stock = [b for b in left if b.plan.material == left[0].plan.material and _as_thick(b, left[0])]
        left = [b for b in left if b not in stock]
        fitting = [r for r in racks if same_stock(r, stock[0].plan)]
        if not fitting:
            plan = stock[0].plan
            raise NoSheetError(plan.name, f"no sheet of {plan.material}, {plan.thickness_mm:g} mm")
        for rack, laid, remnant in _stock(stock, fitting, rules):
            out.append(LaidSheet(number=len(out) + 1, rack=rack, laid=laid, remnant=remnant))
    return tuple(out)


def _as_thick(one: Blank, other: Blank) -> bool:
    return abs(one.plan.thickness_mm - other.plan.thickness_mm) < 1e-6


_Sheet = tuple[RackSheet, tuple[Laid, ...], Box | None]


_Chain = tuple[tuple[RackSheet, ...], ...]
"""Sheets in the order they are opened, those rolled one way together: what a blank is turned by."""


def _stock(blanks: Sequence[Blank], racks: Sequence[RackSheet], rules: Nesting) -> list[_Sheet]:
    """The best of all ways to lay the blanks of one stock."""
    best: tuple[tuple[float, ...], list[_Sheet]] | None = None
    failed: NoSheetError | None = None
    for chain in _choices(racks):
        for way in _ways(blanks, chain, rules):
            for heuristic in HEURISTICS:
                for order in ORDERS:
                    try:
                        packed = _packed(way, chain, rules, heuristic, order)
                    except NoSheetError as fault:
                        failed = failed or fault
                        continue
                    sheets = [
                        (rack, _laid(those, rules), _remnant(rack, those, rules)) for rack, those in packed
                    ]
                    used = sum(_area(rack) - (box_area(r) if r else 0.0) for rack, _, r in sheets)
                    rank = (round(used, 3), len(sheets))
                    if best is None or rank < best[0]:
                        best = rank, _tightened(packed, sheets, rules, heuristic, order)
    if best is None:
        raise failed or NoSheetError(blanks[0].plan.name, f"no sheet of {stock_name(racks[0])}")
    return list(_counted(best[1]))


def _choices(racks: Sequence[RackSheet]) -> Iterator[_Chain]:
    """Sheets to open, in order: what is counted (remnants, say), smallest first, then whole sheets of each
    size in turn; a blank too large for that size goes on the next that takes it."""
    counted = sorted((r for r in racks if r.count is not None), key=_area)
    whole = sorted((r for r in racks if r.count is None), key=_area)
    for size in (r for r in racks if r.count is None):
        then = [size, *(r for r in whole if r is not size)]
        same = [r for r in counted if r.grain == size.grain]
        others = [r for r in counted if r.grain != size.grain]
        takes = [(others, same), ([], same), ([], [])] if others else [([], same), ([], [])]
        for first, with_it in takes if counted else [([], [])]:
            yield _chain(
                first,
                [*with_it, *(r for r in then if r.grain == size.grain)],
                [r for r in then if r.grain != size.grain],
            )
    if not whole:
        for grain in dict.fromkeys(r.grain for r in counted):
            yield _chain([r for r in counted if r.grain == grain], [r for r in counted if r.grain != grain])


def _chain(*links: Sequence[RackSheet]) -> _Chain:
    return tuple(tuple(link) for link in links if link)


def _area(rack: RackSheet) -> float:
    return rack.length_mm * rack.width_mm


_Way = tuple[tuple[_Item, ...], ...]
"""The same groups for each link of a chain, turned by how its sheets are rolled."""


def _ways(blanks: Sequence[Blank], chain: _Chain, rules: Nesting) -> Iterator[_Way]:
    """All blanks with the long side of each along the sheet, then across it, where the grain lets it; with
    pairs and without."""
    seen: set[tuple[tuple[tuple[int, int], ...], ...]] = set()
    for paired in (True, False):
        links = [
            [g for blank in blanks for g in groups_of(blank, bins[0], rules.gap_mm, paired=paired)]
            for bins in chain
        ]
        for lying in (True, False):
            way = tuple(
                tuple(_turned(group, rules.gap_mm, lying=lying) for group in groups) for groups in links
            )
            sizes = tuple(tuple((i.width, i.height) for i in items) for items in way)
            if sizes not in seen:
                seen.add(sizes)
                yield way


def _turned(group: Group, gap: float, *, lying: bool) -> _Item:
    choices = [_Item(group, turn, *_size(group, turn, gap)) for turn in group.turns]
    return max(choices, key=lambda i: (i.width - i.height) * (1 if lying else -1))


def _size(group: Group, turn: float, gap: float) -> tuple[int, int]:
    u0, v0, u1, v1 = group.box(turn)
    return math.ceil((u1 - u0 + gap) * UNIT - 1e-6), math.ceil((v1 - v0 + gap) * UNIT - 1e-6)


_Packed = list[tuple[RackSheet, list[tuple[_Item, float, float]]]]


def _packed(way: _Way, chain: _Chain, rules: Nesting, heuristic: object, order: object) -> _Packed:
    """Items by sheet with the place of each box's lower left corner, mm. Raises ``NoSheetError``."""
    out: _Packed = []
    left = list(range(len(way[0])))
    for bins, items in zip(chain, way, strict=True):
        packed, unplaced = _filled([items[i] for i in left], bins, rules, heuristic, order)
        out += packed
        left = [left[i] for i in unplaced]
        if not left:
            return out
    item = way[-1][left[0]]
    u0, v0, u1, v1 = item.group.box(item.turn_rad)
    raise NoSheetError(item.group.blank.plan.name, f"{u1 - u0:.1f} x {v1 - v0:.1f} mm finds no place")


def _filled(
    items: Sequence[_Item], bins: Sequence[RackSheet], rules: Nesting, heuristic: object, order: object
) -> tuple[_Packed, list[int]]:
    """What sheets rolled one way take of the items, and which they do not take."""
    packer = newPacker(
        mode=PackingMode.Offline,
        bin_algo=PackingBin.BFF,
        pack_algo=heuristic,
        sort_algo=order,
        rotation=False,
    )
    for index, rack in enumerate(bins):
        width, height = (_room(side, rules) for side in (rack.length_mm, rack.width_mm))
        if width > 0 and height > 0:
            packer.add_bin(width, height, count=len(items) if rack.count is None else rack.count, bid=index)
    for number, item in enumerate(items):
        packer.add_rect(item.width, item.height, rid=number)
    packer.pack()
    found = packer.rect_list()
    by_sheet: dict[int, list[tuple[_Item, float, float]]] = {}
    for sheet, x, y, _width, _height, number in sorted(found):
        place = rules.margin_mm + x / UNIT, rules.margin_mm + y / UNIT
        by_sheet.setdefault(sheet, []).append((items[number], *place))
    packed = [(bins[packer[sheet].bid], those) for sheet, those in by_sheet.items()]
    return packed, sorted(set(range(len(items))) - {rect[5] for rect in found})


def _room(side_mm: float, rules: Nesting) -> int:
    """A sheet's side less its margins; the gap that is in every box may hang over the far one."""
    return math.floor((side_mm - 2 * rules.margin_mm + rules.gap_mm) * UNIT + 1e-6)


def _laid(those: Sequence[tuple[_Item, float, float]], rules: Nesting) -> tuple[Laid, ...]:
    out = []
    for item, x, y in those:
        u0, v0, _u1, _v1 = item.group.box(item.turn_rad)
        for place in item.group.places:
            turned = Placement(0.0, 0.0, item.turn_rad)
            du, dv = turned.apply(place.du, place.dv)
            angle = place.angle + item.turn_rad
            here = Placement(du + x - u0, dv + y - v0, math.remainder(angle, 2 * math.pi))
            out.append(Laid(part=item.group.blank.plan.name, copy=0, place=here))
    return tuple(out)


def _counted(sheets: Sequence[_Sheet]) -> Iterator[_Sheet]:
    """The sheets with copies of each part numbered through the stock."""
    seen: dict[str, int] = {}
    for rack, laid, remnant in sheets:
        numbered = []
        for one in laid:
            seen[one.part] = seen.get(one.part, 0) + 1
            numbered.append(replace(one, copy=seen[one.part]))
        yield rack, tuple(numbered), remnant


def _remnant(rack: RackSheet, those: Sequence[tuple[_Item, float, float]], rules: Nesting) -> Box | None:
    """The larger of what one straight cut across or along the sheet leaves, where it is worth keeping."""
    right = max(x + item.width / UNIT for item, x, _ in those)
    top = max(y + item.height / UNIT for item, _, y in those)
    boxes = (
        (right, 0.0, rack.length_mm, rack.width_mm),
        (0.0, top, rack.length_mm, rack.width_mm),
    )
    kept = [b for b in boxes if min(b[2] - b[0], b[3] - b[1]) >= rules.remnant_mm]
    return max(kept, key=box_area) if kept else None


def _tightened(
    packed: _Packed, sheets: list[_Sheet], rules: Nesting, heuristic: object, order: object
) -> list[_Sheet]:
    """The last sheet packed again on the shortest, and on the narrowest, sheet that takes its blanks."""
    rack, those = packed[-1]
    best = sheets[-1]
    items = [item for item, _, _ in those]
    for along in (True, False):
        low, high = 0.0, rack.length_mm if along else rack.width_mm
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            smaller = (
                replace(rack, length_mm=middle, count=1) if along else replace(rack, width_mm=middle, count=1)
            )
            try:
                tight = _packed((tuple(items),), ((smaller,),), rules, heuristic, order)
            except NoSheetError:
                low = middle
                continue
            high = middle
            again = tight[0][1]
            left = _remnant(rack, again, rules)
            if left and (best[2] is None or box_area(left) > box_area(best[2])):
                best = rack, _laid(again, rules), left
    return [*sheets[:-1], best]
