"""Bend allowance, reliefs, and the one plan unfolded and folded."""
