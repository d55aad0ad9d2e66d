"""Forms of a job: what a variant sets, what it is called, and what it may not say."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from generators.checks.forms import check_form
from generators.cli.app import run
from generators.errors import LookupFault, SpecError
from generators.model.findings import Severity
from generators.parts import KINDS
from generators.reading import JobFile, read_job
from generators.reading.forms.variants import AS_WRITTEN

ALL = {kind.name: kind.parameters for kind in KINDS}
WIDER = """
[[variant]]
name = "wide"
  [variant.set]
  "part[cover].parameters.opening" = "50 mm"
  "part[cover].parameters.bolts" = 6
  "limits.ligament" = "4 mm"
"""


def read(spec: Path, more: str, variant: str = "") -> JobFile:
    return read_job(spec, ALL, (spec.read_text(encoding="utf-8") + more).encode(), variant)


def test_a_variant_sets_values_and_has_a_folder_of_its_own(plate: Path) -> None:
    base, wide = read(plate, WIDER), read(plate, WIDER, "wide")
    assert base.variants == wide.variants == ("wide",)
    assert (base.form, wide.form.name) == (AS_WRITTEN, "wide")
    assert (base.job.job.name, wide.job.job.name) == ("plate_job", "plate_job_wide")
    assert (base.job.part[0].parameters.opening_mm, wide.job.part[0].parameters.opening_mm) == (40.0, 50.0)
    assert wide.job.part[0].parameters.bolts == 6
    assert wide.job.limits.ligament_mm == 4.0
    assert base.revision != wide.revision


def test_the_job_itself_is_what_it_was_without_its_variants(plate: Path) -> None:
    assert read(plate, WIDER).revision == read(plate, "").revision


def test_a_variant_changes_a_size_all_that_is_worked_out_from_it_follows(plate: Path) -> None:
    text = '[sizes]\nhole = "40 mm"\n' + plate.read_text(encoding="utf-8").replace('"40 mm"', '"hole"')
    plate.write_text(text.replace('"20 mm"', '"hole / 2"'), encoding="utf-8")
    made = read(plate, '\n[[variant]]\nname = "large"\nset = { "sizes.hole" = "60 mm" }\n', "large")
    assert (made.job.part[0].parameters.opening_mm, made.job.part[0].parameters.overlap_mm) == (60.0, 30.0)


@pytest.mark.parametrize(
    ("more", "mark", "says"),
    [
        ('set = { "part[cver].material" = "x" }', '"part[cver]', 'leads nowhere: no part "cver"'),
        ('set = { "part[cover].parameters.open" = "1 mm" }', '"part[cover]', 'the unknown key "open"'),
        ('set = { "part[cover].parameters.opening" = "1 N" }', '"1 N"', "expected a length"),
        ('set = { "sizes.gpa" = "1 mm" }', '"sizes.gpa"', 'leads nowhere: no size "gpa"'),
        ('set = { "use" = [] }', '"use"', "a key path of the job itself"),
        ('set = { "part[cover].title" = "a", "part[0].title" = "b" }', '"part[0]', "leads nowhere"),
        ('as_bought = ["master"]', '"master"', 'the unknown name "master"'),
        ('mirror = "panel"', '"panel"', "vehicle"),
        ('[[variant]]\nname = "wide"', '"wide"', "each name once among the variants"),
        ('turn = "left"', "turn", "the unknown key"),
    ],
)
def test_what_a_variant_must_not_say_is_pointed_at(plate: Path, more: str, mark: str, says: str) -> None:
    own = f'\n[[variant]]\nname = "wide"\n{more}\n'
    with pytest.raises(SpecError) as caught:
        read(plate, own, "wide")
    fault = caught.value.faults[0]
    row = (plate.read_text(encoding="utf-8") + own).split("\n")[fault.line - 1]
    assert row[fault.column - 1 :].startswith(mark), (row, fault)
    assert says in f"{fault.found}, expected {fault.expected}", fault


def test_words_of_a_hand_are_exchanged_or_told(plate: Path) -> None:
    text = plate.read_text(encoding="utf-8").replace(
        'title = "Cover"', 'title = "Cover LEFT, LH side"\netch = "COVER LEFT"\nfinish = "left bare"'
    )
    plate.write_text(text, encoding="utf-8")
    other = '\n[[variant]]\nname = "other"\nmirror = "vehicle"\n'
    made = read(plate, other, "other")
    part = made.job.part[0]
    assert (part.title, part.etch) == ("Cover RIGHT, RH side", "COVER LEFT")
    assert made.form.kept == (("part[cover].etch", "COVER LEFT"), ("part[cover].finish", "left bare"))
    (warned,) = [f for f in check_form(made.form, made.job) if f.severity is Severity.WARN]
    assert warned.code == "mirrored-words"
    assert "COVER LEFT" in warned.found
    # given in the variant it is as it is meant
    given = 'set = { "part[cover].etch" = "COVER LEFT", "part[cover].finish" = "bare" }\n'
    assert read(plate, other + given, "other").form.kept == ()
    assert read(plate, other).form.kept == ()


def test_an_unknown_variant_says_which_there_are(plate: Path) -> None:
    with pytest.raises(LookupFault) as caught:
        read(plate, WIDER, "wade")
    assert caught.value.known == ("wide",)


def asked(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    monkeypatch.setattr(sys, "argv", ["pedalplate", *arguments])
    run()
    return capsys.readouterr().out


def test_check_says_which_form_a_finding_is_of(
    plate: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    thin = '\n[[variant]]\nname = "tight"\nset = { "limits.hole_edge_ratio" = 5.0 }\n'
    plate.write_text(plate.read_text(encoding="utf-8") + thin, encoding="utf-8")
    said = asked(monkeypatch, capsys, "check", str(plate), "--no-mends")
    before, _, after = said.partition("variant tight, plate_job_tight")
    assert "the job as written, plate_job" in before
    assert "findings: 0 fail, 0 warn" in before
    assert "hole-edge-distance  part:cover" in after
    assert "hole-edge-distance" not in before
    forms = json.loads(asked(monkeypatch, capsys, "check", str(plate), "--json"))["variants"]
    assert [(f["variant"], bool(f["findings"])) for f in forms] == [("tight", True)]
    one = asked(monkeypatch, capsys, "check", str(plate), "--variant", "tight", "--json")
    assert json.loads(one)["findings"] == forms[0]["findings"]
