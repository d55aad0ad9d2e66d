"""Styles and scripts that stand in a page itself, and the policy that lets nothing else run."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

GUIDE = ("web", "guide.css")
"""The style of pages that are worked from."""


@cache
def kept(room: str, name: str) -> str:
    """A file of a page that lies in a room of ``generators.sheets``; what pages share lies in ``web``."""
    return files(f"generators.sheets.{room}").joinpath(name).read_text(encoding="utf-8")


def styled(*parts: tuple[str, str]) -> str:
    """What every page has, and its own after it, as (room, name)."""
    return "".join(kept(*part) for part in (("web", "base.css"), *parts))


def policy(style: str, scripts: Iterable[str]) -> str:
    """Nothing may be loaded from anywhere, and no other style or script may run (CSP level 3, 6.7.2)."""
    return (
        f"default-src 'none'; style-src {_hash(style)}; script-src {' '.join(map(_hash, scripts))}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """How a content policy names an inline text."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
