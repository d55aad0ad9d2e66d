"""Titles of the spec within a sentence and at its head."""

from __future__ import annotations

NOBODY = "whoever made these sheets"
"""Who is asked where the job names nobody."""


def asked(contact: str) -> str:
    """Who answers questions of who works from the sheets, within a sentence."""
    return contact or NOBODY


def within(title: str) -> str:
    """A title in the middle of a sentence: small, unless it begins with an abbreviation."""
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]


def capital(text: str) -> str:
    """A text at the head of a sentence."""
    return text[:1].upper() + text[1:]
