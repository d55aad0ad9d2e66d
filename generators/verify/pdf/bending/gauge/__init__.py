"""What is said of the gauge on a setup sheet, read back: what swings past it on the way."""
