"""A step seen from an end of the machine."""
