"""What the steps of an install sheet, and its page for the phone, say of each hole, read by themselves."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

from jobs.hole_papers import Said, phrase

from generators.verify.pdf.content import Word, read_pdf


@dataclass(kw_only=True)
class Install:
    """What the steps of the install sheet say, by hole number; ``steps`` is their text by number."""

    steps: dict[int, str] = field(default_factory=dict)
    punched: dict[str, int] = field(default_factory=dict)
    pilots: set[str] = field(default_factory=set)
    told: dict[str, str] = field(default_factory=dict)
    through: dict[str, tuple[int, str]] = field(default_factory=dict)
    guided: set[str] = field(default_factory=set)
    sized: dict[str, tuple[int, str]] = field(default_factory=dict)
    closed: set[str] = field(default_factory=set)
    begun: dict[str, int] = field(default_factory=dict)


def numbers_in(text: str) -> list[str]:
    """``1, 2, 5 to 7`` as 1, 2, 5, 6, 7."""
    out: list[str] = []
    for piece in re.split(r", | and ", text):
        run = re.fullmatch(r"(\d+) to (\d+)", piece.strip())
        out += [str(k) for k in range(int(run[1]), int(run[2]) + 1)] if run else [piece.strip()]
    return out


FOOT_MM, HEAD_MM = 22.0, 20.0
"""Where the cautions end and the line with title and page number begins."""

LARGE_MM = 3.4
"""Letters this tall head a phase; a table's are smaller."""

HOLES = r"holes? ((?:[A-Z\d]+(?:, | and | to )?)+)"


def install_says(path: Path) -> Install:
    """The install sheet, step by step."""
    out = Install()
    for number, words in _steps(path):
        text = " ".join(" ".join(w.text for w in words).split())
        out.steps[number] = text
        if m := re.match(rf"Centre-punch through the cross(?:es)? of {HOLES} only\.", text):
            out.punched |= dict.fromkeys(numbers_in(m[1]), number)
        elif m := re.match(rf"Leave the pilots? of {HOLES} as (?:it is|they are) now\.", text):
            out.pilots |= set(numbers_in(m[1]))
        elif m := re.match(rf"Do NOT drill {HOLES} to size yet\. (.*?)\. In the metal now: ", text):
            for clause in m[2].split("; "):
                told = re.match(rf"{HOLES}: (.*)", clause[0].lower() + clause[1:])
                assert told is not None, clause
                out.told |= dict.fromkeys(numbers_in(told[1]), told[2])
            assert set(numbers_in(m[1])) <= set(out.told), text
        elif m := re.match(
            rf"(?:Drill|Mark|Open|Clamp the .+? there and drill) {HOLES} "
            r"through (?:it|the .+?), from the (cab|engine) side\.",
            text,
        ):
            out.through |= dict.fromkeys(numbers_in(m[1]), (number, m[2]))
            out.begun |= {n: out.begun.get(n, number) for n in numbers_in(m[1])}
        elif m := re.match(rf"Open {HOLES} to size, the part off, from the (?:cab|engine) side\.", text):
            # what was only marked through the part is made here
            out.through |= {n: (number, out.through[n][1]) for n in numbers_in(m[1]) if n in out.through}
        elif m := re.match(rf"Drill {HOLES} through it, then take it off\.", text):
            out.guided |= set(numbers_in(m[1]))
        elif text.startswith("Open to final size"):
            out.sized |= dict.fromkeys(_column(words, "holes"), (number, ""))
        elif m := re.match(rf"Close {HOLES}, no longer used: .*(?:plate|plug|welded)", text):
            out.closed |= set(numbers_in(m[1].removesuffix(", ")))
    return out


def _steps(path: Path) -> Iterator[tuple[int, list[Word]]]:
    """Number and words of each step: it begins with a box to tick."""
    number = 0
    words: list[Word] = []
    for page in read_pdf(path).pages:
        for word in (w for w in page.words if w.text.strip()):
            if word.box[3] < FOOT_MM or word.box[1] > page.height - HEAD_MM:
                continue  # a step may run on past the foot of its page and the head of the next
            if word.text.strip() == "❏":
                if number:
                    yield number, words
                number, words = -1, []
            elif number == -1:
                number = int(word.text.strip().rstrip("."))
            elif number:
                words.append(word)
    if number > 0:
        yield number, words


def _column(words: Sequence[Word], head: str) -> list[str]:
    """The cells of a column of numbers under its head."""
    found: list[str] = []
    left = None
    for word in words:
        if word.text.strip() == head:
            left = word.box[0]
        elif left is not None and word.box[3] - word.box[1] > LARGE_MM:
            break  # the heading of what comes next, with the numbers of its picture
        elif left is not None and abs(word.box[0] - left) < 1.5:
            cell = word.text.strip().rstrip(",")
            if re.fullmatch(r"(?:[A-Z\d]+(?:, )?)+", cell):
                found += numbers_in(cell)
    return found


# ------------------------------------------------------------------------------------------------ on the phone
class _Cells(HTMLParser):
    """Rows of tables: the text of each cell by the head it names."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[dict[str, str]] = []
        self._head = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "tr":
            self.rows.append({})
        if tag == "td":
            self._head = dict(attrs).get("data-head") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "td":
            self._head = ""

    def handle_data(self, data: str) -> None:
        if self._head and self.rows:
            self.rows[-1][self._head] = self.rows[-1].get(self._head, "") + data


def phone_says(path: Path) -> dict[str, tuple[Said, int]]:
    """What the page for the phone says of each hole, and the step it sends to; 0 for none."""
    reader = _Cells()
    reader.feed(path.read_text(encoding="utf-8"))
    rows = [{head: " ".join(text.split()) for head, text in row.items()} for row in reader.rows]
    return {
        row["hole"]: (
            phrase(row["when and how"]),
            int(step) if (step := row.get("step", "")).isdecimal() else 0,
        )
        for row in rows
        if "when and how" in row
    }
