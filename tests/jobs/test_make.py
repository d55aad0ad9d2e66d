"""The main job from spec to a proven folder, and that nothing can be lost on the way."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from issue.finished import Finished
from jobs.paper_agreement import disagreements
from jobs.printed_figures import misprints, occurrences, pdf_lines, pedal_figures, pedal_lines, roundings

from generators.errors import ExportError, ReadBackError
from generators.issue.manifest import read_manifest
from generators.issue.prove import Remade, compare
from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import prepare
from generators.verify.readback import ReadBack

EXPECTED = {
    *(
        f"parts/{p}/{p}{tail}"
        for p in ("clutch_hanger", "fitting_plate", "clutch_reservoir", "linkage_blank")
        for tail in (".step", ".stl", ".3mf", "_flat.dxf", "_drawing.pdf", "_inspection.pdf")
    ),
    *(
        f"parts/{p}/{p}_{sheet}.pdf"
        for p in ("clutch_hanger", "clutch_reservoir")
        for sheet in ("setup", "profile")
    ),
    *(f"parts/{p}/{p}_setup.html" for p in ("clutch_hanger", "clutch_reservoir")),
    *(
        f"panels/{p}/template{tail}"
        for p in ("firewall", "toe_board")
        for tail in ("_cab.pdf", "_engine.pdf", ".dxf")
    ),
    *(f"panels/{p}/patches_{f}.pdf" for p in ("firewall", "toe_board") for f in ("cab", "engine")),
    *(f"panels/firewall+toe_board/template_{f}.pdf" for f in ("cab", "engine")),
    "print_me.pdf",
    "report.pdf",
    "install_sheet.pdf",
    "install.html",
    "holes.csv",
    "assembly.glb",
    "assembly.step",
    "hoses.csv",
    "bom.csv",
    "manifest.json",
    "reuse.json",
    "spec/wrenfield_van.toml",
    "spec/shop.toml",
}


def silent(what: str, done: int, total: int) -> None:
    assert what
    assert done <= total


@pytest.fixture
def made(finished_van: Finished) -> Path:
    return finished_van.folder


def test_every_figure_of_a_pedal_is_rounded_alike_on_all_papers(made: Path, demo_spec: Path) -> None:
    """Report and install sheet, by the exact numbers of the answer they print."""
    for answer in prepare(demo_spec).pedals:
        figures = pedal_figures(answer)
        for paper, least in (("report.pdf", 19), ("install_sheet.pdf", 4)):
            lines = pedal_lines(pdf_lines(made / paper))
            assert len(list(occurrences(lines, figures))) >= least, paper
            assert misprints(lines, figures) == []


def test_no_file_rounds_a_figure_otherwise_than_another(made: Path, demo_spec: Path) -> None:
    """Papers, pages, tables, drawings and the manifest, by the exact numbers of the answer they print."""
    told, wrong = roundings(made, prepare(demo_spec))
    assert wrong == []
    # cut lengths are told in whole millimetres with what their rules let pass: tests/jobs/test_cut_windows.py
    least = {"report.pdf": 15, "install_sheet.pdf": 8, "print_me.pdf": 10}
    assert {name for name, n in least.items() if told[name] < n} == set()


@pytest.fixture
def again(finished_van: Finished) -> Remade:
    """The folder made again, to compare it and spoiled copies with."""
    return finished_van.again


@pytest.fixture
def folder(made: Path, tmp_path: Path) -> Path:
    """A copy that a test may spoil."""
    copy = tmp_path / made.name
    shutil.copytree(made, copy)
    return copy


def files_of(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file()
    }


def compared(folder: Path, again: Remade) -> list[ReadBack]:
    """What ``verify`` says of a copy, without making everything again for each."""
    return compare(folder, read_manifest(folder), again)


def test_every_file_is_there_listed_and_read_back(made: Path, again: Remade) -> None:
    assert set(files_of(made)) == EXPECTED
    readings = compared(made, again)
    assert all(r.good for r in readings), [r for r in readings if not r.good]
    assert {r.path for r in readings} == EXPECTED
    assert all(r.facts for r in readings)


def test_a_rerun_is_byte_identical_even_in_another_process(
    made: Path, demo_spec: Path, tmp_path: Path
) -> None:
    code = (
        "import sys; from pathlib import Path; from generators.solve.job import prepare;"
        "from generators.jobs.make.run import make;"
        "make(prepare(Path(sys.argv[1])), Path(sys.argv[2]), paper='A4', progress=lambda *a: None)"
    )
    subprocess.run([sys.executable, "-c", code, str(demo_spec), str(tmp_path)], check=True, timeout=300)
    assert files_of(tmp_path / made.name) == files_of(made)


def test_the_manifest_says_hash_kind_and_revision(made: Path) -> None:
    manifest = json.loads((made / "manifest.json").read_text())
    assert {f["path"] for f in manifest["files"]} == EXPECTED - {"manifest.json"}
    for entry in manifest["files"]:
        assert entry["sha256"] == hashlib.sha256((made / entry["path"]).read_bytes()).hexdigest()
    assert len(manifest["revision"]) == 7
    assert manifest["units"] == "mm"


def test_holes_csv_has_the_agreed_columns(made: Path) -> None:
    lines = (made / "holes.csv").read_text().splitlines()
    assert lines[0] == (
        "panel,hole,u_mm,v_mm,final_dia_mm,pilot_dia_mm,purpose,face,tool,least_mm,most_mm,tolerance,"
        "when,after_step,how,through,locates,there_dia_mm,pilot_from"
    )
    # hanger 7, fitting plate 3, reservoir 2, clamp and fitting 2; in the toe board the blanking plate's 4;
    # there already, 4 and 3
    assert len(lines) == 1 + 7 + 3 + 2 + 2 + 4 + 4 + 3
    assert any(
        ",520,235,32,3," in line and ",step drill 32 mm,31.75,32.75,clearance," in line for line in lines
    )
    # a #10 bolt, ASME B18.2.8 normal 0.221 in, H13 to 5.79 mm; a -4 fitting of 7/16 in, 0.2 to 1 mm of play
    assert any(",twist drill 5.7 mm,5.6134,5.7934,H13," in line for line in lines)
    assert any(",step drill 12 mm,11.3125,12.1125,fitting," in line for line in lines)


def test_the_finished_papers_and_the_phone_say_one_thing_of_every_hole(made: Path) -> None:
    assert (made / "install.html").is_file()
    assert disagreements(made) == []


def move_a_hole(folder: Path) -> str:
    path = folder / "parts/clutch_hanger/clutch_hanger_flat.dxf"
    document = ezdxf.readfile(path)
    circle = document.modelspace().query("CIRCLE").first
    circle.dxf.center = circle.dxf.center + ezdxf.math.Vec3(0.05, 0, 0)
    document.saveas(path)
    return "parts/clutch_hanger/clutch_hanger_flat.dxf"


def cut_short(relative: str) -> Callable[[Path], str]:
    def spoil(folder: Path) -> str:
        path = folder / relative
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
        return relative

    return spoil


def drop(relative: str) -> Callable[[Path], str]:
    def spoil(folder: Path) -> str:
        (folder / relative).unlink()
        return relative

    return spoil


def swap_templates(folder: Path) -> str:
    cab, engine = (folder / f"panels/firewall/template_{f}.pdf" for f in ("cab", "engine"))
    content = cab.read_bytes()
    cab.write_bytes(engine.read_bytes())
    engine.write_bytes(content)
    return "panels/firewall/template_cab.pdf"


def edit_csv(folder: Path) -> str:
    path = folder / "holes.csv"
    path.write_text(path.read_text().replace(",520,", ",521,"))
    return "holes.csv"


def stray_file(folder: Path) -> str:
    (folder / "parts/extra.dxf").write_text("0\nEOF\n")
    return "parts/extra.dxf"


def edit_spec(folder: Path) -> str:
    path = folder / "spec/wrenfield_van.toml"
    path.write_text(path.read_text().replace('"45 mm"', '"46 mm"', 1))
    return "spec/wrenfield_van.toml"


SPOILS = {
    "a hole moved in the flat DXF": move_a_hole,
    "STEP cut short": cut_short("parts/clutch_hanger/clutch_hanger.step"),
    "STL cut short": cut_short("parts/clutch_hanger/clutch_hanger.stl"),
    "drawing cut short": cut_short("parts/clutch_hanger/clutch_hanger_drawing.pdf"),
    "template DXF cut short": cut_short("panels/firewall/template.dxf"),
    "assembly cut short": cut_short("assembly.glb"),
    "report cut short": cut_short("report.pdf"),
    "template missing": drop("panels/toe_board/template_engine.pdf"),
    "cab and engine templates exchanged": swap_templates,
    "hole table edited": edit_csv,
    "a stray file": stray_file,
}
# exchanged files are both wrong, and what is gone or cut short shows in its pair
ALSO = {"panels/firewall/template_engine.pdf"}


def test_every_spoiled_file_of_a_folder_is_named_and_no_other(folder: Path, again: Remade) -> None:
    # all at once: a folder takes seconds to read back
    spoiled = {spoil(folder) for spoil in SPOILS.values()}
    bad = [r for r in compared(folder, again) if not r.good]
    assert {r.path for r in bad} == spoiled | ALSO
    assert all(r.problems for r in bad)


def test_a_spec_edited_afterwards_is_named(folder: Path) -> None:
    relative = edit_spec(folder)
    with pytest.raises(ReadBackError) as caught:
        verify(folder, progress=silent)
    assert caught.value.path == relative


def test_content_is_compared_even_when_the_hash_was_made_to_fit(folder: Path, again: Remade) -> None:
    relative = move_a_hole(folder)
    manifest = json.loads((folder / "manifest.json").read_text())
    for entry in manifest["files"]:
        if entry["path"] == relative:
            entry["sha256"] = hashlib.sha256((folder / relative).read_bytes()).hexdigest()
    (folder / "manifest.json").write_text(json.dumps(manifest))
    bad = [r for r in compared(folder, again) if not r.good]
    assert [r.path for r in bad] == [relative, "manifest.json"]
    assert "sha256" not in " ".join(bad[0].problems)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"format": 1}',
        '{"format": 1, "files": [{"path": "../x"}]}',
        '{"format": 2, "files": []}',
        '{"format": 3, "files": [], "findings": [], "waivers": {}}',
    ],
)
def test_a_broken_manifest_is_an_error_not_a_traceback(folder: Path, text: str) -> None:
    (folder / "manifest.json").write_text(text)
    with pytest.raises(ReadBackError):
        verify(folder, progress=silent)


def test_a_manifest_may_not_point_outside(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text())
    manifest["files"][0]["path"] = "../../etc/passwd"
    (folder / "manifest.json").write_text(json.dumps(manifest))
    with pytest.raises(ReadBackError, match="outside"):
        verify(folder, progress=silent)


def test_only_one_part_keeps_the_rest_of_the_same_revision(folder: Path, demo_spec: Path) -> None:
    before = files_of(folder)
    make(prepare(demo_spec), folder.parent, paper="A4", only=("clutch_hanger",), progress=silent)
    assert files_of(folder) == before


def test_only_one_part_from_nothing(tmp_path: Path, demo_spec: Path) -> None:
    made = make(prepare(demo_spec), tmp_path, paper="A4", only=("fitting_plate",), progress=silent)
    assert {e.owner for e in made.entries if e.owner} == {"fitting_plate"}
    assert all(r.good for r in verify(made.folder, progress=silent))


def test_killed_half_way_the_last_good_folder_stays(folder: Path, demo_spec: Path) -> None:
    before = files_of(folder)
    out = folder.parent
    process = subprocess.Popen(
        [sys.executable, "-m", "generators.cli", "make", str(demo_spec), "--out", str(out)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    deadline = time.monotonic() + 120
    half = []
    while time.monotonic() < deadline and process.poll() is None:
        half = [p for p in out.glob(".wrenfield_van.new-*/parts/*/*") if p.suffix == ".step"]
        if half:
            break
        time.sleep(0.01)
    assert half, "make ended before it could be killed"
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    assert files_of(folder) == before
    make(prepare(demo_spec), out, paper="A4", only=("fitting_plate",), progress=silent)
    assert sorted(p.name for p in out.iterdir()) == ["wrenfield_van"]


def test_only_refuses_to_mix_or_lose_what_is_there(folder: Path, demo_spec: Path) -> None:
    before = files_of(folder)
    with pytest.raises(ExportError, match="made with paper 'A4', this run has 'letter'"):
        make(prepare(demo_spec), folder.parent, paper="letter", only=("clutch_hanger",), progress=silent)
    assert files_of(folder) == before
    (folder / "report.pdf").write_bytes(b"changed")
    with pytest.raises(ExportError, match="was changed, is gone"):
        make(prepare(demo_spec), folder.parent, paper="A4", only=("clutch_hanger",), progress=silent)
    assert (folder / "report.pdf").read_bytes() == b"changed"


def relisted(folder: Path, again: Remade, change: Callable[[dict], None]) -> list[str]:
    """What is said of a folder whose manifest was changed."""
    manifest = json.loads((folder / "manifest.json").read_text())
    change(manifest)
    (folder / "manifest.json").write_text(json.dumps(manifest))
    return [p for r in compared(folder, again) for p in r.problems]


def test_the_manifest_does_not_decide_what_is_proven(folder: Path, again: Remade) -> None:
    def rename(manifest: dict) -> None:
        for entry in manifest["files"]:
            if not entry["path"].startswith("spec/"):
                entry["kind"] = "shop"

    assert any("manifest" in p or "says" in p for p in relisted(folder, again, rename))


def test_a_file_taken_out_of_folder_and_manifest_is_missed(folder: Path, again: Remade) -> None:
    (folder / "holes.csv").unlink()

    def leave_out(manifest: dict) -> None:
        manifest["files"] = [f for f in manifest["files"] if f["path"] != "holes.csv"]

    assert "is not listed, though the job has it" in relisted(folder, again, leave_out)


def test_findings_left_out_are_missed(folder: Path, again: Remade) -> None:
    assert relisted(folder, again, lambda m: m["findings"].clear())


def test_somebody_elses_folder_is_never_taken(tmp_path: Path, demo_spec: Path) -> None:
    mine = tmp_path / "wrenfield_van"
    mine.mkdir()
    (mine / "thesis.txt").write_text("years of work")
    with pytest.raises(ExportError, match="not made by this program"):
        make(prepare(demo_spec), tmp_path, paper="A4", progress=silent)
    assert (mine / "thesis.txt").read_text() == "years of work"


def test_a_note_left_in_the_folder_is_not_lost(folder: Path, demo_spec: Path) -> None:
    (folder / "parts" / "note.txt").write_text("ask the laser shop")
    with pytest.raises(ExportError, match=r"note\.txt"):
        make(prepare(demo_spec), folder.parent, paper="A4", progress=silent)
    assert (folder / "parts" / "note.txt").exists()


def test_a_link_in_the_folders_place_is_refused(tmp_path: Path, demo_spec: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "wrenfield_van").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ExportError, match="not a folder of its own"):
        make(prepare(demo_spec), tmp_path, paper="A4", progress=silent)
    assert (tmp_path / "wrenfield_van").is_symlink()
