"""Whatever of a job is changed, the next ``make`` over the old folder is to the byte one that began afresh.

Folders made afresh are the reference: they take nothing from an earlier run. A file is taken again by the name
of all it is made from, so a name that forgot an input would give two contents one name here.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from issue.small import PLATE, STEEL
from issue.ways import EDGE, SHOP, silent
from spec_pieces import panel, wire_hole

from generators.issue.issue import Issued
from generators.issue.stamp import PLACEHOLDER, stamped
from generators.jobs.make.run import make
from generators.solve.job import for_printer, prepare


def cylinder(name: str, up_mm: int, *, port: str, at: str, facing: str) -> str:
    """A cylinder that stands free, its port ``at`` so far up from its axis."""
    return f"""
[[component]]
name = "{name}"
kind = "{name}"
on = {{ at = ["400 mm", "0 mm", "{up_mm} mm"], facing = "engine" }}
diameter = "30 mm"
length = "80 mm"
  [[component.port]]
  name = "{port}"
  at = ["20 mm", "0 mm", "{at}"]
  facing = "{facing}"
  dash = 4
"""


SPEC = (
    """
[job]
name = "small"
title = "One panel, invented"
contact = "the workshop, invented"
date = "2026-11-30"

"""
    + panel("left", 150, 120, title="Left panel", material=STEEL)
    + wire_hole("wire", 30, 30)
    + "\n"
    + PLATE
    + cylinder("slave", 300, port="inlet", at="20 mm", facing="up")
    + cylinder("master", 700, port="outlet", at="-20 mm", facing="down")
    + """
[[hose]]
name = "line"
service = "pressure"
from = "slave.inlet"
to = "master.outlet"
dash = 4
outside = "9 mm"
radius = "2 in"
"""
)
NEAR_EDGE = "\n" + wire_hole("edge", 5, 90, diameter_mm=8)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One state of the job: words of the spec in place of others, and how ``make`` is asked."""

    spec: tuple[tuple[str, str], ...] = ()
    shop: str = SHOP
    waivers: Mapping[str, str] = field(default_factory=dict)
    printer: str = ""
    paper: str = "A4"

    def made(self, home: Path, out: Path) -> Issued:
        text = SPEC
        for old, new in self.spec:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        (home / "small.toml").write_text(text, encoding="utf-8", newline="\n")
        (home / "shop.toml").write_text(self.shop, encoding="utf-8", newline="\n")
        prepared = prepare(home / "small.toml", self.waivers)
        if self.printer:
            prepared = for_printer(prepared, self.printer)
        return make(prepared, out, paper=self.paper, progress=silent)


HOLE = ('u = "30 mm"', 'u = "31 mm"')
EDGED = ("\n[[part]]", f"{NEAR_EDGE}\n[[part]]")
STATES: dict[str, Asked] = {
    "first": Asked(),
    "hole moved": Asked(spec=(HOLE,)),
    "hole's size": Asked(spec=(('diameter = "10 mm"', 'diameter = "11 mm"'),)),
    "part's thickness": Asked(spec=(('thickness = "2 mm"', 'thickness = "3 mm"'),)),
    "title": Asked(spec=(("One panel, invented", "One sheet, invented"),)),
    "contact": Asked(spec=(("the workshop, invented", "the yard, invented"),)),
    "date": Asked(spec=(("2026-11-30", "2026-12-01"),)),
    "hose": Asked(spec=(('outside = "9 mm"', 'outside = "12 mm"'),)),
    "waiver": Asked(spec=(EDGED,), waivers={"hole-ligament": EDGE}),
    "other reason": Asked(spec=(EDGED,), waivers={"hole-ligament": "cut off afterwards"}),
    "units of the shop": Asked(shop=f'units = "inch"\n{SHOP}'),
    "cutter of the shop": Asked(shop=f'{SHOP}\n[cutting]\nprocess = "laser"\nsmallest_hole = "12 mm"\n'),
    "printer": Asked(printer="hall laser"),
    "paper": Asked(paper="letter"),
}


def contents(made: Issued) -> dict[str, str]:
    return {
        p.relative_to(made.folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in made.folder.rglob("*")
        if p.is_file()
    }


def bodies(made: Issued) -> dict[tuple[str, str], str]:
    """What each file is without its revision, by its path and the name of all it was made from."""
    said = json.loads((made.folder / "reuse.json").read_text(encoding="utf-8"))
    out = {}
    for path, row in said["files"].items():
        where = [(member, at) for member, at in row["places"]]
        plain = stamped((made.folder / path).read_bytes(), where, PLACEHOLDER)
        out[path, row["key"]] = hashlib.sha256(plain).hexdigest()
    return out


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Issued]:
    """Every state, each in a folder that was not there before."""
    home = tmp_path_factory.mktemp("states")
    return {name: asked.made(home, home / f"{k}") for k, (name, asked) in enumerate(STATES.items())}


def test_one_name_of_all_it_was_made_from_is_one_content(fresh: dict[str, Issued]) -> None:
    found: dict[tuple[str, str], tuple[str, str]] = {}
    for state, made in fresh.items():
        assert made.reused == 0
        for key, content in bodies(made).items():
            known, where = found.setdefault(key, (content, state))
            assert known == content, f"{key[0]} would be taken from {where!r} for {state!r}"
    # each is truly another job, or another way to ask for it
    assert len({json.dumps(contents(made), sort_keys=True) for made in fresh.values()}) == len(STATES)
    # and there is something that can be taken
    assert len(found) < sum(len(bodies(made)) for made in fresh.values())


def test_made_over_the_folder_of_another_state_it_is_as_made_afresh(
    fresh: dict[str, Issued], tmp_path: Path
) -> None:
    (tmp_path / "home").mkdir()
    for name in ("first", "hole moved", "waiver"):
        over = STATES[name].made(tmp_path / "home", tmp_path / "over")
        assert contents(over) == contents(fresh[name]), name
        assert (over.reused > 0) is (name != "first"), name
