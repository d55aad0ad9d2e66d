"""Rules on readings and on holes as drilled."""
