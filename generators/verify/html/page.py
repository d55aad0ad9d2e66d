"""Reads the page for a phone back: every step, hole, table, caution, the revision, and the bodies to turn."""

from __future__ import annotations

import base64
import binascii
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Literal

from generators.model.findings import Waived
from generators.model.install import Guide, Step, StepTable
from generators.model.plan import PanelLayout
from generators.verify.assembled import Expected
from generators.verify.html.closed import closed_problems
from generators.verify.html.distances import distance_problems
from generators.verify.html.holes import NONE, hole_problems
from generators.verify.html.panels import picture_problems
from generators.verify.html.tree import Node, parsed
from generators.verify.readback import ReadBack
from generators.verify.steps.asked import NOTHING, Asked

CAUTION_WORDS = ("local codes", "Before drilling")
MARK = "WAIVED: see list"
INCH = 25.4
Rows = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a page must say beside the guide: the holes of its panels, and its bodies by name, with titles.
    What its steps are ``asked`` they must say whatever stands in the guide.

    Without ``bodies`` it must have no view to turn.
    """

    job: str
    revision: str
    first: Literal["mm", "in"]
    layouts: tuple[PanelLayout, ...]
    bodies: tuple[Expected, ...] = ()
    titles: Mapping[str, str]
    asked: Asked = NOTHING


def read_page(path: Path, *, guide: Guide, wanted: Wanted, rel: str) -> ReadBack:
    """Compare a finished page with the guide it was drawn from, whose revision may still be open.

    Raises nothing for a bad file: what is wrong with it is in ``problems``.
    """
    try:
        text = path.read_bytes().decode("utf-8")
    except OSError as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {error.strerror}",))
    except UnicodeDecodeError:
        return ReadBack(path=rel, problems=("is no text",))
    root, problems = parsed(text)
    problems += _head(root, guide, wanted)
    problems += closed_problems(root)
    problems += _unique(root)
    problems += _cautions(root, guide)
    problems += _waived(root, guide.waived)
    problems += _steps(root, guide, wanted.revision)
    problems += _lists(root, guide)
    problems += wanted.asked.problems([*_told_lists(root), *_told_steps(root)])
    problems += hole_problems(root, wanted.layouts, guide)
    problems += distance_problems(root, wanted.layouts)
    problems += picture_problems(root, wanted.layouts, guide)
    problems += _reached(root, wanted.layouts, guide)
    problems += (p for node in root.all(class_="length") for p in _length(node))
    facts, more = _space(root, wanted)
    steps, holes = len(tuple(guide.steps)), sum(len(layout.holes) for layout in wanted.layouts)
    first = f"revision {wanted.revision}, {steps} steps, {holes} holes, nothing loaded from outside"
    return ReadBack(path=rel, facts=(first, *facts), problems=(*problems, *more))


def _head(root: Node, guide: Guide, wanted: Wanted) -> Iterator[str]:
    htmls = root.all("html")
    said = htmls[0].attributes if len(htmls) == 1 else {}
    right = {"data-job": wanted.job, "data-revision": wanted.revision, "data-first": wanted.first}
    for name, value in right.items():
        if said.get(name) != value:
            yield f"has {name} {said.get(name)!r}, wanted {value!r}"
    revisions = {node.text for node in root.all(class_="revision")}
    if revisions != {wanted.revision}:
        yield f"says revision {', '.join(sorted(revisions)) or 'nothing'}, wanted {wanted.revision}"
    if [node.text for node in root.all("h1")] != [_plain(guide.title)]:
        yield f"is not headed {guide.title!r}"
    views = [m.attributes.get("content", "") for m in root.all("meta", name="viewport")]
    if views != ["width=device-width, initial-scale=1"]:
        yield "does not fit a phone's width, or forbids to enlarge it"


def _unique(root: Node) -> Iterator[str]:
    names = [node.attributes["id"] for node in root.walk() if "id" in node.attributes]
    yield from (f"has the id {name!r} twice" for name in sorted({n for n in names if names.count(n) > 1}))
    known = set(names)
    for node in root.walk():
        to = node.attributes.get("href", "#").removeprefix("#")
        if to and to not in known:
            yield f"has a link to {to!r}, which is not there"


def _cautions(root: Node, guide: Guide) -> Iterator[str]:
    order = list(root.walk())
    frames = [node for node in order if "caution" in node.classes]
    said = [item.text for frame in frames for item in frame.all("li")]
    lines = [*guide.before, *(line for phase in guide.phases for line in phase.cautions)]
    lines += [guide.loop] if guide.loop else []
    yield from (f"lacks the caution {line!r}" for line in lines if _plain(line) not in said)
    yield from (
        f"lacks the caution that says {w!r}" for w in CAUTION_WORDS if not any(w in line for line in said)
    )
    first = next((k for k, node in enumerate(order) if "step" in node.classes), len(order))
    if not frames or order.index(frames[0]) > first:
        yield "has a step before its first caution"


def _waived(root: Node, waived: Sequence[Waived]) -> Iterator[str]:
    told = root.text
    if (MARK in told) != bool(waived):
        yield f"does not say {MARK!r}" if waived else "says a rule was waived, and none was"
    cells = " ".join(cell.text for frame in root.all(class_="caution") for cell in frame.all("td"))
    for item in waived:
        if item.code not in cells or _plain(item.reason) not in cells:
            yield f"does not list the waived rule {item.code!r} with its reason"


def _steps(root: Node, guide: Guide, revision: str) -> Iterator[str]:
    found = root.all("li", class_="step")
    steps = list(guide.steps)
    if len(found) != len(steps):
        yield f"has {len(found)} steps, wanted {len(steps)}"
    for node, step in zip(found, steps, strict=False):
        yield from (
            f"step {step.number}: {problem}" for problem in _step(node, step, guide.revision, revision)
        )
    phases = root.all("section", class_="phase")
    titles = [heads[0].text for section in phases if (heads := section.all("h2"))]
    if titles != [_plain(phase.title) for phase in guide.phases]:
        yield "does not have its headings in their order"
        return
    for section, phase in zip(phases, guide.phases, strict=True):
        drawn = sum(map(_drawn, section.all("svg")))
        pictures = len(phase.pictures) + sum(len(step.pictures) for step in phase.steps)
        if drawn != pictures:
            yield f"{phase.title}: has {drawn} pictures, wanted {pictures}"


def _step(node: Node, step: Step, open_revision: str, revision: str) -> Iterator[str]:
    boxes = node.all("input", type="checkbox")
    if [box.attributes.get("value") for box in boxes] != [str(step.number)]:
        yield "has no box to tick of its own number"
    labels = node.all("label")
    if len(labels) != 1 or not boxes or labels[0].attributes.get("for") != boxes[0].attributes.get("id"):
        yield "has no label for its box"
    wanted = {"number": f"{step.number}.", "order": step.do, "how": step.how}
    for class_, told in wanted.items():
        words = _plain(told.replace(open_revision, revision))
        said = [part.text for part in node.all(class_=class_)]
        if said != ([words] if words else []):
            yield f"says {' '.join(said)!r}, wanted {words!r}"
    tables = node.all("table")
    if len(tables) != len(step.tables):
        yield f"has {len(tables)} tables, wanted {len(step.tables)}"
    for table, rows in zip(tables, step.tables, strict=False):
        yield from _table(table, rows)
    drawn = [picture for picture in node.all("svg") if _drawn(picture)]
    if len(drawn) != len(step.pictures):
        yield f"has {len(drawn)} pictures, wanted {len(step.pictures)}"


def _told_lists(root: Node) -> Iterator[str]:
    """The lists as they stand before the steps on paper."""
    yield from (node.text for node in root.all("section", class_="listing"))


def _told_steps(root: Node) -> Iterator[str]:
    """Each step as it stands on paper: a box, its number and all it says."""
    for number, node in enumerate(root.all("li", class_="step"), 1):
        said = [part.text for class_ in ("order", "how") for part in node.all(class_=class_)]
        yield f"\u274f {number}. {' '.join([*said, *(table.text for table in node.all('table'))])}"


def _drawn(picture: Node) -> bool:
    return any(node.tag in ("path", "polygon", "polyline", "line", "circle") for node in picture.walk())


def _table(table: Node, wanted: StepTable) -> Iterator[str]:
    if [cell.text for cell in table.all("th")] != list(map(_plain, wanted.head)):
        yield f"has a table without the head {', '.join(wanted.head)}"
    if wanted.lead and [cell.text for cell in table.all("caption")] != [_plain(wanted.lead)]:
        yield f"has a table that does not say {wanted.lead!r}"
    yield from _rows(table, wanted.rows)


def _rows(table: Node, wanted: Rows) -> Iterator[str]:
    rows = [tuple(cell.text for cell in row.all("td")) for row in table.all("tr") if row.all("td")]
    right = [tuple(_plain(cell) or NONE for cell in row) for row in wanted]
    for row in right:
        if row not in rows:
            yield f"lacks the row {' | '.join(row)!r}"
    for row in rows:
        if row not in right:
            yield f"has the row {' | '.join(row)!r}, which is not wanted"
    if len(rows) != len(right) or (set(rows) == set(right) and rows != right):
        yield f"has {len(rows)} rows where {len(right)} are wanted, or in another order"


def _lists(root: Node, guide: Guide) -> Iterator[str]:
    found = root.all("section", class_="listing")
    if [node.all("h2")[0].text for node in found] != [_plain(one.title) for one in guide.lists]:
        yield "does not have its lists in their order"
        return
    for node, one in zip(found, guide.lists, strict=True):
        for problem in _table(node.all("table")[0], one.table):
            yield f"{one.title}: {problem}"
        if one.words and _plain(one.words) not in [p.text for p in node.all("p")]:
            yield f"{one.title}: does not say {one.words!r}"


def _reached(root: Node, layouts: Sequence[PanelLayout], guide: Guide) -> Iterator[str]:
    """Every section stands in the contents, and every step leads to the rows of its holes."""
    named = {a.attributes.get("href", "") for nav in root.all("nav") for a in nav.all("a")}
    for node in (*root.all("section"), *root.all("footer")):
        if f"#{node.attributes.get('id', '')}" not in named:
            yield f"does not have {node.attributes.get('id', 'a section')!r} in its contents"
    listed = {(layout.panel, hole.number) for layout in layouts for hole in layout.holes}
    for node, step in zip(root.all("li", class_="step"), guide.steps, strict=False):
        leads = {a.attributes.get("href", "") for a in node.all("a")}
        for ref in {*step.holes, *step.drills} & listed:
            if f"#hole-{ref[0]}-{ref[1]}" not in leads:
                yield f"step {step.number}: does not lead to hole {ref[1]} in the list"
    for cell in (*root.all("td"), *root.all("th")):
        if not cell.text:
            yield f"has an empty cell {cell.attributes.get('data-head', '')!r}"


_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_FRACTION = re.compile(r"^(?:(\d+) )?(\d+)/(\d+) in$")


def _length(node: Node) -> Iterator[str]:
    """A length says in inches what it says in mm, but for what both were rounded by."""
    parts = {name: [p.raw for p in node.all("span", class_=name)] for name in ("mm", "in")}
    said = node.attributes.get("data-said", "")
    if any(len(found) != 1 for found in parts.values()):
        yield f"has {said!r} not in mm and inches"
        return
    (mm,), (inch,) = parts["mm"], parts["in"]
    if mm not in said and inch.partition(",")[0] not in said:
        yield f"has {mm!r} and {inch!r} for {said!r}"
    fraction = _FRACTION.match(inch)
    inches = [inch] if fraction else _NUMBER.findall(inch.partition(" in")[0])
    if not fraction and len(_NUMBER.findall(mm)) != len(inches):
        yield f"has {mm!r} and {inch!r}, which are not as many numbers"
        return
    for metric, other in zip(_NUMBER.findall(mm), inches, strict=True):
        value = (
            float(Fraction(fraction[2] + "/" + fraction[3]) + int(fraction[1] or 0))
            if fraction
            else float(other)
        )
        coarse = _half(metric) + (0.0 if fraction else _half(other) * INCH)
        if abs(float(metric) - value * INCH) > coarse * 1.01:
            yield f"has {mm!r} and {inch!r}, which are not the same"


def _half(number: str) -> float:
    """Half of the last digit."""
    return 0.5 * 10.0 ** -len(number.partition(".")[2])


def _space(root: Node, wanted: Wanted) -> tuple[list[str], list[str]]:
    there = {node.attributes["id"]: node for node in root.all("script") if "id" in node.attributes}
    if not wanted.bodies:
        return [], ["has a view in 3D of nothing"] if there else []
    if set(there) != {"assembly", "titles"}:
        return [], ["has no bodies to turn in 3D"]
    try:
        data = base64.b64decode("".join(there["assembly"].raw.split()), validate=True)
        titles = json.loads(there["titles"].raw)
    except (binascii.Error, ValueError) as error:
        return [], [f"has bodies that cannot be read ({type(error).__name__})"]
    from generators.verify.mesh.glb import glb_content  # noqa: PLC0415 - slow to load; a run that changes nothing does without

    facts, problems = glb_content(data, wanted.bodies)
    if titles != dict(wanted.titles):
        problems.append("does not call the bodies by their titles")
    options = {o.attributes.get("value", ""): o.text for o in root.all("option") if o.attributes.get("value")}
    if options != {name: _plain(title) for name, title in wanted.titles.items()}:
        problems.append("does not offer every body to be shown")
    return [f"3D: {len(facts)} bodies"], problems


def _plain(text: str) -> str:
    return " ".join(text.split())
