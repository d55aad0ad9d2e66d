"""What can be looked up, where it stands in the page, and words that lead there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generators.sheets.manual.content import Manual
from generators.sheets.phone.elements import Child, el

_CODE = re.compile(r"``([^`]+)``|`([^`]+)`")


def anchor(*words: str) -> str:
    """The name of a place in the page: words of a kind, a table, a key."""
    return "-".join(re.sub(r"[^a-z0-9_]+", "-", word.lower()).strip("-") for word in words if word)


def places(manual: Manual) -> dict[str, str]:
    """Terms as they are written in text, and the place each leads to."""
    out: dict[str, str] = {}
    for command in manual.commands:
        out[f"pedalplate {command.name}"] = out[command.name] = anchor("command", command.name)
    for form in manual.forms:
        for table in form.tables:
            for written in table.places:
                out.setdefault(written, anchor(form.name, table.place))
    for subject in manual.rules:
        for rule in subject.rules:
            out[rule.code] = anchor("rule", rule.code)
    for kind in manual.kinds:
        out[kind.name] = anchor("kind", kind.name)
    return out


def led(term: str, known: Mapping[str, str]) -> str:
    """The place a term in code letters leads to; empty for none. Of a command line the command counts."""
    if term in known:
        return known[term]
    words = term.split()
    if words[:1] == ["pedalplate"] and len(words) > 1:
        return known.get(" ".join(words[:2]), "")
    return known.get(words[0], "") if len(words) > 1 and words[1].startswith("--") else ""


def said(text: str, known: Mapping[str, str], here: str = "") -> Iterator[Child]:
    """A text with what stands between backticks in code letters, leading where it can be looked up."""
    end = 0
    for match in _CODE.finditer(text):
        yield text[end : match.start()]
        term = match[1] or match[2]
        place = led(term, known)
        code = el("code", term)
        yield el("a", code, href=f"#{place}") if place and place != here else code
        end = match.end()
    yield text[end:]
