"""``manual.html``: commands, keys, rules, kinds, files and sources in one file that needs nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from pathlib import Path

from generators.checks.rule import Rule
from generators.model.spec.fields import toml_key
from generators.model.words import CAUTIONS
from generators.sheets.manual.chapters import chapter
from generators.sheets.manual.content import Command, Form, Manual
from generators.sheets.manual.folder import FILES, READERS
from generators.sheets.manual.keys import Key, Table
from generators.sheets.manual.kinds import KindPage
from generators.sheets.manual.rules import waived
from generators.sheets.manual.sources import TRUST
from generators.sheets.manual.terms import anchor, places, said
from generators.sheets.phone.elements import Child, Element, el, inline_svg, markup
from generators.sheets.web.inline import GUIDE, kept, styled, write_page

PX_PER_MM = 4.0
NAME = "manual.html"
Known = Mapping[str, str]


def write_manual(path: Path, manual: Manual) -> None:
    """Write the page. Raises ``OSError``."""
    style, script = styled(GUIDE, ("manual", "page.css")), kept("manual", "page.js")
    known = places(manual)
    written = [chapter(text, name, known) for name, text in manual.guide]
    parts = {
        "commands": ("Commands", _commands(manual, known)),
        **{f"keys-{form.name}": (form.title, _form(form, manual, known)) for form in manual.forms},
        "rules": ("Rules", _rules(manual, known)),
        "kinds": ("Kinds of bracket", _kinds(manual, known)),
        "files": ("Files of a folder, exit codes", _files(manual, known)),
        "sources": ("Sources of the tables", _sources(manual)),
        "index": ("Index", _index(manual)),
    }
    sections = [
        markup(el("section", el("h2", title, id=name, data_find=title), list(inside)))
        for name, (title, inside) in parts.items()
    ]
    contents = [*((place, words) for _, headings in written for place, words in headings[:1])]
    contents += [(name, title) for name, (title, _) in parts.items()]
    write_page(
        path,
        "manual",
        heading="pedalplate manual",
        style=style,
        allowed=[script],
        version=escape(manual.version),
        contents=markup(el("ul", [el("li", el("a", words, href=f"#{place}")) for place, words in contents])),
        cautions=markup(
            el("div", el("strong", "Before you rely on it"), [el("p", c) for c in CAUTIONS], class_="caution")
        ),
        guide="\n".join(f"<section>{html}</section>" for html, _ in written),
        main="\n".join(sections),
        script=script,
    )


def _table(heads: tuple[str, ...], rows: Iterable[Sequence[Child]], kind: str = "") -> Element:
    """A table whose cells name their column, so that a phone can show them one under the other."""
    head = el("thead", el("tr", [el("th", one, scope="col") for one in heads]))
    body = el("tbody")
    for row in rows:
        cells = [el("td", cell, data_head=name) for name, cell in zip(heads, row, strict=True)]
        body.append(el("tr", cells))
    return el("table", head, body, class_=f"rows {kind}".strip())


# ------------------------------------------------------------------------------ commands
def _commands(manual: Manual, known: Known) -> Iterator[Child]:
    yield el("p", "Every command answers with JSON where it is asked with ", el("code", "--json"), ".")
    for command in manual.commands:
        yield _command(command, known)


def _command(command: Command, known: Known) -> Element:
    here = anchor("command", command.name)
    options = _table(
        ("option", "meaning"),
        ([el("code", o.written), list(said(o.meaning, known, here))] for o in command.options),
    )
    return el(
        "article",
        el("h3", f"pedalplate {command.name}"),
        el("pre", el("code", command.usage)),
        [el("p", said(line, known, here)) for line in command.words],
        el("pre", el("code", "\n".join(command.examples))) if command.examples else None,
        options if command.options else None,
        id=here,
        data_find=command.name,
    )


# ------------------------------------------------------------------------------ keys
def _form(form: Form, manual: Manual, known: Known) -> Iterator[Child]:
    yield el(
        "p",
        f"{sum(len(t.keys) for t in form.tables)} keys in {len(form.tables)} tables. "
        "A quantity is a text with its unit. A key without a default may be left out, unless it is required.",
    )
    rules: dict[str, str] = {}
    for subject in manual.rules:
        for rule in subject.rules:
            if rule.limit_key:
                rules.setdefault(toml_key(rule.limit_key), rule.code)
    for table in form.tables:
        yield _keys(table, form.name, known, rules if table.place == "limits" else {})


def _keys(table: Table, form: str, known: Known, rules: Mapping[str, str]) -> Element:
    here = anchor(form, table.place)
    head = table.places[0] if table.places else f"top of the {form} file" if not table.place else table.place
    others = table.places[1:]
    return el(
        "article",
        el("h3", el("code", head) if table.places else head),
        el("p", said(table.meaning, known, here)),
        el("p", "The same table stands at ", _codes(others), ".", class_="sub") if others else None,
        _table(
            ("key", "meaning", "may be", "without it", "example"),
            (_key_row(key, here, form, known, rules) for key in table.keys),
            "keys",
        ),
        id=here,
        data_find=head,
    )


def _codes(words: tuple[str, ...]) -> Iterator[Child]:
    for index, word in enumerate(words):
        yield ", " if index else ""
        yield el("code", word)


def _key_row(key: Key, here: str, form: str, known: Known, rules: Mapping[str, str]) -> list[Child]:
    name = el("code", key.name, id=f"{here}.{key.name}", data_find=key.name)
    meaning: list[Child] = [list(said(key.meaning, known))]
    if key.name in rules:
        meaning += [
            "; rule ",
            el("a", el("code", rules[key.name]), href=f"#{anchor('rule', rules[key.name])}"),
        ]
    holds: Child = key.holds
    if key.table:
        holds = [el("a", key.holds, href=f"#{anchor(form, key.table)}")]
    elif not key.example:
        holds = [key.holds, " of the ", el("a", "kind", href="#kinds")]
    return [name, meaning, holds, key.default, el("code", key.example) if key.example else "–"]


# ------------------------------------------------------------------------------ rules
def _rules(manual: Manual, known: Known) -> Iterator[Child]:
    yield el(
        "p",
        "A rule that fails releases no files. A warning and a note stop nothing and are printed. Where you "
        "know better, take it upon yourself with ",
        el("code", "--accept"),
        " and a reason: every sheet is then marked and lists the rule with it. The mark in brackets says how "
        "far a source can be believed: see ",
        el("a", "sources", href="#sources"),
        ".",
    )
    for subject in manual.rules:
        yield el("h3", subject.title, id=anchor("rules", subject.title))
        for rule in subject.rules:
            yield _rule(rule, known)


def _rule(rule: Rule, known: Known) -> Element:
    here = anchor("rule", rule.code)
    typed = waived(rule)
    rows: list[tuple[str, Child]] = [
        ("meaning", list(said(rule.meaning, known, here))),
        ("formula", rule.formula),
        ("source", f"{rule.source} [{rule.trust}]"),
        ("usual cure", list(said(rule.mend, known, here))),
        ("limit", _limit(rule)),
        ("waived by", [el("code", typed[-1])]),
    ]
    return el(
        "article",
        el("h4", el("code", rule.code), f" {rule.title}"),
        el("dl", [[el("dt", name), el("dd", words)] for name, words in rows]),
        id=here,
        data_find=rule.code,
    )


def _limit(rule: Rule) -> Child:
    if not rule.limit_key:
        return "fixed"
    key = toml_key(rule.limit_key)
    return [el("a", el("code", f"[limits] {key}"), href=f"#{anchor('job', 'limits')}.{key}"), " in the spec"]


# ------------------------------------------------------------------------------ kinds
def _kinds(manual: Manual, known: Known) -> Iterator[Child]:
    yield el(
        "p",
        "Each picture is the kind's default part; a name stands at a dimension that follows it one for one. "
        "Grey arrows are u and v of each flange. Not to scale.",
    )
    for kind in manual.kinds:
        yield _kind(kind, known)


def _kind(kind: KindPage, known: Known) -> Element:
    here = anchor("kind", kind.name)
    words = f"{kind.name}: {kind.summary}"
    picture = inline_svg(kind.picture, f"{here}_", words, PX_PER_MM)
    own, *nested = kind.tables
    axes = ([f["flange"], f["origin"], f["u"], f["v"], f["size"].replace(", v", "; v")] for f in kind.faces)
    return el(
        "article",
        el("h3", el("code", kind.name)),
        el("p", said(f"{kind.summary}. `mount.at` places {kind.origin}.", known, here)),
        el("div", picture, class_="picture", tabindex=0),
        el("h4", "Flanges of the default part"),
        _table(("flange", "origin", "u", "v", "reaches"), axes),
        el("h4", "Parameters"),
        _parameters(own, known),
        [[el("h4", el("code", t.places[0])), _parameters(t, known)] for t in nested],
        id=here,
        data_find=kind.name,
    )


def _parameters(table: Table, known: Known) -> Element:
    here = anchor("kind", table.place)
    return _table(
        ("key", "meaning", "may be", "without it", "example"),
        (_key_row(key, here, "kind", known, {}) for key in table.keys),
        "keys",
    )


# ------------------------------------------------------------------------------ files, sources, index
def _files(manual: Manual, known: Known) -> Iterator[Child]:
    yield el("p", [f"{name.capitalize()}: {what[0].lower()}{what[1:]}. " for name, what in READERS.items()])
    yield _table(
        ("file", "what it is", "for"),
        ([el("code", f.pattern), list(said(f.words, known)), ", ".join(f.readers)] for f in FILES),
    )
    yield el("h3", "Exit codes")
    yield _table(("code", "meaning"), ([code, meaning] for code, meaning in manual.exits.items()))


def _sources(manual: Manual) -> Iterator[Child]:
    yield el(
        "p",
        "Every number of a table carries its source and how far it is believed. What is marked from "
        "memory or common practice is a default to override in the spec or the shop file, not proof. "
        "Formulas have their source at the rule.",
    )
    yield _table(("mark", "means"), ([mark.value, words] for mark, words in TRUST.items()))
    yield _table(
        ("table", "source", "edition", "mark", "values"),
        ([s.table, s.words, s.edition or "–", s.trust, str(s.values)] for s in manual.sources),
    )


def _index(manual: Manual) -> Iterator[Child]:
    """Every name once, in the order of the alphabet, with each place it stands at."""
    rows: dict[str, list[tuple[str, str]]] = {}

    def put(name: str, where: str, place: str) -> None:
        rows.setdefault(name, []).append((where, place))

    for command in manual.commands:
        put(command.name, "command", anchor("command", command.name))
    for form in manual.forms:
        for table in form.tables:
            here = anchor(form.name, table.place)
            for key in table.keys:
                put(key.name, table.place or form.name, f"{here}.{key.name}")
    for subject in manual.rules:
        for rule in subject.rules:
            put(rule.code, "rule", anchor("rule", rule.code))
    for kind in manual.kinds:
        put(kind.name, "kind", anchor("kind", kind.name))
        for table in kind.tables:
            for key in table.keys:
                put(key.name, table.place, f"{anchor('kind', table.place)}.{key.name}")
    out = el("ul", class_="index")
    for name in sorted(rows):
        links: list[Child] = []
        for where, place in rows[name]:
            links += [" ", el("a", where, href=f"#{place}")]
        out.append(el("li", el("code", name), links))
    yield out
