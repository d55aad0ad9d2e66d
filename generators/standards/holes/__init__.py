"""Clearance holes, drills, taps, bolts, drill bushes and general tolerances."""
