"""Bolts of a loaded bracket just over and just under what they bear; the figures are worked in ``test_bolt_load_rules``."""

from __future__ import annotations

from collections.abc import Callable

from generators.checks.joint.bolt_loads import check_bolt_loads
from generators.checks.joint.panel_give import JudgedGive, PinGive, check_panel_give
from generators.model.findings import Finding
from generators.model.limits import Limits
from generators.model.words import LoadCase
from generators.strength.joint.loads import BoltForce
from generators.strength.joint.sheets import Sheet, Under
from generators.strength.joint.uses import JudgedBolt, JudgedLoad

MILD = Sheet(
    words="the 1.2 mm firewall", thickness_mm=1.2, tensile_mpa=270.0, soft=False, hole_mm=9.0, edge_mm=40.0
)
PLATE = Sheet(
    words="the 8 mm of P", thickness_mm=8.0, tensile_mpa=360.0, soft=False, hole_mm=9.0, edge_mm=40.0
)
M8_PLAIN = Under(head_mm=13.0, flats_mm=13.0, washer_mm=1.6, outside_mm=16.0)


def bolt(pulled: Sheet = MILD, far: Under = M8_PLAIN) -> JudgedBolt:
    """An M8 8.8 bolt through 8 mm of plate into a panel; proof load 580 MPa x 36.6 mm2."""
    return JudgedBolt(
        hole="mount_1",
        words="the M8 bolt in hole 3 of firewall",
        thread="M8",
        bolt_mm=8.0,
        proof_n=580.0 * 36.6,
        grade="8.8",
        lever_mm=20.0,
        own=PLATE,
        near=M8_PLAIN,
        far=far,
        pulled=(pulled,),
        bears=(pulled,),
    )


def loaded(
    pull_n: float = 0.0,
    shear_n: float = 0.0,
    bend_nmm: float = 0.0,
    *,
    on: JudgedBolt | None = None,
    kind: LoadCase = "limit",
    low: float = 1.0,
) -> list[Finding]:
    """Findings on one bolt of part ``p`` with that load."""
    force = BoltForce(hole="mount_1", pull_n=pull_n, shear_n=shear_n, bend_nmm=bend_nmm)
    case = JudgedLoad(name="c", kind=kind, what="578 N on the clutch pad", forces=(force,))
    return list(check_bolt_loads("p", [case], [on or bolt()], Limits(), low))


def given(
    typed: float | None = None, pin: float | None = None, moved: float = 0.1, *, twice: bool = False
) -> list[Finding]:
    """Findings on a panel that gives 0.4 mm/kN clamped and 0.8 mm/kN resting, half of it at the pin."""
    give = JudgedGive(
        part="p",
        panel="firewall",
        flex_mm_per_n=0.8e-3,
        least_mm_per_n=0.4e-3,
        most_mm_per_n=0.8e-3,
        typed_mm_per_n=typed,
        moved_mm=moved,
        thickness_mm=1.2,
        case="180 N on the clutch pad",
        words="firewall",
        pins=(
            PinGive(
                pedal="clutch",
                flex_mm_per_n=0.4e-3,
                least_mm_per_n=0.2e-3,
                most_mm_per_n=0.4e-3,
                typed_mm_per_n=pin,
                twice=twice,
            ),
        ),
    )
    return list(check_panel_give(give))


THICK = bolt(PLATE)
BOLT_LOAD_CASES: dict[str, tuple[Callable[[], list[Finding]], Callable[[], list[Finding]]]] = {
    "bolt-strength": (lambda: loaded(14153.0, on=THICK), lambda: loaded(14151.0, on=THICK)),
    "bolt-bearing": (lambda: loaded(0.0, 3401.0), lambda: loaded(0.0, 3400.0)),
    "bolt-pull-through": (lambda: loaded(2593.0), lambda: loaded(2591.0)),
    "panel-give": (lambda: given(1.21e-3), lambda: given(1.19e-3)),
}
