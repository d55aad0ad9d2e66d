"""TOML into the model: every fault at once, each with its place, what was found and expected."""

from generators.reading.keys.datums import datum_marks, datum_value, resolve_position
from generators.reading.reader import JobFile, read_job, read_table, shop_faults
from generators.reading.report import faults_json, load_sources, render

__all__ = [
    "JobFile",
    "datum_marks",
    "datum_value",
    "faults_json",
    "load_sources",
    "read_job",
    "read_table",
    "render",
    "resolve_position",
    "shop_faults",
]
