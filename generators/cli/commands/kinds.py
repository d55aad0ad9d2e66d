"""``pedalplate kinds``: what can be made, and from which parameters."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from generators.cli.options import json_option
from generators.cli.output import EXIT_OK, print_json, say
from generators.cli.paths import OutputPath, require_file_or_nothing, writing
from generators.model.spec.fields import SpecField, spec_fields

if TYPE_CHECKING:
    from generators.parts import Kind

PICTURES = (".pdf", ".svg", ".png")
PNG_SCALE = 1.6


def _value(field: SpecField, value: float | None) -> str:
    if value is None:
        return ""
    if field.spec.kind in ("length", "thickness"):
        return f"{value:g} mm"
    if field.spec.kind == "angle":
        return f"{round(math.degrees(value), 3):g} deg"
    return f"{value:g}"


def _row(field: SpecField) -> dict[str, str]:
    from generators.reading.toml.words import default_words

    limits = f"{_value(field, field.spec.lo)} to {_value(field, field.spec.hi)}"
    if field.spec.choices:
        limits = ", ".join(field.spec.choices)
    elif field.spec.kind in ("text", "name"):
        limits = "text"
    elif field.spec.kind == "flag":
        limits = "true or false"
    elif field.spec.kind in ("names", "features"):
        limits += " names"
    return {
        "key": field.key,
        "default": "required" if field.required else default_words(field),
        "limits": limits,
        "meaning": field.spec.doc,
    }


@click.command()
@click.argument("name", required=False)
@click.option("--materials", is_flag=True, help="List the materials instead.")
@click.option(
    "--schema",
    type=click.Choice(["job", "shop", "shelf", "readings", "vehicle"]),
    help="Print the JSON Schema for editors.",
)
@click.option(
    "--picture",
    type=OutputPath(),
    help="Write a picture of NAME with its parameters' names: FILE.pdf, .svg or .png.",
)
@json_option("As JSON on stdout.")
def kinds(name: str | None, materials: bool, schema: str | None, picture: Path | None, as_json: bool) -> int:
    """List the bracket kinds, or the parameters of NAME with defaults, limits and a sketch.

    \b
    pedalplate kinds
    pedalplate kinds pedal_hanger
    pedalplate kinds pedal_hanger --picture hanger.pdf
    pedalplate kinds --materials
    """
    if picture is not None and name is None:
        raise click.UsageError("--picture needs the NAME of a kind")
    if picture is not None and picture.suffix.lower() not in PICTURES:
        raise click.UsageError(f"--picture writes {', '.join(PICTURES)}, not {picture.suffix or 'that'!r}")
    from generators.errors import LookupFault
    from generators.parts import KINDS, kind_named

    if schema is not None:
        from generators.reading.schema import (
            job_schema,
            readings_schema,
            shelf_schema,
            shop_schema,
            vehicle_schema,
        )

        plain = {
            "shop": shop_schema,
            "shelf": shelf_schema,
            "readings": readings_schema,
            "vehicle": vehicle_schema,
        }
        made = plain[schema]() if schema in plain else job_schema({f.name: f.parameters for f in KINDS})
        print_json(made)
        return EXIT_OK
    if materials:
        return _materials(as_json)
    if name is None:
        rows = [{"name": f.name, "summary": f.summary} for f in KINDS]
        if as_json:
            print_json(rows)
        else:
            for row in rows:
                say(f"{row['name']:<20} {row['summary']}")
        return EXIT_OK
    try:
        found = kind_named(name)
    except KeyError:
        raise LookupFault("kind", name, [f.name for f in KINDS]) from None
    rows = [_row(field) for field in spec_fields(found.parameters)]
    if picture is not None:
        _write_picture(found, rows, picture)
    if as_json:
        head = {"name": found.name, "summary": found.summary, "origin": found.origin}
        drawn = {} if picture is None else {"picture": str(picture)}
        print_json(
            {
                **head,
                **drawn,
                "flanges": _flange_names(found),
                "faces": _faces(found),
                "parameters": rows,
            }
        )
        return EXIT_OK
    _print_kind(found, rows)
    say(f"\npicture: {picture}" if picture else "\n--picture FILE.pdf draws it with its sizes named.")
    return EXIT_OK


def _flange_names(found: Kind[Any]) -> list[str]:
    from generators.solve.parts import sample_plan

    return [f.name for f in sample_plan(found.name)[0].flanges]


def _faces(found: Kind[Any]) -> list[dict[str, str]]:
    from generators.sheets.manual.flange_axes import faces
    from generators.solve.parts import sample_plan

    return faces(sample_plan(found.name)[0])


def _print_kind(found: Kind[Any], rows: list[dict[str, str]]) -> None:
    """Parameters, then the flat blank of the default part in plain characters."""
    from generators.cli.commands.sketch import sketch
    from generators.solve.parts import sample_plan

    say(f"{found.name}: {found.summary}")
    say(f"  `mount.at` places {found.origin}.\n")
    widths = {key: max(len(key), *(len(r[key]) for r in rows)) for key in ("key", "default", "limits")}
    for row in rows:
        cells = "  ".join(f"{row[key]:<{widths[key]}}" for key in widths)
        say(f"  {cells}  {row['meaning']}")
    plan, _ = sample_plan(found.name)
    say("\n  flanges of the default part; each has its own u and v, which begin and run, once bent:\n")
    faces = _faces(found)
    wide = {key: max(len(row[key]) for row in faces) for key in ("flange", "origin")}
    for row in faces:
        axes = f"u {row['u']}, v {row['v']}" if row["u"] != "u" else "u and v the root's own"
        say(f"  {row['flange']:<{wide['flange']}}  {row['origin']:<{wide['origin']}}  {axes}; {row['size']}")
    say("\n  the flat blank (- bend, o opening):\n")
    for line in sketch(plan):
        say(f"  {line}".rstrip())


def _write_picture(found: Kind[Any], rows: list[dict[str, str]], path: Path) -> None:
    """Write the picture; raises ``ExportError`` when it cannot be written."""
    from generators.drawing.part.kind_picture import Row, write_kind_picture
    from generators.drawing.part.named_sizes import find_named_sizes
    from generators.sheets.manual.kinds import pivot_of
    from generators.solve.parts import sample_plan

    sizes = find_named_sizes(found.parameters, lambda p: sample_plan(found.name, p)[0])
    listed = [Row(**row) for row in rows]
    plan, _ = sample_plan(found.name)

    pivot = pivot_of(found)

    def write(target: Path) -> None:
        write_kind_picture(
            plan, sizes, listed, target, summary=found.summary, origin=found.origin, pivot=pivot
        )

    require_file_or_nothing(path)
    with writing(path):
        if path.suffix.lower() != ".png":
            write(path)
            return
        with tempfile.TemporaryDirectory() as folder:
            page = Path(folder) / "picture.pdf"
            write(page)
            _render(page, path)


def _render(page: Path, path: Path) -> None:
    import pypdfium2

    document = pypdfium2.PdfDocument(page)
    try:
        document[0].render(scale=PNG_SCALE, grayscale=True).to_pil().save(path, optimize=True)
    finally:
        document.close()


def _materials(as_json: bool) -> int:
    from generators.standards import material_rows

    rows = [
        {
            "name": m.name,
            "density": f"{m.density_kg_m3:g} kg/m3",
            "yield": f"{m.yield_mpa:g} MPa",
            "k_factor": "" if m.k_factor is None else f"{m.k_factor:g}",
            "source": f"{m.source} [{m.trust}]",
            "density_source": f"{m.density_source} [{m.density_trust}]",
            "e_source": f"{m.e_source} [{m.e_trust}]",
        }
        for m in material_rows()
    ]
    if as_json:
        print_json(rows)
    else:
        for row in rows:
            k = f"K {row['k_factor']}" if row["k_factor"] else "K by DIN 6935"
            say(f"{row['name']:<16} {row['density']:<12} yield {row['yield']:<10} {k:<14} {row['source']}")
    return EXIT_OK
