"""The square code of a kit: what it says, that a slip in it is noticed, and that another's decoder reads it."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from generators.model.sold.code import KitCode, read_code, serial_of
from generators.model.sold.packing import Bag, Box, Packing, Thing
from generators.sheets.kit.packing_sheet import PackingHead, write_packing_list

CODE = KitCode(serial="FB-0042", letter="B", revision="0a1b2c3")


def test_the_code_says_serial_issue_revision_and_a_check_of_these() -> None:
    words = "serial FB-0042; issue B; revision 0a1b2c3"
    # SHA-256 is FIPS 180-4; its digest of these words is taken from the standard library
    assert CODE.text == f"{words}; check {hashlib.sha256(words.encode()).hexdigest()[:6]}"
    assert read_code(CODE.text) == CODE
    assert read_code(f" {CODE.text.replace(' ', '  ')}\n") == CODE
    assert serial_of("FB", 42) == "FB-0042"


@pytest.mark.parametrize(
    ("was", "now"), [("FB-0042", "FB-0043"), ("issue B", "issue C"), ("0a1b2c3", "0a1b2c4")]
)
def test_a_digit_read_or_typed_wrong_is_noticed(was: str, now: str) -> None:
    assert read_code(CODE.text.replace(was, now)) is None


def test_a_kit_without_a_letter_has_none() -> None:
    plain = KitCode(serial="FB-0001", letter="", revision="0a1b2c3")
    assert "issue none;" in plain.text
    assert read_code(plain.text) == plain
    assert read_code("hello") is None


def listed(path: Path, code: KitCode = CODE, paper: str = "A4") -> Path:
    """A packing list of one bag."""
    bag = Bag(number=1, title="Bracket", things=(Thing(quantity=2, item="bolt M8"),))
    packing = Packing(boxes=(Box(number=1, title="All of it", bags=(bag,)),))
    head = PackingHead(title="A bracket", code=code, facts=("For order 1042",))
    write_packing_list(path, packing=packing, head=head, subject="A bracket", revision="0a1b2c3", paper=paper)
    return path


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_another_program_reads_the_code_of_the_finished_page(tmp_path: Path, paper: str) -> None:
    if not os.environ.get("CI"):
        pytest.importorskip("zxingcpp")
    from generators.verify.pdf.kit.code import codes_of

    assert codes_of(listed(tmp_path / "list.pdf", paper=paper)) == (CODE.text,)
    assert codes_of(tmp_path / "none.pdf") == ()
