"""Readings to places of existing holes."""
