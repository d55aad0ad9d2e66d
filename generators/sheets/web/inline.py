"""A page with its styles and scripts in it, and the policy that lets nothing else run."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from functools import cache
from html import escape
from importlib.resources import files
from pathlib import Path
from string import Template

GUIDE = ("web", "guide.css")
"""The style of pages that are worked from."""


@cache
def kept(room: str, name: str) -> str:
    """A file of a page that lies in a room of ``generators.sheets``; what pages share lies in ``web``."""
    return files(f"generators.sheets.{room}").joinpath(name).read_text(encoding="utf-8")


def styled(*parts: tuple[str, str]) -> str:
    """What every page has, and its own after it, as (room, name)."""
    return "".join(kept(*part) for part in (("web", "base.css"), *parts))


def write_page(
    path: Path, room: str, *, heading: str, style: str, allowed: Iterable[str], **parts: str
) -> None:
    """Write the ``page.html`` of a room: the head all pages have, called ``heading``, and its own parts.

    Parts are markup already; only the scripts in ``allowed`` will run. Raises ``OSError``.
    """
    head = Template(kept("web", "head.html").rstrip()).substitute(
        policy=escape(policy(style, allowed)), title=escape(heading), style=style
    )
    text = Template(kept(room, "page.html")).substitute(parts, head=head)
    path.write_text(text, encoding="utf-8", newline="\n")


def policy(style: str, scripts: Iterable[str]) -> str:
    """Nothing may be loaded from anywhere, and no other style or script may run (CSP level 3, 6.7.2)."""
    return (
        f"default-src 'none'; style-src {_hash(style)}; script-src {' '.join(map(_hash, scripts))}; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """How a content policy names an inline text."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
