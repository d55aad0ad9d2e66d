"""Failed rules that somebody waived: the short mark on every page, and the list it points to.

The list stands in a place of its own. It is never cut silently: where it does not fit it is set smaller, then
with its reasons cut, and at last as bare codes; the report has it in full.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generators.drawing.paper.pen import MEDIUM, Pen, fit_text, text_width, wrap_text
from generators.model.findings import Waived

MARK = "WAIVED: see list"
TITLE = "WAIVED RULES"
LEAD = "Released although these rules failed. Reasons as given; findings: report."
BARE = "Released although these rules failed. Reasons: report."
BLOCK_MM = 92.0
TEXT_MM = 2.5
LINE = 1.36
PAD_MM = 1.4
SIZES_MM = (3.2, 2.7)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaivedList:
    """The list as wrapped lines, each a bold and a plain part; ``width`` and ``text`` size in mm."""

    lines: tuple[tuple[str, str], ...]
    width: float
    text: float = TEXT_MM
    name: str = "waived"
    title: str = TITLE

    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.width, (len(self.lines) + 1.15) * self.text * LINE + 2 * PAD_MM

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw with the upper left corner at ``(x, top)``."""
        width, height = self.size()
        pen.stroke(MEDIUM)
        pen.rect(x, top - height, width, height)
        y = top - PAD_MM - self.text * 1.1
        pen.text(x + PAD_MM, y, self.title, self.text * 1.15, bold=True)
        for bold, plain in self.lines:
            y -= self.text * LINE
            pen.text(x + PAD_MM, y, bold, self.text, bold=True)
            pen.text(x + PAD_MM + _indent(bold, self.text), y, plain, self.text)

    def split(self, height: float) -> list[WaivedList]:
        """The same list in pieces no higher than ``height`` mm."""
        count = max(1, int((height - 2 * PAD_MM) / (self.text * LINE) - 1.15))
        if count >= len(self.lines):
            return [self]
        return [
            replace(
                self,
                name=f"{self.name}{i}",
                title=TITLE if i == 0 else f"{TITLE} (continued)",
                lines=self.lines[i : i + count],
            )
            for i in range(0, len(self.lines), count)
        ]


def grouped(waived: Sequence[Waived]) -> list[tuple[str, str]]:
    """Codes and the reason they share, in the order given."""
    codes: dict[str, list[str]] = {}
    for item in waived:
        codes.setdefault(item.reason, []).append(item.code)
    return [(", ".join(found), reason) for reason, found in codes.items()]


def _indent(bold: str, text: float) -> float:
    """Where plain words begin after bold ones, mm."""
    return text_width(f"{bold}  ", text, bold=True) if bold else 0.0


def _item(codes: str, reason: str, text: float, room: float) -> list[tuple[str, str]]:
    """Codes and their reason, the reason beginning on the line on which the codes end."""
    lines = [(line, "") for line in wrap_text(codes, text, room, bold=True)]
    last = lines[-1][0]
    words = reason.split()
    count = len(words)
    while count and text_width(" ".join(words[:count]), text) > room - _indent(last, text):
        count -= 1
    lines[-1] = (last, " ".join(words[:count]))
    return lines + [("", line) for line in wrap_text(" ".join(words[count:]), text, room)]


def waived_list(waived: Sequence[Waived], width: float = BLOCK_MM, text: float = TEXT_MM) -> WaivedList:
    """The full list, ``width`` mm wide."""
    room = width - 2 * PAD_MM
    lines = [("", line) for line in wrap_text(LEAD, text, room)]
    for codes, reason in grouped(waived):
        lines += _item(codes, reason, text, room)
    return WaivedList(lines=tuple(lines), width=width, text=text)


def shorter_lists(waived: Sequence[Waived], width: float) -> Iterator[WaivedList]:
    """The list ever shorter, for a page that has no more room; the last one is only the codes."""
    room = width - 2 * PAD_MM
    for size in SIZES_MM:
        yield waived_list(waived, width, size)
    small = SIZES_MM[-1]
    lines = [("", LEAD)]
    for codes, reason in grouped(waived):
        whole = _item(codes, reason, small, room)
        named = len(wrap_text(codes, small, room, bold=True))
        last, said = whole[named - 1]
        cut = fit_text(f"{said} …", small, room - _indent(last, small)) if len(whole) > named else said
        lines += [*whole[: named - 1], (last, cut)]
    yield WaivedList(lines=tuple(lines), width=width, text=small)
    codes = ", ".join(item.code for item in waived)
    bare = [("", line) for line in wrap_text(BARE, small, room)]
    bare += [(line, "") for line in wrap_text(codes, small, room, bold=True)]
    yield WaivedList(lines=tuple(bare), width=width, text=small)
