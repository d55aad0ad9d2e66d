"""A spoiled bill is found: bolts that are missing, too short, in no bag, with two torques that do not agree."""

from __future__ import annotations

from pathlib import Path

import pytest

from generators.verify.bom import read_bom

GOOD = """bag,kind,item,quantity,size,torque,for
Hanger,part,Hanger,1,"S235 steel, 4 mm",,pedal hanger
Hanger,fastener,"bolt M8×25 8.8, ISO 4017",4,5.2 mm gripped,25 N·m (18 lbf·ft),mount
Hanger,fastener,"washer M8, ISO 7089",8,,,mount
Master,fastener,"bolt 5/16-18 × 1 1/4 in grade 5, ASME B18.2.1",2,14.7 mm gripped,24 N·m (18 lbf·ft),master
Lines,end,"-4 hose end, 37 degree swivel",4,for 9 mm outside,,hose to the slave
"""
BOLTS = {"M8": 4, "5/16": 2}
ENDS = {"-4 hose end": 4}


def problems(tmp_path: Path, text: str) -> tuple[str, ...]:
    path = tmp_path / "bom.csv"
    path.write_text(text, encoding="utf-8", newline="\n")
    return read_bom(path, rel="bom.csv", bolts=BOLTS, bags=("Hanger", "Master", "Lines"), ends=ENDS).problems


def test_a_right_bill(tmp_path: Path) -> None:
    assert problems(tmp_path, GOOD) == ()


# the same with inches first: 5.2 mm = 0.205 in, 14.7 mm = 0.579 in
INCH = GOOD.replace("5.2 mm gripped,25 N·m (18 lbf·ft)", "0.205 in gripped,19 lbf·ft (26 N·m)").replace(
    "14.7 mm gripped,24 N·m (18 lbf·ft)", "0.579 in gripped,17 lbf·ft (23 N·m)"
)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("M8×25", "M8×12", "its nut does not go on whole"),
        ("0.205 in", "3/4 in", "its nut does not go on whole"),
        ("(26 N·m)", "(35 N·m)", "35 N·m is not 19 lbf·ft"),
    ],
)
def test_a_bill_in_inches_is_read_alike(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert problems(tmp_path, INCH) == ()
    assert old in INCH
    found = problems(tmp_path, INCH.replace(old, new, 1))
    assert any(said in problem for problem in found), found


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        # 5.2 + nut 6.8 (ISO 4032) + two pitches of 1.25 = 14.5 mm at least, without washers
        ("M8×25", "M8×12", "its nut does not go on whole"),
        (",4,5.2", ",3,5.2", "has 3 bolts of M8, and the plans have 4"),
        (",4,5.2", ",x,5.2", "the quantity 'x' is no count"),
        ("bolt M8", "bolt M9", "a thread no table has"),
        ("Master,", "Mister,", "the bag 'Mister' is none"),
        ("fastener", "fastner", "the kind 'fastner' is none"),
        # 25 N m / 1.3558 = 18.44 lbf ft; 24 gives 17.70
        ("25 N·m", "35 N·m", "35 N·m is not 18 lbf·ft"),
        ("(18 lbf·ft),mount", "(19 lbf·ft),mount", "25 N·m is not 19 lbf·ft"),
        ("24 N·m (18", "24 N·m (17", "24 N·m is not 17 lbf·ft"),
        ('swivel",4', 'swivel",3', "has 3 of '-4 hose end', and the hoses and lines take 4"),
        ("-4 hose end", "-6 hose end", "has 4 of '-6 hose end', and the hoses and lines take 0"),
        ("bag,kind", "bags,kind", "does not begin with"),
        (",master\n", "\n", "6 cells, expected 7"),
    ],
)
def test_a_spoiled_bill(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    found = problems(tmp_path, GOOD.replace(old, new, 1))
    assert any(said in problem for problem in found), found


def test_what_is_no_text_is_a_problem_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "bom.csv"
    path.write_bytes(b"\xff\xfe bag")
    assert read_bom(path, rel="bom.csv", bolts={}, bags=(), ends={}).problems
