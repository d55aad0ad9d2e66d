"""Plans to build: a kind with some parameters changed, and one folded by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from generators.model.plan import PartPlan
from generators.model.spec.job import PartSpec
from generators.model.spec.shop import Shop
from generators.parts import kind_named
from generators.sheetmetal.allowance import bend_rule

MakePlan = Callable[..., PartPlan]


@pytest.fixture(scope="session")
def make_plan() -> MakePlan:
    def make(
        name: str, *, material: str = "1008 steel", t: float = 3.0, r: float | None = None, **parameters: Any
    ) -> PartPlan:
        kind = kind_named(name)
        spec = PartSpec(
            name=name,
            kind=name,
            material=material,
            thickness_mm=t,
            parameters=kind.parameters(**parameters),
        )
        return kind.plan(spec, bend_rule(Shop(), material, t, r))

    return make
