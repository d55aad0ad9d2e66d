"""Reads a letter and the list of a recall back: the right kit, all that changed of it, and no other kit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from generators.verify.pdf.content import plain
from generators.verify.pdf.kit.told import read_told
from generators.verify.readback import ReadBack


def read_letter(
    path: Path, *, rel: str, title: str, revision: str, words: Sequence[str], others: Sequence[str]
) -> ReadBack:
    """``words`` must stand in it, serials of ``others`` must not."""

    def problems(text: str) -> Iterator[str]:
        yield from (f"does not say {word!r}" for word in words if plain(word) not in text)
        yield from (f"names {other}, another's kit" for other in others if plain(other) in text)

    facts = (f"says {len(words)} things of one kit",)
    return read_told(path, problems, rel=rel, title=title, revision=revision, facts=facts)
