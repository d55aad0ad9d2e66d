"""Finished drafts against what they must show: PDF, SVG, PNG and the page."""

from __future__ import annotations

import json
import xml.etree.ElementTree as Tree
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image

from generators.verify.draft.wanted import WORD, Circle, Shown, picture_problems
from generators.verify.html.closed import closed_problems
from generators.verify.html.tree import Node, parsed
from generators.verify.readback import ReadBack, said

_SPACE = "{http://www.w3.org/2000/svg}"
LEAST_INK = 0.002
"""Share of black that a picture has at least."""


def read_svg(path: Path, *, wanted: Shown, rel: str) -> ReadBack:
    """One vector picture, in mm."""
    try:
        root = Tree.parse(path).getroot()
    except (Tree.ParseError, OSError, ValueError) as error:
        return ReadBack(path=rel, problems=(f"is no SVG: {said(error)}",))
    texts = [node.text or "" for node in root.iter(f"{_SPACE}text")]
    circles = [_circle(node.attrib) for node in root.iter(f"{_SPACE}circle")]
    problems = [*picture_problems(wanted, texts, circles)]
    view = (root.get("viewBox") or "").split()
    if [f"{root.get('width')}", f"{root.get('height')}"] != [f"{size}mm" for size in view[2:]]:
        problems.append("is not drawn in mm")
    return ReadBack(path=rel, facts=(_fact(wanted),), problems=tuple(problems))


def _circle(attributes: object) -> Circle:
    cx, cy, r = (float(attributes[key]) for key in ("cx", "cy", "r"))  # type: ignore[index]
    return cx, cy, 2 * r


def _fact(wanted: Shown) -> str:
    scale = f", 1:{wanted.ratio:g}" if wanted.ratio else ""
    holes = f", {len(wanted.holes)} holes where the plan has them" if wanted.holes else ""
    return f"marked {WORD}{scale}{holes}"


def read_png(path: Path, *, wanted: Shown, size: tuple[int, int], rel: str) -> ReadBack:
    """One bitmap: its size, and that something is drawn on it."""
    try:
        with Image.open(path) as image:
            grey = np.asarray(image.convert("L"))
    except (OSError, ValueError, SyntaxError) as error:
        return ReadBack(path=rel, problems=(f"is no picture: {said(error)}",))
    problems = []
    if any(abs(a - b) > 1 for a, b in zip(grey.shape[::-1], size, strict=True)):
        problems.append(f"is {grey.shape[1]} by {grey.shape[0]} dots, wanted {size[0]} by {size[1]}")
    if float((grey < 128).mean()) < LEAST_INK:
        problems.append(f"{wanted.name} has nothing drawn on it")
    return ReadBack(path=rel, facts=(f"{grey.shape[1]} by {grey.shape[0]} dots",), problems=tuple(problems))


def read_pdf(path: Path, *, wanted: Sequence[Shown], codes: Sequence[str], rel: str) -> ReadBack:
    """The PDF: every page says what it is, every picture and every finding is there."""
    try:
        document = pypdfium2.PdfDocument(path)
    except (pypdfium2.PdfiumError, OSError) as error:
        return ReadBack(path=rel, problems=(f"is no PDF: {said(error)}",))
    try:
        pages = []
        for page in document:
            text = page.get_textpage()
            pages.append(" ".join(text.get_text_range().split()))
            text.close()
            page.close()
    finally:
        document.close()
    problems = [f"page {n} does not say {WORD}" for n, text in enumerate(pages, 1) if WORD not in text]
    whole = " ".join(pages).replace(" ", "")
    problems += [f"does not show {one.name}" for one in wanted if one.title.replace(" ", "") not in whole]
    for code in dict.fromkeys(codes):
        if whole.count(code.replace(" ", "")) < 1:
            problems.append(f"does not list {code}")
    return ReadBack(
        path=rel,
        facts=(f"{len(pages)} pages marked {WORD}, {len(wanted)} pictures",),
        problems=tuple(problems),
    )


def read_html(
    path: Path, *, wanted: Sequence[Shown], codes: Sequence[str], bodies: Sequence[str], rel: str
) -> ReadBack:
    """The page: needs nothing but itself, shows every picture, lists every finding, turns every body."""
    try:
        root, found = parsed(path.read_bytes().decode("utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        return ReadBack(path=rel, problems=(f"cannot be read: {said(error)}",))
    problems = [*found, *closed_problems(root)]
    boxes = {box.attributes.get("id", ""): box for box in root.all("div", "paper")}
    for one in wanted:
        box = boxes.get(f"picture-{one.name}")
        if box is None:
            problems.append(f"does not show {one.name}")
            continue
        texts = [_text(node) for node in box.all("text")]
        problems += picture_problems(one, texts, [_circle(node.attributes) for node in box.all("circle")])
    rows = [[_text(cell) for cell in row.all("td")] for row in root.all("tr")]
    listed = [row[1] for row in rows if len(row) > 1]
    if listed != list(codes):
        problems.append(f"lists findings {', '.join(listed) or 'none'}, wanted {', '.join(codes) or 'none'}")
    problems += _bodies(root, bodies)
    facts = f"{len(wanted)} pictures, {len(bodies)} bodies to turn, nothing loaded from outside"
    return ReadBack(path=rel, facts=(facts,), problems=tuple(problems))


def _bodies(root: Node, bodies: Sequence[str]) -> Iterator[str]:
    holders = [s for s in root.all("script") if s.attributes.get("id") == "space-data"]
    if not holders:
        if bodies:
            yield "has no view in 3D"
        return
    try:
        names = [one["name"] for one in json.loads(holders[0].raw)["things"]]
    except (ValueError, KeyError, TypeError) as error:
        yield f"has a view in 3D that cannot be read: {said(error)}"
        return
    if names != list(bodies):
        yield "turns other bodies than the job has"


def _text(node: Node) -> str:
    return "".join(_text(part) if isinstance(part, Node) else part for part in node.inside)
