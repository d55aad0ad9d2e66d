"""A sound spec becomes a job; a broken one tells everything at once."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from spec_pieces import panel

from generators.errors import SpecError
from generators.model.spec.shop import Shop
from generators.reading import JobFile, datum_value, read_job, resolve_position
from generators.reading.reader import DEFAULT_SHOP
from generators.reading.toml.tables import FAULT_LIMIT
from specs import BASE, KINDS, ToyPlate, swap

SHOP = """\
name = "Toy shop"
[cutting]
process = "waterjet"
[[stock]]
material = "S235 steel"
thickness = "3 mm"
inside_radius = "3 mm"
k_factor = 0.42
"""


def read(folder: Path, text: str = BASE, shop: str | None = None, shop_name: str = DEFAULT_SHOP) -> JobFile:
    (folder / "toy.toml").write_text(text, encoding="utf-8", newline="")
    if shop is not None:
        (folder / shop_name).write_text(shop, encoding="utf-8")
    return read_job(folder / "toy.toml", KINDS)


def refused(folder: Path, text: str = BASE, shop: str | None = None) -> list[str]:
    with pytest.raises(SpecError) as raised:
        read(folder, text, shop)
    return [f"{Path(f.file).name}:{f.path}" for f in raised.value.faults]


def test_a_sound_spec_is_read_in_mm_and_radians(tmp_path: Path) -> None:
    file = read(tmp_path)
    firewall, toe_board = file.job.panel
    assert file.job.job.name == "toy_job"
    assert file.job.limits.hole_edge_ratio == 2.5
    assert file.job.limits.ligament_mm == 3.0
    assert firewall.outline[1] == (508.0, 0.0)
    assert firewall.tilt_rad == pytest.approx(-0.08726646259971647)
    assert firewall.hole[0].at.v_mm == 34.925
    assert firewall.hole[0].at.from_ == "column_bore"
    assert firewall.hole[2].at.u_mm == 300.0
    assert toe_board.hole == ()
    assert file.job.fold[0].panels == ("firewall", "toe_board")
    part = file.job.part[0]
    assert part.parameters == ToyPlate(width_mm=120.0, count=4)
    assert part.mount is not None
    assert part.mount.rotate_rad == 0.0
    assert file.spec_bytes == BASE.encode()


def test_without_a_shop_file_the_shop_is_the_default(tmp_path: Path) -> None:
    file = read(tmp_path)
    assert (file.shop, file.shop_path, file.shop_bytes) == (Shop(), None, b"")


def test_the_shop_file_is_read(tmp_path: Path) -> None:
    file = read(tmp_path, shop=SHOP)
    assert file.shop.stock[0].k_factor == 0.42
    assert file.shop.cutting.process == "waterjet"
    assert file.shop_path == tmp_path / "shop.toml"


def test_a_shop_file_of_another_name(tmp_path: Path) -> None:
    text = swap('"Toy job"', '"Toy job"\nshop = "garage.toml"')
    assert read(tmp_path, text, SHOP, "garage.toml").shop.name == "Toy shop"


def test_an_empty_shop_file_is_a_shop_without_facts(tmp_path: Path) -> None:
    assert read(tmp_path, shop="").shop == Shop()


def test_faults_of_both_files_come_together(tmp_path: Path) -> None:
    text = BASE.replace('"120 mm"\ncount', '"120"\ncount').replace("dash = 4", "dash = true")
    shop = SHOP.replace("0.42", '"a"').replace("process", "proces")
    assert refused(tmp_path, text, shop) == [
        "shop.toml:cutting.proces",
        "shop.toml:stock[0].k_factor",
        "toy.toml:panel[0].hole[0].dash",
        "toy.toml:part[0].parameters.width",
    ]


def test_panels_of_one_title_are_refused(tmp_path: Path) -> None:
    """Their sheets are told apart by it: with two called the same a hole is looked for on the other's."""
    text = '[job]\nname = "toy"\ntitle = "Toy, invented"\n' + panel("one", 300, 200, title="Wall")
    for title in ("Wall", "WALL", "wall "):
        other = panel("two", 300, 200, title=title, at=(0, 900, 0))
        assert refused(tmp_path, text + other) == ["toy.toml:panel[1].title"]
    assert len(read(tmp_path, text + panel("two", 300, 200, title="Wall 2", at=(0, 900, 0))).job.panel) == 2


def test_shop_faults(tmp_path: Path) -> None:
    twice = SHOP + SHOP[SHOP.index("[[stock]]") :]
    assert refused(tmp_path, BASE, twice) == ["shop.toml:stock[1]"]
    assert refused(tmp_path, BASE, SHOP.replace("S235 steel", "S999")) == ["shop.toml:stock[0].material"]
    assert refused(tmp_path, BASE, "a = [") == ["shop.toml:"]


def test_a_slip_in_one_table_does_not_hide_one_in_the_next(tmp_path: Path) -> None:
    text = BASE.replace('what = "Steering column"', 'what = ""').replace('"S235 steel"', '"S236 steel"')
    text = text.replace('thread = "5/16"', 'thread = "M7"').replace('panel = "firewall"', 'panel = "fire"')
    # The hole measured from the refused datum is not blamed, and neither is the witness hole.
    assert refused(tmp_path, text) == [
        "toy.toml:panel[0].existing[0].what",
        "toy.toml:panel[0].hole[1].thread",
        "toy.toml:part[0].material",
        "toy.toml:part[0].mount.panel",
    ]


def test_faults_are_bounded_in_number(tmp_path: Path) -> None:
    assert len(refused(tmp_path, "".join(f"k{n} = 1\n" for n in range(5000)))) == FAULT_LIMIT + 1


@pytest.mark.parametrize("spec", ["missing.toml", ".", "nowhere/x.toml", "a\0b"])
def test_a_path_that_is_no_file(tmp_path: Path, spec: str) -> None:
    with pytest.raises(SpecError) as raised:
        read_job(tmp_path / spec, KINDS)
    assert raised.value.faults[0].expected


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pipes among its files")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(SpecError, match="pipe"):
        read_job(tmp_path / "pipe.toml", KINDS)


LINKS = pytest.mark.skipif(sys.platform == "win32", reason="links need a right most users of Windows lack")


@LINKS
def test_a_shop_file_must_not_be_a_link_out(tmp_path: Path) -> None:
    inside = tmp_path / "specs"
    inside.mkdir()
    (tmp_path / "elsewhere.toml").write_text(SHOP, encoding="utf-8")
    (inside / "shop.toml").symlink_to(tmp_path / "elsewhere.toml")
    assert refused(inside) == ["toy.toml:job.shop"]


@LINKS
@pytest.mark.parametrize("target", ["shop.toml", "gone.toml", "."])
def test_a_shop_link_that_leads_nowhere(tmp_path: Path, target: str) -> None:
    (tmp_path / "shop.toml").symlink_to(tmp_path / target)
    with pytest.raises(SpecError):
        read(tmp_path)


@LINKS
def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real.toml").write_text(SHOP, encoding="utf-8")
    (tmp_path / "shop.toml").symlink_to("real.toml")
    assert read(tmp_path).shop.name == "Toy shop"


def test_the_revision_follows_the_content_and_nothing_else(tmp_path: Path) -> None:
    first = read(tmp_path).revision
    assert len(first) == 7
    assert int(first, 16) >= 0
    spaced = "# another comment\n" + BASE.replace(" = ", "   =  ").replace("\n", "\r\n")
    assert read(tmp_path, spaced).revision == first
    assert read(tmp_path, BASE.replace("dash = 4", "dash = 5")).revision != first
    with_shop = read(tmp_path, shop=SHOP).revision
    assert with_shop != first
    assert read(tmp_path, shop=SHOP + "# note\n").revision == with_shop


def test_the_revision_follows_the_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = read(tmp_path).revision
    monkeypatch.setattr("generators.__version__", "99.0")
    assert read(tmp_path).revision != first


def test_later_stages_can_point_at_a_line(tmp_path: Path) -> None:
    file = read(tmp_path, shop=SHOP)
    fault = file.fault_at(file.part_path("hanger", "width"), "too wide", "less")
    assert BASE.splitlines()[fault.line - 1] == 'width = "120 mm"'
    assert fault.column == 9
    default = file.fault_at(file.part_path("hanger", "lean"), "too far", "less")
    assert BASE.splitlines()[default.line - 1] == "[part.parameters]"
    assert file.shop_fault_at("stock[0].k_factor", "a", "b").line == 8
    assert file.panel_path("toe_board") == "panel[1]"
    with pytest.raises(KeyError):
        file.part_path("nothing")
    with pytest.raises(KeyError):
        file.panel_path("nothing")


def test_without_a_shop_file_its_faults_point_at_the_spec(tmp_path: Path) -> None:
    fault = read(tmp_path).shop_fault_at("stock[0]", "a", "b")
    assert (fault.path, BASE.splitlines()[fault.line - 1]) == ("job.shop", "[job]")


def test_positions_resolve_from_their_datums(tmp_path: Path) -> None:
    panel = read(tmp_path).job.panel[0]
    line, clamp, loom = (resolve_position(panel, hole.at) for hole in panel.hole)
    assert line == (220.0, 94.925, "120 right, 34.93 up from column_bore")
    assert clamp == (70.0, 35.0, "30 right from seam, 35 up from the bottom edge")
    assert loom == (300.0, 200.0, "300 right, 200 up from the panel origin")
    assert datum_value(panel, "top", "v") == 300.0
    assert datum_value(panel, "right", "u") == 508.0
