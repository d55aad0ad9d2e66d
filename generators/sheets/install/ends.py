"""What is done before the first hole and after the last bolt: old parts out, all put back.

The order is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generators.hydraulics.pedal_sheet import PedalSheet
from generators.model.install import Phase, Step
from generators.model.plan import PanelHole, PanelLayout
from generators.model.spec.titles import asked, within
from generators.sheets.install.drill import refs
from generators.sheets.install.existing import there_words
from generators.sheets.install.pedal_steps import RELEASE, release_words
from generators.sheets.pedal.words import stop_to_set

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


def _throttle() -> Iterator[Step]:
    """That the engine slows down when the foot is off, before it runs for the first time.

    Idle within a second of letting go: FMVSS 124 S5.3, from memory; the rest is common practice.
    """
    yield Step(
        do="Check the throttle pedal before the engine runs.",
        how="Ignition on, engine off. Pressed and let go ten times, fast and slowly, it comes back to rest "
        "by itself; nothing lights up that warns of it. First start: gear in neutral, wheels chocked, a hand "
        "at the key. The engine must be back at idle within a second of letting go: if not, key off, do not "
        "drive, have a licensed workshop read its stored faults.",
    )


def last_phase(
    layouts: Sequence[PanelLayout],
    pedals: Sequence[PedalSheet] = (),
    lent: Sequence[str] = (),
    *,
    throttle: bool = False,
) -> Phase:
    """All put back, the battery on, the work proven: standing, inspected, then at walking pace.

    ``lent`` is what came out of holes for a drill guide, ``throttle`` where the job carries its pedal.
    """
    # where no stop is right nothing is driven
    drives = all(pedal.clutch is None or stop_to_set(pedal.clutch.window) is not None for pedal in pedals)
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
                how="Lamps and horn work, brake lamps with the first of the brake pedal's way and dark at "
                "rest; nothing that was moved or drilled past is warm, rubbed or loose.",
            ),
            *(_throttle() if throttle else ()),
            *(_running(pedals) if drives else ()),
            Step(
                do="Prove before driving.",
                how="With the vehicle on stands and the drive wheels clear, a helper at the pedal: full "
                "travel ten times, no leak, no movement of the hanger that you can see. Then have it "
                "inspected.",
            ),
            *(_walking(pedals) if drives else ()),
        ),
    )


def _running(pedals: Sequence[PedalSheet]) -> Iterator[Step]:
    """A clutch with the engine running, wheels in the air; common practice, no source."""
    clutches = [pedal for pedal in pedals if pedal.clutch is not None]
    for pedal in clutches:
        which = f" with the {within(pedal.title)}" if len(clutches) > 1 else ""
        yield Step(
            do=f"Run the engine and try the gears{which}, still on stands.",
            how="Drive wheels clear of the ground, the other wheels chocked, nobody and nothing near the "
            "wheels or under the vehicle, fumes led out of doors. One person at the controls; start in "
            "neutral, pedal down. Held down a few seconds, the gear without synchromesh or reverse must "
            "engage without noise, and the drive wheels must stop under a light foot brake and stay so: "
            "noise, or wheels that pull, is a clutch that drags. In gear, wheels clear, let the pedal up "
            "slowly and read beside the pad where the wheels turn: "
            f"{release_words(pedal)} Again with the engine warm. Engine off, ignition key out: no joint "
            f"wet, and the step '{RELEASE.rstrip('.')}' once more gives what was noted there. (Common "
            "practice, no source.)",
        )


def _walking(pedals: Sequence[PedalSheet]) -> Iterator[Step]:
    """The first metres, once somebody licensed has looked; common practice, no source."""
    if not pedals:
        return
    clutch = (
        " Then the clutch: move off gently, change up and down, stop; no noise, no slip, no judder."
        if any(pedal.clutch is not None for pedal in pedals)
        else ""
    )
    yield Step(
        do="Only when it has been inspected: at walking pace, on level ground closed to others, brake first.",
        how="Whatever was worked on, the foot brake is tried before anything else: it must stop the vehicle "
        "straight and with a firm pedal, three times, and the parking brake must hold it."
        f"{clutch} Stop at the first thing that is not as it should be. Then look at every joint, every bolt "
        "and the fluid's level again. What inspection, test and papers the road asks for, local codes say. "
        "(Common practice, no source.)",
    )
