"""An HTML file as a tree of elements, with what the parser of the standard library tells."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset(
    ("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr")
)
"""Elements that never have an end tag (WHATWG HTML, 13.1.2)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Order:
    """Every element of a file in its order, and the places of those of each tag."""

    nodes: Sequence[Node]
    places: Mapping[str, Sequence[int]]


@dataclass(slots=True, kw_only=True)
class Node:
    """An element; ``inside`` are its texts and elements in their order."""

    tag: str
    attributes: Mapping[str, str]
    inside: list[Node | str] = field(default_factory=list)
    order: _Order | None = field(default=None, repr=False, compare=False)
    """Of its file, once that is parsed; of it ``span`` is the element and all in it, to one past the last."""
    span: tuple[int, int] = field(default=(0, 0), repr=False, compare=False)

    @property
    def classes(self) -> frozenset[str]:
        """The words of its class."""
        return frozenset(self.attributes.get("class", "").split())

    def walk(self) -> Iterator[Node]:
        """It and every element in it, in the order of the file."""
        left = [self]
        while left:
            node = left.pop()
            yield node
            left += [child for child in reversed(node.inside) if isinstance(child, Node)]

    def all(self, tag: str = "", class_: str = "", **attributes: str) -> list[Node]:
        """Elements in it of a tag, a class and attributes, in the order of the file."""
        return [
            node
            for node in self._tagged(tag)
            if (not class_ or (class_ in node.attributes.get("class", "") and class_ in node.classes))
            and all(node.attributes.get(name) == value for name, value in attributes.items())
        ]

    def _tagged(self, tag: str) -> Sequence[Node]:
        """It and the elements in it, those of that tag where one is named."""
        if self.order is None:
            return [node for node in self.walk() if not tag or node.tag == tag]
        first, end = self.span
        if not tag:
            return self.order.nodes[first:end]
        places, nodes = self.order.places.get(tag, ()), self.order.nodes
        return [nodes[k] for k in places[bisect_left(places, first) : bisect_left(places, end)]]

    @property
    def raw(self) -> str:
        """Its own text, letter by letter."""
        return "".join(child for child in self.inside if isinstance(child, str))

    @property
    def text(self) -> str:
        """What it says, blanks taken together; a length says what was said of it before it had two units."""
        return " ".join(self._told().split())

    def _told(self) -> str:
        if "length" in self.classes:
            return self.attributes.get("data-said", "")
        return "".join(child if isinstance(child, str) else child._told() for child in self.inside)


class _Parser(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open = [Node(tag="", attributes={})]
        self.problems: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) < len(names):
            self.problems.append(f"line {self.getpos()[0]}: <{tag}> has an attribute twice")
        node = Node(tag=tag, attributes={name: value or "" for name, value in attrs})
        self.open[-1].inside.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if len(self.open) < 2 or self.open[-1].tag != tag:
            self.problems.append(f"line {self.getpos()[0]}: </{tag}> closes nothing")
            return
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].inside.append(data)


def parsed(text: str) -> tuple[Node, list[str]]:
    """The root over all of a file, and what is wrong with how its elements are nested."""
    parser = _Parser()
    parser.feed(text)
    parser.close()
    problems = parser.problems
    problems += [f"<{node.tag}> is not closed" for node in parser.open[1:]]
    _number(parser.open[0])
    return parser.open[0], problems


def _number(root: Node) -> None:
    """Give every element of a whole file its place in it."""
    nodes: list[Node] = []
    places: dict[str, list[int]] = {}
    order = _Order(nodes, places)
    left: list[tuple[Node, bool]] = [(root, False)]
    while left:
        node, done = left.pop()
        if done:
            node.span = node.span[0], len(nodes)
            continue
        node.order, node.span = order, (len(nodes), 0)
        places.setdefault(node.tag, []).append(len(nodes))
        nodes.append(node)
        left.append((node, True))
        left += [(child, False) for child in reversed(node.inside) if isinstance(child, Node)]
