"""How long ``make`` takes, as ratios of one run: ``python tests/bench/bench_make.py``.

Run on demand; prints, asserts nothing. ``PEDALPLATE_CORES`` says how many processes work, all by default.

The bare part calls cadquery, ezdxf and reportlab directly for files of the same kinds: a folded channel as fused
boxes with the same number of holes, its STEP and STL; a DXF with the same number of entities; PDF pages with
the same number of circles and texts. They are called after the libraries have been imported, in this process.

Each figure stands twice: by the clock, which depends on who else is on the machine, and of the processors, which
does not (what runs on two cores at once counts twice there).

Growth is the time for each part, hole or panel, measured by that of the first row: about 1 is linear, and
less than 1 says that what a run costs anyhow is shared by more.
"""

from __future__ import annotations

import math
import os
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

import cadquery as cq
import ezdxf
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import Prepared, prepare

SPECS = Path(__file__).parents[2] / "specs"
SPEC = SPECS / "wrenfield_van.toml"
HERE, MOVED = (
    'from = "heater_pipe", u = "-190 mm", v = "-100 mm"',
    'from = "heater_pipe", u = "-189 mm", v = "-100 mm"',
)
"""Where the demo's fitting of the pressure line stands, and one millimetre beside."""

PARTS, HOLES, PANELS = (1, 4, 15, 60), (10, 50, 150, 500), (1, 4, 10, 20)
PITCH_MM = 40
HOLES_A_PANEL = 6


class Took(NamedTuple):
    """Seconds by the clock, and of the processors: of this process and of all it began and saw end."""

    clock: float
    processors: float

    def of(self, other: Took) -> str:
        """Both as parts of another's."""
        return f"{self.clock / other.clock:>6.2f} {self.processors / other.processors:>10.2f}"


def processors() -> float:
    """Seconds of processors so far."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def took(work: Callable[[], object]) -> Took:
    """How long one call takes."""
    start, begun = time.perf_counter(), processors()
    work()
    return Took(time.perf_counter() - start, processors() - begun)


def timed(work: Callable[[], object]) -> float:
    """Seconds one call takes by the clock."""
    return took(work).clock


def bare_solids(prepared: Prepared, folder: Path) -> None:
    """One fused solid per part with as many flanges and holes as the plan, as STEP and STL."""
    for part in prepared.parts:
        t = part.plan.thickness_mm
        solid: cq.Shape = cq.Workplane().box(200, 150, t).val()
        for index in range(len(part.plan.flanges) - 1):
            solid = solid.fuse(cq.Workplane().box(t, 150, 80).translate((index * 40, 0, 40)).val())
        for flange in part.plan.flanges:
            for hole in flange.holes:
                tool = cq.Solid.makeCylinder(hole.diameter_mm / 2, 400, cq.Vector(hole.u_mm, hole.v_mm, -200))
                solid = solid.cut(tool)
        cq.exporters.export(cq.Workplane(obj=solid), str(folder / f"{part.spec.name}.step"))
        cq.exporters.export(
            cq.Workplane(obj=solid),
            str(folder / f"{part.spec.name}.stl"),
            tolerance=0.02,
            angularTolerance=0.1,
        )


def bare_dxf(finished: Path, folder: Path) -> None:
    """As many DXF files with as many circles and texts as the finished ones hold entities."""
    for index, path in enumerate(sorted(finished.rglob("*.dxf"))):
        count = len(ezdxf.readfile(path).modelspace())
        document = ezdxf.new("R2010")
        space = document.modelspace()
        for i in range(count // 2):
            space.add_circle((i, i), 4.5)
            space.add_text(str(i)).set_placement((i, i))
        document.saveas(folder / f"{index}.dxf")


def bare_pdf(finished: Path, folder: Path) -> None:
    """As many PDF pages with as many circles and texts as the finished ones hold objects."""
    for index, path in enumerate(sorted(finished.rglob("*.pdf"))):
        document = pypdfium2.PdfDocument(path)
        counts = [sum(1 for _ in page.get_objects()) for page in document]
        document.close()
        canvas = Canvas(str(folder / f"{index}.pdf"), invariant=1, pageCompression=1)
        for count in counts:
            for i in range(count // 2):
                canvas.circle(i % 500, i % 700, 12)
                canvas.drawString(i % 500, i % 700, "9.0")
            canvas.showPage()
        canvas.save()


def made(spec: Path, out: Path) -> Path:
    """Read, solve and make a spec; the finished folder."""
    prepared = prepare(spec)
    make(prepared, out, paper="A4", progress=quiet)
    return out / prepared.file.job.job.name


def quiet(*_: object) -> None:
    """Say nothing."""


def panel_text(name: str, holes: int) -> str:
    """An invented panel with that many holes on a square grid, and two that are there already."""
    side = math.ceil(math.sqrt(holes))
    wide, high = (side + 4) * PITCH_MM, (math.ceil(holes / side) + 2) * PITCH_MM
    lines = [
        "[[panel]]",
        f'name = "{name}"',
        f'title = "Invented sheet {name}"',
        'material = "mild steel"',
        'thickness = "1.2 mm"',
        'origin = ["0 mm", "0 mm", "0 mm"]',
        'tilt = "0 deg"',
        f'outline = [["0 mm", "0 mm"], ["{wide} mm", "0 mm"], ["{wide} mm", "{high} mm"], ["0 mm", "{high} mm"]]',
        'witness_hole = "first"',
    ]
    for old, at in (("first", (PITCH_MM, PITCH_MM)), ("second", (PITCH_MM, high - PITCH_MM))):
        lines += ["[[panel.existing]]", f'name = "{old}"', f'at = ["{at[0]} mm", "{at[1]} mm"]']
        lines += ['diameter = "20 mm"', 'what = "old hole"']
    for k in range(holes):
        u, v = (k % side + 1) * PITCH_MM, k // side * PITCH_MM
        lines += ["[[panel.hole]]", f'name = "hole_{k + 1}"', 'kind = "plain"', 'diameter = "6 mm"']
        lines += ['purpose = "bench"', f'at = {{ from = "first", u = "{u} mm", v = "{v} mm" }}']
    return "\n".join(lines)


def spec_text(parts: int, panels: int, holes: int) -> str:
    """A job of so many bent parts that are mounted nowhere, and panels of so many holes."""
    lines = ["[job]", 'name = "bench"', 'title = "Bench"']
    lines += [panel_text(f"panel_{k + 1}", holes) for k in range(panels)]
    for k in range(parts):
        lines += ["[[part]]", f'name = "part_{k + 1}"', 'kind = "reservoir_bracket"', 'title = "Bracket"']
        lines += [
            'material = "1008 steel"',
            'thickness = "2 mm"',
            "[part.parameters]",
            f'width = "{80 + k} mm"',
        ]
    return "\n".join(lines) + "\n"


def growth(what: str, sizes: tuple[int, ...], text: Callable[[int], str], folder: Path) -> None:
    """One row per size."""
    first = 0.0
    for size in sizes:
        home = folder / f"{what}_{size}"
        home.mkdir()
        spec = home / "bench.toml"
        spec.write_text(text(size), encoding="utf-8")
        seconds = timed(partial(made, spec, home))
        first = first or seconds / size
        print(f"{what:<10} {size:>5} {seconds:>8.2f} s   for each / first row {seconds / size / first:>6.2f}")


def demo(folder: Path) -> None:
    """The demo: against bare calls, made again with a hole moved, and proven."""
    spec, out = folder / SPEC.name, folder / "out"
    text = SPEC.read_text(encoding="utf-8")
    spec.write_text(text, encoding="utf-8")
    (folder / "shop.toml").write_bytes((SPECS / "shop.toml").read_bytes())
    made(spec, folder / "before")  # imports, caches
    whole = took(lambda: made(spec, out))
    finished = out / prepare(spec).file.job.job.name
    proof = took(lambda: verify(finished, progress=quiet))
    looked = took(lambda: verify(finished, progress=quiet, quick=True))
    same = took(lambda: made(spec, out))
    room = folder / "bare"
    room.mkdir()
    parts = {
        "cadquery": took(lambda: bare_solids(prepare(spec), room)),
        "ezdxf": took(lambda: bare_dxf(finished, room)),
        "reportlab": took(lambda: bare_pdf(finished, room)),
    }
    if text.count(HERE) != 1:
        raise SystemExit(f"{SPEC.name} has no hole at {HERE}")
    spec.write_text(text.replace(HERE, MOVED), encoding="utf-8")
    again = took(lambda: made(spec, out))
    print("                                        clock processors")
    print(f"make, all files, read back {whole.clock:>16.2f} s {whole.processors:>8.2f} s")
    for library, one in parts.items():
        print(f"bare {library:<21} {one.clock:>16.2f} s {one.processors:>8.2f} s")
    bare = Took(*map(sum, zip(*parts.values(), strict=True)))
    print(f"make / bare calls                      {whole.of(bare)}")
    print(f"make after one hole moved / first make {again.of(whole)}")
    print(f"make with nothing changed / first make {same.of(whole)}")
    print(f"verify / make                          {proof.of(whole)}")
    print(f"verify --quick / make                  {looked.of(whole)}")


def main() -> None:
    """Print both tables."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        demo(folder)
        growth("parts", PARTS, lambda n: spec_text(n, 1, 1), folder)
        growth("holes", HOLES, lambda n: spec_text(0, 1, n), folder)
        growth("panels", PANELS, lambda n: spec_text(0, n, HOLES_A_PANEL), folder)


if __name__ == "__main__":
    main()
