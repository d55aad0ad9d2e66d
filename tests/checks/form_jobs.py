"""Mirrored jobs and pedals in their order, just outside and just inside, for the register's test."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from generators.checks.forms import check_form
from generators.checks.pedal.order import check_order
from generators.model.findings import Finding
from generators.model.spec.fittings import PortSpec
from generators.model.spec.forms.head import JobHead
from generators.model.spec.job import Job
from generators.model.spec.lines import Component, Spot
from generators.reading.forms.variants import AS_WRITTEN, Form

sys.path.insert(0, str(Path(__file__).parents[1] / "hydraulics"))

from pedal_samples import brake_pedal, clutch_pedal

Case = Callable[[], list[Finding]]
OTHER = Form(name="other", mirrored=True)


def form(said: Form, *, right_mm: float = 0.0) -> list[Finding]:
    """A master with its outlet so far to its right, and a clutch pedal, in a form."""
    master = Component(
        name="master",
        kind="master",
        on=Spot(at=(0.0, 0.0, 0.0)),
        port=(PortSpec(name="outlet", at=(100.0, right_mm, 0.0)),),
    )
    job = Job(job=JobHead(name="j", title="j"), component=(master,), pedal=(clutch_pedal(),))
    return [*check_form(said, job)]


def ordered(clutch_mm: float) -> list[Finding]:
    """A clutch pad that far to the right in the vehicle, the brake's at 100 mm."""
    return [*check_order({"clutch": (clutch_pedal(), clutch_mm), "brake": (brake_pedal(), 100.0)})]


FORM_CASES: dict[str, tuple[Case, Case]] = {
    "mirrored-bought": (lambda: form(OTHER, right_mm=-0.1), lambda: form(OTHER)),
    "mirrored-words": (
        lambda: form(Form(name="other", mirrored=True, handed=(("job.note", "left", "right"),))),
        lambda: form(OTHER),
    ),
    "mirrored-pedals": (lambda: form(OTHER), lambda: form(AS_WRITTEN, right_mm=5.0)),
    "pedal-order": (lambda: ordered(100.0), lambda: ordered(99.99)),
}
