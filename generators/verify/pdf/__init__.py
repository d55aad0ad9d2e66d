"""Finished PDF pages read back."""
