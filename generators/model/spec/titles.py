"""Titles of the spec within a sentence and at its head."""

from __future__ import annotations

NOBODY = "whoever made these sheets"
"""Who is asked where the job names nobody."""

RULED = "_" * 38
"""A line to be written on by hand: these letters join."""


def asked(contact: str) -> str:
    """Who answers questions of who works from the sheets, within a sentence."""
    return contact or NOBODY


def questions(contact: str) -> str:
    """Who answers questions, at the head or foot of a sheet; where nobody is named, a line to write on."""
    return f"Questions: {contact or RULED}"


def within(title: str) -> str:
    """A title in the middle of a sentence: small, unless it begins with an abbreviation."""
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]


def capital(text: str) -> str:
    """A text at the head of a sentence."""
    return text[:1].upper() + text[1:]


def named_part(name: str, number: str) -> str:
    """``part slave_bracket, DT-210 A``: a part by its name, and the number and issue etched on it, if any."""
    return f"part {name}, {number}" if number else f"part {name}"


def number_words(number: str) -> str:
    """The line of a title block for the number and issue etched on a part."""
    return f"part number and issue {number}"
