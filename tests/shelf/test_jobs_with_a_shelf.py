"""Jobs that take of a shelf go where any job goes: sweeps, revised specs, mends, folders."""

from __future__ import annotations

from pathlib import Path

from generators.jobs.make.line_sheets import job_bill
from generators.jobs.make.run import spec_files
from generators.jobs.sweep.one import bundle_of, solved, with_things
from generators.jobs.texts import read_as
from generators.model.changes import Change, Proposal
from generators.solve.job import Prepared, prepare
from generators.solve.mends.writing import draft

KEY = "shelf.clutch_master"


def prepared(spec: Path) -> Prepared:
    return prepare(spec)


def test_a_sweep_takes_its_things_along_and_solves_them(spec: Path) -> None:
    file = prepared(spec).file
    rows = [{KEY: "small"}, {KEY: "large"}]
    bundle = bundle_of(with_things(file, rows))
    kept = dict(bundle.files)["shelf.toml"].decode()
    assert 'name = "large"' in kept
    assert 'name = "straight"' in kept
    # nothing of this machine's files is needed: the shelf may be gone
    (spec.parent / "shelf.toml").unlink()
    small, large = (solved(bundle, row) for row in rows)
    assert (small["fault"], large["fault"]) == ("", "")
    known = small["measures"]
    path = next(key for key in known if key.endswith("peak_effort"))
    # the larger bore wants more of the foot
    assert large["measures"][path][0] > small["measures"][path][0]
    alone = solved(bundle_of(file), {KEY: "large"})
    assert 'the unknown thing "large"' in alone["fault"]


def test_a_revised_spec_reads_beside_what_went_along(spec: Path) -> None:
    file = prepared(spec).file
    text = spec.read_text(encoding="utf-8").replace('u = "300 mm"', 'u = "301 mm"')
    again = read_as(file, "job.toml", text)
    assert again.file.job.component == file.job.component
    assert again.file.revision != file.revision
    paths = [kept.entry.path for kept in spec_files(again.file, "spec")]
    assert paths == ["spec/job.toml", "spec/shelf.toml"]


def test_the_bill_says_what_is_taken_of_the_shelf(spec: Path) -> None:
    """By the shelf's own name: who packs the kit looks for that, not for what the spec calls it."""
    bill = {item.item: item for item in job_bill(prepared(spec))}
    assert bill["Small master"].size.endswith("; from the shelf: small")
    assert "from the shelf: can" in bill["Reservoir"].size
    assert not any("shelf" in item.size for item in bill.values() if item.kind == "part")


def test_a_mend_of_what_the_shelf_says_is_a_key_of_the_spec(spec: Path) -> None:
    """The shelf is many jobs': a change tried for one of them is written into that one."""
    job = prepared(spec)
    shelf = (spec.parent / "shelf.toml").read_bytes()
    step = Change(path="pedal[clutch].master.stroke", to=34.0)
    made = draft(Proposal(words="another stroke", steps=(step,)), job.file.source, job.file.job)
    assert made is not None
    (edit,) = made.edits
    row = spec.read_text(encoding="utf-8").split("\n")[edit.line - 1]
    assert row.strip() == "[pedal.master]"
    # a cylinder of another stroke is another cylinder: its body was not measured
    assert edit.words.endswith(
        'in place of the shelf\'s "36 mm": that is another thing than small, to be bought and measured; all '
        "else here stays as measured of small"
    )
    after = prepare(spec, text=made.text)
    assert after.file.job.pedal[0].master is not None
    assert after.file.job.pedal[0].master.stroke_mm == 34.0
    assert after.file.job.pedal[0].master.bore_mm == 19.05
    assert (spec.parent / "shelf.toml").read_bytes() == shelf


def test_an_opening_made_for_a_thing_of_the_shelf_may_differ_from_it(spec: Path) -> None:
    job = prepared(spec)
    step = Change(path="part[hanger].parameters.master_bore", to=31.0)
    made = draft(Proposal(words="a wider opening", steps=(step,)), job.file.source, job.file.job)
    assert made is not None
    assert made.edits[0].words.endswith('in place of the shelf\'s "30 mm"')
