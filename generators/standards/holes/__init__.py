"""Clearance holes, drills, taps, screws, drill bushes and general tolerances."""
