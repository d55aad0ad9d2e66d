"""The sound spec and its toy kind live with the broken ones; both folders test with them."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "broken"))
