"""Undo and redo of any depth, kept as what changed between one text and the next."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Delta:
    """Between two texts: at ``start`` one has ``before``, the other ``after``; ``words`` say what it was."""

    start: int
    before: str
    after: str
    words: str


def delta(before: str, after: str, words: str) -> Delta:
    """What differs, without what both texts begin and end with."""
    start = _same(before, after)
    room = min(len(before), len(after)) - start
    tail = _same(before[::-1][:room], after[::-1][:room])
    return Delta(start, before[start : len(before) - tail], after[start : len(after) - tail], words)


def _same(one: str, two: str) -> int:
    """How many letters two texts begin with alike."""
    low, high = 0, min(len(one), len(two))
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if one[:middle] == two[:middle] else (low, middle - 1)
    return low


class History:
    """A text with all it was before, and what was taken back."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._done: list[Delta] = []
        self._undone: list[Delta] = []

    @property
    def depth(self) -> tuple[int, int]:
        """How many changes can be taken back, and how many put on again."""
        return len(self._done), len(self._undone)

    def record(self, text: str, words: str) -> None:
        """A new text. What was taken back before is forgotten."""
        if text == self.text:
            return
        self._done.append(delta(self.text, text, words))
        self._undone.clear()
        self.text = text

    def undone(self) -> tuple[str, str] | None:
        """The text before the last change, and the words of that; None where there is none."""
        if not self._done:
            return None
        last = self._done[-1]
        return self._with(last, last.after, last.before), last.words

    def redone(self) -> tuple[str, str] | None:
        """The text with the change taken back last; None where there is none."""
        if not self._undone:
            return None
        last = self._undone[-1]
        return self._with(last, last.before, last.after), last.words

    def undo(self) -> None:
        """Take the last change back. Raises ``IndexError`` where there is none."""
        last = self._done.pop()
        self.text = self._with(last, last.after, last.before)
        self._undone.append(last)

    def redo(self) -> None:
        """Put on again what was taken back last. Raises ``IndexError`` where there is nothing."""
        last = self._undone.pop()
        self.text = self._with(last, last.before, last.after)
        self._done.append(last)

    def _with(self, change: Delta, old: str, new: str) -> str:
        return self.text[: change.start] + new + self.text[change.start + len(old) :]
