"""Parametric CAD for pedal brackets and drill templates: spec in, parts to cut and paper to drill out."""

__version__ = "0.1.0"
