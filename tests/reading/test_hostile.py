"""Whatever the bytes, the answer is a job or a ``SpecError`` whose every fault says what it wants."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generators.errors import SpecError
from generators.reading import JobFile, load_sources, read_job, render
from specs import BASE, KINDS

TOKENS = re.findall(r"\s+|\"[^\"\n]*\"|[A-Za-z0-9_]+|.", BASE)
STRANGE = (
    *("", " ", "\n", "\r", "\0", "\ufeff", "a.b.c.d = 1\n", "[panel]\n", "[[panel]]\n", "[[panel.hole]]\n"),
    *("[[part.parameters]]\n", '"" = 1\n', '"0 mm"', '"-1 mm"', '"1e9 mm"', '"1/0 in"', '"٣ mm"'),
    *('"', "'", '"""', "'''", "[", "]", "[[", "]]", "{", "}", "=", ".", ",", "#", "nan", "-inf", "true"),
    *("1e999", "2020-01-01", "[]", "{}", "[[]]", "''", "0xf"),
    *('"seam"', '"left"', '"firewall"', '"\\u202e"', '"\\ud800"', "0x" + "f" * 5000, "9" * 400, "9" * 5000),
)
RELAXED = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow])


def outcome(data: bytes, shop: bytes | None = None) -> JobFile | SpecError:
    with tempfile.TemporaryDirectory() as folder:
        spec = Path(folder, "spec.toml")
        spec.write_bytes(data)
        if shop is not None:
            Path(folder, "shop.toml").write_bytes(shop)
        try:
            return read_job(spec, KINDS)
        except SpecError as error:
            return error if render(error.faults, load_sources(error.faults)) else pytest.fail("nothing shown")


def check(result: JobFile | SpecError) -> None:
    if isinstance(result, SpecError):
        for fault in result.faults:
            assert fault.expected
            assert fault.found
            assert len(fault.render()) < 2500
            assert fault.render().isprintable()


@RELAXED
@given(st.binary(max_size=200))
def test_bytes(data: bytes) -> None:
    check(outcome(data))


@RELAXED
@given(st.text(max_size=200), st.text(max_size=60))
def test_texts(spec: str, shop: str) -> None:
    check(outcome(spec.encode("utf-8", "surrogatepass"), shop.encode("utf-8", "surrogatepass")))


@RELAXED
@given(st.binary(max_size=60), st.integers(0, len(BASE)))
def test_bytes_in_the_middle_of_a_sound_spec(data: bytes, at: int) -> None:
    check(outcome(BASE.encode()[:at] + data + BASE.encode()[at:]))


MUTATION = st.tuples(
    st.integers(0, len(TOKENS) - 1), st.one_of(st.sampled_from(STRANGE), st.sampled_from(TOKENS))
)


@settings(RELAXED, max_examples=400)
@given(st.lists(MUTATION, min_size=1, max_size=4))
def test_tokens_left_out_or_replaced(mutations: list[tuple[int, str]]) -> None:
    tokens = list(TOKENS)
    for index, token in mutations:
        tokens[index] = token
    check(outcome("".join(tokens).encode("utf-8", "surrogatepass")))


@RELAXED
@given(st.integers(0, len(BASE)), st.integers(0, len(BASE)))
def test_a_piece_cut_out(start: int, end: int) -> None:
    check(outcome((BASE[:start] + BASE[end:]).encode()))
