"""The written chapters of the manual: text files as HTML, their code words leading to what they name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from html import escape
from itertools import pairwise
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

from generators.sheets.manual.terms import anchor, led


def chapter(text: str, name: str, known: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    """A chapter as HTML, and its headings as (place, words). No markup of the text's own passes."""
    parser = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = parser.parse(text)
    headings = []
    for token, inside in pairwise(tokens):
        if token.type == "heading_open":
            place = anchor("guide", name if token.tag == "h1" else inside.content)
            token.tag = {"h1": "h2", "h2": "h3"}.get(token.tag, "h4")
            token.attrs["id"] = place
            token.attrs["data-find"] = inside.content
            headings.append((place, inside.content))
        elif token.type == "heading_close":
            token.tag = {"h1": "h2", "h2": "h3"}.get(token.tag, "h4")

    def code(self: Any, row: Sequence[Token], index: int, options: Any, env: Any) -> str:
        term = row[index].content
        place = led(term, known)
        shown = f"<code>{escape(term)}</code>"
        return f'<a href="#{place}">{shown}</a>' if place else shown

    parser.add_render_rule("code_inline", code)
    html = parser.renderer.render(tokens, parser.options, {})
    wide = re.sub(r"<table>(.*?)</table>", r'<div class="wide"><table>\1</table></div>', html, flags=re.S)
    return wide, headings
