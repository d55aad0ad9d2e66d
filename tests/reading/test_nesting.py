"""The depth bound: it must see every bracket the parser would, and no other."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.errors import SpecError
from generators.reading.toml.nesting import NESTING_LIMIT, too_deep
from generators.reading.toml.source import parse_bytes

DEEP = "[" * 40


@pytest.mark.parametrize(
    "quiet",
    [
        f"# {DEEP}\n",
        f'x = "{DEEP}"\n',
        f"x = '{DEEP}'\n",
        f'x = "\\"{DEEP}"\n',
        f'x = """{DEEP}\n"{DEEP}""{DEEP}"""\n',
        f'x = """{DEEP}"""""\n',
        f"x = '''{DEEP}'\n'' {DEEP}'''''\n",
        f'x = """\\"""{DEEP}"""\n',
        "x = " + "[" * NESTING_LIMIT + "]" * NESTING_LIMIT,
        "x = [" + "[1]," * 500 + "]",
        "x = 1.5\n" * 100,
    ],
)
def test_brackets_in_texts_and_comments_do_not_count(quiet: str) -> None:
    assert too_deep(quiet) is None


@pytest.mark.parametrize(
    "deep",
    [
        f"x = {DEEP}",
        f'x = ["a", """b""", {DEEP}',
        f"x = '''a''', {DEEP}",
        f'x = "\\\\" {DEEP}',
        "x = " + "[{a=" * 20,
        ".".join("a" * 17) + " = 1",
        " . ".join(['"a.b"'] * 17) + " = 1",
    ],
)
def test_depth_outside_them_does(deep: str) -> None:
    assert too_deep(deep) is not None


@given(st.text(alphabet="[]{}\"'#\\\n=.,a1 ", max_size=300))
def test_what_the_scan_lets_pass_never_exhausts_the_parser(text: str) -> None:
    opener = "x = [" * 3 + text + "[" * 3000
    # A RecursionError would not be suppressed.
    with contextlib.suppress(SpecError):
        parse_bytes("x.toml", opener.encode())


@pytest.mark.parametrize("piece", ['"""', "'''", '"', '\\"""', '""', "[", "a.", '"""\\'])
def test_a_hostile_megabyte_is_refused(piece: str) -> None:
    # a scan that took the square of the length would be at it for days
    text = "x = " + piece * (1024 * 1024 // len(piece) - 10)
    with pytest.raises(SpecError):
        parse_bytes("x.toml", text.encode())
