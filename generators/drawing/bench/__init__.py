"""Sheets for the bench: what is filed, at full size."""
