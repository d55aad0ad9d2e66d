"""Every printed occurrence of a figure, matched to its record: what rounds it another way is found here.

Rounding is done by decimal arithmetic, a half away from zero, and by nothing of the program's own.
"""

from __future__ import annotations

import dataclasses
import html
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import ezdxf
import pypdfium2

from generators.solve.job import Prepared
from generators.solve.pedals import PedalAnswer

NUMBER = re.compile(
    r"(?<![\w.,/])[-+]?[0-9]+\.[0-9]+(?![\w.]|/[0-9])(?! ?(?:in|deg|°|%|:1|\"|lbf|psi|g\b|cm|N·m))"
)
NEAR = 1.5
"""A figure this many last digits off, or less, is taken for the same one, rounded otherwise."""


@dataclass(frozen=True)
class Figure:
    """A value in mm, exact, and the name that stands in each line that prints it; empty for any line."""

    name: str
    value: float


def rounded(value: float, places: int) -> Decimal:
    """To the nearest, halves away from zero; noise below 1e-9 is none."""
    return Decimal(str(round(value, 9))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def occurrences(lines: Iterable[str], figures: Sequence[Figure]) -> Iterator[tuple[str, str, Figure, bool]]:
    """Each number that prints one of the figures: its line, its text, the figure, and whether it is right."""
    for line in lines:
        here = [f for f in figures if re.search(rf"(?<!\w){re.escape(f.name)}(?!\w)", line)]
        for token in NUMBER.findall(line):
            places = len(token.partition(".")[2])
            said = Decimal(token)
            near = [f for f in here if abs(float(said) - f.value) <= NEAR * 10.0**-places]
            right = [f for f in near if rounded(f.value, places) == said]
            if right or near:
                yield line, token, (right or near)[0], bool(right)


def misprints(lines: Iterable[str], figures: Sequence[Figure]) -> list[str]:
    """Numbers that print a figure and are not its value to the nearest."""
    return [
        f"{token} for {figure.value:.6f} ({figure.name}) in: {line.strip()}"
        for line, token, figure, right in occurrences(lines, figures)
        if not right
    ]


UNSEEN = re.compile(r"<(style|script).*?</\1>", re.DOTALL)


def words_of(folder: Path) -> Iterator[tuple[str, list[str]]]:
    """Each file of a finished folder that says something, and its words by lines."""
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name = path.relative_to(folder).as_posix()
        if path.suffix == ".pdf":
            yield name, pdf_lines(path)
        elif path.suffix == ".html":
            text = UNSEEN.sub("", path.read_text(encoding="utf-8"))
            yield name, html.unescape(re.sub(r"\s*<[^>]+>\s*", "\n", text)).splitlines()
        elif path.suffix == ".dxf":
            entities = ezdxf.readfile(path).modelspace().query("TEXT MTEXT")
            yield name, [e.dxf.text for e in entities]
        elif path.suffix == ".csv" or path.name == "manifest.json":
            yield name, path.read_text(encoding="utf-8").splitlines()


WITHIN = re.compile(r"caliper|gauge|may be|[0-9] to [0-9.]+ mm|[-+][0-9.]+/|passes|goes through")
"""Lines with limits, which are rounded to the side that is safe."""


def hundredths(lines: Iterable[str]) -> Iterator[str]:
    """What is said to a hundredth or finer, each line without what is said to a tenth, and no limits."""
    for line in lines:
        if not WITHIN.search(line):
            yield re.sub(r"(?<![\w.])[0-9]+\.[0-9](?![0-9])", "#", line)


def halves_down(lines: Iterable[str], values: Iterable[float]) -> list[str]:
    """Hundredths that a length half-way between two of them was rounded down to."""
    wrong = {
        str(rounded(v, 2) - Decimal("0.01")): v
        for v in values
        if rounded(v, 9) == rounded(v, 3) and str(rounded(v, 3)).endswith("5") and v > 0
    }
    return [
        f"{token} for {wrong[token]} in: {line}"
        for line in hundredths(lines)
        for token in NUMBER.findall(line)
        if token in wrong
    ]


def pdf_lines(path: Path) -> list[str]:
    """The text of all pages, by lines."""
    document = pypdfium2.PdfDocument(path)
    text = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return text.replace("\u2212", "-").splitlines()


PEDAL_WORDS = re.compile(r"pad travel|piston|the rod|rod to|stop|released|master|slave")
"""Lines of a paper that speak of a pedal."""


GAP = re.compile(r"[A-Z] [0-9.]+ mm ")
"""A line of the views in space: a letter and the distance of two things, whatever they are called."""


def pedal_lines(lines: Iterable[str]) -> list[str]:
    """Lines that give a pedal's figures."""
    return [line for line in lines if PEDAL_WORDS.search(line) and " mm" in line and not GAP.match(line)]


def pedal_figures(answer: PedalAnswer) -> list[Figure]:
    """Every length of a pedal's spec and answer."""
    values = {*numbers_of(answer.clutch or answer.brake), *numbers_of(answer.spec)}
    if answer.spec.clutch is not None:
        # the slave's rod moves free by the fork's ratio
        values.add(answer.spec.clutch.fork_ratio * answer.spec.clutch.free_play_mm)
    return [Figure("", value) for value in values]


def job_figures(job: Prepared) -> list[Figure]:
    """Lengths of a job that several files print: of its findings, hoses and pedals."""
    values = {x for f in job.findings if f.unit == "mm" for x in (f.value, f.limit) if x is not None}
    for hose in job.lines.hoses:
        values |= {x for x in numbers_of(hose.length) if math.isfinite(x)}
        values |= {hose.path.length_mm} if hose.path is not None else set()
    return [*(Figure("", v) for v in values), *(f for pedal in job.pedals for f in pedal_figures(pedal))]


def numbers_of(thing: object, depth: int = 4) -> Iterator[float]:
    """All finite numbers in a result made of dataclasses and sequences that are lengths by their names."""
    if dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        for field in dataclasses.fields(thing):
            value = getattr(thing, field.name)
            if isinstance(value, float) and field.name.endswith("_mm"):
                yield value
            elif depth:
                yield from numbers_of(value, depth - 1)
    elif isinstance(thing, (tuple, list)) and depth:
        for one in thing:
            yield from numbers_of(one, depth - 1)


INCH_SIZES = frozenset({25.4 / 8, 25.4 * 3 / 8})
"""Drills and tubes of 1/8 and 3/8 in: an inch has 25.4 mm exactly, and they lie half-way."""


def roundings(folder: Path, job: Prepared) -> tuple[dict[str, int], list[str]]:
    """How many figures of the job each file of its folder prints, and what is not their value to the nearest."""
    figures = job_figures(job)
    lengths = {x for thing in (job.parts, job.layouts, job.lines) for x in numbers_of(thing, depth=6)}
    told, wrong = {}, []
    for name, lines in words_of(folder):
        fine = list(hundredths(lines))
        told[name] = len(list(occurrences(fine, figures)))
        found = [*misprints(fine, figures), *halves_down(fine, lengths | INCH_SIZES)]
        wrong += [f"{name}: {one}" for one in found]
    return told, wrong
