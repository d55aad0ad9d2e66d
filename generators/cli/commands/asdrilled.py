"""``pedalplate asdrilled``: does the part go on the holes as they were drilled, and if not, what helps."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from generators.cli.options import (
    input_argument,
    json_option,
    out_if_asked_option,
    paper_option,
    variant_option,
)
from generators.cli.output import EXIT_CHECK, EXIT_OK, bar, print_findings, print_json, say_cautions, stdout
from generators.cli.paths import require_folder_or_nothing, writing
from generators.figures import fixed

if TYPE_CHECKING:
    from generators.jobs.asdrilled.weigh import AsDrilled

OPTIONS_SHOWN = 6


@click.command()
@input_argument()
@input_argument("file")
@variant_option()
@out_if_asked_option("Write the revised spec and the sheets to work from into a folder in here.")
@paper_option("Paper of the sheets.")
@json_option()
def asdrilled(spec: Path, file: Path, variant: str, out: Path | None, paper: str, as_json: bool) -> int:
    """Lay a part of SPEC on the holes measured in FILE: clearance left, chance, and the smallest rescue.

    With [[inspected]] in FILE: what was read on the part's inspection sheet is held against its limits, and
    its holes are taken where they were read.

    With [[fixed]] in FILE: things bolted down in the wrong place, hoses in hand, and the least to do again.

    \b
    pedalplate asdrilled specs/wrenfield_van.toml specs/wrenfield_hanger_readings.toml
    pedalplate asdrilled specs/wrenfield_van.toml specs/wrenfield_hanger_readings.toml --out templates_out

    FILE is as for `measure`; its [measure] names the part, each [[hole]] the part's hole by name or `mates`.
    """
    from generators.jobs.asdrilled import inspection
    from generators.jobs.asdrilled.figures import figures
    from generators.jobs.asdrilled.weigh import as_drilled
    from generators.reading.readings import read_readings

    readings = read_readings(file).readings
    if readings.inspected and not readings.hole:
        return _as_inspected(spec, file, variant, as_json=as_json)
    if readings.fixed:
        return _as_fixed(spec, file, variant, out, paper, as_json=as_json)
    answer = as_drilled(spec, file, variant)
    written: list[str] = []
    if out is not None and answer.writes:
        from generators.jobs.asdrilled.files import write_asdrilled

        require_folder_or_nothing(out)
        with writing(out), bar() as progress:
            made = write_asdrilled(answer, out, paper=paper, progress=progress)
        written = [str(made.folder / e.path) for e in made.entries]
    seen = answer.case.seen
    good = answer.goes and (seen is None or seen.good)
    code = EXIT_OK if good else EXIT_CHECK
    if as_json:
        print_json({"ok": good, **figures(answer), "files": written})
        return code
    console = stdout()
    for line in inspection.words(seen) if seen is not None else ():
        console.print(line, markup=False)
    for line in screen(answer):
        console.print(line.rstrip(), markup=False)
    console.print()
    print_findings(answer.findings)
    for path in written:
        console.print(path, markup=False)
    say_cautions()
    return code


def _as_inspected(spec: Path, file: Path, variant: str, *, as_json: bool) -> int:
    """A part's inspection sheet alone: what is out of its limits."""
    from generators.jobs.asdrilled import inspection
    from generators.jobs.asdrilled.figures import inspected_data
    from generators.reading.readings import read_readings
    from generators.solve.job import prepare

    seen = inspection.inspect(prepare(spec, variant=variant), read_readings(file))
    code = EXIT_OK if seen.good else EXIT_CHECK
    if as_json:
        print_json({"ok": seen.good, **inspected_data(seen)})
        return code
    console = stdout()
    for line in inspection.words(seen):
        console.print(line, markup=False)
    console.print()
    print_findings(seen.findings)
    say_cautions()
    return code


def _as_fixed(spec: Path, file: Path, variant: str, out: Path | None, paper: str, *, as_json: bool) -> int:
    """Things fixed in the wrong place: the least to do again, and a folder to do it from."""
    from generators.jobs.asfixed import words
    from generators.jobs.asfixed.weigh import as_fixed

    answer = as_fixed(spec, file, variant)
    written: list[str] = []
    if out is not None:
        from generators.jobs.asfixed.files import write_asfixed, writes

        require_folder_or_nothing(out)
        if writes(answer):
            with writing(out), bar() as progress:
                made = write_asfixed(answer, out, paper=paper, progress=progress)
            written = [str(made.folder / e.path) for e in made.entries]
    code = EXIT_OK if answer.stays else EXIT_CHECK
    if as_json:
        print_json({"ok": answer.stays, **words.figures(answer), "files": written})
        return code
    console = stdout()
    for line in words.screen(answer):
        console.print(line.rstrip(), markup=False)
    if out is not None and not written:
        console.print("  nothing is written: " + ("nothing differs" if answer.stays else "no way clears it"))
    for path in written:
        console.print(path, markup=False)
    say_cautions()
    return code


def screen(answer: AsDrilled) -> Iterator[str]:
    """The result as lines."""
    laid, spec = answer.fit, answer.part.spec
    verdict = "goes on" if answer.goes else "does not go on"
    name, where = spec.title or spec.name, answer.panel.title.lower()
    yield f"{name} on the {where}: {verdict}, {laid.worst_mm:+.2f} mm left"
    if answer.tied:
        du, dv = laid.shift
        turn = math.degrees(laid.turn_rad)
        yield f"  it lies {du:+.2f} right, {dv:+.2f} up of the spec, turned {turn:+.2f} deg"
    yield ""
    wide = max(4, *(len(j.name) for j in answer.joints))
    heads = (
        f"{'fastener':<9} {'shank':>6} {'part':>6} {'panel':>6} {'may be off':>11} {'is off':>7} {'left':>6}"
    )
    yield f"  {'hole':<{wide}}  {heads}"
    for j, off, left in zip(answer.joints, laid.off_mm, laid.left_mm, strict=True):
        how = "fixed" if j.fixed else "floating"
        yield (
            f"  {j.name:<{wide}}  {how:<9} {fixed(j.shank_mm, 2):>6} {fixed(j.part_dia_mm, 2):>6} "
            f"{fixed(j.panel_dia_mm, 2):>6} "
            f"{j.clearance_mm:11.2f} {math.hypot(*off):7.2f} {left:+6.2f}"
        )
    for name, why in answer.skipped:
        yield f"  {name} is not weighed: {why}"
    yield ""
    steps = ", ".join(f"{share:.1%} of {n}" for n, share in answer.chance.running)
    yield f"  chance that it goes on: {answer.chance.share:.1%} ± {answer.chance.within:.1%} ({steps})"
    rescue = answer.rescue
    if rescue is None:
        yield "  rescue: none of one change; make the part again from these holes"
    elif rescue.kind == "names":
        yield f"  do: {rescue.words}"
    elif answer.after is not None and answer.after_chance is not None:
        yield f"  do: {rescue.words}"
        if rescue.kind != "go":
            yield (
                f"      then {fixed(answer.after.worst_mm, 2)} mm are left and it goes on in "
                f"{answer.after_chance.share:.1%} of cases; {rescue.metal_mm3:.0f} mm³ of metal go"
            )
    yield from _after(answer)
    if answer.options:
        yield ""
        yield "  all that was weighed, least metal first"
        for option in answer.options[:OPTIONS_SHOWN]:
            why = f"  NO: {option.cannot}" if option.cannot else ""
            yield f"  {option.metal_mm3:7.0f} mm³  {option.words}{why}"


def _after(answer: AsDrilled) -> Iterator[str]:
    """What the part does to the rest of the job where it comes to lie."""
    from generators.jobs.asdrilled.spec_text import IDLE

    if not answer.writes:
        return
    if not answer.tied:
        yield "  no edge ties the readings to the panel: what a shifted part does to the rest is not known"
        return
    outcome = answer.outcome
    if outcome is None or outcome.prepared is None:
        return
    yield ""
    yield "  with the part where it then lies, the job solved again"
    for effect in answer.effects:
        yield f"    {effect.words}"
    for tool in outcome.idle:
        yield f"    {tool} is left out of the spec: {IDLE}"
    for word, found in (("brings", outcome.brings), ("clears", outcome.clears)):
        for f in found:
            yield f"    {word} {f.severity.value} {f.code} {f.where}: {f.found}; limit {f.wanted}"
    if not outcome.brings:
        yield "    brings no new warning and no fail"
