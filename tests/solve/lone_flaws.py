"""Designs with one flaw each, and everything that `check` may say of them: nothing here is a real vehicle.

The sound job is that of ``space_jobs``: a wall whose cab face is x = 0, u is y and v is z; on it a hanger at u 300,
v 200, 96 mm wide inside, of 4 mm sheet, so that its cheeks stand from 48 to 52 mm beside its middle.
"""

from __future__ import annotations

from dataclasses import dataclass

from flawed import SLACK, spoilt
from old_van import TEXT as OLD_VAN
from pedal_specs import CLUTCH, HEAD, STOP
from space_jobs import GOOD, bolt, others
from spec_pieces import component, line_ends


@dataclass(frozen=True, kw_only=True)
class Lone:
    """A spec, what is found of it (rule and where, each the beginning) and words the first finding must say.

    ``at`` is the place it names, u and v of the wall, ``within`` how near, mm. ``mended`` says that a change is
    printed which leaves nothing; ``cure`` are words of the advice where no single change does.
    """

    text: str
    found: tuple[tuple[str, str], ...]
    says: tuple[str, ...] = ()
    at: tuple[float, float] | None = None
    within: float = 6.0
    mended: bool = True
    cure: str = ""


def lone(code: str, where: str, *swaps: tuple[str, str], **more) -> Lone:
    """The sound job with one thing wrong, and the one finding of it."""
    return Lone(text=spoilt(GOOD, *swaps), found=((code, where),), **more)


CLAMP = others("""
[[clamp]]
name = "loop"
dash = 5
on = { panel = "wall", holes = ["own"], side = "cab" }
run = "up"
aside = "right"
aside_by = "14 mm"
stand_off = "60 mm"
""")
BAR = others("""
[[obstacle]]
name = "bar"
what = "heater duct"
start = ["60 mm", "230 mm", "270 mm"]
end = ["60 mm", "275 mm", "270 mm"]
diameter = "20 mm"
""")


def column(y_mm: int, low_mm: int, high_mm: int) -> tuple[str, str]:
    """A steering column of 50 mm that comes up rearward from the wall."""
    return others(f"""
[[obstacle]]
name = "column"
what = "steering column"
is = "steering"
start = ["-100 mm", "{y_mm} mm", "{low_mm} mm"]
end = ["700 mm", "{y_mm} mm", "{high_mm} mm"]
diameter = "50 mm"
""")


def throttle(u_mm: int, v_mm: int, more: str = "") -> tuple[str, str]:
    """A throttle pedal's bracket on the wall."""
    return others(f"""
[[part]]
name = "throttle"
title = "Throttle pedal bracket"
kind = "throttle_pedal_bracket"
material = "S235 steel"
thickness = "3 mm"
{more}
  [part.mount]
  panel = "wall"
  face = "cab"
  at = {{ u = "{u_mm} mm", v = "{v_mm} mm" }}
""")


def line(near: tuple[int, int, int], far: tuple[int, int, int], more: str = "", facing: str = "right") -> str:
    """A pressure hose between two ends that stand free; ``more`` goes into its table."""
    return line_ends(near, far, (facing, "left")) + (
        '\n[[hose]]\nname = "pipe"\ntitle = "Pressure hose"\nservice = "pressure"\nfrom = "near.out"\n'
        f'to = "far.out"\ndash = 4\noutside = "12 mm"\nradius = "30 mm"\nend = "20 mm"\n{more}\n'
    )


def slave(at: tuple[int, int, int], port_at: tuple[int, int, int], more: str = "") -> str:
    """A small slave cylinder that looks up."""
    return component(
        "slave",
        "slave",
        at,
        "up",
        title="Slave cylinder",
        size=(30, 60),
        port="inlet",
        port_at=port_at,
        more=more,
    )


LEFT, RIGHT = (-300, 100, 100), (-300, 500, 100)
BOX = """
[[obstacle]]
name = "box"
what = "battery box"
corner = ["-340 mm", "280 mm", "60 mm"]
size = ["80 mm", "40 mm", "80 mm"]
"""
OTHER_CYLINDER = others(slave((-100, 300, 130), (0, 0, -20), 'facing = "down"'))
OUTLET = (
    '  [[component.port]]\n  name = "inlet"\n  at = ["45 mm", "0 mm", "24 mm"]',
    '  [[component.port]]\n  name = "outlet"\n  at = ["132 mm", "0 mm", "0 mm"]\n\n'
    '  [[component.port]]\n  name = "inlet"\n  at = ["45 mm", "0 mm", "24 mm"]',
)
HUMP = others(
    slave((-300, 300, 20), (60, 0, 0))
    + """
[[clamp]]
name = "high"
dash = 8
on = { at = ["-220 mm", "300 mm", "250 mm"], facing = "up" }
stand_off = "12 mm"
aside_by = "0 mm"

[[hose]]
name = "pipe"
title = "Pressure hose"
service = "pressure"
from = "slave.inlet"
to = "master.outlet"
dash = 4
outside = "12 mm"
radius = "30 mm"
end = "20 mm"
clamps = ["high"]
"""
)
BULKHEAD = (
    "# HOLES",
    '[[panel.hole]]\n  name = "line"\n  kind = "bulkhead"\n  dash = 4\n  purpose = "a line"\n'
    '  at = { u = "222 mm", v = "270 mm" }\n  # HOLES',
)
LEG = others("""
[[component]]
name = "elbow"
title = "Bulkhead fitting"
kind = "bulkhead"
dash = 4
on = { panel = "wall", holes = ["line"], side = "cab" }
seat_cab = "30 mm"
elbow = { face = "cab", toward = "right", leg = "40 mm" }
""")
LOOSE_PEDAL = (
    'hanger = "hanger"\nseat = "8 mm"',
    'pivot = ["95 mm", "450 mm", "262 mm"]\nseat_at = ["-10 mm", "450 mm", "200 mm"]\n'
    'axis_to = ["-20 mm", "450 mm", "200 mm"]',
)
ROD_HOLE = (
    "# HOLES",
    '[[panel.hole]]\n  name = "brake_rod"\n  kind = "plain"\n  diameter = "12 mm"\n  purpose = "pushrod"\n'
    '  at = { u = "410 mm", v = "200 mm" }\n  # HOLES',
)
SECOND_PEDAL = others("""
[[pedal]]
name = "brake"
title = "Brake pedal"
kind = "brake"
pivot = ["95 mm", "410 mm", "262 mm"]
seat_at = ["-10 mm", "410 mm", "200 mm"]
axis_to = ["-80 mm", "410 mm", "200 mm"]
pin = ["14 mm", "-60 mm"]
pad = ["100 mm", "-330 mm"]
travel = "150 mm"

  [pedal.brake]
  front_share = 0.55

  [pedal.brake.front]
  bore = "3/4 in"
  stroke = "28 mm"
  volume = "3 cc"
  pressure = "5 MPa"
  rating = "12 MPa"
  wear = "14 cc"
  reservoir = "40 cc"

  [pedal.brake.rear]
  bore = "13/16 in"
  stroke = "28 mm"
  volume = "2.5 cc"
  wear = "14 cc"
  reservoir = "40 cc"
""")
THIN = (
    'material = "A36 steel" # of one thickness, its radius is enough; 4 mm S235 would ask for 6 mm (EN 10025-2)\n'
    'thickness = "4 mm"\ninside_radius = "4 mm"',
    'material = "1008 steel"\nthickness = "2 mm"',
)
VAN_SOUND = (  # as the old van is, but for its travel: bores, tab and steel that no rule speaks of
    ('master_bore = "1 1/4 in"', 'master_bore = "30 mm"'),
    ('tab_length = "45 mm"', 'tab_length = "46 mm"'),
    (
        'title = "Clutch pedal hanger"\nkind = "pedal_hanger"\nmaterial = "S235 steel"',
        'title = "Clutch pedal hanger"\nkind = "pedal_hanger"\nmaterial = "S420MC steel"',
    ),
)

FLAWS = {
    "a clamp's stand-off through a cheek": lone(
        "bodies-meet",
        "space: pedal hanger (left cheek), and loop",
        bolt(236, 270, "engine", "M8"),  # whose bolts are long enough for the spacer
        CLAMP,
        at=(250, 270),
    ),
    "a duct straight through the hanger": lone(
        "bodies-meet",
        "space: pedal hanger (left cheek), and heater duct",
        BAR,
        at=(250, 270),
    ),
    "a column through the pedal's plane": lone(
        "pedal-floor",
        "pedal:clutch travel",
        column(300, 60, 330),
        says=("arm stands in steering column with the pedal at rest",),
    ),
    "a throttle bracket in the arm's way": lone(
        "pedal-floor",
        "pedal:clutch travel",
        throttle(340, 48),
        says=("arm meets throttle pedal bracket",),
    ),
    "a master 5 in wide over its own nuts": lone(
        "bodies-meet",
        "space: master cylinder, and bolt in hole",
        ('diameter = "36 mm" # BODY', 'diameter = "5 in"'),
        says=("hanger.master_",),
        at=(300, 200),
        within=45.0,  # the middle of what the two share is somewhere in the smaller
        mended=False,
        cure="take a smaller one, or draw part hanger with 17.1 mm more between the two",
    ),
    "a reservoir too wide for its shelf": lone(
        "bodies-meet",
        "space: wall, and reservoir",
        ('diameter = "60 mm"\nlength = "70 mm"', 'diameter = "130 mm"\nlength = "70 mm"'),
        at=(120, 345),
        within=45.0,
    ),
    "two cylinders in one place": lone(
        "bodies-meet",
        "space: master cylinder, and slave cylinder",
        OTHER_CYLINDER,
        at=(300, 186),
    ),
    "a mount without holes on an uncut wall": lone(
        "through-uncut-metal",
        "space: master cylinder through the wall",
        ("# MOUNT", "holes = false"),
        says=("and 7 more with it",),
        at=(300, 200),
    ),
    "a pushrod through the uncut wall": lone(
        "through-uncut-metal", "space: clutch pedal pushrod through the wall", LOOSE_PEDAL, at=(450, 200)
    ),
    "a fitting's leg through a cheek": lone(
        "through-uncut-metal",
        "space: bulkhead fitting (leg) through the pedal hanger (left cheek)",
        BULKHEAD,
        LEG,
        at=(250, 270),
    ),
    "a bolt through a cheek": lone(
        "spanner-on-part", "space: pedal hanger (left cheek), and bolt in hole", bolt(250, 240), at=(250, 240)
    ),
    "a bolt in the bend of a cheek": lone(
        "spanner-on-part", "space: pedal hanger (left cheek), and bolt in hole", bolt(247, 240), at=(249, 240)
    ),
    "a hose straight through the uncut wall": lone(
        "hose-edge",
        "hose:pipe",
        others(line((-30, 100, 50), (100, 180, 50), facing="cab")),
        says=("passes through wall",),
        mended=False,
        cure="pass it through a grommet or a bulkhead fitting",
    ),
    "a hose that goes round a box": lone(
        "hose-detour", "hose:pipe", others(line(LEFT, RIGHT) + BOX), says=("led round box",)
    ),
    "a hose too short": lone(
        "hose-too-short",
        "hose:pipe",
        others(line(LEFT, RIGHT, 'made_up = "390 mm"')),
        says=("10.0 mm short",),
    ),
    "a hose too long": lone(
        "hose-slack", "hose:pipe", others(line(LEFT, RIGHT, 'made_up = "460 mm"')), says=("15.0% of slack",)
    ),
    "a hose so long that it lies on a step": Lone(
        text=spoilt(GOOD, SLACK),
        found=(("hose-sag", "hose:loose"), ("hose-slack", "hose:loose")),
        says=("on step",),
        mended=False,  # as long as its slack asks for it still comes down to the step
    ),
    "a hump in the pressure line": lone("air-trap", "line:pipe", HUMP, OUTLET, says=("a hump near high",)),
    "a cheek deeper than the channel is wide": lone(
        "bend-sequence",
        "part:hanger bend left",
        ('pivot_out = "95 mm"', 'pivot_out = "150 mm"'),
        says=("flange right_cheek meets the punch",),
        mended=False,
        cure="make flange right_cheek 14 mm less deep",
    ),
    "a leg shorter than to the die's shoulder": lone(
        "bend-sequence",
        "part:throttle bend face",
        throttle(460, 200, '  [part.parameters]\n  offset = "22 mm"\n'),
        says=("meets the die",),
        mended=False,
        cure="cut flange riser as a piece of its own",
    ),
    "a hanger that yields": lone(
        "bracket-yield",
        "part:hanger",
        ("[limits]\nyield_factor = 0.7", ""),
        THIN,
        ('  web_above = "98 mm"', '  web_above = "98 mm"\n  tab_length = "56 mm"'),
    ),
    "a pad beside the next one": lone(
        "pad-spacing", "pedal:brake and clutch", ROD_HOLE, SECOND_PEDAL, says=("35.0 mm from",)
    ),
    "a pad beside the column": lone(
        "pad-column", "pedal:clutch and column", column(390, -120, -20), says=("27.5 mm from",)
    ),
    "a slave that runs out": Lone(
        text=HEAD
        + spoilt(
            CLUTCH, ('stroke = "1 1/4 in"', 'stroke = "20 mm"'), ('travel = "170 mm"', STOP.format(145))
        ),
        found=(("slave-runs-out", "pedal:clutch"),),
    ),
    "a stop before the clutch is free": Lone(
        text=HEAD + spoilt(CLUTCH, ('travel = "170 mm"', STOP.format(110))),
        found=(("pedal-no-release", "pedal:clutch"),),
    ),
    # the second is no other flaw's: it says that to end the travel there is no cure
    "a travel beyond the toe board": Lone(
        text=spoilt(OLD_VAN, *VAN_SOUND),
        found=(("pedal-floor", "pedal:clutch travel"), ("stop-window-empty", "pedal:clutch")),
        says=("pad meets toe board at 79.6 mm", "the middle of its face would at 122.8 mm"),
        mended=False,
    ),
}
"""The first finding is the flaw's own; a second one stands only where it says what the first does not."""
