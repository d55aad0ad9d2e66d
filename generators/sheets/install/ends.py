"""What is done before the first hole and after the last bolt: old parts out, all put back.

The order is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.model.install import Phase, Step
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import asked, within
from generators.sheets.install.drill import refs
from generators.sheets.install.existing import there_words

BEFORE = (
    "Vehicle on level ground, wheels chocked, battery disconnected. Never work under a vehicle that stands "
    "on a jack.",
    "Brake fluid harms paint, eyes and skin: cover, gloves, glasses. Never mix fluid types.",
    "This sheet does not replace local codes or a licensed mechanic: have the finished work inspected before "
    "it goes on the road.",
)


def before_words(contact: str, unsettled: Sequence[str] = ()) -> tuple[str, ...]:
    """The cautions on top of the sheet, with who is asked; ``unsettled`` are titles of parts of which nobody
    has shown that they hold."""
    weak: tuple[str, ...] = ()
    if unsettled:
        these = " and ".join(f"the {within(title)}" for title in unsettled)
        weak = (
            f"NOT SETTLED: whether {these} will hold. A quick estimate could not say. Do not load the pedal "
            "until the workshop has computed it (by finite elements) and given you sheets without these "
            "words.",
        )
    return (*weak, *BEFORE, f"Questions, or something that does not fit: stop and ask {asked(contact)}.")


def first_phase(layouts: Sequence[PanelLayout], take_out: str) -> Phase:
    """Everything off, and what the new parts replace taken out."""
    return Phase(
        title="Before anything is marked",
        steps=(
            Step(
                do="Disconnect the battery, the earth lead first.",
                how="It stays off until this sheet says so. Lay the lead where it cannot spring back.",
            ),
            *_out(layouts, take_out),
        ),
    )


def _out(layouts: Sequence[PanelLayout], take_out: str) -> Iterator[Step]:
    """The old parts: those the job names, and what sits in holes that are closed or used again."""
    old = [(layout, hole) for layout in layouts for hole in layout.holes if hole.status in ("blank", "reuse")]
    if not take_out and not old:
        return
    said = [f"{take_out[:1].upper()}{take_out[1:].rstrip('.')}."] if take_out else []
    for layout in layouts:
        holes = [hole for where, hole in old if where is layout]
        if holes:
            said.append(f"Whatever still sits in {_listed(holes)} of the {within(layout.title)}.")
    if any(hole.status == "reuse" for _, hole in old):
        said.append(
            "Into holes used again go new bolts, not the old ones. Before one of the old ones is turned, see "
            "what hangs on it and prop or tie that up: it must not drop, nor pull at wiring or pipes. Have "
            "another place for it where the new bolts do not take it along."
        )
    yield Step(
        do="Take out the old parts that the new ones replace.",
        how=f"{' '.join(said)} Catch fluid, close open lines with plugs or caps, keep the parts until "
        "the new ones are proven. Take the floor covering up where it is in the way.",
        holes=tuple(ref for layout, hole in old for ref in refs(layout, [hole])),
    )


def _listed(holes: Sequence[PanelHole]) -> str:
    words = [there_words(hole) for hole in holes]
    joined = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"hole{'' if len(words) == 1 else 's'} {joined}"


def last_phase(layouts: Sequence[PanelLayout], lent: Sequence[str] = ()) -> Phase:
    """All put back, the battery on, the work proven; ``lent`` is what came out of holes for a drill guide."""
    moved = sorted({k.reason for layout in layouts for k in layout.keepouts if k.movable and not k.bead})
    back = f"Put back what was moved aside: {', '.join(moved)}. " if moved else ""
    if lent:
        back += (
            f"Put back what came out for the drill guide: {', '.join(lent)}, seated all round, with what "
            "runs through it plugged in again. "
        )
    return Phase(
        title="Finish",
        steps=(
            Step(
                do="Clear up and put back.",
                how=f"{back}Chips, tape and rags out of the cab and the engine bay, no tool left behind; "
                "floor covering back where it is still up, flat and held, so that nothing can get under a "
                "pedal.",
            ),
            Step(
                do="Connect the battery again, the earth lead last.",
                how="Lamps and horn work; nothing that was moved or drilled past is warm, rubbed or loose.",
            ),
            Step(
                do="Prove before driving.",
                how="With the vehicle on stands and the drive wheels clear, a helper at the pedal: full "
                "travel ten times, no leak, no movement of the hanger that you can see. Then have it "
                "inspected.",
            ),
        ),
    )
