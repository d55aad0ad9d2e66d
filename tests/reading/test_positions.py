"""Places against texts laid out by hand."""

from __future__ import annotations

import tomllib

import pytest

from generators.reading.toml.paths import parse_path, path_text
from generators.reading.toml.positions import WHOLE_FILE, Places

TEXT = """\
# é in a comment
top = 1
"b c".d = [1, "é", {q = 2}]
[t.u]
k = \"\"\"
two lines\"\"\"
x.y . z = 0x10
[t]
own = true
[[p]]
n = "é"
[[p]]
n = "second"
[[p.h]]
z = [
  ["1", "2"], # c
  ["3", "4"],
]
  [p.h.at]
  u = "1 mm"
[[p.h]]
w = { "é" = "é", b = 1 }
"""

# path: key line, key column, value line, value column; counted by hand in TEXT.
PLACES = {
    "top": (2, 1, 2, 7),
    "t": (8, 2, 8, 2),
    "t.u": (4, 4, 4, 4),
    "t.u.k": (5, 1, 5, 5),
    "t.u.x": (7, 1, 7, 1),
    "t.u.x.y": (7, 3, 7, 3),
    "t.u.x.y.z": (7, 7, 7, 11),
    "t.own": (9, 1, 9, 7),
    "p": (10, 3, 10, 3),
    "p[0]": (10, 3, 10, 3),
    "p[0].n": (11, 1, 11, 5),
    "p[1]": (12, 3, 12, 3),
    "p[1].n": (13, 1, 13, 5),
    "p[1].h[0]": (14, 5, 14, 5),
    "p[1].h[0].z": (15, 1, 15, 5),
    "p[1].h[0].z[0]": (16, 3, 16, 3),
    "p[1].h[0].z[1][1]": (17, 9, 17, 9),
    "p[1].h[0].at": (19, 8, 19, 8),
    "p[1].h[0].at.u": (20, 3, 20, 7),
    "p[1].h[1].w": (22, 1, 22, 5),
}


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("path", PLACES)
def test_places_counted_by_hand(path: str, newline: str) -> None:
    text = TEXT.replace("\n", newline)
    tomllib.loads(text)
    places = Places(text)
    key, value = places.key(parse_path(path)), places.value(parse_path(path))
    assert (key.line, key.column, value.line, value.column) == PLACES[path]
    assert key.source == TEXT.split("\n")[key.line - 1]


def test_quoted_keys_and_columns_in_characters() -> None:
    places = Places(TEXT)
    assert (places.key(("b c",)).line, places.key(("b c",)).column) == (3, 1)
    assert places.key(("b c", "d")).column == 7
    # One é before it: two bytes, one column.
    assert places.value(("b c", "d", 2)).column == 20
    assert places.value(("b c", "d", 2, "q")).column == 25
    assert places.value(("p", 1, "h", 1, "w", "é")).column == 13
    assert places.key(("p", 1, "h", 1, "w", "b")).column == 18


def test_escapes_in_a_quoted_key_are_read() -> None:
    assert Places('"\\u00e9" = 1\n"a\\"b" = 2\n').key(('a"b',)).line == 2


def test_what_is_not_there_is_placed_at_its_nearest_ancestor() -> None:
    places = Places(TEXT)
    assert places.value(("p", 1, "h", 0, "missing")).line == 14
    assert places.value(("p", 1, "h", 0, "at", "v")).line == 19
    assert places.value(("nothing",)) == WHOLE_FILE
    assert places.value(()) == WHOLE_FILE


@pytest.mark.parametrize(
    "text", ["", "[", "= = =", "[[]]\nx = 1", "a = [1, {", "\x01\x02", "[a\nb = 1", '"\\q" = 1']
)
def test_a_text_that_is_not_toml_has_places_too(text: str) -> None:
    assert Places(text).value(("a", "b", 3)).line >= 0


@pytest.mark.parametrize("text", ["a", "a.b", "panel[0].hole[12].at.u", "x[1][2]"])
def test_a_path_survives_its_printed_form(text: str) -> None:
    assert path_text(parse_path(text)) == text


def test_a_strange_key_is_quoted_and_cut() -> None:
    printed = path_text(("a", "b c\x1b" + "x" * 500))
    assert printed.startswith('a."b c\\u001b')
    assert len(printed) < 80
