"""Designs with one flaw each, made from the demo and from small pedals: nothing here is a real vehicle."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pedal_specs import BRAKE, CLUTCH, HEAD, STOP
from space_jobs import GOOD as SPACE_JOB
from space_jobs import others
from spec_pieces import component, line_ends

SPECS = Path(__file__).parents[2] / "specs"
VAN = (Path(__file__).parents[1] / "vans" / "hose_van.toml").read_text(encoding="utf-8")
"""A van of the tests' own, so that the demos may change."""


@dataclass(frozen=True, kw_only=True)
class Flaw:
    """A spec, the rule that must find it, and how the path of the change printed for it begins."""

    text: str
    code: str
    path: str


def spoilt(text: str, *swaps: tuple[str, str]) -> str:
    """The text with each first place of a piece changed; a piece that is not there is a fault of the test."""
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def van(code: str, path: str, *swaps: tuple[str, str]) -> Flaw:
    """The demo van with a flaw."""
    return Flaw(text=spoilt(VAN, *swaps), code=code, path=path)


def pedal(code: str, path: str, text: str, *swaps: tuple[str, str]) -> Flaw:
    """A pedal alone with a flaw."""
    return Flaw(text=HEAD + spoilt(text, *swaps), code=code, path=path)


HANGER = 'at = { from = "column_bore", u = "-120 mm", v = "125 mm" }'
RESERVOIR = 'at = { from = "heater_pipe", u = "-20 mm", v = "155 mm" }'
PLATE = 'at = { from = "heater_pipe", u = "85 mm", v = "75 mm" }'
CLAMP = 'u = "3 1/4 in", v = "-2 3/4 in"'
MASTER_HOSE = 'from = "firewall_fitting.engine"\nto = "master.outlet"\ndash = 4'

PADS = (
    'linings = { kind = "floating caliper", pistons = 1, piston = "54 mm", lining = "10 mm", worn = "2 mm" }'
)

FLAWS = {
    "hanger under the loom": van(
        "keep-out", "part[clutch_hanger].mount.at.v", (HANGER, HANGER.replace('"125 mm"', '"215 mm"'))
    ),
    "clamp on the heater": van(
        "drill-path", "panel[firewall].hole[clamp_upper].at.u", (CLAMP, 'u = "-2 in", v = "-2 1/4 in"')
    ),
    "clamp of another thread than its hole": van(
        "bolt-thread",
        "clamp[clamp_upper_loop].thread",
        ('name = "clamp_upper_loop"\ndash', 'name = "clamp_upper_loop"\nthread = "M5"\ndash'),
    ),
    "clamp beside the fold": van(
        "hole-near-fold", "panel[firewall].hole[clamp_upper].at.v", (CLAMP, CLAMP.replace("-2 3/4", "-6"))
    ),
    "plate over the heater pipe": van(
        "hole-under-part",
        "part[fitting_plate].mount.at",
        (PLATE, PLATE.replace('"85 mm", v = "75 mm"', '"25 mm", v = "10 mm"')),
    ),
    "reservoir past the panel": van(
        "part-off-panel", "part[clutch_reservoir].mount.at.v", (RESERVOIR, RESERVOIR.replace("155", "245"))
    ),
    "two parts in one place": van(
        "footprint-clash",
        "part[clutch_reservoir].mount.at",
        (RESERVOIR, RESERVOIR.replace('"-20 mm", v = "155 mm"', '"60 mm", v = "125 mm"')),
    ),
    "tab too short for the die": van(
        "flange-length",
        "part[clutch_hanger].parameters.tab_length",
        ('tab_length = "45 mm"', 'tab_length = "22 mm"'),
    ),
    "bolts of the plate close together": van(
        "hole-spacing", "part[fitting_plate].parameters.height", ('height = "64 mm"', 'height = "36 mm"')
    ),
    "bolts at the plate's edge": van(
        "hole-edge-distance",
        "part[fitting_plate].parameters.bolt_inset",
        ('bolt_inset = "12 mm"', 'bolt_inset = "8 mm"'),
    ),
    "little metal round the pivot": van(
        "hole-ligament",
        "part[clutch_hanger].parameters.pivot_boss",
        ('pivot_boss = "22 mm"', 'pivot_boss = "13 mm"'),
    ),
    "bend too tight": van(
        "bend-radius",
        "part[clutch_reservoir].inside_radius",
        ('thickness = "2.5 mm"', 'thickness = "2.5 mm"\ninside_radius = "1 mm"'),
    ),
    "hose too short": van("hose-too-short", "hose[slave_hose].made_up", ('"18 in"', '"16 in"')),
    "hose too long": van("hose-slack", "hose[slave_hose].made_up", ('"18 in"', '"20 in"')),
    "straight run too short": van(
        "hose-straight-run",
        "hose[master_hose].straight",
        ('name = "master_hose"', 'name = "master_hose"\nstraight = "2 mm"'),
    ),
    "hose of another size": van(
        "hose-dash-size", "hose[master_hose].dash", (MASTER_HOSE, MASTER_HOSE.replace("dash = 4", "dash = 3"))
    ),
    "clamp that chokes": van(
        "clamp-size",
        "clamp[clamp_upper_loop].dash",
        ('name = "clamp_upper_loop"\ndash = 5', 'name = "clamp_upper_loop"\ndash = 3'),
    ),
    "hose held too seldom": van(
        "hose-support-spacing",
        "hose[slave_hose].clamps",
        ("[limits]", '[limits]\nhose_support = "300 mm"'),
    ),
    "outlet far below the fitting": van(
        "air-trap",
        "part[fitting_plate].mount.at.v",
        ('at = ["126 mm", "24 mm", "6 mm"]', 'at = ["126 mm", "24 mm", "-40 mm"]'),
    ),
    "length stated wrong": van(
        "hose-stated-length",
        "pedal[clutch].line[slave_hose].length",
        ('hose = "slave_hose"\n', 'hose = "slave_hose"\n  length = "300 mm"\n'),
    ),
    "pivot too high": van(
        "rod-angle", "part[clutch_hanger].parameters.pivot_up", ('pivot_up = "62 mm"', 'pivot_up = "74 mm"')
    ),
    "reservoir too low": van(
        "reservoir-low", "part[clutch_reservoir].mount.at.v", ('level = "25 mm"', 'level = "-95 mm"')
    ),
    "stop too early": pedal(
        "pedal-no-release", "pedal[clutch].stop", CLUTCH, ('travel = "170 mm"', STOP.format(110))
    ),
    "stop too late": pedal(
        "pedal-over-travel", "pedal[clutch].stop", CLUTCH, ('travel = "170 mm"', STOP.format(168))
    ),
    # nothing but a bolt of its own stops it sooner
    "floor past the fingers": pedal(
        "pedal-over-travel",
        "pedal[clutch].stop",
        CLUTCH,
        ('travel = "170 mm"', 'travel = "170 mm"\nstop = "floor"'),
    ),
    "floor too near": pedal(
        "stop-window-empty", "pedal[clutch].master.bore", CLUTCH, ('travel = "170 mm"', 'travel = "115 mm"')
    ),
    "slave too short": pedal(
        "stop-window-empty", "pedal[clutch].slave.stroke", CLUTCH, ('stroke = "1 1/4 in"', 'stroke = "18 mm"')
    ),
    "slave runs out": pedal(
        "slave-runs-out",
        "pedal[clutch].stop",
        CLUTCH,
        ('stroke = "1 1/4 in"', 'stroke = "20 mm"'),
        ('travel = "170 mm"', STOP.format(145)),
    ),
    "rod too long": pedal(
        "rod-length",
        "pedal[clutch].rod_length",
        CLUTCH,
        ('travel = "170 mm"', 'travel = "170 mm"\nrod_length = "119 mm"'),
    ),
    "reservoir too small": pedal(
        "reservoir-volume",
        "pedal[clutch].master.reservoir",
        CLUTCH,
        ('rating = "10 MPa"', 'rating = "10 MPa"\nreservoir = "5 cc"'),
    ),
    "front line too weak for a foot in fright": pedal(
        "line-pressure",
        "pedal[brake].brake.front.rating",
        BRAKE,
        ('rating = "12 MPa"', 'rating = "5 MPa"'),
    ),
    "front line too weak for a foot that wants it light": pedal(
        "line-pressure",
        "pedal[brake].brake.front.rating",
        BRAKE + '[pedal.targets]\neffort = "400 N"\n',
        ('pressure = "5 MPa", rating = "12 MPa"', 'rating = "5 MPa"'),
    ),
    "a wear below what the linings make": pedal(
        "lining-wear",
        "pedal[brake].brake.front.wear",
        BRAKE,
        ('wear = "14 cc", reservoir = "40 cc"', f'wear = "20 cc", reservoir = "90 cc", {PADS}'),
    ),
    "brake master bottoms": pedal(
        "master-bottoms",
        "pedal[brake].brake.rear.stroke",
        BRAKE,
        ('stroke = "28 mm", volume = "2.5 cc"', 'stroke = "9 mm", volume = "2.5 cc"'),
    ),
}


def small(code: str, path: str, *swaps: tuple[str, str]) -> Flaw:
    """The small job of bodies in space with a flaw."""
    return Flaw(text=spoilt(SPACE_JOB, *swaps), code=code, path=path)


FITTED = others(
    component(
        "fitting",
        "line_end",
        (-60, 300, 150),
        "up",
        title="Line end",
        size=(30, 40),
        port="inlet",
        more='facing = "down"',
    )
)

SLACK = others(
    line_ends((-300, 100, 100), (-300, 500, 100))
    + """
[[hose]]
name = "loose"
service = "pressure"
from = "near.out"
to = "far.out"
dash = 4
outside = "12 mm"
radius = "30 mm"
end = "20 mm"
made_up = "460 mm"

[[obstacle]]
name = "step"
what = "step"
corner = ["-340 mm", "200 mm", "0 mm"]
size = ["80 mm", "200 mm", "60 mm"]
"""
)

FLAWS |= {
    "an arm of thin strip": pedal(
        "pedal-arm-yield",
        "pedal[clutch].arm_width",
        CLUTCH,
        ('name = "clutch"', 'name = "clutch"\narm_width = "16 mm"\narm_thickness = "8 mm"'),
    ),
    "a cylinder in another": small("bodies-meet", "component[fitting].on.at", FITTED),
    "a reservoir in hot air": small(
        "in-heat",
        "part[shelf].mount.at",
        others(
            '[[obstacle]]\nname = "air"\nwhat = "Hot air"\nis = "heat"\n'
            'corner = ["-200 mm", "20 mm", "200 mm"]\nsize = ["198 mm", "75 mm", "200 mm"]\n'
        ),
    ),
    "a hose where stones fly": small(
        "in-stones",
        "hose[feed].guarded",
        others(
            '[[obstacle]]\nname = "arch"\nwhat = "Wheel arch"\nis = "stones"\n'
            'corner = ["-300 mm", "262 mm", "180 mm"]\nsize = ["298 mm", "80 mm", "60 mm"]\n'
        ),
    ),
    "a post beside the pad": small(
        "pedal-swing",
        "pedal[clutch].pad_side",
        others(
            '[[obstacle]]\nname = "post"\nwhat = "seat post"\ncorner = ["20 mm", "340.5 mm", "-140 mm"]\n'
            'size = ["200 mm", "30 mm", "60 mm"]\n'
        ),
    ),
    "a travel past the floor": small(
        "pedal-floor",
        "pedal[clutch].travel",
        others(
            '[[obstacle]]\nname = "box"\nwhat = "tool box"\ncorner = ["-60 mm", "250 mm", "-160 mm"]\n'
            'size = ["90 mm", "100 mm", "60 mm"]\n'
        ),
    ),
    "a feed hose with a belly": small(
        "feed-hose-sag",
        "hose[loose].made_up",
        SLACK,
        ('service = "pressure"\nfrom = "near.out"', 'service = "feed"\nfrom = "near.out"'),
        ('corner = ["-340 mm", "200 mm", "0 mm"]', 'corner = ["-340 mm", "200 mm", "-900 mm"]'),
    ),
}
