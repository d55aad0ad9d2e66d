"""What can be asked for: every job is a head and a tuple of artefacts."""
