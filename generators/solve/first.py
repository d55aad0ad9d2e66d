"""The first look at a spec: what is known before anything is solved, in a fraction of the time."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from generators.layout.mounting import PlacedPart
from generators.model.plan import PanelLayout
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.solve.parts import layouts_of, plan_parts
from generators.solve.pedals import squared


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Parts and panels of a spec: where every hole is, and nothing yet of when it is made."""

    file: JobFile
    parts: tuple[PlacedPart, ...]
    layouts: tuple[PanelLayout, ...]


def laid_out(spec_path: Path, text: str, variant: str = "") -> Laid:
    """Read, plan and lay out a spec of that text in one of its forms, as ``prepare`` begins.

    Raises ``SpecError`` and ``LookupFault`` as it does.

    Where a reservoir goes that a made-up hose decides is known only by ``prepare``.
    """
    file = read_job(spec_path, {f.name: f.parameters for f in KINDS}, text.encode(), variant)
    parts = plan_parts(file)
    file = squared(file, parts)
    return Laid(file=file, parts=parts, layouts=layouts_of(file, parts))
