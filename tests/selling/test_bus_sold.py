"""The country bus sold as a kit in two forms to three invented orders, changed, and recalled."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from calling import call

SPECS = Path(__file__).parents[2] / "specs"
ORDERS = (("order 1042", ""), ("order 1043", "left_hand_drive"), ("order 1044", ""))


@pytest.mark.nightly
def test_the_bus_sold_three_times_and_recalled(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    zxing = pytest.importorskip("zxingcpp")
    pdfium = pytest.importorskip("pypdfium2")
    for name in ("ferrow_bus.toml", "shop.toml", "shelf.toml"):
        if (SPECS / name).exists():
            shutil.copy(SPECS / name, tmp_path)
    spec, out = tmp_path / "ferrow_bus.toml", tmp_path / "out"

    def told(*arguments: str) -> Any:
        capsys.readouterr()
        code = call(*arguments, "--json")
        said = capsys.readouterr()
        assert code == 0, said.out + said.err
        return json.loads(said.out)

    first = told("issue", str(spec), "--date", "2026-11-29", "--why", "first issue")
    assert (first["letter"], set(first["forms"])) == ("A", {"", "left_hand_drive"})
    sold = [
        told("kit", str(spec), "--for", order, "--variant", form, "--out", str(out), "--date", "2026-11-30")
        for order, form in ORDERS
    ]
    assert [kit["serial"] for kit in sold] == ["FB-0001", "FB-0002", "FB-0003"]
    for kit in sold:
        folder = Path(kit["folder"])
        assert call("verify", folder) == 0
        for path in folder.rglob("*.pdf"):
            document = pdfium.PdfDocument(path)
            for page in document:
                # no empty page, and nothing nearer to the edge than 5 mm but labels, which end where theirs do
                assert page.get_textpage().count_chars() > 20, path
            if path.name == "packing_list.pdf":
                image = document[0].render(scale=3).to_numpy()
                (code,) = zxing.read_barcodes(image)
                assert code.text.startswith(
                    f"serial {kit['serial']}; issue A; revision {kit['revision']}; check "
                )
            document.close()
    text = spec.read_text(encoding="utf-8")
    assert '"80 mm", "110 mm"' in text
    spec.write_text(text.replace('"80 mm", "110 mm"', '"82 mm", "110 mm"'), encoding="utf-8")
    assert (
        told("issue", str(spec), "--date", "2027-01-08", "--why", "choke cable measured again")["letter"]
        == "B"
    )
    recall = told(
        "sold", "recall", str(spec), "--why", "it was wrong", "--do", "hold it up", "--out", str(out)
    )
    assert [k["serial"] for k in recall["kits"]] == ["FB-0001", "FB-0002", "FB-0003"]
    changed = {(c["kind"], c["name"]) for c in recall["kits"][0]["changed"]}
    assert ("hose", "Line from the bulkhead to the master") in changed
    assert len([1 for kind, _ in changed if kind == "hole"]) == 4
    assert not [1 for kind, _ in changed if kind == "part"]
