"""Single holes changed after planning, on either face and in any frame of the readings."""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from generators.errors import ExportError, GeometryFault, SpecError
from generators.geometry.contours import rectangle
from generators.issue.issue import issue
from generators.jobs.asdrilled.files import job_of, write_asdrilled
from generators.jobs.asdrilled.revise import Setting, revised_text
from generators.jobs.asdrilled.weigh import AsDrilled, as_drilled
from generators.jobs.issued.base import base_of
from generators.jobs.issued.give import add_issue
from generators.jobs.verify import verify
from generators.layout.mounting import placement
from generators.model.plan import Fitting, Flange, Hole, PartPlan
from generators.model.spec.rework import Rework
from generators.parts import KINDS
from generators.parts.building.rework import reworked
from generators.reading import read_job
from generators.reading.toml.source import parse_bytes
from generators.solve.job import Prepared, prepare

SPEC = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


def silent(what: str, done: int, total: int) -> None:
    """No progress bar."""


def plate() -> PartPlan:
    hole = Hole(
        name="h1",
        u_mm=10.0,
        v_mm=5.0,
        diameter_mm=9.0,
        purpose="bolt",
        fitting=Fitting(kind="bolt", label="M8 bolt", shank_mm=8.0),
        mates=True,
    )
    return PartPlan(
        name="p",
        kind="f",
        title="P",
        material="1008 steel",
        thickness_mm=3.0,
        flanges=(Flange(name="plate", contour=rectangle(-50, -50, 50, 50), holes=(hole,)),),
    )


def test_a_hole_is_lengthened_to_one_side() -> None:
    """By hand: one end stays at (10, 5), the other goes 3 mm along 30°."""
    after = reworked(plate(), [Rework(hole="h1", slot_mm=3.0, toward_rad=math.radians(30))])
    (slot,) = after.flanges[0].slots
    assert after.flanges[0].holes == ()
    half = slot.travel_mm / 2
    ends = [
        (slot.u_mm + k * half * math.cos(slot.angle_rad), slot.v_mm + k * half * math.sin(slot.angle_rad))
        for k in (-1, 1)
    ]
    assert ends[0] == pytest.approx((10.0, 5.0))
    assert ends[1] == pytest.approx((10.0 + 3 * math.cos(math.pi / 6), 5.0 + 1.5))
    assert (slot.width_mm, slot.mates) == (9.0, True)


def test_a_hole_is_opened_and_moved() -> None:
    (hole,) = reworked(plate(), [Rework(hole="h1", diameter_mm=10.5, move=(1.0, -2.0))]).flanges[0].holes
    assert (hole.u_mm, hole.v_mm, hole.diameter_mm) == (11.0, 3.0, 10.5)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        (Rework(hole="h9", slot_mm=2.0), ".rework[0].hole"),
        (Rework(hole="h1", slot_mm=60.0), ".rework[0]"),
    ],
)
def test_what_cannot_be_made_is_refused(change: Rework, key: str) -> None:
    with pytest.raises(GeometryFault) as caught:
        reworked(plate(), [change])
    assert caught.value.parameter == key


def test_rework_of_a_spec_is_faulted_at_its_line(tmp_path: Path) -> None:
    text = SPEC.read_text(encoding="utf-8").replace('shop = "shop.toml"', "")
    place = text.index('[[part]]\nname = "fitting_plate"')
    bad = text[:place] + '[[part.rework]]\nhole = "mount_9"\nslot = "2 mm"\n\n' + text[place:]
    (tmp_path / "van.toml").write_text(bad, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        prepare(tmp_path / "van.toml")
    (fault,) = caught.value.faults
    assert bad.split("\n")[fault.line - 1] == 'hole = "mount_9"'


def test_a_hole_that_serves_no_part_is_refused(tmp_path: Path) -> None:
    text = SPEC.read_text(encoding="utf-8")
    bad = text.replace(
        'what = "heater pipe grommet"', 'what = "heater pipe grommet"\n  serves = "clutch_hangar"'
    )
    (tmp_path / "van.toml").write_text(bad, encoding="utf-8")
    with pytest.raises(SpecError) as caught:
        read_job(tmp_path / "van.toml", {f.name: f.parameters for f in KINDS})
    assert [f.path for f in caught.value.faults] == ["panel[0].existing[1].serves"]
    assert "clutch_hanger" in caught.value.faults[0].expected


def _measured_by_calipers(places: dict[str, tuple[float, float]], part: str) -> str:
    """Distances between all holes and one handedness: a frame of its own, exact to 0.01 mm."""
    lines = ['[measure]\nname = "own_frame"\ntitle = "Own"\npanel = "firewall"', f'part = "{part}"\n']
    lines += [
        f'[[hole]]\nname = "{n}"\ndiameter = "{d} mm"\n'
        for n, d in ((n, 11.5 if "bulk" in n else 5.5) for n in places)
    ]
    for (a, pa), (b, pb) in itertools.combinations(places.items(), 2):
        far = math.dist(pa, pb)
        lines.append(f'[[reading]]\nfrom = "{a}"\nto = "{b}"\nis = "{far:.2f} mm"\nby = "caliper"\n')
    a, b, c = list(places)[:3]
    (ax, ay), (bx, by), (cx, cy) = (places[n] for n in (a, b, c))
    side = "left" if (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0 else "right"
    lines.append(f'[[handed]]\nhole = "{c}"\nside = "{side}"\nfrom = "{a}"\nto = "{b}"\n')
    return "\n".join(lines)


@pytest.mark.parametrize("own_frame", [False, True])
def test_a_slot_points_the_right_way_on_the_engine_face(
    tmp_path: Path, hose_van: Path, own_frame: bool
) -> None:
    """The fitting plate lies on the engine face, where its u runs against the panel's.

    The read-back of the revised spec lays the part on again with nothing but its own numbers.
    """
    prepared = prepare(hose_van)
    part = next(p for p in prepared.parts if p.spec.name == "fitting_plate")
    panel = next(p for p in prepared.file.job.panel if p.name == "firewall")
    assert part.mount is not None
    assert part.mount.face == "engine"
    place = placement(panel, part.mount)
    places = {h.name: place.apply(h.u_mm, h.v_mm) for h in part.plan.flanges[0].holes if h.mates}
    u, v = places["mount_1"]
    places["mount_1"] = (u + 2.2, v - 0.3)
    if own_frame:
        text = _measured_by_calipers(places, "fitting_plate")
    else:
        text = '[measure]\nname = "direct"\ntitle = "D"\npanel = "firewall"\npart = "fitting_plate"\n'
        for n, (pu, pv) in places.items():
            size = 11.5062 if "bulk" in n else 5.5
            text += f'\n[[hole]]\nname = "{n}"\ndiameter = "{size} mm"\nat = ["{pu} mm", "{pv} mm"]\nuncertainty = "0.05 mm"\n'
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    answer = as_drilled(hose_van, tmp_path / "r.toml")
    assert not answer.goes
    assert answer.tied != own_frame
    assert answer.rescue is not None
    assert answer.rescue.kind == "slot"
    assert answer.rescue.changes[0].hole == "mount_1"
    made = write_asdrilled(answer, tmp_path / "out", progress=silent)
    assert all(r.good for r in made.readings)
    revised = prepare(made.folder / "wrenfield_van_asdrilled.toml")
    plan = next(p.plan for p in revised.parts if p.spec.name == "fitting_plate")
    (slot,) = plan.flanges[0].slots
    # on the panel it points right; seen from the engine bay, in the part's own frame, to its left
    assert math.cos(slot.angle_rad) < -0.9
    if not own_frame:
        _told_from_its_issue(answer, prepared, tmp_path)


def _told_from_its_issue(answer: AsDrilled, prepared: Prepared, place: Path) -> None:
    """The same rescue of a spec that was issued: no letter of its own, the one behind it on its sheet."""
    spec = place / "wrenfield_van.toml"
    add_issue(spec, [prepared], why="first sold", date="2026-11-02", last="")
    base = base_of(replace(prepared.file, spec_path=spec))
    assert base is not None
    # a spec that says something else since is from no issue
    assert base_of(replace(prepared.file, spec_path=spec, content="0" * 12)) is None
    made = issue(job_of(answer, "A4", base), place / "issued", progress=silent)
    manifest = json.loads((made.folder / "manifest.json").read_text(encoding="utf-8"))
    assert (manifest["from_issue"], manifest.get("letter", "")) == ("A", "")
    (sheet,) = PdfDocument(made.folder / "filing_sheet.pdf")
    said = f"revision as drilled, from A 2026-11-02, {manifest['revision']}"
    assert said in sheet.get_textpage().get_text_range()
    assert [p for r in verify(made.folder, progress=silent) for p in r.problems] == []


def test_values_are_changed_where_they_stand() -> None:
    text = 'x = 1 # keep\n[[part]]\nname = "a"\nat = { u = "1 mm", v = "2 mm" } # both\n\n# next\n[[part]]\nname = "b"\n'
    source = parse_bytes("s.toml", text.encode())
    out = revised_text(
        source,
        [
            Setting(path=("part", 0, "at", "u"), text='"10.25 mm"', beside="at"),
            Setting(path=("part", 0, "at", "v"), text='"-3 mm"', beside="at"),
            Setting(path=("part", 1, "flag"), text="true", beside="name"),
        ],
        [(("part", 0), "[[part.sub]]\nk = 1\n")],
    )
    assert out == (
        'x = 1 # keep\n[[part]]\nname = "a"\nat = { u = "10.25 mm", v = "-3 mm" } # both\n\n[[part.sub]]\nk = 1\n'
        '\n# next\n[[part]]\nname = "b"\nflag = true\n'
    )


def test_an_inline_table_cannot_take_a_line() -> None:
    source = parse_bytes("s.toml", b'part = [{ name = "a", mount = { panel = "p" } }]\n')
    with pytest.raises(ExportError):
        revised_text(source, [Setting(path=("part", 0, "mount", "holes"), text="false", beside="panel")], [])
    with pytest.raises(ExportError):
        revised_text(source, [], [(("part", 0), "[[part.rework]]\n")])


def test_other_hand_is_not_reworked(tmp_path: Path) -> None:
    text = SPEC.read_text(encoding="utf-8")
    place = text.index('[[part]]\nname = "clutch_reservoir"')
    both = text[:place] + '[[part.rework]]\nhole = "mount_1"\nslot = "1 mm"\n\n' + text[place:]
    both = both.replace(
        'name = "fitting_plate"\n', 'name = "fitting_plate"\nopposite = { name = "other_plate" }\n'
    )
    (tmp_path / "van.toml").write_text(both, encoding="utf-8")
    job = read_job(tmp_path / "van.toml", {f.name: f.parameters for f in KINDS}).job
    parts = {p.name: p for p in job.part}
    assert len(parts["fitting_plate"].rework) == 1
    assert parts["other_plate"].rework == ()
    assert replace(parts["other_plate"], rework=()).name == "other_plate"
