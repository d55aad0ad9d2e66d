"""Finished templates read back: where every circle, label and bar really is."""
