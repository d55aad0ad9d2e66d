"""A finished ``PART_setup.html``: closed to the network, every step as on paper, pictures at their angles."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from generators.model.findings import Waived
from generators.model.plan import PartPlan
from generators.sheetmetal.folding import flat_pattern
from generators.standards import material
from generators.verify.html.closed import closed_problems
from generators.verify.html.tree import Node, parsed
from generators.verify.pdf.bending.beside import finish_problems
from generators.verify.pdf.bending.folder import FOLD, slopes
from generators.verify.pdf.bending.gauge.drawn_back import draw_back_problems
from generators.verify.pdf.bending.gauge.swings import swing_problems
from generators.verify.pdf.bending.gauged import gauge_problems
from generators.verify.pdf.bending.instead import instead_problems, k_problems, orders_of
from generators.verify.pdf.bending.pictures.from_above import Picture, above_problems
from generators.verify.pdf.bending.pictures.layers import Drawn, befores, pictured
from generators.verify.pdf.bending.pictures.letters import letter_problems, seen_letters
from generators.verify.pdf.bending.pictures.seen_from import side_problems
from generators.verify.pdf.bending.setup import brake_problems, hands_for
from generators.verify.pdf.bending.squared import squared_problems
from generators.verify.pdf.bending.step_words import steps_in
from generators.verify.pdf.bending.steps import steps_problems
from generators.verify.pdf.bending.tools import Tools
from generators.verify.pdf.content import Word
from generators.verify.readback import ReadBack

LEG_RAD = math.radians(0.2)
LONG_MM = 4.0
LEAST_FRAMES = 5
MOVED = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\)")
CAUTION = "have the work checked by a licensed mechanic"


def read_setup_page(
    path: Path,
    *,
    job: str,
    plan: PartPlan,
    tools: Tools,
    waived: Sequence[Waived],
    job_title: str,
    revision: str,
    rel: str,
    contact: str = "",
    date: str = "",
) -> ReadBack:
    """Read a finished page against the part and the shop's tools; what is wrong becomes a problem."""
    try:
        root, problems = parsed(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as fault:
        return ReadBack(path=rel, problems=(f"cannot be read: {fault}",))
    problems += closed_problems(root)
    whole = root.text
    page = next(iter(root.all("html")), None)
    said = page.attributes if page is not None else {}
    for name, wanted in (("data-job", job), ("data-part", plan.name), ("data-revision", revision)):
        if said.get(name) != wanted:
            problems.append(f"has {name} {said.get(name)!r}, wanted {wanted!r}")
    sections = root.all("section", class_="step")
    matches = [m for s in sections for m in steps_in(_words(s))[:1]]
    cautions = (CAUTION, *hands_for(matches))
    asked = (f"Questions: {contact}.",) if contact else ()
    ordered = material(plan.material).ordered(bent=True)
    wanted_words = (job_title, plan.title, ordered, f"revision {revision}", date, *asked, *cautions)
    problems += [f"does not say {word!r}" for word in wanted_words if " ".join(word.split()) not in whole]
    for one in waived:
        if one.code not in whole or " ".join(one.reason.split()) not in whole:
            problems.append(f"does not list the waived rule {one.code}")
    problems += finish_problems(whole, plan)
    problems += steps_problems(matches, plan, tools)
    problems += instead_problems(whole, matches)
    problems += k_problems(whole, matches, plan, tools.opening_mm)
    problems += brake_problems(whole, matches, tools, plan)
    rings = [ring for box in root.all("section", class_="blank") for ring in _rings(box)]
    words = [
        (label.text, label.box[:2]) for box in root.all("section", class_="blank") for label in _labels(box)
    ]
    letters, wrong = seen_letters(rings, words, flat_pattern(plan))
    problems += [*wrong, *letter_problems(matches, letters, plan)]
    problems += gauge_problems(matches, letters, plan, tools.brake)
    problems += swing_problems(matches, letters, plan, tools)
    problems += draw_back_problems(matches, letters, plan, tools)
    problems += squared_problems(matches, letters, plan, tools.dies)
    views = zip(matches, sections, strict=False)
    above = {m["number"]: _above(node) for m, box in views for node in box.all(class_="above")}
    problems += above_problems(above, matches, letters, plan, tools)
    problems += [
        f"step {m['number']} has no picture from above"
        for m in matches
        if m.groupdict().get("edge") and m["number"] not in above
    ]
    if len(matches) != len(sections):
        problems.append(f"{len(sections) - len(matches)} steps do not read as on the setup sheet")
    frames, before = 0, befores(matches, plan)
    for match, section in zip(matches, sections, strict=False):
        shown = section.all(class_="frame")
        frames += len(shown)
        problems += _frames(match, shown)
        for frame in shown[-1:]:
            problems += side_problems(match, plan, list(_labels(frame)))
            problems += pictured(match, list(_drawn(frame)), plan, tools, before)
    made = len(orders_of(matches)[0])
    fact = f"{made} of {len(plan.bends)} bends as on the setup sheet, {frames} pictures at their angles"
    return ReadBack(path=rel, facts=(fact,), problems=tuple(dict.fromkeys(problems)))


def _labels(box: Node) -> Iterator[Word]:
    """Words of a picture with where they begin, y up as on paper."""
    for node in box.all("text"):
        if at := MOVED.match(node.attributes.get("transform", "")):
            x, y = float(at[1]), -float(at[2])
            yield Word(text=node.text.strip(), box=(x, y, x, y))


def _above(box: Node) -> Picture:
    """The view from above of a squared sheet."""
    return Picture(drawn=list(_drawn(box)), words=[label.text for label in _labels(box)])


def _words(section: Node) -> str:
    """Heading and lines of a step, with a blank between them."""
    return " ".join(node.text for node in section.walk() if node.tag in ("h2", "p"))


def _frames(match: re.Match[str], frames: Sequence[Node]) -> Iterator[str]:
    """Pictures from the flat sheet to the end, the last alone seen without script, each leg half bent."""
    number, degrees = (
        match["number"],
        float(match["pressed"] or match.groupdict().get("loaded") or match["angle"]),
    )
    if len(frames) < LEAST_FRAMES:
        yield f"step {number} has {len(frames)} pictures"
        return
    hidden = ["hidden" in frame.attributes for frame in frames]
    if hidden != [True] * (len(frames) - 1) + [False]:
        yield f"step {number} does not stand at its end without its script"
    # a flat sheet looks like any tool's foot
    for index, frame in list(enumerate(frames))[1:]:
        share = math.radians(degrees) * index / (len(frames) - 1)
        if match.re is FOLD:
            at = sum(
                any(abs(s - (math.pi - share) % math.pi) < LEG_RAD for s in slopes(r)) for r in _rings(frame)
            )
            if at < 2:
                yield f"step {number}, picture {index + 1}: no leg and leaf at {math.degrees(share):.1f}°"
            continue
        half = share / 2
        seen = list(_slopes(frame))
        for angle in (half, math.pi - half):
            if not any(abs(s - angle) < LEG_RAD for s in seen):
                yield f"step {number}, picture {index + 1}: no leg at {math.degrees(angle):.1f}°"


def _rings(frame: Node) -> Iterator[list[tuple[float, float]]]:
    """Filled outlines, y up as on paper."""
    for shape in frame.all("polygon"):
        if shape.attributes.get("fill", "none") != "none":
            points = [pair.split(",") for pair in shape.attributes.get("points", "").split()]
            yield [(float(x), -float(y)) for x, y in points]


def _drawn(frame: Node) -> Iterator[Drawn]:
    """Outlines and lines in the order they are drawn, y up as on paper."""
    for shape in frame.walk():
        if shape.tag in ("polygon", "polyline"):
            pairs = [pair.split(",") for pair in shape.attributes.get("points", "").split()]
            yield Drawn(
                points=[(float(x), -float(y)) for x, y in pairs],
                filled=shape.attributes.get("fill", "none") != "none",
                dashed="stroke-dasharray" in shape.attributes,
            )


def _slopes(frame: Node) -> Iterator[float]:
    """Slopes of the long sides of filled outlines that have no upright side, as tools have."""
    for ring in _rings(frame):
        long = [(a, b) for a, b in itertools.pairwise([*ring, ring[0]]) if math.dist(a, b) > LONG_MM]
        if not any(abs(a[0] - b[0]) < 1e-3 for a, b in long):
            yield from slopes(ring)
