"""Reads drafts back: they say that they are drafts, show every hole where it is, and fit no metal."""
