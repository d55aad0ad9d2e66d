"""Elements of the page, made by the standard library's tree so that no text can ever be markup."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias
from xml.etree import ElementTree as Tree

Element: TypeAlias = "Tree.Element[str]"
Child: TypeAlias = "str | Element | Iterable[Child] | None"
_SPACE = "{http://www.w3.org/2000/svg}"


def el(tag: str, *children: Child, **attributes: str | int) -> Element:
    """An element. ``class_`` and ``for_`` lose their underscore, others get ``-`` for it (``data_head``)."""
    out = Tree.Element(tag)
    for name, value in attributes.items():
        out.set(name.rstrip("_").replace("_", "-"), str(value))
    add(out, *children)
    return out


def add(parent: Element, *children: Child) -> Element:
    """Put texts and elements at the end of an element; what is None or empty adds nothing."""
    for child in children:
        if child is None:
            continue
        if isinstance(child, str):
            _text(parent, child)
        elif isinstance(child, Tree.Element):
            parent.append(child)
        else:
            add(parent, *child)
    return parent


def _text(parent: Element, text: str) -> None:
    if len(parent):
        parent[-1].tail = (parent[-1].tail or "") + text
    else:
        parent.text = (parent.text or "") + text


def markup(element: Element) -> str:
    """An element as HTML text."""
    return Tree.tostring(element, encoding="unicode", method="html")


def element(text: str) -> Element:
    """The element that ``markup`` made a text of. Raises ``ParseError`` for what is none."""
    return Tree.fromstring(text)


def inline_svg(text: str, own: str, words: str, px_per_mm: float) -> Element:
    """A picture of the pens as an element of a page, at so many px a mm.

    ``own`` begins the names of its clips, so that no two pictures share one; ``words`` stand for it where it
    is not seen.
    """
    root = Tree.fromstring(text)
    for node in root.iter():
        node.tag = str(node.tag).removeprefix(_SPACE)
        node.tail = None
        for name in ("id", "clip-path"):
            value = node.get(name)
            if value:
                node.set(name, value.replace("clip", f"{own}clip", 1))
    root.text = None
    for name in ("width", "height"):
        root.set(name, f"{float(str(root.get(name)).removesuffix('mm')) * px_per_mm:g}")
    root.set("role", "img")
    root.set("aria-label", words)
    # title and description are for a file of its own: here they would pop up under a finger
    for node in [n for n in root if n.tag in ("title", "desc")]:
        root.remove(node)
    return root
