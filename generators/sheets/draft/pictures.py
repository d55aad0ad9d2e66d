"""The pictures of a draft, each with its name, in the order they are shown in."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from generators.drawing.space.views import OBLIQUE
from generators.geometry.contours import bounds
from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.words import FACES
from generators.sheets.document import Picture
from generators.sheets.draft.content import Content, Pin
from generators.sheets.draft.mark import Marked
from generators.sheets.draft.panel import PanelDraft
from generators.sheets.draft.part import PartDraft
from generators.sheets.pedal.brake_plots import BrakeBars, BrakeCurves
from generators.sheets.pedal.linkage_view import LinkageView
from generators.sheets.pedal.plots import PedalCurves, Waterfall
from generators.sheets.pedal.words import stop_to_set
from generators.sheets.space.pages import OBLIQUE_WORDS, VIEWS, best_view, lettered
from generators.sheets.space.picture import SpaceView
from generators.sheets.space.sheet import places

What: TypeAlias = Literal["panels", "parts", "pedal", "scene"]
WHATS: tuple[What, ...] = get_args(What)

WIDTH_MM, TALLEST_MM = 182.0, 205.0
"""Room for a picture: the text of an A4 page."""
CURVES_MM, BARS_MM, SKETCH_MM = 100.0, 62.0, 92.0
SMALLEST_LINKAGE = 2.0


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A picture under a name fit for a file, with words for who cannot see it.

    ``panel`` is set for a face of a panel, which is drawn in the panel's own frame.
    """

    name: str
    what: What
    title: str
    picture: Marked | PanelDraft
    pins: tuple[Pin, ...] = ()
    panel: PanelDraft | None = None
    space: SpaceView | None = None
    """Set for a view of the vehicle square to its axes."""
    ratio: float = 0.0
    """It is drawn 1 to that in its own plane; 0 where it is not."""


def drawn(content: Content, whats: Collection[What] = WHATS) -> Iterator[Drawn]:
    """All pictures asked for. What cannot be drawn, because it was not worked out, is left out."""
    makers: dict[What, Callable[[Content], Iterator[Drawn]]] = {
        "panels": _panels,
        "parts": _parts,
        "pedal": _pedals,
        "scene": _scenes,
    }
    for what in WHATS:
        if what in whats:
            yield from makers[what](content)


def _panels(content: Content) -> Iterator[Drawn]:
    for layout in content.layouts:
        pins = tuple(p for p in content.pins if any(spot[0] == layout.panel for spot in p.spots))
        for face in FACES:
            u0, v0, u1, v1 = bounds(layout.contour)
            view = PanelDraft(
                layout,
                face,
                room=(WIDTH_MM - 12.0, TALLEST_MM - 16.0)
                if u1 - u0 > v1 - v0
                else (110.0, TALLEST_MM - 16.0),
                runs=content.runs,
                pins=pins,
            )
            yield Drawn(
                name=f"panel_{layout.panel}_{face}",
                what="panels",
                title=view.words,
                picture=view,
                pins=pins,
                panel=view,
            )


def _parts(content: Content) -> Iterator[Drawn]:
    for plan in content.plans:
        pins = _about(content, f"part:{plan.name}")
        view = PartDraft(plan, room=(WIDTH_MM, 110.0), units=content.units)
        marked = Marked(view, view.words, pins)
        yield Drawn(
            name=f"part_{plan.name}",
            what="parts",
            title=view.words,
            picture=marked,
            pins=pins,
            ratio=view.ratio,
        )


def _about(content: Content, thing: str) -> tuple[Pin, ...]:
    return tuple(pin for pin in content.pins if thing in pin.things)


def _pedals(content: Content) -> Iterator[Drawn]:
    for sheet in content.pedals:
        pins = _about(content, f"pedal:{sheet.spec.name}")
        for name, words, picture in _of_pedal(sheet):
            title = f"{sheet.title}: {words}"
            yield Drawn(
                name=f"pedal_{sheet.spec.name}_{name}",
                what="pedal",
                title=title,
                picture=Marked(picture, title, pins),
                pins=pins,
            )


def _of_pedal(sheet: PedalSheet) -> Iterator[tuple[str, str, Picture]]:
    if sheet.clutch is not None:
        result = sheet.clutch
        stop = stop_to_set(result.window)
        linkage = LinkageView(
            result.linkage,
            reach_mm=result.at_stop.pad_mm if stop is None else min(stop, result.linkage.travel_mm),
            pressed="at the stop" if stop is not None else "at the first limit",
            bore_mm=result.setup.master.bore_mm,
            stroke_mm=result.setup.master.stroke_mm,
            width_mm=WIDTH_MM * 0.6,
            height_mm=SKETCH_MM,
            least=SMALLEST_LINKAGE,
        )
        yield "linkage", "linkage, at rest and pressed", linkage
        curves = PedalCurves(result, width_mm=WIDTH_MM, height_mm=CURVES_MM)
        yield "window", "travel, effort and the window for its stop", curves
        yield "budget", "where the travel goes", Waterfall(result, width_mm=WIDTH_MM * 0.6, height_mm=BARS_MM)
    if sheet.brake is not None:
        brake = sheet.brake
        largest = max(brake.circuits, key=lambda c: c.bore_mm)
        reach = min(brake.at_effort_mm, brake.linkage.travel_mm)
        linkage = LinkageView(
            brake.linkage,
            reach_mm=reach,
            pressed="at the target effort" if reach < brake.linkage.travel_mm else "at the floor",
            bore_mm=largest.bore_mm,
            stroke_mm=largest.stroke_mm,
            width_mm=WIDTH_MM * 0.6,
            height_mm=SKETCH_MM,
            least=SMALLEST_LINKAGE,
        )
        yield "linkage", "linkage, at rest and pressed", linkage
        yield "window", "pressure and travel", BrakeCurves(brake, width_mm=WIDTH_MM, height_mm=CURVES_MM)
        yield "budget", "circuits", BrakeBars(brake, width_mm=WIDTH_MM * 0.6, height_mm=BARS_MM)


def _scenes(content: Content) -> Iterator[Drawn]:
    if content.space is None:
        return
    sheet, sights = content.space, content.space.sights()
    pins = tuple(pin for pin in content.pins if pin.things and not pin.spots)
    marked = lettered(sheet.pairs)
    for number, place in enumerate(places(sights, sheet.feet), 1):
        for camera, words in ((OBLIQUE, OBLIQUE_WORDS), *VIEWS):
            here = [row for row in marked if best_view(row[1]) is camera and place.holds(row[1].gap.at)]
            view = SpaceView(
                sheet,
                sights,
                camera,
                shown=place.shown,
                words=words,
                width_mm=WIDTH_MM,
                tallest_mm=TALLEST_MM - 20.0,
                marked=here,
                frames=camera is OBLIQUE,
                least=2.0,
            )
            title = f"In the vehicle, {camera.name.lower()}, 1:{view.ratio:g}"
            name = camera.name.lower().replace(",", "").replace(" ", "_")
            yield Drawn(
                name=f"scene_{number}_{name}",
                what="scene",
                title=title,
                picture=Marked(view, title, pins),
                pins=pins,
                space=view if camera is not OBLIQUE else None,
            )
