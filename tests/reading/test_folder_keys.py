"""A folder that is none: one fault each, with its place."""

from __future__ import annotations

import pytest

from generators.reading.reader import shop_faults


@pytest.mark.parametrize(
    ("text", "path", "expected"),
    [
        ('fingers = ["0 mm"]', "folder.fingers[0]", "a finger of 1 mm to 1250 mm"),
        ('nose_depth = "60 mm"', "folder.nose_depth", "less than finger_depth"),
        # at 45 deg it leans back 50 of 50 high
        ('finger_height = "50 mm"\nnose_depth = "51 mm"', "folder.nose_depth", "at most 50 mm"),
        ('leaf_angle = "136 deg"', "folder.leaf_angle", "at most 135 deg"),
        ('nose_radius = "31 mm"', "folder.nose_radius", "less than half"),
        ('beam = [["30 mm", "5 mm"], ["90 mm", "5 mm"], ["60 mm", "90 mm"]]', "folder.beam", "0 mm"),
        ('bed = [["5 mm", "0 mm"], ["90 mm", "0 mm"], ["60 mm", "-90 mm"]]', "folder.bed", "begins at 0 mm"),
        ('[folder.stop]\nnearest = "600 mm"', "folder.stop.nearest", "less than reach"),
        (
            '[[folder.capacity]]\nthickness = "2 mm"\nlength = "1251 mm"',
            "folder.capacity[0].length",
            "at most its length",
        ),
    ],
)
def test_each_slip_is_one_fault(text: str, path: str, expected: str) -> None:
    faults = shop_faults("shop.toml", f"[folder]\n{text}\n".encode())
    assert [f.path for f in faults] == [path], faults
    assert expected in f"{faults[0].expected} {faults[0].found} {faults[0].hint}"


def test_a_sound_folder_has_none() -> None:
    text = '[folder]\nfingers = ["25 mm", "1250 mm"]\nleaf_angle = "135 deg"\nnose_depth = "59 mm"\n'
    assert shop_faults("shop.toml", text.encode()) == ()
