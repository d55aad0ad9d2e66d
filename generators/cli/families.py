"""``pedalplate families``: what can be made, and from which parameters."""

from __future__ import annotations

import math
from typing import Any

import click

from generators.cli.output import EXIT_OK, print_json
from generators.model.fields import SpecField, spec_fields


def _value(field: SpecField, value: float | None) -> str:
    if value is None:
        return ""
    if field.spec.kind == "length":
        return f"{value:g} mm"
    if field.spec.kind == "angle":
        return f"{round(math.degrees(value), 3):g} deg"
    return f"{value:g}"


def _row(field: SpecField) -> dict[str, str]:
    limits = f"{_value(field, field.spec.lo)} to {_value(field, field.spec.hi)}"
    if field.spec.choices:
        limits = ", ".join(field.spec.choices)
    elif field.spec.kind in ("text", "name"):
        limits = "text"
    default: Any = field.default
    numeric = isinstance(default, int | float) and not isinstance(default, bool)
    return {
        "key": field.key,
        "default": "required" if field.required else _value(field, default) if numeric else str(default),
        "limits": limits,
        "meaning": field.spec.doc,
    }


@click.command()
@click.argument("name", required=False)
@click.option("--materials", is_flag=True, help="List the materials instead.")
@click.option("--schema", type=click.Choice(["job", "shop", "readings"]), help="Print the JSON Schema for editors.")
@click.option("--json", "as_json", is_flag=True, help="As JSON on stdout.")
def families(name: str | None, materials: bool, schema: str | None, as_json: bool) -> int:
    """List the bracket families, or the parameters of NAME with defaults and limits.

    \b
    pedalplate families
    pedalplate families pedal_hanger
    pedalplate families --materials
    """
    from generators.errors import LookupFault
    from generators.parts import FAMILIES, family

    if schema is not None:
        from generators.reading import job_schema, readings_schema, shop_schema

        plain = {"shop": shop_schema, "readings": readings_schema}
        made = plain[schema]() if schema in plain else job_schema({f.name: f.parameters for f in FAMILIES})
        print_json(made)
        return EXIT_OK
    if materials:
        return _materials(as_json)
    if name is None:
        rows = [{"name": f.name, "summary": f.summary} for f in FAMILIES]
        if as_json:
            print_json(rows)
        else:
            for row in rows:
                click.echo(f"{row['name']:<20} {row['summary']}")
        return EXIT_OK
    try:
        found = family(name)
    except KeyError:
        raise LookupFault("family", name, [f.name for f in FAMILIES]) from None
    rows = [_row(field) for field in spec_fields(found.parameters)]
    if as_json:
        print_json({"name": found.name, "summary": found.summary, "origin": found.origin, "parameters": rows})
        return EXIT_OK
    click.echo(f"{found.name}: {found.summary}")
    click.echo(f"  `mount.at` places {found.origin}.\n")
    widths = {key: max(len(key), *(len(r[key]) for r in rows)) for key in ("key", "default", "limits")}
    for row in rows:
        cells = "  ".join(f"{row[key]:<{widths[key]}}" for key in widths)
        click.echo(f"  {cells}  {row['meaning']}")
    return EXIT_OK


def _materials(as_json: bool) -> int:
    from generators.standards import material_rows

    rows = [
        {
            "name": m.name,
            "density": f"{m.density_kg_m3:g} kg/m3",
            "yield": f"{m.yield_mpa:g} MPa",
            "k_factor": "" if m.k_factor is None else f"{m.k_factor:g}",
            "source": f"{m.source} [{m.trust}]",
        }
        for m in material_rows()
    ]
    if as_json:
        print_json(rows)
    else:
        for row in rows:
            k = f"K {row['k_factor']}" if row["k_factor"] else "K by DIN 6935"
            click.echo(
                f"{row['name']:<16} {row['density']:<12} yield {row['yield']:<10} {k:<14} {row['source']}"
            )
    return EXIT_OK
