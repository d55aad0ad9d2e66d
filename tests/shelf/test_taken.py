"""What is taken of a shelf is what the shelf says, wherever the spec does not say it itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from shelf_jobs import SHELF, SPEC

from generators.errors import Fault, SpecError
from generators.model.findings import Finding, Severity
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.reading.shelf.file import read_shelf
from generators.reading.shelf.kept import kept_text
from generators.reading.shelf.told import said_of, taken_in

ALL = {kind.name: kind.parameters for kind in KINDS}


def read(spec: Path, *, variant: str = "", values: dict[str, str] | None = None) -> JobFile:
    return read_job(spec, ALL, variant=variant, values=values or {})


def faults(spec: Path) -> tuple[Fault, ...]:
    with pytest.raises(SpecError) as caught:
        read(spec)
    return caught.value.faults


def change(path: Path, old: str, new: str, count: int = 1) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, count), encoding="utf-8")


def line(text: str, wanted: str, nth: int = 1) -> int:
    found = [k for k, row in enumerate(text.split("\n"), 1) if row.strip().startswith(wanted)]
    return found[nth - 1]


def test_one_thing_goes_into_every_table_that_names_it(spec: Path) -> None:
    job = read(spec).job
    master, reservoir = job.component
    pedal = job.pedal[0]
    assert pedal.master is not None
    # 3/4 in = 19.05 mm
    assert (pedal.master.bore_mm, pedal.master.stroke_mm) == (19.05, 36.0)
    assert (master.kind, master.diameter_mm, master.flange_mm) == ("master", 34.0, 9.0)
    assert [(port.name, port.at) for port in master.port] == [
        ("inlet", (40.0, 0.0, 22.0)),
        ("outlet", (118.0, 20.0, 0.0)),
    ]
    assert (reservoir.kind, reservoir.level_mm) == ("reservoir", 25.0)
    parameters = job.part[0].parameters
    assert (parameters.master_bore_mm, parameters.master_spacing_mm) == (30.0, 56.0)
    assert (pedal.arm_width_mm, pedal.arm_thickness_mm, pedal.arm_material) == (25.0, 8.0, "S235 steel")
    hose = job.hose[0]
    assert (hose.dash, hose.outside_mm, hose.end_mm) == (4, 12.0, 20.0)
    assert hose.from_end is not None
    assert hose.from_end.diameter_mm == 16.0


def test_a_job_that_writes_the_same_values_itself_is_the_same_job(spec: Path, tmp_path: Path) -> None:
    written = SPEC.replace('  [pedal.master]\n  shelf = "clutch_master"\n', MASTER)
    assert written != SPEC
    other = tmp_path / "other.toml"
    other.write_text(written, encoding="utf-8")
    one, two = read(spec).job.pedal[0].master, read(other).job.pedal[0].master
    assert one is not None
    assert two is not None
    assert (one.bore_mm, one.stroke_mm) == (two.bore_mm, two.stroke_mm)


MASTER = '  [pedal.master]\n  bore = "0.75 in"\n  stroke = "3.6 cm"\n'


def test_a_key_the_spec_gives_holds(spec: Path) -> None:
    change(
        spec,
        '  [pedal.master]\n  shelf = "clutch_master"',
        '  [pedal.master]\n  shelf = "small"\n  stroke = "30 mm"',
    )
    pedal = read(spec).job.pedal[0]
    assert pedal.master is not None
    assert (pedal.master.bore_mm, pedal.master.stroke_mm) == (19.05, 30.0)


def test_one_key_of_one_port_may_be_the_specs_own(spec: Path) -> None:
    change(
        spec,
        '[[component]]\nname = "reservoir"',
        '  [[component.port]]\n  name = "outlet"\n  facing = "left"\n\n[[component]]\nname = "reservoir"',
    )
    inlet, outlet = read(spec).job.component[0].port
    assert (inlet.facing, outlet.facing) == ("up", "left")
    assert (outlet.at, outlet.dash) == ((118.0, 20.0, 0.0), 4)


def test_one_line_swaps_it_everywhere(spec: Path) -> None:
    before = read(spec)
    change(spec, 'clutch_master = "small"', 'clutch_master = "large"')
    after = read(spec)
    pedal = after.job.pedal[0]
    assert pedal.master is not None
    assert pedal.master.bore_mm == 25.4  # 1 in
    assert after.job.component[0].diameter_mm == 40.0
    assert after.job.part[0].parameters.master_spacing_mm == 60.0
    assert before.revision != after.revision
    # what large does not say is not what small said
    assert after.job.component[0].flange_mm is None


def test_values_and_variants_swap_it_too(spec: Path) -> None:
    swapped = read(spec, values={"shelf.clutch_master": "large"})
    assert swapped.job.component[0].diameter_mm == 40.0
    with spec.open("a", encoding="utf-8") as out:
        out.write('\n[[variant]]\nname = "strong"\n  [variant.set]\n  "shelf.clutch_master" = "large"\n')
        out.write('  "pedal[clutch].master.stroke" = "30 mm"\n')
    strong, plain = read(spec, variant="strong"), read(spec)
    master = swapped.job.pedal[0].master
    assert master is not None
    assert strong.job.pedal[0].master == type(master)(shelf="large", bore_mm=25.4, stroke_mm=30.0)
    assert plain.job.component[0].diameter_mm == 34.0
    # both forms can be read again from what goes along
    kept = next(used.data for used in plain.used if used.name == "shelf.toml").decode()
    assert 'name = "large"' in kept
    assert 'name = "small"' in kept


def test_the_check_value_follows_what_is_taken_alone(spec: Path, tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.toml"
    first = read(spec).revision
    change(shelf, 'bore = "1 in"', 'bore = "26 mm"')
    assert read(spec).revision == first  # nothing takes it
    change(shelf, 'measured = "2026-02-11"', 'measured = "2026-03-11"')
    second = read(spec).revision
    assert second != first
    change(shelf, 'length = "130 mm"', 'length = "131 mm"')
    assert read(spec).revision not in (first, second)
    change(shelf, "# bored larger", "# bored out")
    assert read(spec).job.component[0].length_mm == 131.0


def test_what_goes_along_is_what_is_asked_for_as_it_is_written(spec: Path, tmp_path: Path) -> None:
    file = read(spec)
    kept = next(used.data for used in file.used if used.name == "shelf.toml").decode()
    assert 'name = "small"' in kept
    assert 'name = "large"' not in kept
    assert "# bored larger" not in kept
    assert kept.startswith("# invented\n")
    apart = tmp_path / "apart"
    apart.mkdir()
    (apart / "job.toml").write_bytes(file.spec_bytes)
    (apart / "shelf.toml").write_text(kept, encoding="utf-8")
    again = read(apart / "job.toml")
    assert (again.revision, again.job, again.used) == (file.revision, file.job, file.used)


def test_a_shelf_written_in_another_order_goes_along_whole(tmp_path: Path) -> None:
    path = tmp_path / "shelf.toml"
    odd = SHELF.replace(
        "[[steel]]", '[[hose_end]]\nname = "x"\nmeasured = "2026-01-01"\nmeasured_by = "rule"\n[[steel]]'
    )
    # the port of a master under a hose end belongs to the last master
    odd += '[[master.port]]\nname = "more"\nat = ["1 mm", "1 mm", "1 mm"]\n'
    path.write_text(odd, encoding="utf-8")
    shelf, found = read_shelf(path)
    assert found == ()
    assert kept_text(shelf, {"large"}) == odd.encode()
    assert b"pedal" not in kept_text(shelf, {"can"})
    assert len(kept_text(shelf, {"can"})) < len(odd) / 2


@pytest.mark.parametrize(
    ("old", "new", "found", "hint"),
    [
        ('shelf = "can"', 'shelf = "cann"', 'the unknown thing "cann"', 'did you mean "can"?'),
        ('clutch_master = "small"', 'clutch_master = "smal"', 'the unknown thing "smal"', '"small"?'),
        ('shelf = "can"', 'shelf = "feed"', '"feed", a hose in shelf.toml line', ""),
        (
            'arm_shelf = "flat"',
            'arm_shelf = "clutch_master"',
            '"clutch_master", a master in shelf.toml line 3',
            "",
        ),
        ('kind = "pedal_hanger"', 'kind = "doubler"', "for a doubler without bolts for one", ""),
        ('name = "master"\n', 'name = "master"\nkind = "slave"\n', '"slave" beside "small"', ""),
    ],
)
def test_a_name_that_does_not_fit_is_one_fault_at_its_place(
    spec: Path, old: str, new: str, found: str, hint: str
) -> None:
    change(spec, old, new)
    told = faults(spec)
    if "doubler" in new:
        # a pedal then has no hanger either, nor the part a hole for the master
        told = tuple(f for f in told if f.path.endswith("shelf"))
        new = 'shelf = "clutch_master"'
    assert len(told) == 1, told
    assert found in told[0].found
    assert hint in told[0].hint
    assert told[0].file == str(spec)
    assert spec.read_text(encoding="utf-8").split("\n")[told[0].line - 1].strip() in new + old


def test_faults_of_the_shelf_name_its_file_and_line_once(spec: Path, tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.toml"
    change(shelf, 'bore = "3/4 in"', 'bore = "3/4 mm"')
    change(shelf, 'thickness = "8 mm"', 'thicknes = "8 mm"')
    change(shelf, 'measured = "2026-02-12"', 'measured = "12.02.2026"')
    told = faults(spec)
    text = shelf.read_text(encoding="utf-8")
    assert {(f.file, f.line, f.path) for f in told} == {
        (str(shelf), line(text, 'bore = "3/4 mm"'), "master[0].bore"),
        (str(shelf), line(text, "thicknes ="), "steel[0].thicknes"),
        (str(shelf), line(text, 'measured = "12.02'), "master[1].measured"),
    }


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ('stroke = "36 mm"', 'stroke = "36 mm"\ndead_stroke = "40 mm"', "master[0].dead_stroke"),
        ('material = "S235 steel"', 'material = "S 235"', "steel[0].material"),
        ('bolt_thread = "M8"', 'bolt_thread = "M9"', "master[0].bolt_thread"),
        ('name = "large"', 'name = "small"', "master[1].name"),
        ('width = "25 mm"', 'width = "25 mm"\ndiameter = "20 mm"', "steel[0].diameter"),
    ],
)
def test_what_a_thing_says_must_hold_together(
    spec: Path, tmp_path: Path, old: str, new: str, path: str
) -> None:
    change(tmp_path / "shelf.toml", old, new)
    told = faults(spec)
    assert [(f.file, f.path) for f in told] == [(str(tmp_path / "shelf.toml"), path)]


def test_a_spec_without_a_shelf_is_told_so(spec: Path, tmp_path: Path) -> None:
    (tmp_path / "shelf.toml").unlink()
    told = faults(spec)
    assert all('no "shelf.toml" beside the spec' in f.found for f in told)
    assert {f.path for f in told} == {
        "shelf.clutch_master",
        "component[1].shelf",
        "hose[0].shelf",
        "hose[0].from_end.shelf",
        "pedal[0].arm_shelf",
    }


@pytest.mark.parametrize("name", ["../shelf.toml", "other.toml", "/etc/shelf.toml"])
def test_a_shelf_lies_beside_the_spec(spec: Path, name: str) -> None:
    change(spec, "[job]\n", f'[job]\nshelf = "{name}"\n')
    assert [f.path for f in faults(spec)] == ["job.shelf"]


def test_a_shelf_that_nothing_is_taken_of_is_not_read(spec: Path, tmp_path: Path) -> None:
    (tmp_path / "shelf.toml").write_text("nonsense", encoding="utf-8")
    spec.write_text(
        SPEC[: SPEC.index("[shelf]")] + SPEC[SPEC.index("[[panel]]") : SPEC.index("[[part]]")],
        encoding="utf-8",
    )
    file = read(spec)
    assert (file.taken, file.used) == ((), ())


def test_a_finding_about_a_thing_says_where_the_shelf_writes_it(spec: Path, tmp_path: Path) -> None:
    file = read(spec)

    def of(where: str) -> list[str]:
        finding = Finding(
            code="x", severity=Severity.WARN, where=where, found="", wanted="", source="", advice=""
        )
        return [one.thing for one in taken_in(finding, file.taken)]

    assert of("component:master") == ["small"]
    assert of("panel:wall hole 3 (hanger.master_bore)") == ["small"]
    # what a master says of the part that carries it are its own bores, and of a pedal what it does
    assert of("part:hanger flange web, holes master_bore and mount_1") == ["small"]
    assert of("part:hanger flange web, hole mount_1 and the edge") == []
    assert of("panel:wall hole 3 (hanger.mount_1)") == of("panel:wall part hanger") == []
    assert of("part:hanger brace 1") == of("part:hanger bend left") == of("part:hanger") == []
    assert of("pedal:clutch") == ["small"]
    assert of("pedal:clutch arm") == of("pedal:clutch and component:box") == ["flat"]
    assert of("hose:feed_hose") == ["feed", "straight"]
    assert of("panel:wall") == []
    assert of("part:clutch") == []  # a part of a pedal's name is no pedal
    named = said_of(file.taken[:1])
    there = line(SHELF, 'name = "small"')
    assert named == f"small ({tmp_path / 'shelf.toml'}:{there}, measured 2026-02-11)"


def test_a_form_says_one_key_of_a_port_that_only_the_shelf_has(spec: Path) -> None:
    key = "component[master].port[outlet].facing"
    turned = read(spec, values={key: "left"}).job.component[0].port
    assert [(port.name, port.facing, port.dash) for port in turned] == [
        ("inlet", "up", None),
        ("outlet", "left", 4),
    ]
    with spec.open("a", encoding="utf-8") as out:
        out.write(f'\n[[variant]]\nname = "turned"\n  [variant.set]\n  "{key}" = "left"\n')
    assert read(spec, variant="turned").job.component[0].port == turned
    assert read(spec).job.component[0].port[1].facing == "right"
    change(spec, "port[outlet].facing", "port[outlt].facing")
    with pytest.raises(SpecError) as caught:
        read(spec, variant="turned")
    # the shelf's master has no such port: told at the variant's own line
    assert {f.file for f in caught.value.faults} == {str(spec)}
    assert all(
        "outlt" in spec.read_text(encoding="utf-8").split("\n")[f.line - 1] for f in caught.value.faults
    )


def test_a_used_file_may_take_of_the_shelf_too(spec: Path, tmp_path: Path) -> None:
    text = spec.read_text(encoding="utf-8")
    at = text.index('[[component]]\nname = "reservoir"')
    end = text.index("[[hose]]")
    (tmp_path / "can.toml").write_text(text[at:end], encoding="utf-8")
    spec.write_text('use = ["can.toml"]\n' + text[:at] + text[end:], encoding="utf-8")
    file = read(spec)
    assert file.job.component[0].level_mm == 25.0
    assert [used.name for used in file.used] == ["can.toml", "shelf.toml"]
    (tmp_path / "can.toml").write_text(text[at:end].replace('"can"', '"cann"'), encoding="utf-8")
    (fault,) = faults(spec)
    assert (fault.file, fault.path) == (str(tmp_path / "can.toml"), "component[0].shelf")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("[[master]]", "[master]"),
        ('bore = "3/4 in"', "bore = { a = 1 }"),
        ('  [[master.port]]\n  name = "inlet"', '  [[master.port]]\n  name = ["inlet"]'),
        ('measured = "2026-02-11"', "measured = 2026-02-11"),
        ('name = "small"', 'name = ["small"]'),
        ("# invented", "steel = 3 # invented"),
        ("# invented", "[[shelf]] # invented"),
    ],
)
def test_whatever_a_shelf_holds_is_told_in_words(spec: Path, tmp_path: Path, old: str, new: str) -> None:
    change(tmp_path / "shelf.toml", old, new, -1 if old == "[[master]]" else 1)
    told = faults(spec)
    assert all(f.file in (str(spec), str(tmp_path / "shelf.toml")) for f in told)
    assert any(f.file == str(tmp_path / "shelf.toml") for f in told)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('clutch_master = "small"', "clutch_master = 3"),
        ('[shelf]\nclutch_master = "small"', "shelf = 3"),
        ('name = "master"\nshelf = "clutch_master"', 'name = "master"\nport = 3\nshelf = "clutch_master"'),
        (
            'name = "master"\nshelf = "clutch_master"',
            'name = "master"\nport = [3, { name = ["a"] }]\nshelf = "small"',
        ),
        ('  [pedal.master]\n  shelf = "clutch_master"', '  master = "small"'),
        ('shelf = "can"', "shelf = [1]"),
        ('from_end = { shelf = "straight" }', 'from_end = ["straight"]'),
        ('kind = "pedal_hanger"\n', 'kind = "pedal_hanger"\nparameters = 3\n'),
    ],
)
def test_whatever_a_spec_takes_is_told_in_words(spec: Path, old: str, new: str) -> None:
    change(spec, old, new)
    assert all(f.file == str(spec) and f.line for f in faults(spec))


def test_a_table_where_a_list_of_them_belongs_is_told_with_the_header_to_write(spec: Path) -> None:
    shelf = spec.parent / "shelf.toml"
    shelf.write_text(
        '[[master]]\nname = "odd"\nmeasured = "2026-03-14"\nmeasured_by = "caliper"\nport = { name = "inlet" }\n',
        encoding="utf-8",
    )
    _, found = read_shelf(shelf)
    # TOML 1.0, array of tables: a header is keys alone, the entry is the last one written
    assert "write [[master.port]]" in [fault.hint for fault in found]
