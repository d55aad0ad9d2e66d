"""Curves in space: arcs and straights as arrays, shortest curves, chains through supports."""
