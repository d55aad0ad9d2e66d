"""A file that is not there."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.errors import SpecError
from generators.reading.toml.source import read_bytes


def test_a_file_that_is_not_there_is_asked_for_by_the_name_of_one_that_is(tmp_path: Path) -> None:
    (tmp_path / "ferrow_bus.toml").write_text("", encoding="utf-8")
    (tmp_path / "ferow_buss.txt").write_text("", encoding="utf-8")
    for name, hint in (
        ("ferow_bus.toml", 'did you mean "ferrow_bus.toml"?'),
        ("else.toml", "check the path"),
    ):
        with pytest.raises(SpecError) as caught:
            read_bytes(tmp_path / name)
        assert caught.value.faults[0].hint == hint
    with pytest.raises(SpecError, match="check the path"):
        read_bytes(tmp_path / "nowhere" / "ferrow_bus.toml")
