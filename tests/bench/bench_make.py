"""Wall time of ``make`` against the bare library calls that write files of the same kinds.

Run on demand: ``python tests/bench/bench_make.py``. Prints ratios, asserts nothing. The bare part
calls cadquery, ezdxf and reportlab directly: a folded channel as fused boxes with the same number of
holes, its STEP and STL; a DXF with the same number of entities; PDF pages with the same number of
circles and texts. Both run in one process after the libraries have been imported.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import cadquery as cq
import ezdxf
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from generators.jobs.make.run import make
from generators.jobs.verify import verify
from generators.solve.job import Prepared, prepare

SPEC = Path(__file__).parents[2] / "specs" / "wrenfield_van.toml"


def timed(work: Callable[[], object]) -> float:
    """Seconds one call takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


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


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name:
        out = Path(name)
        make(prepare(SPEC), out, paper="A4", progress=lambda what, done, total: None)  # imports, caches
        whole = timed(lambda: make(prepare(SPEC), out, paper="A4", progress=lambda what, done, total: None))
        prepared = prepare(SPEC)
        finished = out / prepared.file.job.job.name
        proof = timed(lambda: verify(finished, progress=lambda *_: None))
        bare = out / "bare"
        bare.mkdir()
        parts = {
            "cadquery": timed(lambda: bare_solids(prepared, bare)),
            "ezdxf": timed(lambda: bare_dxf(finished, bare)),
            "reportlab": timed(lambda: bare_pdf(finished, bare)),
        }
        total = sum(parts.values())
        print(f"make, all files, read back      {whole:6.2f} s")
        print(f"  of which reading back         {proof:6.2f} s")
        for library, seconds in parts.items():
            print(f"bare {library:<10} calls          {seconds:6.2f} s")
        print(f"make / bare calls               {whole / total:6.2f}")
        print(f"writing alone / bare calls      {(whole - proof) / total:6.2f}")


if __name__ == "__main__":
    main()
