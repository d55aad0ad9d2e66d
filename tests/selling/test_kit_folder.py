"""``kit`` as a person meets it: one folder, proven like any other, for a small job."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from calling import call
from issue.finished import fit_hash, silent
from issue.small import TEXT, small_spec

from generators.issue.manifest import NAME
from generators.jobs.kit.content import Asked, Content
from generators.jobs.kit.files import artefacts as kit_artefacts
from generators.jobs.verify import verify
from generators.register.kits import kits
from generators.register.store import reading, register_path
from generators.solve.job import prepare

LOOSE = """
[job]
name = "small"
title = "A loose plate, invented"

[[part]]
name = "plate"
kind = "blanking_plate"
material = "1008 steel"
thickness = "2 mm"

[kit]
serial = "SM"
  [[kit.extra]]
  item = "touch-up paint"
"""

pytestmark = pytest.mark.skipif(
    not os.environ.get("CI") and not __import__("importlib.util").util.find_spec("zxingcpp"),
    reason="no zxing-cpp here",
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    folder = tmp_path_factory.mktemp("kit")
    spec = folder / "small.toml"
    spec.write_text(LOOSE, encoding="utf-8")
    out = folder / "out"
    assert call("kit", str(spec), "--for", "order 1042", "--out", str(out)) == 0
    (kit,) = (p for p in out.iterdir() if p.is_dir())
    with reading(register_path(folder)) as register:
        (entered,) = kits(register)
    files = {e["path"]: e["sha256"] for e in json.loads((kit / NAME).read_text(encoding="utf-8"))["files"]}
    assert (entered.serial, entered.order, entered.files) == ("SM-0001", "order 1042", files)
    return kit, json.loads((kit / NAME).read_text(encoding="utf-8"))


def test_the_folder_is_named_after_its_serial(made: tuple[Path, dict[str, Any]]) -> None:
    kit, manifest = made
    assert kit.name == "small_kit_SM-0001"
    assert (manifest["kind"], manifest["serial"], manifest["order"]) == ("kit", "SM-0001", "order 1042")
    # no line and no hose: nothing to order or to label; no panel: nothing to print
    assert {e["path"] for e in manifest["files"]} == {
        "customer/packing_list.pdf",
        "labels_bags.pdf",
        "shop/plate_1_pieces_flat.dxf",
        "shop/cut_and_bend.pdf",
        "shop/parts/plate/plate_drawing.pdf",
        "shop/parts/plate/plate_inspection.pdf",
        "shop/price.pdf",
        "spec/small.toml",
        "reuse.json",
    }


def test_the_register_knows_the_pack_file_by_file(made: tuple[Path, dict[str, Any]], tmp_path: Path) -> None:
    import shutil

    shop = str(made[0].parents[1])
    copy = Path(shutil.copytree(made[0], tmp_path / "copy"))
    assert call("sold", "same", str(copy), "--shop", shop) == 0
    (copy / "labels_bags.pdf").write_bytes(b"other")
    assert call("sold", "same", str(copy), "--shop", shop) == 4


def test_the_customers_pack_is_that_of_make(tmp_path: Path) -> None:
    content = Content(prepared=prepare(small_spec(tmp_path)), asked=Asked(serial="SM-0001"))
    mine = {a.entry.path: a.entry.kind for a in kit_artefacts(content, "A4")}
    assert mine["customer/print_me.pdf"] == "print_me_pdf"
    assert mine["customer/install.html"] == "install_page"


def test_the_folder_is_proven_and_a_changed_serial_is_found(
    made: tuple[Path, dict[str, Any]], tmp_path: Path
) -> None:
    import shutil

    copy = Path(shutil.copytree(made[0], tmp_path / "copy"))
    manifest = json.loads((copy / NAME).read_text(encoding="utf-8"))
    manifest["serial"] = "SM-0002"
    (copy / NAME).write_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    fit_hash(copy, "labels_bags.pdf")
    bad = {r.path for r in verify(copy, progress=silent, quick=True) if not r.good}
    assert {"customer/packing_list.pdf", "labels_bags.pdf"} <= bad
    assert [r for r in verify(made[0], progress=silent, quick=True) if not r.good] == []


def test_a_kit_needs_no_person_and_a_short_order(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    spec = tmp_path / "small.toml"
    spec.write_text(TEXT, encoding="utf-8")
    assert call("kit", str(spec), "--for", "x" * 41, "--out", str(tmp_path / "out")) == 2
    assert "room for 40 letters" in capsys.readouterr().err
    assert call("kit", str(spec), "--for", " ", "--out", str(tmp_path / "out")) == 2
    assert "--for takes an order number" in capsys.readouterr().err
