"""TOML into the model: every fault at once, each with its place, what was found and expected."""

from generators.reading.keys.datums import datum_marks, datum_value, resolve_position
from generators.reading.reader import JobFile, read_job, read_table, shop_faults
from generators.reading.readings import ReadingsFile, read_readings
from generators.reading.report import faults_json, load_sources, render
from generators.reading.schema import job_schema, readings_schema, shelf_schema, shop_schema, vehicle_schema

__all__ = [
    "JobFile",
    "ReadingsFile",
    "datum_marks",
    "datum_value",
    "faults_json",
    "job_schema",
    "load_sources",
    "read_job",
    "read_readings",
    "read_table",
    "readings_schema",
    "render",
    "resolve_position",
    "shelf_schema",
    "shop_faults",
    "shop_schema",
    "vehicle_schema",
]
