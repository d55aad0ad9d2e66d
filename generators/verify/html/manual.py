"""A finished ``manual.html``: closed to the network, every name it must hold, no link that leads nowhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from generators.verify.html.closed import closed_problems
from generators.verify.html.tree import Node, parsed
from generators.verify.readback import ReadBack

CAUTION = "have the work checked by a licensed mechanic"


def read_manual(
    path: Path,
    *,
    commands: Sequence[str],
    keys: Mapping[str, Sequence[tuple[str, str]]],
    rules: Sequence[str],
    kinds: Mapping[str, Sequence[str]],
) -> ReadBack:
    """Read a finished manual against the names it must hold; what is wrong becomes a problem.

    ``keys`` are (table, key) of each form, ``kinds`` the parameters of each kind.
    """
    try:
        root, problems = parsed(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as fault:
        return ReadBack(path=path.name, problems=(f"cannot be read: {fault}",))
    problems += closed_problems(root)
    problems += _links(root)
    if CAUTION not in root.text:
        problems.append("has no caution")
    found = Counter(_found(root))
    wanted = Counter(
        [
            *(("commands", name) for name in commands),
            *(("rules", name) for name in rules),
            *(("kinds", name) for name in kinds),
            *(("kinds", key) for own in kinds.values() for key in own),
            *((f"keys-{form}", key) for form, listed in keys.items() for _, key in listed),
        ]
    )
    problems += [f"lacks {name} under {section}" for section, name in wanted - found]
    count = sum(len(one) for one in keys.values())
    names = f"{len(commands)} commands, {count} keys, {len(rules)} rules and {len(kinds)} kinds"
    fact = f"{names}; all links lead somewhere"
    return ReadBack(path=path.name, facts=(fact,), problems=tuple(dict.fromkeys(problems)))


def _found(root: Node) -> Iterator[tuple[str, str]]:
    """Names of entries that say something, by the section they stand in."""
    for section in root.all("section"):
        heads = [n for n in section.all("h2") if n.attributes.get("id")]
        if not heads:
            continue
        name = heads[0].attributes["id"]
        for article in section.all("article"):
            if article.all("p") or article.all("dd"):
                yield name, article.attributes.get("data-find", "")
            for row in article.all("tr"):
                cells = row.all("td")
                named = cells[0].all("code") if cells else []
                if named and "data-find" in named[0].attributes and all(cell.text for cell in cells):
                    yield name, named[0].text


def _links(root: Node) -> Iterator[str]:
    places = Counter(node.attributes["id"] for node in root.walk() if "id" in node.attributes)
    yield from (f"has the place {place} {count} times" for place, count in places.items() if count > 1)
    for link in root.all("a"):
        place = link.attributes.get("href", "").removeprefix("#")
        if place not in places:
            yield f"has a link to {place or 'nothing'}, which is not there"
        if not link.text:
            yield f"has a link to {place} without words"
