"""TOML text to values with their places: positions, nesting limits, tables, words of faults."""
