"""The inspection sheet of a part: what to measure, with what, between which limits, and room to write."""
