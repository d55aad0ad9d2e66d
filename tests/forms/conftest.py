"""Jobs in more than one form: a plate without a panel, cheap to make."""

from __future__ import annotations

from pathlib import Path

import pytest
from spec_pieces import COVER

PLATE = f"""{COVER}\
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
