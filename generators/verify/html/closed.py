"""A page that needs nothing but itself: no address in it, and a policy that forbids all else."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator

from generators.verify.html.tree import Node

ADDRESSED = frozenset(
    (
        "src",
        "srcset",
        "href",
        "xlink:href",
        "action",
        "formaction",
        "data",
        "poster",
        "background",
        "ping",
        "manifest",
    )
)
"""Attributes a browser may follow (WHATWG HTML, index of attributes)."""

FOREIGN = frozenset(("link", "base", "iframe", "frame", "object", "embed", "img", "audio", "video", "form"))
WANTED = {"default-src": ["'none'"], "base-uri": ["'none'"], "form-action": ["'none'"]}


def closed_problems(root: Node) -> Iterator[str]:
    """What in a page could ask the network, or run without being named in its policy."""
    for node in root.walk():
        if node.tag in FOREIGN:
            yield f"has a <{node.tag}>, which may load something"
        for name, value in node.attributes.items():
            if name in ADDRESSED and not value.startswith("#"):
                yield f"has {name}={value[:40]!r} on <{node.tag}>, which leads out of the file"
            if name.startswith("on") or name == "style":
                yield f"has {name} on <{node.tag}>, which its policy does not allow"
            if "url(" in value and "url(#" not in value:
                yield f"has an address in {name} of <{node.tag}>"
    for style in root.all("style"):
        if "url(" in style.raw or "@import" in style.raw:
            yield "has a style that may load something"
    yield from _policy(root)


def _policy(root: Node) -> Iterator[str]:
    metas = [
        m for m in root.all("meta") if m.attributes.get("http-equiv", "").lower() == "content-security-policy"
    ]
    if len(metas) != 1:
        yield f"has {len(metas)} content policies, wanted 1"
        return
    said: dict[str, list[str]] = {}
    for rule in metas[0].attributes.get("content", "").split(";"):
        name, *values = rule.split()
        said[name] = values
    scripts = [s for s in root.all("script") if "type" not in s.attributes]
    wanted = {
        **WANTED,
        "style-src": [_hash(s.raw) for s in root.all("style")],
        "script-src": [_hash(s.raw) for s in scripts],
    }
    for name, values in wanted.items():
        if sorted(said.get(name, [])) != sorted(values):
            yield f"has a content policy whose {name} is not that of the page"
    for name in sorted(set(said) - set(wanted)):
        yield f"has a content policy that says {name}"


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
