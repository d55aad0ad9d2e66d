"""Pedal linkage, cylinders, lines, clutch release, stop window and brakes: what the pedal does."""
