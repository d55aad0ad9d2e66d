"""What the shop's sheets of a kit share: a head, lines of facts under it, and waived rules at the end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, NotRequired, TypedDict, Unpack

from generators.model.findings import Waived
from generators.sheets.document import TITLE, body_width, gap, paragraph, waived_story, write_document


class OnEach(TypedDict):
    """What every sheet of a kit is written with: ``subject`` is the job's title."""

    subject: str
    revision: str
    paper: str
    waived: NotRequired[Sequence[Waived]]


def write_kit_sheet(
    path: Path, head: str, story: Iterable[Any], *, facts: Sequence[str], **each: Unpack[OnEach]
) -> None:
    """Write head, facts, story and what was waived. Raises ``OSError``."""
    end = waived_story(each.get("waived", ()), body_width(each["paper"]))
    told = [paragraph(head, TITLE), *map(paragraph, facts), gap(1), *story, *end]
    write_document(path, told, title=f"{each['subject']}: {head.lower()}", **each)
