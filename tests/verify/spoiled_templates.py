"""Templates written, read back, and changed by another program between the two."""

import ctypes

import pypdfium2
import pypdfium2.raw as pdfium
from drawing.sample import JOB, REVISION, firewall

from generators.drawing.template.pdf import write_template
from generators.verify.pdf.template.pages import read_template_pdf

PT = 72 / 25.4


def write_one(path, layout=None, face="cab", paper="A3", **more):
    return write_template(
        layout or firewall(), path, face=face, paper=paper, **({"job": JOB, "revision": REVISION} | more)
    )


def read_one(path, layout=None, face="cab", job=JOB, revision=REVISION):
    return read_template_pdf(path, layout or firewall(), face=face, job=job, revision=revision, rel=path.name)


def changed(sound, tmp_path, change, page_number=1):
    """The file with the objects of one page changed by ``change(page)``, saved by another program."""
    path = tmp_path / "changed.pdf"
    document = pypdfium2.PdfDocument(sound)
    page = document[page_number]
    change(page)
    pdfium.FPDFPage_GenerateContent(page)
    document.save(path)
    document.close()
    return path


def line_width(item):
    width = ctypes.c_float()
    pdfium.FPDFPageObj_GetStrokeWidth(item, width)
    return width.value / PT


def is_final(item):
    """A path of Béziers with the line of a final circle."""
    if item.type != pdfium.FPDF_PAGEOBJ_PATH or not 0.3 < line_width(item) < 0.4:
        return False
    return pdfium.FPDFPath_CountSegments(item) in {13, 25}  # a start, then three points to a Bézier


def finals(page):
    """The final circles of a page, the one nearest to its middle first."""

    def off_middle(item):
        x0, y0, x1, y1 = item.get_bounds()
        return abs(x0 + x1 - page.get_width()) + abs(y0 + y1 - page.get_height())

    return sorted((item for item in page.get_objects() if is_final(item)), key=off_middle)


def transform(item, *matrix):
    pdfium.FPDFPageObj_Transform(item, *matrix)
