"""Rules on one part."""
