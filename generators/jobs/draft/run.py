"""The folder of a draft: written and read back as any other, whatever the rules say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Literal, TypeAlias, TypeVar, get_args

from generators.drawing.paper.sizes import paper_choices
from generators.errors import LookupFault
from generators.issue.artefact import Artefact, Job
from generators.issue.issue import Issued, issue
from generators.issue.manifest import Entry, Manifest
from generators.issue.stamp import PLACEHOLDER, Stamp
from generators.issue.work import Progress
from generators.jobs.draft.content import content_of
from generators.jobs.make.run import SPEC_FOLDER, kept_spec, spec_files, variant_head
from generators.sheetmetal.folding import flat_pattern
from generators.sheets.draft.content import Content
from generators.sheets.draft.files import PNG_SCALE, write_draft_pdf, write_draft_png, write_draft_svg
from generators.sheets.draft.page import write_draft_page
from generators.sheets.draft.pictures import WHATS, Drawn, What, drawn
from generators.sheets.draft.space import shown_names
from generators.sheets.phone.three import three_js
from generators.solve.job import Prepared, prepare
from generators.units import INCH_MM
from generators.verify.draft.files import read_html, read_pdf, read_png, read_svg
from generators.verify.draft.wanted import Shown

KIND = "draft"
ENDING = "_draft"
"""Of the folder's name: a draft never stands where finished files stand."""

Form: TypeAlias = Literal["pdf", "svg", "html", "png"]
FORMS: tuple[Form, ...] = get_args(Form)
_Word = TypeVar("_Word", bound=str)
USUAL: tuple[Form, ...] = ("pdf", "svg", "html")


def job_of(prepared: Prepared, whats: Sequence[What], forms: Sequence[Form], paper: str) -> Job:
    """The folder of a draft as a job. Its files release nothing, so no finding holds them back."""
    content = content_of(prepared)
    pictures = [*drawn(content, whats)]
    head = prepared.file.job.job
    return Job(
        kind=KIND,
        stamp=Stamp(job=head.name, title=head.title, revision=prepared.file.revision, paper=paper),
        head={
            "spec": f"{SPEC_FOLDER}/{prepared.file.spec_path.name}",
            **variant_head(prepared.file),
            "shows": [what for what in WHATS if what in whats],
            "forms": [form for form in FORMS if form in forms],
        },
        kept=spec_files(prepared.file, SPEC_FOLDER),
        artefacts=tuple(_artefacts(content, pictures, tuple(whats), forms, paper)),
        findings=prepared.findings,
        answers=True,
    )


def _artefacts(
    content: Content, pictures: Sequence[Drawn], whats: tuple[What, ...], forms: Sequence[Form], paper: str
) -> Iterator[Artefact]:
    shown = [_shown(content, one) for one in pictures]
    codes = tuple(pin.finding.code for pin in content.pins)
    if "pdf" in forms:
        yield Artefact(
            entry=Entry(path="draft.pdf", kind="draft_pdf"),
            body=partial(write_draft_pdf, content=content, whats=whats, revision=PLACEHOLDER, paper=paper),
            read=partial(read_pdf, wanted=tuple(shown), codes=codes, rel="draft.pdf"),
        )
    if "html" in forms:
        bodies = tuple(shown_names(content)) if "scene" in whats and three_js() else ()
        yield Artefact(
            entry=Entry(path="draft.html", kind="draft_page"),
            body=partial(write_draft_page, content=content, whats=whats, revision=PLACEHOLDER),
            read=partial(read_html, wanted=tuple(shown), codes=codes, bodies=bodies, rel="draft.html"),
        )
    for one, wanted in zip(pictures, shown, strict=True):
        if "svg" in forms:
            path = f"svg/{one.name}.svg"
            yield Artefact(
                entry=Entry(path=path, kind="draft_picture"),
                body=partial(
                    write_draft_svg, content=content, what=one.what, name=one.name, revision=PLACEHOLDER
                ),
                read=partial(read_svg, wanted=wanted, rel=path),
            )
        if "png" in forms:
            path = f"png/{one.name}.png"
            size = tuple(round(mm / INCH_MM * 72 * PNG_SCALE) for mm in one.picture.size)
            yield Artefact(
                entry=Entry(path=path, kind="draft_bitmap"),
                body=partial(write_draft_png, content=content, what=one.what, name=one.name),
                read=partial(read_png, wanted=wanted, size=(size[0], size[1]), rel=path),
                revised=False,
            )


def _shown(content: Content, one: Drawn) -> Shown:
    """What a picture must show, from the plans."""
    holes: tuple[tuple[float, float, float], ...] = ()
    if one.panel is not None:
        layout, face = one.panel.shows
        holes = tuple((h.u_mm, h.v_mm, h.final_dia_mm) for h in layout.holes if not h.travel_mm)
        return Shown(
            name=one.name,
            title=one.title,
            pins=tuple(pin.number for pin in one.pins),
            holes=holes,
            ratio=one.panel.ratio,
            mirrored=face == "engine",
        )
    plan = next((p for p in content.plans if one.name == f"part_{p.name}"), None) if one.ratio else None
    if plan is not None:
        holes = tuple((h.u_mm, h.v_mm, h.diameter_mm) for h in flat_pattern(plan).holes)
    pins = tuple(pin.number for pin in one.pins)
    return Shown(name=one.name, title=one.title, pins=pins, holes=holes, ratio=one.ratio)


def draft(
    prepared: Prepared,
    out: Path,
    *,
    whats: Sequence[What] = WHATS,
    forms: Sequence[Form] = USUAL,
    paper: str,
    progress: Progress,
) -> Issued:
    """Write, read back and swap in ``<job>_draft``.

    Raises ``ExportError`` and ``ReadBackError`` as ``make`` does.
    """
    job = job_of(prepared, whats, forms, paper)
    return issue(job, out / f"{prepared.file.job.job.name}{ENDING}", progress=progress)


def from_folder(folder: Path, manifest: Manifest) -> Job:
    """The job of a finished draft, from the spec in it.

    Raises ``ReadBackError``, and what ``prepare`` and ``paper_choices`` raise.
    """
    spec = kept_spec(folder, manifest)
    paper_choices(manifest.said("paper"))
    whats = _known(manifest.content, "shows", WHATS)
    forms = _known(manifest.content, "forms", FORMS)
    return job_of(prepare(spec, variant=manifest.said("variant")), whats, forms, manifest.said("paper"))


def _known(content: Mapping[str, object], key: str, known: Sequence[_Word]) -> tuple[_Word, ...]:
    said = content.get(key)
    words = said if isinstance(said, list) else []
    for word in words:
        if word not in known:
            raise LookupFault(key, str(word), [*known])
    return tuple(word for word in known if word in words)
