"""A spec written down, a command called on it, and what it found."""

from __future__ import annotations

import re
import shutil
from collections import Counter
from pathlib import Path

from flawed import SPECS

from generators.model.findings import Finding

BLOCKED = 1
"""What the command returns when a finding stops the job."""


def written(folder: Path, text: str) -> Path:
    """A spec with the shop file it is made for beside it."""
    shutil.copy(SPECS / "shop.toml", folder / "shop.toml")
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def told(findings: tuple[Finding, ...]) -> Counter[tuple[str, str]]:
    """Warnings and fails by rule and place; holes get other numbers when they move."""
    return Counter(
        (f.code, re.sub(r"[0-9]+ \(", "(", f.where)) for f in findings if f.severity.value != "note"
    )
