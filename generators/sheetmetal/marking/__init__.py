"""Letters that are etched into a blank, and where they go on it."""
