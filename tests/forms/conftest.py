"""Jobs in more than one form: a plate without a panel, cheap to make."""

from __future__ import annotations

from pathlib import Path

import pytest

PLATE = """\
# An invented job: one plate.
[job]
name = "plate_job"
title = "A plate"

[[part]]
name = "cover"
title = "Cover"
kind = "blanking_plate"
material = "S235 steel"
thickness = "2 mm"
  [part.parameters]
  shape = "round"
  opening = "40 mm"
  overlap = "20 mm"
  bolts = 4
  bolt_thread = "M4"
"""


@pytest.fixture
def plate(tmp_path: Path) -> Path:
    """The spec of one plate, in a folder of its own."""
    spec = tmp_path / "plate.toml"
    spec.write_text(PLATE, encoding="utf-8")
    return spec
