"""Named sizes and arithmetic of quantities: worked by hand here, with exact fractions in the random ones."""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generators.errors import Fault, SpecError
from generators.parts import KINDS
from generators.reading import JobFile, load_sources, read_job, render
from generators.reading.sizes.table import read_sizes
from generators.reading.sizes.terms import worked_out

ALL = {kind.name: kind.parameters for kind in KINDS}
SIZES = """
[sizes]
edge = "20 mm"
gap = "1/8 in"
both = "edge + 2 gap"
lean = "12 deg"
push = "2 kN"
half = 0.5
"""


def sizes_of(text: str) -> str:
    """What a text comes to with the sizes above."""
    import tomllib

    def report(*said: object) -> None:
        raise AssertionError(said)

    return worked_out(text, read_sizes(tomllib.loads(SIZES)["sizes"], report).find).text


@pytest.mark.parametrize(
    ("text", "comes_to"),
    [
        ("edge + 2 gap", "26.35 mm"),  # 20 + 2 · 3.175
        ("both", "26.35 mm"),
        ("1/2 edge", "10 mm"),
        ("1 1/2 in + gap", "41.275 mm"),  # 38.1 + 3.175
        ("(edge - gap) / 2", "8.4125 mm"),
        ("half * edge", "10 mm"),
        ("-edge + 3 mm", "-17 mm"),
        ("edge - gap - gap", "13.65 mm"),  # from left to right
        ("12 mm / 2 * 3", "18 mm"),
        ("lean / 2 + 1 deg", "7 deg"),
        ("push / (edge * edge)", "5 MPa"),  # 2000 N on 400 mm²
        ("edge * edge * 25 mm", "10000 mm3"),
        ("1 mm / push", "0.0005 mm/N"),
        ("edge / gap * gap", "20 mm"),  # exact on the way: 6.299… is never rounded
    ],
)
def test_worked_by_hand(text: str, comes_to: str) -> None:
    assert sizes_of(text) == comes_to


@st.composite
def sums(draw: st.DrawFn, deep: int = 3) -> tuple[str, Fraction, int]:
    """A text, its value in mm worked out with fractions, and its power of length."""
    kind = draw(st.sampled_from(("length", "number", "+", "-", "*", "/", "("))) if deep else "length"
    if kind in ("length", "number"):
        count = Fraction(draw(st.integers(1, 99)), draw(st.sampled_from((1, 2, 4, 8))))
        text = str(count)
        return (f"{text} mm", count, 1) if kind == "length" else (text, count, 0)
    left = draw(sums(deep - 1))
    if kind == "(":
        return f"({left[0]})", left[1], left[2]
    right = draw(sums(deep - 1))
    if kind in "+-":
        # an operand of another kind is made one of the same
        while right[2] != left[2]:
            way = "*" if right[2] < left[2] else "/"
            value = right[1] * 3 if way == "*" else right[1] / 3
            right = (f"({right[0]}) {way} 3 mm", value, right[2] + (1 if way == "*" else -1))
        value = left[1] + right[1] if kind == "+" else left[1] - right[1]
        return f"({left[0]}) {kind} ({right[0]})", value, left[2]
    if kind == "/" and right[1] == 0:
        return left
    value = left[1] * right[1] if kind == "*" else left[1] / right[1]
    power = left[2] + right[2] if kind == "*" else left[2] - right[2]
    return f"({left[0]}) {kind} ({right[0]})", value, power


@given(sums())
def test_as_fractions_have_it(drawn: tuple[str, Fraction, int]) -> None:
    text, value, power = drawn
    if power != 1 or len(text) > 120:
        return
    number, unit = sizes_of(text).split()
    assert unit == "mm"
    assert math.isclose(float(number), float(value), rel_tol=1e-12, abs_tol=1e-300)


def read(spec: Path, text: str) -> JobFile:
    return read_job(spec, ALL, text.encode())


def test_every_kind_of_quantity_takes_it() -> None:
    root = Path(__file__).parents[2] / "specs" / "ferrow_bus.toml"
    plain = root.read_text(encoding="utf-8")
    worked = plain
    for was, now in (
        (
            'thickness = "4 mm"\n\n  [part.parameters]\n  mounting',
            'thickness = "2 sheet"\n\n  [part.parameters]\n  mounting',
        ),
        ('tilt = "45 deg"', 'tilt = "3 * 15 deg"'),
        ('["0 mm", "350 N"]', '["sheet - 2 mm", "300 N + 50 N"]'),
        ('rating = "10 MPa"', 'rating = "1000 N / (10 mm * 10 mm)"'),
        ('air = "0.2 cc"', 'air = "sheet * 10 mm * 10 mm"'),
        ('bracket_flex = "0.2 mm/kN"', 'bracket_flex = "0.2 mm / 1 kN"'),
        ('radius = "2 in"', 'radius = "2 inch_here"'),
        ('"610 mm", "270 mm"', '"600 mm + 5 sheet", "sheet * 135"'),
        ('stop = "floor"', 'stop = "floor"'),
    ):
        assert was in worked
        worked = worked.replace(was, now, 1)
    worked = '[sizes]\nsheet = "2 mm"\ninch_here = "25.4 mm"\n' + worked
    assert read(root, worked).job.panel == read(root, plain).job.panel
    assert read(root, worked).job.pedal == read(root, plain).job.pedal
    assert read(root, worked).job.part == read(root, plain).job.part
    assert read(root, worked).job.hose == read(root, plain).job.hose


def test_the_revision_is_that_of_what_it_comes_to(plate: Path) -> None:
    text = plate.read_text(encoding="utf-8")
    worked = text.replace('"40 mm"', '"2 * a_size"')
    twenty = read(plate, '[sizes]\na_size = "20 mm"\n' + worked)
    renamed = read(plate, '[sizes]\nother = "20 mm"\n' + worked.replace("a_size", "other"))
    wider = read(plate, '[sizes]\na_size = "21 mm"\n' + worked)
    assert twenty.revision == renamed.revision == read(plate, text).revision
    assert wider.revision != twenty.revision


def faults_of(plate: Path, sizes: str, value: str) -> tuple[Fault, ...]:
    text = f"[sizes]\n{sizes}\n" + plate.read_text(encoding="utf-8").replace('"40 mm"', f'"{value}"')
    plate.write_text(text, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_job(plate, ALL)
    return caught.value.faults


@pytest.mark.parametrize(
    ("sizes", "value", "mark", "says"),
    [
        ('gap = "3 mm"', "2 gp", "2 gp", 'the unknown name "gp"'),
        ('gap = "3 mm"', "40 mm + nothing", "nothing", 'the unknown name "nothing"'),
        ('gap = "3 mm"', "gap * 40 mm", '"gap * 40', "a length times a length"),
        ('gap = "3 mm"', "gap + 3 N", "+ 3 N", "a force added to a length"),
        ('gap = "3 mm"', "(gap + 3 mm", "(gap", "a bracket that is not closed"),
        ('gap = "3 mm"', "gap / (3 - 3)", "/ (3", "a division by zero"),
        ('gap = "3 mm"', "gap + + ", '"', "nothing"),
        ('gap = "3 mm"', "40 mm ; gap", '"40 mm ;', "found '40 mm ; gap'"),
        ('gap = "3 mm"', "400 gap", '"400 gap', "1200 mm, worked out from"),
        ('gap = "gap"', "gap", '"gap"\n', "a circle: gap from itself"),
        ('a = "b + 1 mm"\nb = "2 c"\nc = "a"', "a", '"b + 1 mm"', "a circle: a from b from c from a"),
        ('mm = "3 mm"', "4 mm + 36 mm", '"3 mm"', "which means something else in a quantity"),
        ("gap = true", "gap", "true", "the flag true"),
        (
            'a = "1 mm"\n' + "\n".join(f'{x} = "{y} * {y}"' for x, y in ("ba", "cb", "dc")),
            "d",
            '* c"',
            "out of all measure",
        ),
        (f"gap = {'9' * 400}", "40 mm", "999", "a whole number of more than 38 digits"),
        # 10^300 mm and more: no float holds their product
        (
            "\n".join(
                ['a = "' + "9" * 100 + ' mm"', *(f'{x} = "{"9" * 100} {y}"' for x, y in ("ba", "cb", "dc"))]
            ),
            "d",
            "999",
            "out of all measure",
        ),
        ('gap = "3 mm"', "__import__('os')", '"__import__', "a length with its unit"),
        ('gap = "3 mm"', "(" * 20 + "gap" + ")" * 20, "((((((((gap", "brackets within each other"),
        ('gap = "3 mm"', "gap" + " + gap" * 40, '"gap + gap', "a length"),
    ],
)
def test_what_cannot_be_worked_out_is_pointed_at(
    plate: Path, sizes: str, value: str, mark: str, says: str
) -> None:
    faults = faults_of(plate, sizes, value)
    shown = render(faults, load_sources(faults))
    assert says in shown, shown
    assert len(faults) == 1, shown
    row = plate.read_text(encoding="utf-8").split("\n")[faults[0].line - 1]
    assert (row[faults[0].column - 1 :] + "\n").startswith(mark), (row, faults[0].column)


def test_a_long_chain_of_sizes_is_worked_out(plate: Path) -> None:
    chain = "\n".join(f's{k} = "s{k + 1} + 0.1 mm"' for k in range(150)) + '\ns150 = "25 mm"'
    text = f"[sizes]\n{chain}\n" + plate.read_text(encoding="utf-8").replace('"40 mm"', '"s0"')
    job = read(plate, text).job
    assert math.isclose(job.part[0].parameters.opening_mm, 40.0)


def test_without_sizes_a_slip_reads_as_before(plate: Path) -> None:
    faults = faults_of(plate, "", "40 furlong")
    assert "unknown unit" in faults[0].found
