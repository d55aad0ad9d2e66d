"""Reads a letter and the list of a recall back: the right kit, all that changed of it, and no other kit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from generators.verify.pdf.content import UnreadablePdfError, plain
from generators.verify.pdf.kit.told import told
from generators.verify.pdf.sheet import read_sheet_pdf
from generators.verify.readback import ReadBack


def read_letter(
    path: Path, *, rel: str, title: str, revision: str, words: Sequence[str], others: Sequence[str]
) -> ReadBack:
    """``words`` must stand in it, serials of ``others`` must not."""
    reading = read_sheet_pdf(path, title=title, revision=revision, rel=rel)
    if reading.problems:
        return reading
    try:
        text = told(path, title)
    except UnreadablePdfError as error:
        return replace(reading, problems=(str(error),))
    problems = [f"does not say {word!r}" for word in words if plain(word) not in text]
    problems += [f"names {other}, another's kit" for other in others if plain(other) in text]
    return ReadBack(path=rel, facts=(f"says {len(words)} things of one kit",), problems=tuple(problems))
