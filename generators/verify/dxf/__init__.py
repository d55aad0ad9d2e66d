"""Finished DXF files read back."""
