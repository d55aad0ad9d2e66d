"""Loaded brackets of a job: their cases and the quick estimate."""
