"""Hoses in space: shortest curves, clearances, detours, where a port may sit, rise and support."""
